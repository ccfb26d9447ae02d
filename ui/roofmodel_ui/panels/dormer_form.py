"""The form of the next dormer, and what a section's form says more of one that stands."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

import msgspec
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from roofmodel.document import Project, Section
from roofmodel.document.dormers import Dormer, DormerKind, dormer_of
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.surface.reach import put_dormer, seated
from roofmodel.units import format_slope, parse_length, parse_slope
from roofmodel_ui.panels.fields import (
    Field,
    checked_overhang,
    default_unit,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.panels.pictures import PictureChoice, dormer_picture
from roofmodel_ui.session import Session
from roofmodel_ui.tools.dormer import DormerTool

_Change = Callable[[Dormer], Dormer]
KINDS = [(k.capitalize(), k, dormer_picture(k)) for k in DormerKind]


class _DormerFields(QWidget):
    """Kind, width, pitch, face and overhang of a dormer; `_change` says what becomes of them."""

    def __init__(self, session: Session, which: str) -> None:
        super().__init__()
        self.session = session
        self.kind = PictureChoice("Dormer", KINDS)
        self.kind.chosen.connect(self._take_kind)
        self.width_field = Field(f"Width of {which}", lambda t: self._take("width", t))
        self.face = Field(f"Face of {which}", lambda t: self._take("face", t))
        self.face.setToolTip(
            "Height of the front wall, from the roof below its middle up to the wall plate."
        )
        self.pitch = Field(f"Pitch of {which}", lambda t: self._take("slope", t))
        self.overhang = Field(f"Overhang of {which}", lambda t: self._take("overhang", t))
        self.overhang.small = True
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(6)
        self.column.addWidget(self.kind)
        self.column.addWidget(
            rows_of(
                ("Width", self.width_field),
                ("Face height", self.face),
                ("Pitch", self.pitch),
                ("Overhang", self.overhang),
            )
        )

    def show_dormer(self, dormer: Dormer) -> None:
        """Show a dormer as it is now."""
        self.kind.show_choice(dormer.kind)
        show_length(self.width_field, self.session, dormer.width)
        show_length(self.face, self.session, dormer.face)
        show_length(self.overhang, self.session, dormer.overhang)
        self.pitch.show_value(format_slope(dormer.slope))

    def _change(self, text: str, change: _Change) -> None:
        raise NotImplementedError

    def _take_kind(self, value: object) -> None:
        kind = cast(DormerKind, value)
        self._change("Set kind of dormer", lambda d: msgspec.structs.replace(d, kind=kind))

    def _take(self, which: str, text: str) -> None:
        units = self.session.project.units

        def change(dormer: Dormer) -> Dormer:
            if which == "slope":
                value = parse_slope(text)
            elif which == "overhang":
                value = checked_overhang(parse_small_length(text, units), units)
            else:
                value = parse_length(text, default_unit(units))
            return msgspec.structs.replace(dormer, **{which: value})

        words = {"slope": "pitch", "face": "face height"}.get(which, which)
        self._change(f"Set {words} of dormer", change)


class DormerForm(_DormerFields):
    """A dormer that stands on the roof."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, "the dormer")
        self.part = ""
        self.again = QPushButton("Put on the roof again")
        self.again.setToolTip("After the roof below it changed: at its height, back to its slope.")
        self.again.clicked.connect(
            lambda: self.session.attempt("Put dormer on roof", lambda p: seated(p, self.part))
        )
        self.column.addWidget(self.again)

    def show_section(self, section: Section) -> None:
        """Show the dormer that a section is."""
        self.part = section.id
        dormer = dormer_of(section)
        if dormer is not None:
            self.show_dormer(dormer)

    def _change(self, text: str, change: _Change) -> None:
        def edit(project: Project) -> Project:
            dormer = dormer_of(project.section(self.part))
            if dormer is None:
                raise DocumentError("This section is no dormer any more.")
            return put_dormer(project, self.part, change(dormer))

        self.session.attempt(text, edit)
        self.show_section(self.session.project.section(self.part))


class NewDormerForm(_DormerFields):
    """What the next click of the dormer tool puts on the roof."""

    def __init__(self, session: Session, tool: DormerTool) -> None:
        super().__init__(session, "the new dormer")
        self.tool = tool
        self.column.addWidget(quiet("Click in the plan where its front wall stands."))
        tool.changed.connect(self._refresh_if_shown)

    def refresh(self) -> None:
        """Show what is set."""
        self.show_dormer(self.tool.draft)
        if not self.tool.own_pitch:
            self.pitch.show_value("")
            shed = self.tool.draft.kind is DormerKind.SHED
            self.pitch.setPlaceholderText("a third of the roof's" if shed else "as the roof")

    def _refresh_if_shown(self) -> None:
        if self.isVisible():
            self.refresh()

    def _change(self, text: str, change: _Change) -> None:
        try:
            self.tool.draft = change(self.tool.draft)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
        self.tool.changed.emit()
        self.refresh()

    def _take(self, which: str, text: str) -> None:
        if which == "slope":
            self.tool.own_pitch = bool(text.strip())
            if not text.strip():
                self.refresh()
                return
        super()._take(which, text)
