"""Copies of parts, and parts mirrored, turned and aligned. Edits: Project -> Project.

Sections, drawn planes and openings are all parts here; what lies on a part in height stays as
it was. Lengths are millimetres, angles degrees counter-clockwise from east.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec

from roofmodel.document.changes import (
    Part,
    changed,
    free_name,
    in_part,
    new_id,
    part_of,
    with_part,
)
from roofmodel.document.drawing_edits import main_direction
from roofmodel.document.part_edits import move_part, turn_part
from roofmodel.document.parts import ByEdge, ByHeights, BySlope, Opening, Point
from roofmodel.document.types import Project, Ring, Section
from roofmodel.errors import DocumentError
from roofmodel.geometry import signed_area
from roofmodel.tolerance import NEAR_PLAN_MM

COPY_GAP_MM = 600.0
"""A copy stands this far beside its original, until it is dragged elsewhere."""

_Move = Callable[[Point], Point]


def rectangle(a: Point, b: Point, c: Point) -> tuple[Point, Point, Point, Point]:
    """The rectangle with the side a b (mm) whose other side passes through c.

    >>> rectangle((0.0, 0.0), (10.0, 0.0), (3.0, 4.0))
    ((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0))
    """
    length = math.dist(a, b)
    if length == 0.0:
        raise DocumentError("The two ends of a rectangle's first side lie in one place.")
    nx, ny = (a[1] - b[1]) / length, (b[0] - a[0]) / length
    depth = (c[0] - a[0]) * nx + (c[1] - a[1]) * ny
    over_x, over_y = depth * nx, depth * ny
    return a, b, (b[0] + over_x, b[1] + over_y), (a[0] + over_x, a[1] + over_y)


def copy_part(project: Project, part_id: str, dx: float, dy: float) -> tuple[Project, str]:
    """Add a copy of a part, moved by (dx, dy) mm; returns the project and the copy's id."""
    part = part_of(project, part_id)
    project, copy_id = _added_copy(project, part)
    return move_part(project, copy_id, dx, dy), copy_id


def mirror_part(project: Project, part_id: str, a: Point, b: Point) -> Project:
    """Mirror a part over the line through two points (mm)."""
    length = math.dist(a, b)
    if length == 0.0:
        raise DocumentError("The two points of the line to mirror over lie in one place.")
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length

    def mirrored(p: Point) -> Point:
        x, y = p[0] - a[0], p[1] - a[1]
        t = 2.0 * (x * ux + y * uy)
        return a[0] + t * ux - x, a[1] + t * uy - y

    part = part_of(project, part_id)
    if isinstance(part, Section):
        rings = tuple(_mirrored_ring(r, mirrored) for r in part.rings)
        return in_part(project, part, lambda s: msgspec.structs.replace(s, rings=rings))
    corners = _turned_about([mirrored(c) for c in part.corners])
    if isinstance(part, Opening):
        return in_part(project, part, lambda o: msgspec.structs.replace(o, corners=corners))
    lies = _mirrored_lie(part.lies, mirrored, math.degrees(math.atan2(ux, uy)))
    return in_part(project, part, lambda p: msgspec.structs.replace(p, corners=corners, lies=lies))


def mirror_copy(project: Project, part_id: str, a: Point, b: Point) -> tuple[Project, str]:
    """Add a mirrored copy of a part; returns the project and the copy's id."""
    project, copy_id = _added_copy(project, part_of(project, part_id))
    return mirror_part(project, copy_id, a, b), copy_id


def mirror_copies(
    project: Project, part_ids: Sequence[str], *, across: bool
) -> tuple[Project, dict[str, str], str]:
    """Add mirrored copies of parts at the other side of their house: to the right of what stands
    at the left with `across`, else at the top of what stands at the bottom, or the other way.

    They are mirrored over the middle of the largest section beside them in the building, along
    or across its main direction; of a building that has none, the copy stands beside it. Returns
    the project, the copies' ids by those of the originals, and the section's name ("" if none).
    Refused where a copy would fall on a part that is there.
    """
    about, a, b = _middle_line(project, part_ids, across)
    copies: dict[str, str] = {}
    for part_id in part_ids:
        original = part_of(project, part_id)
        there = mirror_part(project, part_id, a, b)
        extent = _extent(corners_of(part_of(there, part_id)))
        for other in _like(project, original):
            if _in_one_place(extent, _extent(corners_of(other))):
                raise DocumentError(
                    f"{original.name} lies across the middle of {about}: a mirrored copy would"
                    " fall on it."
                    if other is original
                    else f"A mirrored copy of {original.name} would fall on {other.name}: both"
                    f" sides of {about} have one."
                )
        project, copies[part_id] = mirror_copy(project, part_id, a, b)
    return project, copies, about


def turn_parts(project: Project, part_ids: Sequence[str], degrees: float) -> Project:
    """Turn parts together about the middle of their common extent."""
    about = middle_of(project, part_ids)
    for part_id in part_ids:
        project = turn_part(project, part_id, degrees, about)
    return project


def mirror_parts(project: Project, part_ids: Sequence[str], *, across: bool) -> Project:
    """Mirror parts together in place: left to right with `across`, else top to bottom."""
    x, y = middle_of(project, part_ids)
    end = (x, y + 1000.0) if across else (x + 1000.0, y)
    for part_id in part_ids:
        project = mirror_part(project, part_id, (x, y), end)
    return project


def middle_of(project: Project, part_ids: Sequence[str]) -> Point:
    """The middle of the extent of parts in plan, mm."""
    corners = [c for i in part_ids for c in corners_of(part_of(project, i))]
    if not corners:
        raise DocumentError("Select a section, drawn plane or opening first.")
    xs, ys = zip(*corners, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def corners_of(part: Part) -> tuple[Point, ...]:
    """The outer corners of a part."""
    return part.rings[0].corners if isinstance(part, Section) else part.corners


def align_section(project: Project, section_id: str, direction: float | None = None) -> Project:
    """Turn a section, by 45 degrees at most, until it runs along or across `direction`; None is
    the main direction of the section before it in the job, or east if there is none."""
    section = project.section(section_id)
    if direction is None:
        others = [s for s in project.sections() if s.id != section_id]
        direction = main_direction(others[0]) if others else 0.0
    by = (direction - main_direction(section) + 45.0) % 90.0 - 45.0
    if abs(by) < 1e-7:
        return project
    return turn_part(project, section_id, by)


def _middle_line(
    project: Project, part_ids: Sequence[str], across: bool
) -> tuple[str, Point, Point]:
    """The line to mirror copies over, and the name of the section that it divides."""
    if not part_ids:
        raise DocumentError("Select a section, drawn plane or opening first.")
    building = project.building_of(part_ids[0])
    rest = [s for s in building.sections if s.id not in part_ids]
    if rest:
        main = max(rest, key=lambda s: abs(signed_area(s.rings[0].corners)))
        about, (x, y), turn = main.name, middle_of(project, [main.id]), main_direction(main)
        turn = turn - 90.0 if turn > 45.0 else turn
    else:
        low_x, low_y, high_x, high_y = _extent(
            [c for i in part_ids for c in corners_of(part_of(project, i))]
        )
        about, turn = "", 0.0
        x = high_x + COPY_GAP_MM / 2.0 if across else low_x
        y = low_y if across else high_y + COPY_GAP_MM / 2.0
    turn = math.radians(turn + 90.0 if across else turn)
    return about, (x, y), (x + 1000.0 * math.cos(turn), y + 1000.0 * math.sin(turn))


def _extent(corners: Sequence[Point]) -> tuple[float, float, float, float]:
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _in_one_place(a: Sequence[float], b: Sequence[float]) -> bool:
    return all(abs(p - q) < NEAR_PLAN_MM for p, q in zip(a, b, strict=True))


def _like(project: Project, part: Part) -> Sequence[Part]:
    """All parts of the same sort, the part itself among them."""
    if isinstance(part, Section):
        return project.sections()
    return project.openings() if isinstance(part, Opening) else project.planes()


def _added_copy(project: Project, part: Part) -> tuple[Project, str]:
    building = project.building_of(part.id).id
    project, copy_id = new_id(project, part.id[:1])
    parts: tuple[Part, ...] = (*project.sections(), *project.planes(), *project.openings())
    stem = part.name.rstrip("0123456789 ") or part.name
    name = free_name({p.name for p in parts}, None, stem)
    copy: Part = changed(part, id=copy_id, name=name)
    return with_part(project, copy, building), copy_id


def _mirrored_ring(ring: Ring, mirrored: _Move) -> Ring:
    """Mirroring turns a ring about: it is run backwards, so that the roof stays at its left. Its
    first edge stays the first: of a dormer that is the front, and the third is the back."""
    first, second, *others = (mirrored(c) for c in ring.corners)
    edge, *edges = ring.edges
    return Ring((second, first, *reversed(others)), (edge, *reversed(edges)))


def _turned_about(corners: Sequence[Point]) -> tuple[Point, ...]:
    return (corners[0], *reversed(corners[1:]))


def _mirrored_lie(
    lies: BySlope | ByHeights | ByEdge, mirrored: _Move, line: float
) -> BySlope | ByHeights | ByEdge:
    """How a mirrored plane lies; `line` is the bearing of the line it is mirrored over."""
    if isinstance(lies, BySlope):
        x, y, z = lies.through
        bearing = (2.0 * line - lies.bearing) % 360.0
        return BySlope((*mirrored((x, y)), z), lies.slope, bearing)
    if isinstance(lies, ByHeights):
        (p, q, r) = ((*mirrored((x, y)), z) for x, y, z in lies.points)
        return ByHeights((p, q, r))
    return lies
