"""Edits of outlines as they are drawn: offset and split an edge, set its length, square up, make
a courtyard. As in `edits`: Project -> Project, DocumentError where the result could not be.

Vocabulary
----------
offset
    An edge moved parallel to itself; its neighbours slide along their own lines. Positive is
    outwards, away from the roof, also at a courtyard.
square up
    Give edges that nearly run along or across the main direction exactly that direction, and
    move the corners as little as can be (least squares).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

import msgspec
import numpy as np
import shapely

from roofmodel.document.changes import in_part, next_number, turned_left
from roofmodel.document.edits import add_corner
from roofmodel.document.parts import Point
from roofmodel.document.types import OutlineEdge, Project, Ring, Section
from roofmodel.errors import DocumentError
from roofmodel.geometry import shifted_ring, signed_area
from roofmodel.tolerance import SAME_POINT_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"

SQUARE_DEG: Final = 12.0
"""Edges within this of along or across are squared up; those further off were meant so."""

SLANT_DEG: Final = 4.0
"""Edges within this of 45 degrees to the main direction are put to exactly that."""

_NEAR_MEAN_DEG: Final = 2.0
_EXACT_DEG: Final = 1e-6
_SHARE: Final = 0.35
"""Edges this exactly alike, over this share of the outline, are no accident of tracing."""

LEAST_EDGE_MM: Final = 10.0
"""An edit that would leave an edge shorter is refused: nobody builds one."""


def offset_edge(
    project: Project, section_id: str, edge_ids: Collection[str], distance: float
) -> Project:
    """Move edges of a section outwards by `distance` mm (negative: inwards).

    A neighbour that runs on in the same line gets a square step between.
    """
    section = project.section(section_id)
    _check_edges(section, edge_ids)
    if not math.isfinite(distance) or abs(distance) > 1e6:
        raise DocumentError("An edge can be moved by 1 km at most.")
    if distance == 0.0:
        return project
    used = next_number((e.id for r in section.rings for e in r.edges), "e", section.ids_used) - 1
    rings = []
    for number, ring in enumerate(section.rings):
        wanted = [e.id in edge_ids for e in ring.edges]
        if not any(wanted):
            rings.append(ring)
            continue
        # The roof lies at the left of every edge of a section, but a file may say otherwise.
        outwards = 1.0 if (signed_area(ring.corners) > 0) != (number > 0) else -1.0
        ring, used = _stepped(ring, wanted, used)
        shifts = [distance * outwards * (e.id in edge_ids) for e in ring.edges]
        rings.append(_shifted(ring, shifts))
    new = msgspec.structs.replace(section, rings=tuple(rings), ids_used=used)
    _check_rings(new)
    return in_part(project, section, lambda _: new)


def split_edge(project: Project, section_id: str, edge_id: str, at: Point | float) -> Project:
    """Put a corner on an edge: at the place nearest to a point (mm), or that far (mm) along it."""
    section = project.section(section_id)
    ring, index = _place_of(section, edge_id)
    a, b = _ends(section.rings[ring], index)
    length = math.dist(a, b)
    along = (
        float(at)
        if isinstance(at, (int, float))
        else ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / length
    )
    if not LEAST_EDGE_MM <= along <= length - LEAST_EDGE_MM:
        raise DocumentError("The new corner must lie between the two ends of the edge.")
    t = along / length
    spot = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
    return add_corner(project, section_id, ring, index, spot)


def set_edge_length(project: Project, section_id: str, edge_id: str, length: float) -> Project:
    """Make an edge `length` mm long by moving its end along it; the edge that follows goes with
    the end and keeps its direction, so square corners stay square."""
    section = project.section(section_id)
    ring_number, index = _place_of(section, edge_id)
    ring = section.rings[ring_number]
    if not LEAST_EDGE_MM <= length <= 1e6:
        raise DocumentError("An edge must be longer than 10 mm and shorter than 1 km.")
    a, b = _ends(ring, index)
    n = len(ring.corners)
    c, d = ring.corners[(index + 2) % n], ring.corners[(index + 3) % n]
    size = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / size, (b[1] - a[1]) / size
    by = length - size
    end = (b[0] + by * ux, b[1] + by * uy)
    corners = list(ring.corners)
    corners[(index + 1) % n] = end
    vx, vy = c[0] - b[0], c[1] - b[1]
    wx, wy = d[0] - c[0], d[1] - c[1]
    turn = vx * wy - vy * wx
    if n > 3 and abs(turn) > 0.1 * math.hypot(vx, vy) * math.hypot(wx, wy):
        # where the following edge, moved, meets the line of the one after it
        t = ((c[0] - end[0]) * wy - (c[1] - end[1]) * wx) / turn
        corners[(index + 2) % n] = (end[0] + t * vx, end[1] + t * vy)
    new = msgspec.structs.replace(ring, corners=tuple(corners))
    _check_kept(ring, new)
    return _with_ring(project, section, ring_number, new)


@dataclass(frozen=True, slots=True)
class Squared:
    """A squared-up project, and how far (mm) each corner moved, ring after ring."""

    project: Project
    moved: tuple[float, ...]

    @property
    def most(self) -> float:
        """The longest way that a corner moved, mm."""
        return max(self.moved, default=0.0)


def square_up(project: Project, section_id: str, direction: float | None = None) -> Squared:
    """Square up a section's nearly square outline, moving its corners as little as can be.

    `direction` (degrees, counter-clockwise from east) is what edges run along; None finds the
    main direction of the outline. Edges more than `SQUARE_DEG` off stay free, unless they run
    within `SLANT_DEG` of 45 degrees to it.
    """
    section = project.section(section_id)
    base = main_direction(section) if direction is None else direction
    rings, moved = [], []
    for ring in section.rings:
        corners = _squared(np.array(ring.corners), base)
        away = np.hypot(*(corners - np.array(ring.corners)).T)
        moved += away.tolist()
        points = tuple((float(x), float(y)) for x, y in corners)
        rings.append(msgspec.structs.replace(ring, corners=points))
    if max(moved) < SAME_POINT_MM:
        return Squared(project, tuple(0.0 for _ in moved))
    for old, ring in zip(section.rings, rings, strict=True):
        _check_kept(old, ring)
    new = msgspec.structs.replace(section, rings=tuple(rings))
    _check_rings(new)
    return Squared(in_part(project, section, lambda _: new), tuple(moved))


def main_direction(section: Section) -> float:
    """The direction (degrees, 0 to 90) along or across which most of the outline runs.

    The mean of the edges' directions taken four times over, so that along and across count as
    one, weighed by length squared: long walls are traced best. Where a good part of the outline
    runs in exactly one direction near that (typed, or snapped), that one is meant.
    """
    ring = np.array(section.rings[0].corners)
    step = np.roll(ring, -1, axis=0) - ring
    size = np.hypot(step[:, 0], step[:, 1])
    angles = np.degrees(np.arctan2(step[:, 1], step[:, 0]))
    four = np.radians(4.0 * angles)
    x, y = float(np.sum(size**2 * np.cos(four))), float(np.sum(size**2 * np.sin(four)))
    mean = math.degrees(math.atan2(y, x)) / 4.0
    off = (angles - mean + 45.0) % 90.0 - 45.0
    near = np.abs(off) <= _NEAR_MEAN_DEG
    for k in np.argsort(-size):
        alike = near & (np.abs(off - off[k]) < _EXACT_DEG)
        if near[k] and np.count_nonzero(alike) > 1 and size[alike].sum() > _SHARE * size.sum():
            mean += float(off[k])
            break
    angle = mean % 90.0
    # As good as along the axes is along the axes.
    return 0.0 if min(angle, 90.0 - angle) < _EXACT_DEG else angle


def add_courtyard(project: Project, section_id: str, corners: Sequence[Point]) -> Project:
    """Take a ring of corners out of a section's outline; it must lie wholly inside."""
    section = project.section(section_id)
    points = turned_left(corners, left=False)
    if len(points) < 3:
        raise DocumentError("A courtyard needs at least three corners.")
    if not is_inside(section, points):
        raise DocumentError(f"The courtyard must lie wholly inside {section.name}.")
    used = next_number((e.id for r in section.rings for e in r.edges), "e", section.ids_used)
    edges = tuple(OutlineEdge(f"e{used + k}") for k in range(len(points)))
    rings = (*section.rings, Ring(points, edges))
    new = msgspec.structs.replace(section, rings=rings, ids_used=used + len(points) - 1)
    return in_part(project, section, lambda _: new)


def is_inside(section: Section, corners: Sequence[Point]) -> bool:
    """Whether a ring (mm) lies inside the section's outline, clear of its courtyards and edges."""
    if len(corners) < 3:
        return False
    outline = shapely.Polygon(section.rings[0].corners, [r.corners for r in section.rings[1:]])
    inner = shapely.Polygon(corners)
    return bool(outline.is_valid and inner.is_valid and outline.contains_properly(inner))


def _stepped(ring: Ring, wanted: Sequence[bool], used: int) -> tuple[Ring, int]:
    """The ring with an edge of no length where a wanted edge meets one in line that stays."""
    corners: list[Point] = []
    edges: list[OutlineEdge] = []
    n = len(ring.corners)
    for k in range(n):
        corners.append(ring.corners[k])
        if wanted[k] != wanted[k - 1] and _turn(ring, k) < 1e-6:
            used += 1
            corners.append(ring.corners[k])
            moved = ring.edges[k] if wanted[k] else ring.edges[k - 1]
            edges.append(msgspec.structs.replace(moved, id=f"e{used}"))
        edges.append(ring.edges[k])
    return Ring(tuple(corners), tuple(edges)), used


def _turn(ring: Ring, k: int) -> float:
    """Sine of the turn at corner k."""
    n = len(ring.corners)
    (ax, ay), (bx, by), (cx, cy) = ring.corners[k - 1], ring.corners[k], ring.corners[(k + 1) % n]
    ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
    return abs(ux * vy - uy * vx) / (math.hypot(ux, uy) * math.hypot(vx, vy))


def _shifted(ring: Ring, shifts: Sequence[float]) -> Ring:
    """The ring with each edge moved to its right; edges of no length become square steps."""
    long = [k for k in range(len(shifts)) if math.dist(*_ends(ring, k)) > 0.0]
    kept = [ring.corners[k] for k in long]
    moved = [(float(x), float(y)) for x, y in shifted_ring(kept, [shifts[k] for k in long])]
    if len(moved) != len(ring.corners):
        raise DocumentError(
            "The edge cannot slide along its neighbour, which runs in nearly the same line."
        )
    # A step comes out after the corner it stands at, as it does in the ring.
    new = Ring(tuple(moved), ring.edges)
    _check_kept(ring, new)
    return new


def _check_kept(old: Ring, new: Ring) -> None:
    """Every edge must keep its sense and have some length."""
    for k in range(len(new.corners)):
        (ax, ay), (bx, by) = _ends(old, k)
        (cx, cy), (dx, dy) = _ends(new, k)
        turned = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) <= 0.0 and (ax, ay) != (bx, by)
        if turned or math.hypot(dx - cx, dy - cy) < LEAST_EDGE_MM:
            raise DocumentError(
                f"That is too far: it would swallow edge {k + 1} of the outline. Use a smaller"
                " distance, or take corners away first."
            )


def _check_rings(section: Section) -> None:
    outer, *holes = (r.corners for r in section.rings)
    if not shapely.Polygon(outer, holes).is_valid:
        raise DocumentError(f"The outline of {section.name} would cross itself; nothing changed.")


def _squared(corners: Array, base: float) -> Array:
    """Corners of a ring with its edges put along, across or at 45 degrees to `base`: the nearest
    corners that keep those directions (constrained least squares)."""
    n = len(corners)
    step = np.roll(corners, -1, axis=0) - corners
    angles = np.degrees(np.arctan2(step[:, 1], step[:, 0]))
    rows = []
    for k, angle in enumerate(angles):
        off = (angle - base + 45.0) % 90.0 - 45.0
        slant = (angle - base) % 90.0 - 45.0
        if abs(off) <= SQUARE_DEG:
            wanted = angle - off
        elif abs(slant) <= SLANT_DEG:
            wanted = angle - slant
        else:
            continue
        # no part of the edge across its wanted direction
        across = math.radians(wanted + 90.0)
        row = np.zeros((n, 2))
        normal = np.array([math.cos(across), math.sin(across)])
        row[(k + 1) % n] += normal
        row[k] -= normal
        rows.append(row.ravel())
    if not rows:
        return corners
    middle = corners.mean(axis=0)
    constraints = np.array(rows)
    x = (corners - middle).ravel()
    for _ in range(2):  # the second round takes away the rounding of the first
        x = x - np.linalg.lstsq(constraints, constraints @ x, rcond=None)[0]
    nearest: Array = np.round(x.reshape(n, 2) + middle, 6)
    return nearest


def _with_ring(project: Project, section: Section, number: int, ring: Ring) -> Project:
    rings = (*section.rings[:number], ring, *section.rings[number + 1 :])
    new = msgspec.structs.replace(section, rings=rings)
    _check_rings(new)
    return in_part(project, section, lambda _: new)


def _ends(ring: Ring, index: int) -> tuple[Point, Point]:
    return ring.corners[index], ring.corners[(index + 1) % len(ring.corners)]


def _place_of(section: Section, edge_id: str) -> tuple[int, int]:
    for number, ring in enumerate(section.rings):
        for index, edge in enumerate(ring.edges):
            if edge.id == edge_id:
                return number, index
    raise DocumentError(f"{section.name} has no edge {edge_id}.")


def _check_edges(section: Section, edge_ids: Collection[str]) -> None:
    for edge_id in edge_ids:
        _place_of(section, edge_id)
