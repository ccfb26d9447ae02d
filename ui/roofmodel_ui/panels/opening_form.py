"""The form of an opening, and that of the next one to place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, cast

from PySide6.QtWidgets import QCheckBox, QPushButton, QVBoxLayout, QWidget

from roofmodel.document import Opening, Project
from roofmodel.document.boxes import Box, box_of
from roofmodel.document.part_edits import OpeningKind, change_opening, rename_part
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.units import format_slope, parse_slope
from roofmodel_ui.panels.angles import parse_degrees, show_degrees
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    length_field,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
    small_length_field,
)
from roofmodel_ui.session import Session
from roofmodel_ui.tools.opening import OpeningTool, slope_turn

KINDS: Final = (("Chimney", "chimney"), ("Skylight", "skylight"), ("Pipe", "pipe"))
TURN_TIP: Final = "Degrees counter-clockwise; 0 lays the width from west to east."


class OpeningForm(QWidget):
    """Everything that is said of an opening."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.part = ""
        self.name = Field("Name of the opening", self._take_name)
        self.kind = Choice("Kind of opening", self._take_kind, KINDS)
        self.wide = small_length_field(
            "Width",
            session,
            "Set width",
            lambda p, mm: self._boxed(p, lambda b: b._replace(width=mm)),
        )
        self.deep = small_length_field(
            "Depth",
            session,
            "Set depth",
            lambda p, mm: self._boxed(p, lambda b: b._replace(depth=mm)),
        )
        self.turn = Field("Turn", self._take_turn)
        self.turn.setToolTip(TURN_TIP)
        self.align = QPushButton("Along the slope")
        self.align.setToolTip("Turn it so that its width lies across the slope it stands on.")
        self.align.clicked.connect(lambda: self._edit("Turn opening", self._aligned))
        self.east = length_field("Middle, east", session, "Move opening", self._with_east)
        self.north = length_field("Middle, north", session, "Move opening", self._with_north)
        self.stands_out = small_length_field(
            "Height above the roof", session, "Set height above the roof",
            lambda p, mm: change_opening(p, self.part, height=mm),
        )  # fmt: skip
        self.saddle = QCheckBox("Saddle behind it")
        self.saddle.clicked.connect(
            lambda on: self._edit(
                "Add saddle" if on else "Remove saddle",
                lambda p: change_opening(p, self.part, saddle=on),
            )
        )
        self.saddle_pitch = Field("Pitch of the saddle", self._take_saddle_pitch)
        self.saddle_pitch.setPlaceholderText("as the roof")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(
            rows_of(
                ("Name", self.name), ("Kind", self.kind), ("Width", self.wide),
                ("Depth", self.deep), ("Turn", self.turn), ("", self.align),
                ("Middle, east", self.east),
                ("Middle, north", self.north), ("Above the roof", self.stands_out),
                ("", self.saddle), ("Saddle pitch", self.saddle_pitch),
            )
        )  # fmt: skip

    def show_opening(self, opening: Opening) -> None:
        """Show an opening as it is now."""
        self.part = opening.id
        box = box_of(opening.corners)
        self.name.show_value(opening.name)
        self.kind.show_choice(opening.kind)
        for field, mm in (
            (self.wide, box.width), (self.deep, box.depth), (self.east, box.middle[0]),
            (self.north, box.middle[1]), (self.stands_out, opening.height),
        ):  # fmt: skip
            show_length(field, self.session, mm)
        self.turn.show_value(show_degrees(box.turn))
        self.saddle.setChecked(opening.saddle)
        self.saddle_pitch.setEnabled(opening.saddle)
        slope = opening.saddle_slope
        self.saddle_pitch.show_value("" if slope is None else format_slope(slope))

    def _edit(self, text: str, change: Callable[[Project], Project]) -> None:
        self.session.attempt(text, change)

    def _boxed(self, project: Project, change: Callable[[Box], Box]) -> Project:
        box = change(box_of(project.opening(self.part).corners))
        return change_opening(project, self.part, corners=box.corners())

    def _aligned(self, project: Project) -> Project:
        box = box_of(project.opening(self.part).corners)
        turn = slope_turn(self.session.results, box.middle)
        if turn is None:
            raise DocumentError("There is no slope below this opening to lie along.")
        return self._boxed(project, lambda b: b._replace(turn=turn))

    def _with_east(self, project: Project, mm: float) -> Project:
        return self._boxed(project, lambda b: b._replace(middle=(mm, b.middle[1])))

    def _with_north(self, project: Project, mm: float) -> Project:
        return self._boxed(project, lambda b: b._replace(middle=(b.middle[0], mm)))

    def _take_name(self, text: str) -> None:
        self._edit("Rename opening", lambda p: rename_part(p, self.part, text))

    def _take_kind(self, kind: object) -> None:
        self._edit("Set kind of opening", lambda p: change_opening(p, self.part, kind=kind))

    def _take_turn(self, text: str) -> None:
        self._edit(
            "Turn opening",
            lambda p: self._boxed(p, lambda b: b._replace(turn=parse_degrees(text))),
        )

    def _take_saddle_pitch(self, text: str) -> None:
        def change(project: Project) -> Project:
            slope = parse_slope(text) if text.strip() else None
            return change_opening(project, self.part, saddle_slope=slope)

        self._edit("Set pitch of saddle", change)


class NewOpeningForm(QWidget):
    """What the next click of the opening tool places."""

    def __init__(self, session: Session, tool: OpeningTool) -> None:
        super().__init__()
        self.session, self.tool = session, tool
        self.kind = Choice("Kind of new opening", self._take_kind, KINDS)
        self.wide = Field("Width of new opening", lambda t: self._take_size("width", t))
        self.deep = Field("Depth of new opening", lambda t: self._take_size("depth", t))
        self.wide.small = self.deep.small = True
        self.turn = Field("Turn of new opening", self._take_turn)
        self.turn.setPlaceholderText("along the slope")
        self.turn.setToolTip(TURN_TIP)
        self.saddle = QCheckBox("Saddle behind it")
        self.saddle.clicked.connect(self._take_saddle)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(
            rows_of(
                ("Kind", self.kind), ("Width", self.wide), ("Depth", self.deep),
                ("Turn", self.turn), ("", self.saddle),
            )
        )  # fmt: skip
        layout.addWidget(quiet("Click in the plan where its middle lies."))

    def refresh(self) -> None:
        """Show what is set."""
        draft = self.tool.draft
        self.kind.show_choice(draft.kind)
        show_length(self.wide, self.session, draft.width)
        show_length(self.deep, self.session, draft.depth)
        self.turn.show_value("" if draft.turn is None else show_degrees(draft.turn))
        self.saddle.setChecked(draft.saddle)

    def _take_kind(self, kind: object) -> None:
        self.tool.draft.take_kind(cast(OpeningKind, kind))
        self._changed()

    def _take_size(self, which: str, text: str) -> None:
        size = self._parsed_size(text)
        if size is not None:
            setattr(self.tool.draft, which, size)
        self._changed()

    def _parsed_size(self, text: str) -> float | None:
        """The size typed, mm; None, with a message, if no opening has such a one."""
        try:
            mm = parse_small_length(text, self.session.project.units)
            if not mm > 0:
                raise DocumentError("The width and depth of an opening must be more than 0.")
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return None
        return mm

    def _take_turn(self, text: str) -> None:
        try:
            self.tool.draft.turn = parse_degrees(text) if text.strip() else None
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
        self._changed()

    def _take_saddle(self, on: bool) -> None:
        self.tool.draft.saddle = on

    def _changed(self) -> None:
        self.refresh()
        self.tool.changed.emit()
