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
from roofmodel.geometry.snapping import Snap
from roofmodel.units import parse_length
from roofmodel_ui.selection import CornerId, Selectable
from roofmodel_ui.session import Session
from roofmodel_ui.tools.choices import Offer

Key = Literal["enter", "backspace", "escape", "undo", "redo", "text", "tab"]


@dataclass(frozen=True, slots=True)
class PlanEvent:
    """The pointer in the plan: `at` in mm, `snap` in mm, and the keys held."""

    at: Point
    snap: float
    free: bool = False
    add: bool = False


@dataclass(frozen=True, slots=True)
class Overlay:
    """What a tool wants drawn: lines and dots in mm, a label and a typed field at a point.

    `wrong` are edges of the line, and `marks` places on it, shown in the colour of an error;
    `snap` is what the pointer was snapped to, `handles` are places where a corner can be added,
    `legs` are stretches with words that stand on them.
    """

    line: tuple[Point, ...] = ()
    guide: tuple[Point, ...] = ()
    dots: tuple[Point, ...] = ()
    wrong: tuple[tuple[Point, Point], ...] = ()
    marks: tuple[Point, ...] = ()
    label: str = ""
    field: str | None = None
    at: Point = (0.0, 0.0)
    hover: Selectable | CornerId | None = None
    snap: Snap | None = None
    handles: tuple[Point, ...] = ()
    legs: tuple[tuple[Point, Point, str], ...] = ()


class Tool(QObject):
    """A tool; `changed` asks for its overlay to be drawn again, `done` says it has finished.

    `fit_wanted` asks for everything to be shown.
    """

    name: ClassVar[str] = ""
    hint: ClassVar[str] = ""
    changed = Signal()
    done = Signal()
    fit_wanted = Signal()

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

    def let_go(self) -> None:
        """Give up a drag in progress, if there is one: the button may stay down, but its release
        does nothing. What was begun by clicks stays."""

    def double_click(self, event: PlanEvent) -> None:
        """The main button went down a second time in one place."""
        self.press(event)

    def claims(self, key: Key) -> bool:
        """Whether a key is the tool's and no command's, though nothing was begun."""
        return False

    def note(self) -> str:
        """A few words for the small bar under the plan."""
        return ""

    def offers(self) -> tuple[Offer, ...]:
        """What can be chosen in the small bar now."""
        return ()

    def cancel(self) -> None:
        """Give up what was begun; the document is as before."""

    def enter(self) -> None:
        """The Enter key."""

    def backspace(self) -> None:
        """The Backspace key when nothing is typed."""

    def leave(self) -> None:
        """Another tool is taken up."""
        if self.busy():
            self.typed = ""
            self.cancel()

    def kept(self) -> tuple[Point, ...]:
        """What was begun and kept when the tool was left, mm."""
        return ()

    def update(self) -> None:
        """The typed text or what was begun changed: bring what is shown up to it."""

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
        elif not self.busy() or key == "tab":
            return False
        elif key == "undo":
            if self.typed:
                self.typed = ""
            else:
                self.backspace()
        elif key == "text" and text and text.isprintable():
            # Any letter: a wrong length is refused whole, and none is a shortcut meanwhile.
            self.typed += text
        elif key != "redo":
            return False
        self.update()
        self.changed.emit()
        return True

    def busy(self) -> bool:
        """Whether something was begun: typed characters are a length now, and no shortcuts."""
        return False

    def overlay(self) -> Overlay:
        """What to draw over the plan."""
        return Overlay()

    def typed_length(self) -> float | None:
        """The typed length in mm; None, with a message to the user, if it is none."""
        length = self._length()
        if isinstance(length, str):
            self.session.message.emit(length, True)
            return None
        return length

    def _length(self) -> float | str:
        unit: Literal["ft", "mm"] = "ft" if self.session.project.units.system == "feet" else "mm"
        try:
            length = parse_length(self.typed, unit)
        except TextError as error:
            return str(error)
        return float(length) if length > 0 else "A length must be more than 0."
