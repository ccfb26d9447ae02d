"""Where the walls stand below the roof: how far an eave lies outside them, what they enclose."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from roofmodel.document import DrawnPlane, Project, Section
from roofmodel.document.outlines import drip_rings, wall_rings
from roofmodel.errors import OutlineError
from roofmodel.surface import RoofEdge
from roofmodel.takeoff.types import Array
from roofmodel.tolerance import SAME_POINT_MM

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """The walls of one part: what they enclose in plan, and the wall below each outline edge as
    two plan points (mm), or the `even` overhang over all of them. A part that is `open_below` has
    none to speak of."""

    name: str
    inside: shapely.Polygon
    lines: Mapping[str, tuple[Point, Point]]
    open_below: bool
    even: float = 0.0

    def overhang(self, edge: RoofEdge) -> float:
        """How far the middle of a roof edge lies outside the wall below it, level, mm."""
        x, y = (float(v) for v in (edge.start[:2] + edge.end[:2]) / 2.0)
        second = edge.id.second
        line = self.lines.get(second) if isinstance(second, str) else None
        return self.even if line is None else _off(x, y, *line)


def _off(x: float, y: float, a: Point, b: Point) -> float:
    """How far a point lies from the line through a and b."""
    length = math.dist(a, b)
    if length <= SAME_POINT_MM:
        return math.dist((x, y), a)
    return abs((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / length


def walls_of(project: Project) -> dict[str, Walls]:
    """The walls of every section and drawn plane, by its id."""
    out = {s.id: _of_section(s) for s in project.sections()}
    out |= {p.id: _of_plane(p) for p in project.planes()}
    return out


@lru_cache(maxsize=512)
def _of_section(section: Section) -> Walls:
    try:
        rings = wall_rings(section)
    except OutlineError:  # told among the problems; the roof stands on its drip line then
        rings = _drip(section)
    inside = shapely.Polygon(rings[0], rings[1:])
    if not inside.is_valid or inside.is_empty:
        rings = _drip(section)
        inside = shapely.Polygon(rings[0], rings[1:])
    lines: dict[str, tuple[Point, Point]] = {}
    for ring, of in zip(rings, section.rings, strict=True):
        corners: list[Point] = [(float(x), float(y)) for x, y in ring]
        for k, edge in enumerate(of.edges):
            lines[edge.id] = (corners[k], corners[(k + 1) % len(corners)])
    return Walls(section.name, inside, lines, section.open_below)


def _drip(section: Section) -> tuple[Array, ...]:
    try:
        return drip_rings(section)
    except OutlineError:
        return tuple(np.array(r.corners) for r in section.rings)


@lru_cache(maxsize=512)
def _of_plane(plane: DrawnPlane) -> Walls:
    outline = shapely.Polygon(plane.corners)
    inside = outline.buffer(-plane.overhang, join_style="mitre", mitre_limit=20.0)
    if not isinstance(inside, shapely.Polygon) or inside.is_empty:
        return Walls(plane.name, outline, {}, plane.open_below)  # told among the problems
    return Walls(plane.name, inside, {}, plane.open_below, plane.overhang)


@lru_cache(maxsize=256)
def enclosed(walls: tuple[Walls, ...]) -> tuple[tuple[tuple[str, float], ...], float]:
    """Plan areas (mm²) inside the walls of some parts, with their names, and by how much they lie
    over each other; parts that are open below are out. Walls are kept by value, so this is."""
    closed = [w for w in walls if not w.open_below and not w.inside.is_empty]
    named = tuple((w.name, float(w.inside.area)) for w in closed)
    if len(closed) < 2:
        return named, 0.0
    whole = shapely.union_all([w.inside.buffer(0.0) for w in closed])
    return named, max(sum(a for _, a in named) - float(whole.area), 0.0)


@lru_cache(maxsize=256)
def least_side(walls: tuple[Walls, ...]) -> float:
    """The shorter side (mm) of the smallest box around the walls of some parts in plan; 0 where
    there are none."""
    shapes = [w.inside for w in walls if not w.inside.is_empty]
    if not shapes:
        return 0.0
    whole = shapely.union_all(shapes)
    ring = shapely.get_coordinates(shapely.oriented_envelope(whole))[:3]
    return float(min(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
