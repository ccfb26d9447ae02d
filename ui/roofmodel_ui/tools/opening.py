"""Place an opening: a ghost follows the pointer, a click cuts it there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QObject

from roofmodel.document import Point, Project, Units
from roofmodel.document.boxes import Box
from roofmodel.document.part_edits import OpeningKind, new_opening
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.results import Results
from roofmodel.surface.doubts import SADDLE_WIDTH_MM
from roofmodel.units import format_length
from roofmodel_ui.plan.picking import is_inside, plane_at
from roofmodel_ui.selection import PartId, building_of, part_of
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool
from roofmodel_ui.tools.sizes import BETWEEN, parse_small_length

SIZES_MM: Final[dict[OpeningKind, tuple[float, float]]] = {
    "chimney": (812.8, 812.8),
    "skylight": (609.6, 1219.2),
    "pipe": (101.6, 101.6),
}
"""First width and depth: 32 by 32 in, 24 by 48 in, 4 by 4 in."""


@dataclass
class OpeningDraft:
    """What the next click places. `turn` (degrees) None lays it along the plane's slope."""

    kind: OpeningKind = "chimney"
    width: float = SIZES_MM["chimney"][0]
    depth: float = SIZES_MM["chimney"][1]
    turn: float | None = None
    saddle: bool = True

    def take_kind(self, kind: OpeningKind) -> None:
        """Start over with the usual size of a kind."""
        self.kind = kind
        self.width, self.depth = SIZES_MM[kind]
        self.saddle = kind == "chimney" and self.width > SADDLE_WIDTH_MM

    def take_size(self, text: str, units: Units) -> None:
        """Take a typed width, or width by depth; bare numbers are inches or millimetres.
        DocumentError or TextError if the text says no size."""
        parts = [p for p in BETWEEN.split(text.strip()) if p]
        if not 1 <= len(parts) <= 2:
            raise DocumentError("Type a width, or width by depth, such as 24 by 48.")
        sizes = [parse_small_length(p, units) for p in parts]
        if not all(mm > 0 for mm in sizes):
            raise DocumentError("The width and depth of an opening must be more than 0.")
        self.width, self.depth = sizes[0], sizes[-1]


def slope_turn(results: Results, at: Point) -> float | None:
    """The turn (degrees) at which a box at a plan point lies along the slope, its width across
    it; None where there is no slope. An opening that stands there already is looked through."""
    plane = plane_at(results, at) or next(
        (p for p in results.surface.planes if is_inside(at, p.outline)), None
    )
    if plane is None or plane.slope < 1e-6:
        return None
    return round((180.0 - plane.bearing) % 360.0, 6) % 360.0


class OpeningTool(Tool):
    """Click where an opening's middle lies; its size comes from the form at the right."""

    name = "Place opening"
    hint = (
        "Click where the middle of the opening lies. Type width by depth, such as 24 by 48, then"
        " Enter. Escape ends."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.draft = OpeningDraft()
        self._at: Point | None = None
        self._placed: Point | None = None

    def press(self, event: PlanEvent) -> None:
        if self._placed is not None and math.dist(self._placed, event.at) < event.snap / 2:
            return  # the second click of a double click
        self._at = event.at
        made: list[str] = []

        def place(project: Project) -> Project:
            draft = self.draft
            building = self._building(project, event.at)
            project, opening = new_opening(
                project, draft.kind, self._box(event.at).corners(), None, building, draft.saddle
            )
            made.append(opening)
            return project

        if self.session.attempt(f"Place {self.draft.kind}", place):
            self._placed = event.at
            self.session.select((PartId(made[0]),))
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        self._at = event.at
        self.changed.emit()

    def enter(self) -> None:
        if not self.typed:
            return
        try:
            self.draft.take_size(self.typed, self.session.project.units)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.typed = ""

    def leave(self) -> None:
        self.typed, self._at, self._placed = "", None, None

    def busy(self) -> bool:
        return bool(self.typed)

    def key(self, key: Key, text: str = "") -> bool:
        if key == "text" and not self.typed and text[:1].isdigit():
            self.typed = text
            self.changed.emit()
            return True
        return super().key(key, text)

    def cancel(self) -> None:
        self._at = self._placed = None
        self.done.emit()

    def overlay(self) -> Overlay:
        if self._at is None:
            return Overlay()
        try:
            corners = self._box(self._at).corners()
        except DocumentError:
            return Overlay()
        units = self.session.project.units
        size = [format_length(v, units) for v in (self.draft.width, self.draft.depth)]
        label = f"{self.draft.kind.capitalize()}, {size[0]} by {size[1]}"
        return Overlay(
            line=(*corners, corners[0]), at=self._at, label=label, field=self.typed or None
        )

    def _box(self, at: Point) -> Box:
        turn = self.draft.turn
        if turn is None:
            turn = slope_turn(self.session.results, at) or 0.0
        return Box(at, self.draft.width, self.draft.depth, round(turn % 360.0, 6) % 360.0)

    def _building(self, project: Project, at: Point) -> str | None:
        """The building of the roof it goes through, or else that of what is selected."""
        plane = plane_at(self.session.results, at)
        if plane is not None:
            return project.building_of(part_of(plane.id)).id
        return building_of(project, self.session.selection)
