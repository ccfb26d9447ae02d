"""What lies at a point of the plan. Pure functions over a project and its results."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from roofmodel.document import Point, Project
from roofmodel.results import Results
from roofmodel.surface import EdgeId, Plane
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.parts import other_lines, polygons, sides
from roofmodel_ui.selection import CornerId, OutlineEdgeId, PartId, Selectable

if TYPE_CHECKING:
    from numpy.typing import NDArray


def distance_to_segment(p: Point, a: Point, b: Point) -> float:
    """Distance from p to the segment a b, mm.

    >>> distance_to_segment((0.0, 2.0), (-1.0, 0.0), (1.0, 0.0))
    2.0
    """
    ux, uy = b[0] - a[0], b[1] - a[1]
    size = ux * ux + uy * uy
    t = 0.0 if size == 0 else ((p[0] - a[0]) * ux + (p[1] - a[1]) * uy) / size
    t = min(1.0, max(0.0, t))
    return math.hypot(p[0] - a[0] - t * ux, p[1] - a[1] - t * uy)


def outline_segments(project: Project) -> Iterator[tuple[OutlineEdgeId, Point, Point]]:
    """Every outline edge with its two corners; none of hidden sections."""
    for section in project.sections():
        if not section.visible:
            continue
        for ring in section.rings:
            n = len(ring.corners)
            for k, edge in enumerate(ring.edges):
                yield (
                    OutlineEdgeId(section.id, edge.id),
                    ring.corners[k],
                    ring.corners[(k + 1) % n],
                )


def corner_at(project: Project, p: Point, reach: float) -> CornerId | None:
    """The nearest corner of an outline within `reach` mm."""
    best: tuple[float, CornerId] | None = None
    for section in project.sections():
        for r, ring in enumerate(section.rings if section.visible else ()):
            for k, corner in enumerate(ring.corners):
                d = math.dist(corner, p)
                if d <= reach and (best is None or d < best[0]):
                    best = (d, CornerId(section.id, r, k))
    return best[1] if best else None


def item_at(results: Results, p: Point, reach: float) -> Selectable | None:
    """The edge within `reach` mm of p, or the opening, wall line or plane under it.

    A roof edge goes before the outline edge it lies on; an outline edge that carries no roof
    edge there (a gable, or a roof that could not be built) is returned itself. Nothing of
    hidden parts is.
    """
    results = shown(results)
    for opening in results.project.openings():
        if is_inside(p, np.array(opening.corners)):
            return PartId(opening.id)
    best: tuple[float, EdgeId] | None = None
    for edge in results.surface.edges:
        a, b = (edge.start[0], edge.start[1]), (edge.end[0], edge.end[1])
        d = distance_to_segment(p, a, b)
        # Edges over one another (a step wall's) are told apart by height: the upper wins.
        if d <= reach and (best is None or d < best[0] - 1e-6):
            best = (d, edge.id)
    outline: tuple[float, OutlineEdgeId] | None = None
    for target, a, b in outline_segments(results.project):
        d = distance_to_segment(p, a, b)
        if d <= reach and (outline is None or d < outline[0]):
            outline = (d, target)
    if best is not None and (outline is None or best[0] <= outline[0] + 0.5):
        return best[1]
    if outline is not None:
        return outline[1]
    part = _part_line_at(results.project, p, reach)
    if part is not None:
        return part
    plane = plane_at(results, p)
    if plane is not None:
        return plane.id
    for drawn in results.project.planes():
        if is_inside(p, np.array(drawn.corners)):
            return PartId(drawn.id)
    return None


def _part_line_at(project: Project, p: Point, reach: float) -> Selectable | None:
    """An opening, a drawn plane, or the outline edge of a wall line, whose line is near p."""
    found: list[tuple[float, Selectable]] = [
        (distance_to_segment(p, a, b), PartId(part.id))
        for part in polygons(project)
        for a, b in sides(part.corners)
    ]
    found += [(distance_to_segment(p, a, b), target) for target, a, b in other_lines(project)]
    best = min(found, key=lambda f: f[0], default=None)
    return best[1] if best is not None and best[0] <= reach / 2 else None


def plane_at(results: Results, p: Point) -> Plane | None:
    """The topmost plane over p."""
    over = [
        plane
        for plane in results.surface.planes
        if is_inside(p, plane.outline) and not any(is_inside(p, h) for h in plane.holes)
    ]
    return max(over, key=lambda plane: _height(plane, p), default=None)


def _height(plane: Plane, p: Point) -> float:
    bearing = math.radians(plane.bearing)
    x, y, z = plane.outline[0]
    return float(
        z - plane.slope * ((p[0] - x) * math.sin(bearing) + (p[1] - y) * math.cos(bearing))
    )


def is_inside(p: Point, ring: NDArray[np.float64]) -> bool:
    """Whether p lies inside the ring (n, 2 or more)."""
    x, y = ring[:, 0], ring[:, 1]
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    spans = (y > p[1]) != (ny > p[1])
    if not spans.any():
        return False
    x, y, nx, ny = x[spans], y[spans], nx[spans], ny[spans]
    return bool(np.count_nonzero(p[0] < x + (p[1] - y) * (nx - x) / (ny - y)) % 2)
