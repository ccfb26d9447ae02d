"""Trace a ring of corners: click one after another, or type lengths while the pointer gives the
direction. What becomes of the ring is up to the tool: an outline, a drawn plane."""

from __future__ import annotations

import math
from typing import ClassVar

from PySide6.QtCore import QObject

from roofmodel.document import ByEdge, BySlope, Point, Project
from roofmodel.document.edits import new_section
from roofmodel.document.part_edits import new_plane
from roofmodel.errors import RoofmodelError
from roofmodel.units import format_length
from roofmodel_ui.selection import OutlineEdgeId, PartId, Selectable, building_of
from roofmodel_ui.session import Session
from roofmodel_ui.ties import tie_of
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool
from roofmodel_ui.tools.crossing import Crossing, crossings, open_ring

NEAR_EDGE_DEG = 7.0
"""The pointer means a multiple of 45 degrees from the edge before within this."""

NEAR_AXIS_DEG = 4.0
"""The same from the axes: less, since a house a little out of square to a picture is common."""

AXIS = 1e-9
"""A component of a unit vector below this is rounding, not a direction."""


NEW_PLANE_SLOPE = 0.25
"""3/12, a usual pitch of a porch roof."""

NEW_PLANE_HEIGHT = 2700.0


class TraceTool(Tool):
    """Draw a ring of corners; `thing` is what it is called in messages."""

    thing: ClassVar[str]

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.corners: list[Point] = []
        self._pointer: PlanEvent | None = None
        self._free_at: Point | None = None
        self._at: Point = (0.0, 0.0)
        self._closing = False
        self._lined_up = False

    def press(self, event: PlanEvent) -> None:
        self.move(event)
        if self._closing:
            self._close()
            return
        if self.typed:
            self.enter()
            self.update()
        elif not self.corners or math.dist(self._at, self.corners[-1]) >= event.snap / 4:
            self._add(self._at)
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        # Shift is let go to type the length: the direction it gave stays while the pointer does.
        if event.free:
            self._free_at = event.at
        elif self._free_at is not None and math.dist(event.at, self._free_at) > event.snap:
            self._free_at = None
        self._pointer = event
        self.update()
        self.changed.emit()

    def update(self) -> None:
        """Put the end of the rubber band where a click or Enter would put the corner."""
        self._closing = self._lined_up = False
        event = self._pointer
        if event is None:
            return
        self._at = event.at
        if not self.corners:
            return
        if not self.typed and len(self.corners) >= 3:
            self._closing = math.dist(event.at, self.corners[0]) <= event.snap * 1.5
        length = self.shown_length()
        if self._closing:
            self._at = self.corners[0]
        elif length is not None:
            self._at = self._typed_end(length) or self.corners[-1]
        elif self._free_at is None:
            self._at = self._snapped(event)

    def busy(self) -> bool:
        return bool(self.corners)

    def leave(self) -> None:
        self.typed = ""
        if self.corners:
            self.session.message.emit(
                f"The unfinished {self.thing} is kept; choose {self.name} to go on with it.", False
            )

    def kept(self) -> tuple[Point, ...]:
        return tuple(self.corners)

    def enter(self) -> None:
        if not self.typed:
            self._close()
            return
        length = self.typed_length()
        if length is None:
            return
        end = self._typed_end(length)
        if end is None:
            self.session.message.emit(
                "Point along the edge, away from its corner, then press Enter.", True
            )
            return
        self._add(end)

    def backspace(self) -> None:
        if self.corners:
            self.corners.pop()

    def cancel(self) -> None:
        self.corners.clear()
        self._closing = False
        self.changed.emit()

    def overlay(self) -> Overlay:
        if not self.corners:
            return Overlay(at=self._at, label="First corner")
        last = self.corners[-1]
        line = (*self.corners, self._at)
        label = format_length(math.dist(last, self._at), self.session.project.units)
        if self._closing:
            label = "Close"
        elif self.typed and self._way() is None:
            label = "Point along the edge"
        found = crossings(line)
        numbers = {n for crossing in found for n in (crossing.first, crossing.second)}
        return Overlay(
            line=line, dots=tuple(self.corners), label=label,
            field=self.typed or None, at=self._at,
            guide=(self._at, self.corners[0]) if self._lined_up else (),
            wrong=tuple((line[n], line[n + 1]) for n in sorted(numbers)),
            marks=tuple(crossing.at for crossing in found),
        )  # fmt: skip

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        """The project with what the ring becomes, and what to select of it."""
        raise NotImplementedError

    def _add(self, corner: Point) -> None:
        self.corners.append(corner)
        self.typed = ""
        self._free_at = None
        self.update()

    def _close(self) -> None:
        corners = open_ring(self.corners)
        if len(corners) < 3:
            sentence = f"{self.thing.capitalize()}: at least three corners are needed."
            self.session.message.emit(sentence, True)
            return
        found = crossings((*corners, corners[0]))
        if found:
            self.session.message.emit(self._refusal(found[0], corners), True)
            return
        try:
            project, chosen = self.made(corners)
            self.session.edit(self.name, project)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.corners.clear()
        self._closing = False
        self.session.select((chosen,))
        self.changed.emit()
        self.fit_wanted.emit()
        self.done.emit()

    def _refusal(self, crossing: Crossing, corners: tuple[Point, ...]) -> str:
        along = format_length(
            math.dist(corners[crossing.first], crossing.at), self.session.project.units
        )
        name = f"edge {crossing.second + 1}"
        if crossing.second == len(corners) - 1:
            name = "the closing edge"
        return (
            f"The {self.thing} cannot be closed: {name} crosses edge {crossing.first + 1},"
            f" {along} from its start; take back corners with Backspace, then place them anew."
        )

    def _snapped(self, event: PlanEvent) -> Point:
        last, first = self.corners[-1], self.corners[0]
        if math.dist(event.at, last) == 0.0:
            return event.at
        ux, uy = self._direction(last, event.at)
        along = (event.at[0] - last[0]) * ux + (event.at[1] - last[1]) * uy
        # At right angles to the first corner the outline will close square.
        square = (first[0] - last[0]) * ux + (first[1] - last[1]) * uy
        if len(self.corners) > 1 and abs(square) > event.snap and abs(along - square) < event.snap:
            self._lined_up = True
            along = square
            if uy == 0.0:
                return first[0], last[1]
            if ux == 0.0:
                return last[0], first[1]
        return last[0] + along * ux, last[1] + along * uy

    def _way(self) -> Point | None:
        """Unit vector of the edge being pointed out; None while the pointer is at its corner."""
        event, last = self._pointer, self.corners[-1]
        if event is None or math.dist(event.at, last) < event.snap / 2:
            return None
        return self._direction(last, event.at)

    def _typed_end(self, length: float) -> Point | None:
        way, last = self._way(), self.corners[-1]
        return None if way is None else (last[0] + length * way[0], last[1] + length * way[1])

    def _direction(self, start: Point, end: Point) -> Point:
        """Unit vector from start to end. It is turned to a near multiple of 45 degrees from the
        edge before, or else from the axes, unless any direction is wanted."""
        meant = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        bases = [(0.0, NEAR_AXIS_DEG)]
        if len(self.corners) >= 2:
            (ax, ay), (bx, by) = self.corners[-2], self.corners[-1]
            bases.insert(0, (math.degrees(math.atan2(by - ay, bx - ax)), NEAR_EDGE_DEG))
        turned = meant
        for base, near in bases if self._free_at is None else ():
            candidate = base + 45.0 * round((meant - base) / 45.0)
            if abs(candidate - meant) <= near:
                turned = candidate
                break
        angle = math.radians(turned)
        ux, uy = math.cos(angle), math.sin(angle)
        # Along an axis the other component is exactly nothing, so right angles stay right.
        return (0.0 if abs(ux) < AXIS else ux), (0.0 if abs(uy) < AXIS else uy)


class OutlineTool(TraceTool):
    """Draw the outline of a section."""

    name = "Draw outline"
    thing = "outline"
    hint = (
        "Click the corners in turn, or point and type a length, then Enter."
        " Click the first corner to close. Shift: any direction."
    )

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        building = building_of(self.session.project, self.session.selection)
        project, section = new_section(self.session.project, corners, building=building)
        first = project.section(section).rings[0].edges[0]
        return project, OutlineEdgeId(section, first.id)


class PlaneTool(TraceTool):
    """Draw a plane: tied to the roof edge that is selected, or else rising from its first edge,
    until its form says otherwise."""

    name = "Draw plane"
    thing = "plane"
    hint = (
        "Click the corners in turn, the low edge first, or point and type a length, then Enter."
        " Click the first corner to close. Shift: any direction."
    )

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        project, selection = self.session.project, self.session.selection
        tie = tie_of(project, selection)
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
