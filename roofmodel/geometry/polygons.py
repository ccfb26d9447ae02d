"""Areas, normals and shifted sides of plane polygons, as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = "NDArray[np.float64]"

_NEARLY_PARALLEL = 1e-6
_MITRE = 8.0
"""Moved sides meet at most this many times their shift away from the corner, else in a step."""


def signed_area(ring: ArrayLike) -> float:
    """Area of an (n, 2) ring, positive counter-clockwise; coordinates far out lose nothing."""
    xy = np.asarray(ring, dtype=float)[:, :2].tolist()
    x0, y0 = xy[0]
    x, y = xy[-1][0] - x0, xy[-1][1] - y0
    total = 0.0
    for px, py in xy:  # rings are short: faster than arrays
        u, v = px - x0, py - y0
        total += x * v - u * y
        x, y = u, v
    return 0.5 * total


def rolled(rows: Array) -> Array:
    """The rows (n, ...) with the first one last: each becomes the one after it. Many times
    quicker than `numpy.roll` on the few corners of a ring."""
    out: Array = np.concatenate([rows[1:], rows[:1]])
    return out


def plan_area(outline: Array, holes: Sequence[Array] = ()) -> float:
    """Plan area of a polygon with holes, from (n, 2) or (n, 3) rings of any winding."""
    return abs(signed_area(outline)) - sum(abs(signed_area(h)) for h in holes)


def inward_normals(ring: ArrayLike, *, is_hole: bool = False) -> Array:
    """(n, 2) unit normals of a ring's edges, towards the polygon's inside.

    For a hole the polygon lies outside the ring.
    """
    a = np.asarray(ring, dtype=float)
    step = rolled(a) - a
    unit = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    left = np.column_stack([-unit[:, 1], unit[:, 0]])
    return left if (signed_area(a) > 0) != is_hole else -left


def shifted_ring(ring: ArrayLike, shifts: Sequence[float]) -> Array:
    """A ring with each side moved to its right by its own distance.

    Parameters
    ----------
    ring : (n, 2)
        Side k runs from corner k to corner k + 1. For a counter-clockwise ring right is outwards.
    shifts : n distances
        Positive to the right.

    Returns
    -------
    (m, 2) array
        Corners where neighbouring sides, moved, meet; two corners (a square step) where
        neighbours of unlike shifts are parallel or nearly so.
    """
    a = np.asarray(ring, dtype=float)
    n = len(a)
    step = rolled(a) - a
    unit = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    right = np.column_stack([unit[:, 1], -unit[:, 0]])
    out: list[Array] = []
    for k in range(n):
        u, v = unit[k - 1], unit[k]
        p = a[k] + right[k - 1] * shifts[k - 1]
        q = a[k] + right[k] * shifts[k]
        cross = u[0] * v[1] - u[1] * v[0]
        if abs(cross) <= _NEARLY_PARALLEL:
            out.append(p)
            if float(np.hypot(*(p - q))) > _NEARLY_PARALLEL:
                out.append(q)
            continue
        t = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / cross
        corner = p + u * t
        reach = _MITRE * max(abs(shifts[k - 1]), abs(shifts[k]))
        if float(np.hypot(*(corner - a[k]))) > reach and shifts[k - 1] != shifts[k]:
            out += [p, q]
        else:
            out.append(corner)
    return np.array(out)
