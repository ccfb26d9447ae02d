"""The ground under the house: a calm disc that fades out, a little darker where the house stands.

Colour is one number per point, so that any renderer can blend it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.scene.meshes import Array, Gathering, Indices, band
from roofmodel.surface import Surface

CONTACT_MM: Final = 2400.0
"""How far from the roof's edge the ground is still a little darker."""

DEPTH_MM: Final = 30.0
"""The ground lies this far below the foot of the walls, so that they never fight with it."""

_LARGER: Final = 0.75
_FADE: Final = 0.72
_SIDES: Final = 72


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A level mesh. `shade` (n,) runs from 0 in the open to 1 under the house, `cover` (n,)
    from 1 to 0 at the far rim, where the ground fades out."""

    points: Array
    triangles: Indices
    shade: Array
    cover: Array


def ground_of(surface: Surface, level: float) -> Ground:
    """The ground around a roof, `level` mm above the datum."""
    if not surface.planes:
        return Ground(np.zeros((0, 3)), np.zeros((0, 3), np.int64), np.zeros(0), np.zeros(0))
    house = shapely.union_all([shapely.Polygon(p.outline[:, :2]) for p in surface.planes])
    west, south, east, north = house.bounds
    middle = np.array([west + east, south + north]) / 2.0
    radius = _LARGER * math.hypot(east - west, north - south) + CONTACT_MM
    smaller = house.simplify(50.0).buffer(-CONTACT_MM / 8, quad_segs=2)
    dark = house if smaller.is_empty else smaller
    near = dark.buffer(CONTACT_MM, quad_segs=3).simplify(20.0)
    under = _as_one(shapely.get_coordinates(dark))
    turn = np.linspace(0.0, 2 * math.pi, _SIDES, endpoint=False)
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    inner, outer = (middle + circle * r for r in (radius * _FADE, radius))
    out, shade, cover = Gathering(), [], []
    z = level - DEPTH_MM
    for shape in (dark, near.difference(dark), shapely.Polygon(inner).difference(near)):
        points = _triangle_corners(shape)
        out.add(*_laid(points, z), 0)
        shade.append(np.isin(_as_one(points), under).astype(float))
        cover.append(np.ones(len(points)))
    rings = [np.column_stack([r, np.full(_SIDES, z)]) for r in (inner, outer)]
    out.add(*band(rings[0], rings[1], closed=True), 0)
    shade.append(np.zeros(2 * _SIDES))
    cover.append(np.repeat([1.0, 0.0], _SIDES))
    points, triangles, _ = out.arrays()
    return Ground(points, triangles, np.concatenate(shade), np.concatenate(cover))


def _as_one(points: Array) -> NDArray[np.complex128]:
    """Plan points (n, 2) as one number each, to find equal ones."""
    out: NDArray[np.complex128] = points[:, 0] + 1j * points[:, 1]
    return out


def _triangle_corners(shape: shapely.Geometry) -> Array:
    """Corners of the triangles of a shape, three by three, (3m, 2)."""
    found = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    if not len(found):
        return np.zeros((0, 2))
    corners: Array = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    return corners


def _laid(corners: Array, z: float) -> tuple[Array, Indices]:
    points = np.column_stack([corners, np.full(len(corners), z)])
    return points, np.arange(len(points), dtype=np.int64).reshape(-1, 3)
