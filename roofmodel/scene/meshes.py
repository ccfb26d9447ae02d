"""Triangles from polygons, gathered into few arrays.

Vocabulary
----------
owner
    The number, per triangle, of what it is a part of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


class Gathering:
    """Meshes put one after another."""

    def __init__(self) -> None:
        self._points: list[Array] = []
        self._triangles: list[Indices] = []
        self._owner: list[Indices] = []
        self._count = 0

    def add(self, points: Array, triangles: Indices, owner: int | Indices) -> None:
        """Points (n, 3) and the triangles (m, 3) over them; `owner` one number or (m,)."""
        self._points.append(points)
        self._triangles.append(triangles + self._count)
        self._owner.append(np.broadcast_to(np.asarray(owner, np.int64), (len(triangles),)))
        self._count += len(points)

    def arrays(self) -> tuple[Array, Indices, Indices]:
        """All points (n, 3), triangles (m, 3) and owners (m,)."""
        if not self._points:
            return np.zeros((0, 3)), np.zeros((0, 3), np.int64), np.zeros(0, np.int64)
        return (
            np.vstack(self._points),
            np.vstack(self._triangles),
            np.concatenate(self._owner),
        )


def triangulate(rings: Sequence[Array], corners: Array) -> Indices:
    """Triangles (m, 3) over `corners` (n, 2), counter-clockwise, of a polygon with holes."""
    if len(rings) == 1 and _is_convex(corners.tolist()):
        k = np.arange(1, len(corners) - 1)
        fan: Indices = np.column_stack([np.zeros_like(k), k, k + 1])
        return fan
    polygon = shapely.Polygon(rings[0], list(rings[1:]))
    # A ring that touches itself at a corner is split there; the area stays the same.
    sound = polygon if polygon.is_valid else shapely.make_valid(polygon)
    found = shapely.get_parts(shapely.constrained_delaunay_triangles(sound))
    if not len(found):
        return np.zeros((0, 3), np.int64)
    coords = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3]
    gaps = np.linalg.norm(coords[:, :, None, :] - corners[None, None, :, :], axis=3)
    indices: Indices = gaps.argmin(axis=2).astype(np.int64)
    a, b, c = (corners[indices[:, k]] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    indices[area < 0] = indices[area < 0][:, ::-1]
    return indices


def _is_convex(corners: list[list[float]]) -> bool:
    """Does a ring turn left at every corner, and round only once?"""
    turned = 0.0
    for k, (x, y) in enumerate(corners):
        (a, b), (c, d) = corners[k - 1], corners[k + 1 - len(corners)]
        ux, uy, vx, vy = x - a, y - b, c - x, d - y
        cross = ux * vy - uy * vx
        if cross <= 0.0:
            return False
        turned += math.atan2(cross, ux * vx + uy * vy)
    return turned < 3.0 * math.pi


def upright(face: Array) -> Indices:
    """Triangles (m, 3) over the corners (n, 3) of a vertical face."""
    span = face[:, :2] - face[0, :2]
    reach = span[np.hypot(*span.T).argmax()]
    size = math.hypot(*reach)
    if len(face) < 3 or size == 0.0:
        return np.zeros((0, 3), np.int64)
    flat = np.column_stack([span @ (reach / size), face[:, 2]])
    return triangulate([flat], flat)


def band(low: Array, high: Array, *, closed: bool) -> tuple[Array, Indices]:
    """A strip between two lines of n points each, (2n, 3), and its triangles; `closed` where
    the last point goes on to the first."""
    n = len(low)
    k = np.arange(n if closed else n - 1)
    after = (k + 1) % n
    triangles = np.concatenate(
        [np.column_stack([k, after, n + after]), np.column_stack([k, n + after, n + k])]
    )
    return np.vstack([low, high]), triangles


def lid(loop: Array) -> Indices:
    """Triangles (m, 3) over a loop (n, 3) seen from above."""
    return triangulate([loop[:, :2]], loop[:, :2])
