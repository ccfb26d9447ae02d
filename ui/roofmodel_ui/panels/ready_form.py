"""The form of the next ready-made body."""

from __future__ import annotations

from typing import cast

import msgspec
from PySide6.QtWidgets import QFormLayout, QVBoxLayout, QWidget

from roofmodel.document.starts import Start, StartKind, outline_of
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.units import format_slope, parse_length, parse_slope
from roofmodel_ui.panels.angles import parse_degrees, show_degrees
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    checked_overhang,
    default_unit,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.panels.pictures import PictureChoice, start_picture
from roofmodel_ui.session import Session
from roofmodel_ui.tools.ready import ReadyTool

LEGGED = (StartKind.ELL, StartKind.TEE)


class ReadyForm(QWidget):
    """What the next click of the tool places."""

    def __init__(self, session: Session, tool: ReadyTool) -> None:
        super().__init__()
        self.session, self.tool = session, tool
        self.kind = PictureChoice(
            "Body", [(k.value.capitalize(), k, start_picture(k)) for k in StartKind], columns=4
        )
        self.kind.chosen.connect(self._take_kind)

        def field(name: str, which: str) -> Field:
            return Field(f"{name} of the new body", lambda t: self._take(which, t))

        self.wide, self.deep = field("Width", "width"), field("Depth", "depth")
        self.leg, self.eave = field("Width of legs", "leg"), field("Eave height", "eave")
        self.pitch, self.overhang = field("Pitch", "slope"), field("Overhang", "overhang")
        self.overhang.small = True
        self.eave.setPlaceholderText("as usual")
        self.eave.setToolTip(
            "Empty is the usual height; a porch against a wall then meets the eave of the house."
        )
        self.turn = Field("Turn of the new body", self._take_turn)
        self.turn.setPlaceholderText("square to the house")
        self.turn.setToolTip("Degrees counter-clockwise. R turns by a quarter.")
        self.line = Choice(
            "Sizes of the new body are those of", self._take_line,
            (("the roof (drip line)", "drip"), ("the walls", "wall")),
        )  # fmt: skip
        rows = rows_of(
            ("Width", self.wide), ("Depth", self.deep), ("Legs", self.leg),
            ("Sizes are of", self.line), ("Eave height", self.eave), ("Pitch", self.pitch),
            ("Overhang", self.overhang), ("Turn", self.turn),
        )  # fmt: skip
        self._rows = cast(QFormLayout, rows.layout())
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.kind)
        layout.addWidget(rows)
        layout.addWidget(quiet("Click in the plan where its middle lies; R turns it."))
        tool.changed.connect(self._refresh_if_shown)

    def refresh(self) -> None:
        """Show what is set."""
        draft = self.tool.draft
        self.kind.show_choice(draft.kind)
        for field, mm in (
            (self.wide, draft.width), (self.deep, draft.depth), (self.leg, draft.leg),
            (self.eave, draft.eave), (self.overhang, draft.overhang),
        ):  # fmt: skip
            show_length(field, self.session, mm)
        self.leg.setPlaceholderText("as usual")
        self._rows.setRowVisible(self.leg, draft.kind in LEGGED)
        self.pitch.show_value(format_slope(draft.slope))
        self.line.show_choice(draft.line)
        turn = self.tool.own_turn
        self.turn.show_value("" if turn is None else show_degrees(turn))

    def _refresh_if_shown(self) -> None:
        if self.isVisible():
            self.refresh()

    def _take_kind(self, kind: object) -> None:
        self.tool.take_kind(cast(StartKind, kind))
        self.refresh()

    def _take_line(self, line: object) -> None:
        self._set(line=line)

    def _take_turn(self, text: str) -> None:
        try:
            self.tool.own_turn = parse_degrees(text) if text.strip() else None
            self.tool.turned = 0
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
        self.tool.changed.emit()
        self.refresh()

    def _take(self, which: str, text: str) -> None:
        try:
            if which == "eave":
                self._take_eave(text)
            else:
                self._set(**{which: self._parsed(which, text)})
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
        self.refresh()

    def _take_eave(self, text: str) -> None:
        eave = self._parsed("eave", text) if text.strip() else None
        if eave is not None:
            self._set(eave=eave)
        self.tool.take_eave(eave)

    def _parsed(self, which: str, text: str) -> float | None:
        units = self.session.project.units
        if which == "leg" and not text.strip():
            return None
        if which == "slope":
            return parse_slope(text)
        if which == "overhang":
            return checked_overhang(parse_small_length(text, units), units)
        return parse_length(text, default_unit(units))

    def _set(self, **fields: object) -> None:
        draft: Start = msgspec.structs.replace(self.tool.draft, **fields)
        if not abs(draft.eave) < 1e6:
            raise DocumentError("The eave height of a body must lie within 1 km.")
        outline_of(draft)
        self.tool.draft = draft
        self.tool.changed.emit()
