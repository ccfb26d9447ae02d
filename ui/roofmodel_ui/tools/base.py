"""What every tool is: it gets events in plan millimetres and leaves an overlay to draw.

Vocabulary
----------
snap
    A distance in mm within which the pointer is taken to mean a corner or a direction.
field
    Typed text shown in a small box beside the pointer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from PySide6.QtCore import QObject, Signal

from roofmodel.document import Point
from roofmodel.errors import TextError
from roofmodel.units import parse_length
from roofmodel_ui.selection import CornerId, Selectable
from roofmodel_ui.session import Session

Key = Literal["enter", "backspace", "escape", "text"]

TEXT = set("0123456789.,-+/'\" mcftin\N{PRIME}\N{DOUBLE PRIME}")
"""Characters that can be part of a length."""


@dataclass(frozen=True, slots=True)
class PlanEvent:
    """The pointer in the plan: `at` in mm, `snap` in mm, and the keys held."""

    at: Point
    snap: float
    free: bool = False
    add: bool = False


@dataclass(frozen=True, slots=True)
class Overlay:
    """What a tool wants drawn: lines and dots in mm, a label and a typed field at a point."""

    line: tuple[Point, ...] = ()
    guide: tuple[Point, ...] = ()
    dots: tuple[Point, ...] = ()
    label: str = ""
    field: str | None = None
    at: Point = (0.0, 0.0)
    hover: Selectable | CornerId | None = None


class Tool(QObject):
    """A tool; `changed` asks for its overlay to be drawn again, `done` says it has finished."""

    name: ClassVar[str] = ""
    hint: ClassVar[str] = ""
    changed = Signal()
    done = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.typed = ""

    def press(self, event: PlanEvent) -> None:
        """The main button went down."""

    def move(self, event: PlanEvent) -> None:
        """The pointer moved, with or without the button."""

    def release(self, event: PlanEvent) -> None:
        """The main button went up."""

    def cancel(self) -> None:
        """Give up what was begun; the document is as before."""

    def enter(self) -> None:
        """The Enter key."""

    def backspace(self) -> None:
        """The Backspace key when nothing is typed."""

    def key(self, key: Key, text: str = "") -> bool:
        """A key; whether the tool used it."""
        if key == "escape":
            self.typed = ""
            self.cancel()
        elif key == "enter":
            self.enter()
        elif key == "backspace":
            if self.typed:
                self.typed = self.typed[:-1]
            else:
                self.backspace()
        elif self.takes_text() and text and set(text.lower()) <= TEXT:
            self.typed += text
        else:
            return False
        self.changed.emit()
        return True

    def takes_text(self) -> bool:
        """Whether typed characters are a length now."""
        return False

    def overlay(self) -> Overlay:
        """What to draw over the plan."""
        return Overlay()

    def typed_length(self) -> float | None:
        """The typed length in mm; None, with a message to the user, if it is none."""
        unit: Literal["ft", "mm"] = "ft" if self.session.project.units.system == "feet" else "mm"
        try:
            length = parse_length(self.typed, unit)
        except TextError as error:
            self.session.message.emit(str(error), True)
            return None
        if length <= 0:
            self.session.message.emit("A length must be more than 0.", True)
            return None
        return length
