"""Ribs and seams of panels as solids, to scale.

Vocabulary
----------
rib
    A straight ridge along the slope: a rib of a ribbed panel, a seam between two pans.
footprint
    What a rib covers of the metal: its width along the slope, cut by the metal's outline.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import shapely

from roofmodel.scene.laid import Laid
from roofmodel.scene.meshes import Array, Gathering, Indices, triangulate
from roofmodel.surface import PlaneId
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.field import Frame

LEAST_MM2: Final = 1.0
"""A footprint smaller than this is no rib."""

_SAME_MM: Final = 0.5
"""Ribs of two panels closer than this are one, at the side they share."""


@dataclass(frozen=True, slots=True, eq=False)
class Ribs:
    """Closed solids, mm: `triangles` (m, 3) over `points` (n, 3), seen from outside
    counter-clockwise.

    `triangle_plane` (m,) says which of `planes` a triangle stands on, `count` how many ribs
    there are on each of them. A rib at the side of two panels is drawn in two halves, one on
    each, and counted once.
    """

    planes: tuple[PlaneId, ...]
    count: tuple[int, ...]
    points: Array
    triangles: Indices
    triangle_plane: Indices


def ribs_of(laid: Iterable[Laid], systems: Iterable[RoofingSystem]) -> Ribs:
    """The ribs of panels laid on planes. Those of each plane are cached, so what an edit leaves
    alone costs nothing."""
    rules = {s.id: (s.panel.rib_spacing, s.panel.rib_height, s.panel.rib_width) for s in systems}
    out = Gathering()
    found: list[PlaneId] = []
    count: list[int] = []
    for each in laid:
        if each.laying.system not in rules:
            continue
        points, triangles, ribs = _on_plane(each, *rules[each.laying.system])
        out.add(points, triangles, len(found))
        found.append(each.plane.id)
        count.append(ribs)
    arrays = out.arrays()
    for array in arrays:
        array.flags.writeable = False
    return Ribs(tuple(found), tuple(count), *arrays)


@lru_cache(maxsize=1024)
def _on_plane(
    laid: Laid, spacing: float, height: float, width: float
) -> tuple[Array, Indices, int]:
    """Points (n, 3), triangles (m, 3) and the number of ribs of one plane."""
    laying, plane = laid.laying, laid.plane
    if height <= 0.0 or width <= 0.0 or not laying.panels:
        return np.zeros((0, 3)), np.zeros((0, 3), np.int64), 0
    frame = Frame.of(plane)
    outlines = [frame.flat(p.outline) for p in laying.panels]
    end = min(float(o[:, 0].min()) for o in outlines)
    boxes, metal, places = [], [], []
    for panel, outline in zip(laying.panels, outlines, strict=True):
        shape = shapely.Polygon(outline, [frame.flat(h) for h in panel.holes])
        near, far = end + panel.left, end + panel.right
        inside = _between(near, far, spacing, from_right=laying.from_right)
        low, high = (np.full(len(inside), v) for v in (outline[:, 1].min(), outline[:, 1].max()))
        boxes.append(shapely.box(inside - width / 2, low, inside + width / 2, high))
        metal += [shape] * len(inside)
        places.append(inside)
    cut = shapely.intersection(np.concatenate(boxes), np.array(metal))
    parts, owner = shapely.get_parts(cut, return_index=True)
    is_rib = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > LEAST_MM2)
    parts, owner = shapely.orient_polygons(parts[is_rib]), owner[is_rib]
    normal = np.array([*(-plane.slope * np.array(frame.uphill)), 1.0]) / frame.factor
    points, triangles = _solids(parts, frame, height * normal)
    return points, triangles, _apart(np.concatenate(places)[owner])


def _between(near: float, far: float, spacing: float, *, from_right: bool) -> Array:
    """Where the ribs of a panel stand between its sides, both sides among them."""
    if spacing <= 0.0:
        return np.array([near, far])
    steps = np.arange(0.0, far - near - _SAME_MM, spacing)
    inside = far - steps if from_right else near + steps
    return np.append(inside, near if from_right else far)


def _apart(places: Array) -> int:
    """How many different places there are."""
    ordered = np.sort(places)
    return int(len(ordered) > 0) + int((np.diff(ordered) > _SAME_MM).sum())


def _solids(footprints: Array, frame: Frame, up: Array) -> tuple[Array, Indices]:
    """Footprints (flat polygons, counter-clockwise) raised by the vector `up`."""
    out = Gathering()
    corners = shapely.get_num_coordinates(footprints)
    hull = shapely.area(shapely.convex_hull(footprints))
    quads = (corners == 5) & (hull <= shapely.area(footprints) + LEAST_MM2)
    if quads.any():
        rings = shapely.get_coordinates(footprints[quads]).reshape(-1, 5, 2)[:, :4]
        base = frame.raised(rings.reshape(-1, 2)).reshape(-1, 4, 3)
        points = np.concatenate([base, base + up], axis=1)
        fan = np.array([[0, 1, 2], [0, 2, 3]])
        first = 8 * np.arange(len(base))[:, None, None]
        out.add(points.reshape(-1, 3), (first + _prism(4, fan)).reshape(-1, 3), 0)
    for shape in footprints[~quads].tolist():
        # A hole within a rib is narrower than the rib: the pipe in it hides that it is closed.
        outer = shapely.get_coordinates(shape.exterior)[:-1]
        base = frame.raised(outer)
        flat = triangulate([outer], outer)
        out.add(np.vstack([base, base + up]), _prism(len(outer), flat), 0)
    points, triangles, _ = out.arrays()
    return points, triangles


def _prism(n: int, lid: Indices) -> Indices:
    """The faces of a solid over n corners and the same raised, from the triangles of its lid."""
    k = np.arange(n)
    after = (k + 1) % n
    sides = [np.column_stack([k, after, n + after]), np.column_stack([k, n + after, n + k])]
    return np.concatenate([lid + n, lid[:, ::-1], *sides])
