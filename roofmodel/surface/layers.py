"""Which facets are seen in each cell of the plan: the joining of bodies as solids.

A body hides what lies lower within its wall line. Where overhangs meet outside both wall lines,
the lower is hidden in a whole region if the two surfaces cross or touch there; else both stay,
one above the other. Of surfaces that coincide one stays.

Vocabulary
----------
layer
    A facet over a cell; a cell may have several, seen or hidden.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from roofmodel.surface.arrangement import Arrangement, arrange
from roofmodel.surface.bodies import Body, Facet
from roofmodel.surface.joints import Pair, join_overhangs
from roofmodel.surface.types import Array
from roofmodel.tolerance import HEAL_MM, NODING_MM


@dataclass(frozen=True, slots=True, eq=False)
class Hole:
    """An opening as the roof sees it: its polygon, and whether it cuts only the topmost layer."""

    part: str
    name: str
    polygon: shapely.Polygon
    only_top: bool
    kind: str


@dataclass(slots=True, eq=False)
class Layers:
    """Facets over the cells of an arrangement.

    `all` and `seen` hold, by cell, the numbers of facets (of `facets`); `body` the number of each
    facet's body; `walls` the bodies within whose wall line a cell lies; `hole` the number of the
    opening that cuts a cell or -1. `points` and `planes` are the plan's points and the facets'
    planes as plain tuples, far quicker one by one than rows of arrays. `steep` is the slope of
    each facet, `boxes` its bounds in plan. `gaps` are places where overhangs pass each other
    closely: (gap mm, x, y, body, body).
    """

    bodies: Sequence[Body]
    holes: Sequence[Hole]
    plan: Arrangement
    facets: list[Facet]
    body: list[int]
    plane: Array
    points: list[tuple[float, float]]
    planes: list[tuple[float, float, float, float, float]]
    all: list[list[int]]
    seen: list[list[int]]
    walls: list[set[int]]
    hole: list[int]
    steep: list[float]
    boxes: list[list[float]]
    gaps: list[tuple[float, float, float, int, int]] = field(default_factory=list)
    around: list[list[tuple[int, int, int]]] | None = None

    def arcs_around(self, cell: int) -> list[tuple[int, int, int]]:
        """(start, end, cell beyond) of the arcs with a cell on their left."""
        if self.around is None:
            plan = self.plan
            self.around = [[] for _ in plan.areas]
            arcs = (
                plan.left.tolist(),
                plan.start.tolist(),
                plan.end.tolist(),
                plan.right.tolist(),
            )
            for left, start, end, right in zip(*arcs, strict=True):
                self.around[left].append((start, end, right))
        return self.around[cell]

    def slack(self, f: int, g: int) -> float:
        """How far the heights of two facets over a common point may differ by healing alone: it
        moves a point by `HEAL_MM` in plan, which takes it that much times the slope up or down
        a plane."""
        return HEAL_MM * (1.0 + self.steep[f] + self.steep[g])

    def height(self, facet: int, point: int) -> float:
        """Height of a facet's plane over a point of the plan, mm."""
        px, py, pz, gx, gy = self.planes[facet]
        x, y = self.points[point]
        return pz + gx * (x - px) + gy * (y - py)

    def heights(self, facet: int, points: Array) -> Array:
        """Heights (n,) of a facet's plane over (n, 2) points."""
        return self.facets[facet].height(points)


def layers_of(bodies: Sequence[Body], holes: Sequence[Hole]) -> Layers:
    """Cut the plan into cells and find what is seen in each. At least one body."""
    facets = [f for b in bodies for f in b.facets]
    body = [k for k, b in enumerate(bodies) for _ in b.facets]
    polygons = np.array([f.polygon for f in facets], dtype=object)
    plane = np.array([(*f.through, *f.gradient) for f in facets])
    wall_polygons = np.array([b.wall for b in bodies], dtype=object)
    hole_polygons = np.array([h.polygon for h in holes], dtype=object)
    outlines = np.concatenate([polygons, wall_polygons, hole_polygons])
    boxes = shapely.bounds(polygons)
    creases, alike = _creases(polygons, boxes, plane, np.array(body))
    plan = arrange(np.concatenate([_sides(outlines), creases]))
    count = len(plan.inside)
    places = shapely.points(plan.inside)
    out = Layers(
        bodies, holes, plan, facets, body, plane,
        [(x, y) for x, y in plan.points.tolist()],
        [(x, y, z, u, v) for x, y, z, u, v in plane.tolist()],
        [[] for _ in range(count)], [[] for _ in range(count)], [set() for _ in range(count)],
        [-1] * count, np.hypot(plane[:, 3], plane[:, 4]).tolist(), boxes.tolist(),
    )  # fmt: skip
    # facets, walls and openings in one tree: one look for all
    n, m = len(polygons), len(polygons) + len(wall_polygons)
    found, over = shapely.STRtree(outlines).query(places, predicate="intersects")
    is_facet, is_hole = over < n, over >= m
    is_wall = ~is_facet & ~is_hole
    pairs = zip(found[is_facet].tolist(), over[is_facet].tolist(), strict=True)
    for cell, facet in sorted(pairs):
        layers = out.all[cell]
        # sorted by facet, those of one body follow each other
        if not layers or body[layers[-1]] != body[facet]:
            layers.append(facet)
    solid = [k for k, b in enumerate(bodies) if not b.open_below]
    for cell, k in zip(found[is_wall].tolist(), (over[is_wall] - n).tolist(), strict=True):
        out.walls[cell].add(k)
    if len(holes):
        cells, over = found[is_hole], over[is_hole] - m
        # where openings overlap the one that cuts more counts, whatever their order in the job
        rank = [(h.only_top, -round(h.polygon.area, 3), k) for k, h in enumerate(holes)]
        for cell, k in zip(cells.tolist(), over.tolist(), strict=True):
            if out.hole[cell] < 0 or rank[k] < rank[out.hole[cell]]:
                out.hole[cell] = k
    _hide(out, set(solid), alike)
    return out


def _sides(polygons: Array) -> Array:
    """All sides of some polygons, (n, 2, 2)."""
    rings = shapely.get_rings(polygons)
    coords, owner = shapely.get_coordinates(rings, return_index=True)
    following = owner[1:] == owner[:-1]
    out: Array = np.stack([coords[:-1][following], coords[1:][following]], axis=1)
    return out


def _creases(
    polygons: Array, boxes: Array, plane: Array, body: Array
) -> tuple[Array, set[tuple[int, int]]]:
    """Lines (n, 2, 2) along which facets of different bodies cross, over their common ground;
    and the pairs of facets that tilt by less than `HEAL_MM` in it all: they may be one plane."""
    empty = np.zeros((0, 2, 2))
    first, second = shapely.STRtree(polygons).query(polygons)
    pairs = (body[first] < body[second]).nonzero()[0]
    if not len(pairs):
        return empty, set()
    i, j = first[pairs], second[pairs]
    low = np.maximum(boxes[i, :2], boxes[j, :2])
    high = np.minimum(boxes[i, 2:], boxes[j, 2:])
    gradient = plane[i, 3:] - plane[j, 3:]
    middle = (low + high) / 2.0

    def over(k: Array, at: Array) -> Array:
        p = plane[k]
        out: Array = p[:, 2] + np.sum(p[:, 3:] * (at - p[:, :2]), axis=1)
        return out

    # the difference of two planes over the common box: its middle and the most it may change
    apart = over(i, middle) - over(j, middle)
    reach = np.sum(np.abs(gradient) * (high - low), axis=1) / 2.0
    steep = np.hypot(gradient[:, 0], gradient[:, 1])
    steepness = np.hypot(plane[:, 3], plane[:, 4])
    near = np.abs(apart) <= reach + HEAL_MM * (1.0 + steepness[i] + steepness[j])
    crossing = near & (reach > HEAL_MM)
    same = near & ~crossing
    alike = set(zip(i[same].tolist(), j[same].tolist(), strict=True))
    if not crossing.any():
        return empty, alike
    i, j, steep = i[crossing], j[crossing], steep[crossing]
    gradient, middle, apart = gradient[crossing], middle[crossing], apart[crossing]
    foot = middle - gradient * (apart / steep**2)[:, None]
    along = np.stack([-gradient[:, 1], gradient[:, 0]], axis=1) / steep[:, None]
    half = np.sum(high - low, axis=1)[crossing][:, None] + np.abs(apart / steep)[:, None]
    lines = shapely.linestrings(np.stack([foot - along * half, foot + along * half], axis=1))
    lines = shapely.intersection(shapely.intersection(lines, polygons[i]), polygons[j])
    parts = shapely.get_parts(lines)
    parts = shapely.get_parts(parts[shapely.get_dimensions(parts) == 1])
    coords, owner = shapely.get_coordinates(parts, return_index=True)
    following = owner[1:] == owner[:-1]
    return np.stack([coords[:-1][following], coords[1:][following]], axis=1), alike


def _hide(out: Layers, solid: set[int], alike: set[tuple[int, int]]) -> None:
    """Find what is seen in each cell: what is hidden by walls first, then the overhangs."""
    pairs: dict[tuple[int, int], Pair] = defaultdict(Pair)
    places, planes = out.plan.inside.tolist(), out.planes
    hidden: list[set[int]] = []
    for cell, layers in enumerate(out.all):
        gone: set[int] = set()
        if len(layers) > 1:
            x, y = places[cell]
            z = {}
            for f in layers:
                px, py, pz, gx, gy = planes[f]
                z[f] = pz + gx * (x - px) + gy * (y - py)
            gone = _hidden(out, cell, z, solid, alike, pairs)
        hidden.append(gone)
    join_overhangs(out, pairs, hidden, solid)
    for cell, layers in enumerate(out.all):
        gone = hidden[cell]
        seen = [f for f in layers if f not in gone] if gone else list(layers)
        if out.hole[cell] >= 0 and seen:
            if out.holes[out.hole[cell]].only_top:
                xy = out.plan.inside[cell : cell + 1]
                top = max(seen, key=lambda f: float(out.heights(f, xy)[0]))
                seen.remove(top)
            else:
                seen = []
        out.seen[cell] = seen


def _hidden(
    out: Layers,
    cell: int,
    z: dict[int, float],
    solid: set[int],
    alike: set[tuple[int, int]],
    pairs: dict[tuple[int, int], Pair],
) -> set[int]:
    """What walls hide in a cell, from the heights of its layers; and, into `pairs`, what lies over
    what where walls decide nothing."""
    walls = out.walls[cell]
    gone: set[int] = set()
    over: list[tuple[int, int, float]] = []
    for f, g in itertools.combinations(z, 2):
        a, b = out.body[f], out.body[g]
        apart = z[f] - z[g]
        # planes that cross are never one, however close they come beside the crease
        one = (min(f, g), max(f, g)) in alike
        if abs(apart) <= (out.slack(f, g) if one else NODING_MM):
            apart = 0.0
            gone.add(_less(out, f, g, walls))
        elif apart < 0 and b in walls and b in solid:
            gone.add(f)
        elif apart > 0 and a in walls and a in solid:
            gone.add(g)
        over.append((f, g, apart))
    for f, g, apart in over:
        a, b = out.body[f], out.body[g]
        if apart != 0.0 and (f in gone or g in gone):
            continue  # under a third body there is nothing to decide
        if a not in walls and b not in walls:
            pairs[a, b].outside[cell] = apart
        elif (apart < 0 and b not in walls) or (apart > 0 and a not in walls):
            pairs[a, b].passing[cell] = apart
    return gone


def _less(out: Layers, f: int, g: int, walls: set[int]) -> int:
    """Which of two coinciding facets goes: one on its own walls stays, else the first one."""
    f_stands, g_stands = out.body[f] in walls, out.body[g] in walls
    if f_stands != g_stands:
        return g if f_stands else f
    return max(f, g)
