"""What can be taken hold of and dragged in plan beside outline corners: openings, dormers, whole
sections, drawn planes with their corners, and the arrow of a drawn plane.

A grip is made where the button goes down; `moved` gives the project as it would be with the
pointer somewhere else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

import msgspec
import numpy as np

from roofmodel.document import ByEdge, ByHeights, BySlope, DrawnPlane, Point, Project
from roofmodel.document.boxes import box_of
from roofmodel.document.changes import part_of
from roofmodel.document.dormers import Dormer, dormer_of
from roofmodel.document.lies import by_slope, height_at, through
from roofmodel.document.part_edits import change_opening, change_plane, move_part
from roofmodel.results import Results
from roofmodel.surface import Plane, PlaneId
from roofmodel.units import format_length
from roofmodel_ui.plan.picking import (
    corner_at,
    distance_to_segment,
    is_inside,
    outline_segments,
    plane_at,
)
from roofmodel_ui.selection import PartId, Selection
from roofmodel_ui.tools.base import PlanEvent

if TYPE_CHECKING:
    from roofmodel.surface import Body

ARROW_PX = 46.0
"""Length of a drawn plane's arrow on screen."""
SNAP_PX = 10.0
NEAR_DEGREES = 6.0


class Grip(Protocol):
    """Something taken hold of; `words` name the edit that dragging it makes."""

    words: str
    part: str

    def moved(self, project: Project, event: PlanEvent) -> Project:
        """The project with the pointer at the event's place."""
        ...

    def label(self, project: Project) -> str:
        """What to say beside the pointer meanwhile, of the project as it would be."""
        ...


def grip_at(results: Results, selection: Selection, event: PlanEvent) -> Grip | None:
    """What a press here takes hold of."""
    project, p = results.project, event.at
    chosen = {s.part for s in selection if isinstance(s, PartId)}
    for opening in reversed(project.openings()):
        if is_inside(p, np.array(opening.corners)):
            aligned = _is_aligned(results, opening.corners)
            return OpeningGrip(opening.id, p, results.surface.planes if aligned else ())
    for plane in project.planes():
        if plane.id in chosen:
            tip = arrow_of(results, plane, event.snap / SNAP_PX)
            if tip is not None and math.dist(tip[1], p) <= event.snap:
                return ArrowGrip(plane.id, tip[0], tip[2])
    for plane in project.planes():
        near = [(math.dist(c, p), k) for k, c in enumerate(plane.corners)]
        distance, corner = min(near)
        if distance <= event.snap and (
            plane.id in chosen or corner_at(project, p, event.snap) is None
        ):
            return PlaneCornerGrip(plane.id, corner)
    for section in project.sections():
        dormer = dormer_of(section)
        if dormer is None:
            continue
        for k, corner_place in enumerate(section.rings[0].corners[:2]):
            if math.dist(corner_place, p) <= event.snap:
                return DormerWidthGrip(section.id, dormer, 1.0 if k else -1.0)
    if corner_at(project, p, event.snap) is not None:
        return None
    return _body_grip(results, moved_whole(selection), p)


def _body_grip(results: Results, chosen: set[str], p: Point) -> Grip | None:
    under = plane_at(results, p)
    return None if under is None else _held(results, chosen, under.id.section, p)


def part_grip(results: Results, selection: Selection, part: str, p: Point) -> Grip | None:
    """A part itself, held at p: a dormer, or else a section or plane that is selected."""
    return _held(results, moved_whole(selection), part, p) if part else None


def moved_whole(selection: Selection) -> set[str]:
    """The parts that a drag moves: those selected, and those with a plane that is."""
    parts = {s.part for s in selection if isinstance(s, PartId)}
    return parts | {s.section for s in selection if isinstance(s, PlaneId)}


def _held(results: Results, chosen: set[str], part: str, p: Point) -> Grip | None:
    project = results.project
    section = next((s for s in project.sections() if s.id == part), None)
    dormer = dormer_of(section) if section is not None else None
    if dormer is not None:
        return DormerGrip(part, p, dormer)
    if part not in chosen:
        return None
    return PartGrip(part, p, "Move drawn plane" if section is None else "Move section")


@dataclass
class OpeningGrip:
    """An opening, moved; one that lay along the slope lies along that of the plane it comes to."""

    part: str
    start: Point
    planes: Sequence[Plane] = ()
    words: str = "Move opening"

    def moved(self, project: Project, event: PlanEvent) -> Project:
        dx, dy = event.at[0] - self.start[0], event.at[1] - self.start[1]
        box = box_of(project.opening(self.part).corners)
        middle = box.middle[0] + dx, box.middle[1] + dy
        plane = next((q for q in self.planes if is_inside(middle, q.outline)), None)
        if plane is None or plane.slope < 1e-6:
            return move_part(project, self.part, dx, dy)
        turn = round((180.0 - plane.bearing) % 360.0, 6) % 360.0
        corners = box._replace(middle=middle, turn=turn).corners()
        return change_opening(project, self.part, corners=corners)

    def label(self, project: Project) -> str:
        return project.opening(self.part).name


@dataclass
class PartGrip:
    """A whole section or drawn plane, moved; its corners line up with others near by."""

    part: str
    start: Point
    words: str

    def moved(self, project: Project, event: PlanEvent) -> Project:
        dx, dy = event.at[0] - self.start[0], event.at[1] - self.start[1]
        if not event.free:
            own, others = _corners_apart(project, self.part)
            dx += _lined_up([x + dx for x, _ in own], [x for x, _ in others], event.snap / 2)
            dy += _lined_up([y + dy for _, y in own], [y for _, y in others], event.snap / 2)
        return move_part(project, self.part, dx, dy)

    def label(self, project: Project) -> str:
        return part_of(project, self.part).name


@dataclass
class DormerGrip:
    """A dormer, moved over the roof: it stays on it, and in line with others that look the same
    way."""

    part: str
    start: Point
    dormer: Dormer
    words: str = "Move dormer"
    _bodies: list[tuple[Body, ...]] = field(default_factory=list)

    def moved(self, project: Project, event: PlanEvent) -> Project:
        from roofmodel.surface.reach import bodies_but, put_dormer  # late: it is all geometry

        if not self._bodies:
            self._bodies.append(bodies_but(project, self.part))
        x, y = self.dormer.front
        front = x + event.at[0] - self.start[0], y + event.at[1] - self.start[1]
        if not event.free:
            front = self._in_line(project, front, event.snap)
        dormer = msgspec.structs.replace(self.dormer, front=front)
        return put_dormer(project, self.part, dormer, self._bodies[0])

    def _in_line(self, project: Project, front: Point, snap: float) -> Point:
        angle = math.radians(self.dormer.bearing)
        ux, uy = math.sin(angle), math.cos(angle)
        rows = [self.dormer.front]
        for section in project.sections():
            other = dormer_of(section) if section.id != self.part else None
            if other is not None and abs(other.bearing - self.dormer.bearing) < 1e-3:
                rows.append(other.front)
        for x, y in rows:
            off = (x - front[0]) * ux + (y - front[1]) * uy
            if abs(off) <= snap / 2:
                return front[0] + off * ux, front[1] + off * uy
        return front

    def label(self, project: Project) -> str:
        return project.section(self.part).name


@dataclass
class DormerWidthGrip:
    """A corner of a dormer's front, drawn sideways: the other one stays where it is."""

    part: str
    dormer: Dormer
    side: float
    words: str = "Set width of dormer"
    _bodies: list[tuple[Body, ...]] = field(default_factory=list)

    def moved(self, project: Project, event: PlanEvent) -> Project:
        from roofmodel.surface.reach import bodies_but, put_dormer  # late: it is all geometry

        if not self._bodies:
            self._bodies.append(bodies_but(project, self.part))
        angle = math.radians(self.dormer.bearing)
        # along the front from its left end to its right, seen from before it
        rx, ry = -math.cos(angle) * self.side, math.sin(angle) * self.side
        half = self.dormer.width / 2.0
        x, y = self.dormer.front
        off = (event.at[0] - x) * rx + (event.at[1] - y) * ry
        width = max(half + off, 304.8)
        shift = (width - self.dormer.width) / 2.0
        dormer = msgspec.structs.replace(
            self.dormer, width=width, front=(x + shift * rx, y + shift * ry)
        )
        return put_dormer(project, self.part, dormer, self._bodies[0])

    def label(self, project: Project) -> str:
        dormer = dormer_of(project.section(self.part))
        return "" if dormer is None else f"{format_length(dormer.width, project.units)} wide"


@dataclass
class PlaneCornerGrip:
    """A corner of a drawn plane, moved; the plane it lies in stays the same."""

    part: str
    corner: int
    words: str = "Move corner of plane"

    def moved(self, project: Project, event: PlanEvent) -> Project:
        plane = project.plane(self.part)
        at = event.at if event.free else snapped(project, event, self.part)
        old = plane.corners[self.corner]
        corners = (*plane.corners[: self.corner], at, *plane.corners[self.corner + 1 :])
        return change_plane(
            project, self.part, corners=corners, lies=_known_at(plane.lies, old, at)
        )

    def label(self, project: Project) -> str:
        return f"Corner {self.corner + 1}"


@dataclass
class ArrowGrip:
    """The arrow of a drawn plane: it points the way the plane falls. The pitch stays, and the
    height at its foot."""

    part: str
    foot: Point
    now: BySlope
    words: str = "Set direction"

    def moved(self, project: Project, event: PlanEvent) -> Project:
        x, y = event.at[0] - self.foot[0], event.at[1] - self.foot[1]
        if math.hypot(x, y) < event.snap / 2:
            return project
        bearing = math.degrees(math.atan2(x, y)) % 360.0
        if not event.free:
            bearing = square_bearing(project.plane(self.part), bearing)
        known = through(self.now, self.foot)
        lies = msgspec.structs.replace(known, bearing=round(bearing, 6) % 360.0)
        return change_plane(project, self.part, lies=lies)

    def label(self, project: Project) -> str:
        lies = project.plane(self.part).lies
        return f"Falls towards {lies.bearing:.4g}°" if isinstance(lies, BySlope) else ""


def arrow_of(
    results: Results, plane: DrawnPlane, mm_per_px: float
) -> tuple[Point, Point, BySlope] | None:
    """Foot and tip of a drawn plane's arrow in plan, and how the plane lies; None while it cannot
    be told."""
    now = lying(results, plane)
    if now is None:
        return None
    xs, ys = zip(*plane.corners, strict=True)
    foot = sum(xs) / len(xs), sum(ys) / len(ys)
    angle, size = math.radians(now.bearing), ARROW_PX * mm_per_px
    return foot, (foot[0] + size * math.sin(angle), foot[1] + size * math.cos(angle)), now


def lying(results: Results, plane: DrawnPlane) -> BySlope | None:
    """How a drawn plane lies now, by pitch and bearing."""
    known = by_slope(plane.lies)
    if known is not None:
        return known
    for roof in results.surface.planes:
        if roof.id.section == plane.id:
            x, y, z = (float(v) for v in roof.outline[0])
            return BySlope((x, y, z), roof.slope, roof.bearing)
    return None


def square_bearing(plane: DrawnPlane, bearing: float) -> float:
    """The bearing square to or along a side of the plane, or a main one, if it is near."""
    bases = [0.0]
    for a, b in zip(plane.corners, (*plane.corners[1:], plane.corners[0]), strict=True):
        bases.append(math.degrees(math.atan2(b[0] - a[0], b[1] - a[1])))
    near = [base + 90.0 * round((bearing - base) / 90.0) for base in bases]
    best = min(near, key=lambda v: abs(v - bearing))
    return round(best % 360.0, 6) if abs(best - bearing) <= NEAR_DEGREES else bearing


def snapped(project: Project, event: PlanEvent, part: str = "") -> Point:
    """The pointer at a corner near by, or else on an outline edge or a plane's side near by."""
    places = [c for c in _places(project, part) if math.dist(c, event.at) <= event.snap]
    if places:
        return min(places, key=lambda c: math.dist(c, event.at))
    lines = [(a, b) for _, a, b in outline_segments(project)]
    for plane in project.planes():
        if plane.id != part:
            lines += list(zip(plane.corners, (*plane.corners[1:], plane.corners[0]), strict=True))
    near = [(distance_to_segment(event.at, a, b), a, b) for a, b in lines]
    distance, a, b = min(near, default=(math.inf, event.at, event.at))
    size = math.dist(a, b)
    if distance > event.snap or size < 1.0:
        return event.at
    ux, uy = (b[0] - a[0]) / size, (b[1] - a[1]) / size
    along = (event.at[0] - a[0]) * ux + (event.at[1] - a[1]) * uy
    return a[0] + along * ux, a[1] + along * uy


def _places(project: Project, part: str) -> Iterator[Point]:
    for section in project.sections():
        for ring in section.rings:
            yield from ring.corners
    for plane in project.planes():
        if plane.id != part:
            yield from plane.corners


def _known_at(
    lies: BySlope | ByHeights | ByEdge, old: Point, new: Point
) -> BySlope | ByHeights | ByEdge:
    """The same plane, with what is known at a corner known at its new place."""
    flat = by_slope(lies)
    if flat is None:
        return lies
    height = height_at(flat, new)
    if isinstance(lies, BySlope):
        return through(lies, new) if lies.through[:2] == old else lies
    if isinstance(lies, ByHeights):
        a, b, c = ((*new, height) if p[:2] == old else p for p in lies.points)
        return ByHeights((a, b, c))
    return lies


def _is_aligned(results: Results, corners: Sequence[Point]) -> bool:
    box = box_of(corners)
    plane = plane_at(results, box.middle) or _around(results, box.middle)
    if plane is None or plane.slope < 1e-6:
        return False
    off = (box.turn - (180.0 - plane.bearing)) % 90.0
    return min(off, 90.0 - off) < 0.1


def _around(results: Results, p: Point) -> Plane | None:
    """The plane whose outline holds p, its holes not asked: an opening stands in one."""
    return next((q for q in results.surface.planes if is_inside(p, q.outline)), None)


def _corners_apart(project: Project, part: str) -> tuple[list[Point], list[Point]]:
    own: list[Point] = []
    others: list[Point] = []
    for section in project.sections():
        for ring in section.rings:
            (own if section.id == part else others).extend(ring.corners)
    for plane in project.planes():
        (own if plane.id == part else others).extend(plane.corners)
    return own, others


def _lined_up(own: Sequence[float], others: Sequence[float], near: float) -> float:
    """The smallest move that brings one of `own` to one of `others`, if it is within `near`."""
    moves = [b - a for a in own for b in others if abs(b - a) <= near]
    return min(moves, key=abs, default=0.0)
