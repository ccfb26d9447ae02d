"""What stands beside the roof planes in a picture: walls, fascias, posts, chimneys, skylights.

None of it is counted anywhere; it is there so that a roof reads as a house.

Vocabulary
----------
rim
    The line (n, 3) along which an opening's sides meet the roof.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable
from enum import IntEnum
from typing import Final

import numpy as np
import shapely

from roofmodel.document import Opening, Project
from roofmodel.scene.meshes import Array, Gathering, Indices, band, lid, upright
from roofmodel.surface import Body, RoofEdge, Surface, gathered

FASCIA_MM: Final = 150.0
"""How thick the roof looks at its edges: a board of a hand's width."""

POST_MM: Final = 150.0
POST_APART_MM: Final = 3400.0
"""Posts under a roof that is open below: their side, and the most between two of them."""

_FRAME_MM: Final = 90.0
_CAP_MM: Final = 60.0
_ON_RIM_MM: Final = 5.0
_PIPE_SIDES: Final = 20


class Material(IntEnum):
    """What a part of the scene is made of."""

    WALL = 0
    FASCIA = 1
    CHIMNEY = 2
    PIPE = 3
    FRAME = 4
    GLASS = 5


_MATERIALS: Final = len(Material)


def solids_of(
    surface: Surface, project: Project
) -> tuple[Array, Indices, Indices, tuple[str, ...], Indices]:
    """Points (n, 3), triangles (m, 3), the material of each triangle (m,), ids of parts, and
    the number among them of the part that each triangle belongs to (m,). The first part is ""."""
    out = _Solids()
    for wall in surface.walls:
        out.part = wall.section
        out.add(wall.outline, upright(wall.outline), Material.WALL)
    out.part = ""
    _fascias(surface.edges, out)
    open_below = [s for s in project.sections() if s.open_below]
    if open_below or any(p.open_below for p in project.planes()):
        _posts(gathered(project).bodies, out)
    openings = project.openings()
    if openings:
        ends = _ends_at(surface.edges)
        for opening in openings:
            out.part = opening.id
            _opening(opening, np.array(ends[opening.id]), out)
    points, triangles, owner = out.arrays()
    return points, triangles, owner % _MATERIALS, tuple(out.parts), owner // _MATERIALS


class _Solids(Gathering):
    """Meshes put one after another, each of a material and of the part that is on now."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: dict[str, int] = {"": 0}
        self.part = ""

    def add(self, points: Array, triangles: Indices, owner: int | Indices) -> None:
        part = self.parts.setdefault(self.part, len(self.parts))
        super().add(points, triangles, part * _MATERIALS + owner)


def underside(points: Array) -> Array:
    """The roof's points (n, 3) let down by the thickness that a fascia covers."""
    under: Array = points - np.array([0.0, 0.0, FASCIA_MM])
    return under


def _fascias(edges: Iterable[RoofEdge], out: _Solids) -> None:
    ends = [(e.start, e.end) for e in edges if e.length > 0 and _is_own_end(e)]
    if not ends:
        return
    top = np.array(ends)
    quads = np.concatenate([underside(top), top[:, ::-1]], axis=1)
    first = 4 * np.arange(len(ends))[:, None]
    triangles = np.concatenate([first + np.array([0, 1, 2]), first + np.array([0, 2, 3])])
    out.add(quads.reshape(-1, 3), triangles, Material.FASCIA)


def _is_own_end(edge: RoofEdge) -> bool:
    second = edge.id.second
    return isinstance(second, str) and not second.startswith(("wall ", "opening "))


def _posts(bodies: Iterable[Body], out: _Solids) -> None:
    bodies = list(bodies)
    solid = shapely.union_all([b.wall for b in bodies if not b.open_below])
    for body in bodies:
        if not body.open_below:
            continue
        out.part = body.part
        line = body.wall.buffer(-POST_MM / 2, join_style="mitre")
        for ring in (r for p in shapely.get_parts(line) for r in (p.exterior, *p.interiors)):
            for place in _post_places(np.array(ring.coords)):
                if not solid.dwithin(shapely.Point(place), POST_MM):
                    _post(body, place, out)


def _post_places(ring: Array) -> Array:
    """Corners of a closed ring and points between them, no two too far apart, (n, 2)."""
    places = []
    for a, b in itertools.pairwise(ring):
        spans = max(1, math.ceil(math.hypot(*(b - a)) / POST_APART_MM))
        places.append(a + (b - a) * (np.arange(spans) / spans)[:, None])
    return np.vstack(places)


def _post(body: Body, place: Array, out: Gathering) -> None:
    half = POST_MM / 2
    ring = place + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    point = shapely.Point(place)
    over = [f for f in body.facets if f.polygon.dwithin(point, 1.0)]
    if not over:
        return
    roof = min(float(f.height(ring).min()) for f in over)
    low = np.column_stack([ring, np.zeros(4)])
    high = np.column_stack([ring, np.full(4, max(roof, 0.0))])
    out.add(*band(low, high, closed=True), Material.WALL)


def _ends_at(edges: Iterable[RoofEdge]) -> defaultdict[str, list[Array]]:
    """Ends of the roof edges around each opening, by its id."""
    out: defaultdict[str, list[Array]] = defaultdict(list)
    for edge in edges:
        second = edge.id.second
        parts = {p.section for p in edge.planes}
        if isinstance(second, str):
            parts.add(second.removeprefix("opening "))
        for part in parts:
            out[part] += (edge.start, edge.end)
    return out


def _opening(opening: Opening, ends: Array, out: Gathering) -> None:
    rim, is_whole = _rim(opening, ends)
    if not len(rim):
        return
    if opening.kind == "skylight":
        _skylight(rim, opening.height, out)
    elif opening.kind == "pipe":
        _pipe(rim, opening.height, out)
    else:
        # one that stands partly beside the roof is built up from the ground
        foot = float(rim[:, 2].min()) if is_whole else 0.0
        _chimney(rim, foot, float(rim[:, 2].max()) + opening.height, out)


def _rim(opening: Opening, found: Array) -> tuple[Array, bool]:
    """Where an opening meets the roof, (n, 3), and whether the roof is all around it."""
    ring = shapely.orient_polygons(shapely.Polygon(opening.corners)).exterior
    if not len(found):
        return np.zeros((0, 3)), False
    at = shapely.points(found[:, :2])
    found = found[shapely.distance(ring, at) <= _ON_RIM_MM]
    if not len(found):
        return np.zeros((0, 3)), False
    corners = np.array(ring.coords)[:-1, :2]
    gaps = np.linalg.norm(corners[:, None] - found[None, :, :2], axis=2)
    nearest = gaps.argmin(axis=1)
    missing = gaps.min(axis=1) > _ON_RIM_MM
    places = np.vstack([corners, found[:, :2]])
    heights = np.concatenate([found[nearest, 2], found[:, 2]])
    along = shapely.line_locate_point(ring, shapely.points(places))
    along = np.where(along > ring.length - _ON_RIM_MM, 0.0, along)
    order = np.argsort(along, kind="stable")
    kept: list[int] = []
    for k in order.tolist():
        if not kept or along[k] - along[kept[-1]] > _ON_RIM_MM:
            kept.append(k)
    return np.column_stack([places[kept], heights[kept]]), not missing.any()


def _at(loop: Array, height: float) -> Array:
    """The loop (n, 3) laid level at a height."""
    return np.column_stack([loop[:, :2], np.full(len(loop), height)])


def _inner(loop: Array, distance: float) -> Array:
    """The loop drawn in towards its middle, about `distance` on its nearest side."""
    polygon = shapely.Polygon(loop[:, :2])
    middle = np.array([polygon.centroid.x, polygon.centroid.y, float(loop[:, 2].mean())])
    reach = max(polygon.exterior.distance(polygon.centroid), 1.0)
    share = min(distance / reach, 0.45) if distance >= 0 else distance / reach
    inner: Array = loop + (middle - loop) * share
    return inner


def _chimney(rim: Array, foot: float, top: float, out: Gathering) -> None:
    """A box with a slab on it that stands out a little."""
    out.add(*band(_at(rim, foot), _at(rim, top), closed=True), Material.CHIMNEY)
    slab = _at(_inner(rim, -_CAP_MM), top)
    over = _at(slab, top + _CAP_MM)
    out.add(*band(slab, over, closed=True), Material.FASCIA)
    for loop in (slab, over):
        out.add(loop, lid(loop), Material.FASCIA)


def _skylight(rim: Array, height: float, out: Gathering) -> None:
    """A low frame along the roof with glass in it."""
    over = rim + np.array([0.0, 0.0, height])
    inner = _inner(over, _FRAME_MM)
    out.add(*band(rim, over, closed=True), Material.FRAME)
    out.add(*band(over, inner, closed=True), Material.FRAME)
    out.add(inner, lid(inner), Material.GLASS)


def _pipe(rim: Array, height: float, out: Gathering) -> None:
    """A round pipe in the middle of its hole, and a collar that covers the hole."""
    polygon = shapely.Polygon(rim[:, :2])
    middle = np.array([polygon.centroid.x, polygon.centroid.y])
    radius = 0.6 * polygon.exterior.distance(polygon.centroid)
    turn = np.linspace(0.0, 2 * math.pi, _PIPE_SIDES, endpoint=False)
    circle = middle + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    foot, top = float(rim[:, 2].min()), float(rim[:, 2].max()) + height
    low = np.column_stack([circle, np.full(_PIPE_SIDES, foot)])
    high = np.column_stack([circle, np.full(_PIPE_SIDES, top)])
    out.add(*band(low, high, closed=True), Material.PIPE)
    out.add(high, lid(high), Material.PIPE)
    out.add(rim, lid(rim), Material.PIPE)
