"""Draw outlines of sections, and single planes, by tracing a ring of corners."""

from __future__ import annotations

import math

from PySide6.QtCore import QObject

from roofmodel.document import ByEdge, BySlope, Point, Project, Section
from roofmodel.document.drawing_edits import add_courtyard, is_inside
from roofmodel.document.edits import new_section
from roofmodel.document.part_edits import new_plane
from roofmodel.surface.reach import joined
from roofmodel_ui.selection import OutlineEdgeId, PartId, Selectable, building_of, parts_of
from roofmodel_ui.session import Session
from roofmodel_ui.ties import tie_along, tie_of
from roofmodel_ui.tools.base import Overlay, PlanEvent
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.trace import TraceTool

NEW_PLANE_SLOPE = 0.25
"""3/12, a usual pitch of a porch roof."""

NEW_PLANE_HEIGHT = 2743.2


class OutlineTool(TraceTool):
    """Draw the outline of a section; one drawn inside a selected section may be its courtyard."""

    name = "Draw outline"
    thing = "outline"
    hint = (
        "Click corners, or type: the first one 26, -12 (east, north), sides 12' 6, 40 E, 16 R,"
        " 12 < 45 (Tab writes <). Shift: no snapping. Control: own directions."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._ring: tuple[Point, ...] = ()
        self._around = ""

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        building = building_of(self.session.project, self.session.selection)
        project, section = new_section(self.session.project, corners, building=building)
        project = joined(project, section)
        first = project.section(section).rings[0].edges[0]
        return project, OutlineEdgeId(section, first.id)

    def closed(self, corners: tuple[Point, ...]) -> None:
        around = self._section_around(corners)
        if around is None:
            super().closed(corners)
            return
        self.corners = list(corners)
        self._ring, self._around = corners, around.id
        self.changed.emit()

    def asking(self) -> bool:
        """Whether it is yet to be said what the closed ring is to be."""
        return bool(self._ring)

    def note(self) -> str:
        if not self._ring:
            return super().note()
        return f"It lies inside {self._section_name()}."

    def offers(self) -> tuple[Offer, ...]:
        if not self._ring:
            return super().offers()
        return (
            Offer("Make it a courtyard", self.make_courtyard,
                  f"{self._section_name()} has no roof there. Enter does it too."),
            Offer("Make it a section", self._make_section, "A roof of its own, on top."),
            Offer("Go on drawing", self.backspace, "Take the closing side back."),
        )  # fmt: skip

    def make_courtyard(self) -> None:
        """The closed ring becomes a courtyard of the section around it."""
        section_id = self._around

        def made(corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
            project = add_courtyard(self.session.project, section_id, corners)
            first = project.section(section_id).rings[-1].edges[0]
            return project, OutlineEdgeId(section_id, first.id)

        self.finish(self._ring, made, "Draw courtyard")
        self._ring = ()
        self.changed.emit()

    def press(self, event: PlanEvent) -> None:
        if not self._ring:
            super().press(event)

    def enter(self) -> None:
        if self._ring:
            self.make_courtyard()
        else:
            super().enter()

    def backspace(self) -> None:
        if self._ring:
            self._ring = ()
            self.changed.emit()
        else:
            super().backspace()

    def cancel(self) -> None:
        self._ring = ()
        super().cancel()

    def overlay(self) -> Overlay:
        if not self._ring:
            return super().overlay()
        return Overlay(line=(*self._ring, self._ring[0]), dots=self._ring)

    def _make_section(self) -> None:
        ring, self._ring = self._ring, ()
        self.finish(ring, self.made, self.name)

    def _section_name(self) -> str:
        names = {s.id: s.name for s in self.session.project.sections()}
        return names.get(self._around, "the section")

    def _section_around(self, corners: tuple[Point, ...]) -> Section | None:
        """The one selected section that the ring lies wholly inside."""
        chosen = parts_of(self.session.project, self.session.selection)
        found = [
            s for s in self.session.project.sections() if s.id in chosen and is_inside(s, corners)
        ]
        return found[0] if len(found) == 1 else None


class PlaneTool(TraceTool):
    """Draw a plane: tied to the roof edge that is selected, or else rising from its first edge,
    until its form says otherwise."""

    name = "Draw plane"
    thing = "plane"
    hint = (
        "Click the corners, the low edge first, or type first corner and sides as for an outline."
        " Close at the first corner. Shift: no snapping."
    )

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        project, selection = self.session.project, self.session.selection
        tie = tie_of(project, selection) or tie_along(project, corners)
        lies: BySlope | ByEdge
        if tie is not None:
            lies = ByEdge(tie.section, tie.edge, -NEW_PLANE_SLOPE)
        else:
            lies = self._from_first_edge(corners)
        project, plane = new_plane(
            project, corners, lies, building=building_of(project, selection)
        )
        return project, PartId(plane)

    def _from_first_edge(self, corners: tuple[Point, ...]) -> BySlope:
        (ax, ay), (bx, by), *rest = corners
        # downhill is square to the first edge, away from the other corners
        out_x, out_y = by - ay, ax - bx
        if sum((x - ax) * out_x + (y - ay) * out_y for x, y in rest) > 0:
            out_x, out_y = -out_x, -out_y
        bearing = round(math.degrees(math.atan2(out_x, out_y)) % 360.0, 6) % 360.0
        sections = self.session.project.sections()
        height = sections[0].eave_height if sections else NEW_PLANE_HEIGHT
        return BySlope((ax, ay, height), NEW_PLANE_SLOPE, bearing)
