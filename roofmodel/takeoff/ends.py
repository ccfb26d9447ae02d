"""How a piece of metal is cut, from its outline: its two ends, and whether it is notched."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from roofmodel.takeoff.types import EndCut

_AT_SIDE_MM = 1e-3
"""Corners this close to the sheet's side lie on it."""
_STRAIGHT_MM = 0.05
"""A corner this close to the line through its neighbours does not bend it: nobody can cut it."""
_NOTCH_MM = 1.0
"""A cut less deep than this into a side is none: nobody can make it."""

Corner = tuple[float, float]


def end_cuts(parts: Any, *, mirrored: bool = False) -> list[tuple[EndCut, EndCut]]:
    """The lower and the upper end of polygons (n,) whose v runs up the slope.

    `mirrored`: their u runs to the left of someone who looks up the slope.
    """
    rings = shapely.get_exterior_ring(parts)
    points, owner = shapely.get_coordinates(rings, return_index=True)
    starts = np.searchsorted(owner, np.arange(len(rings) + 1)).tolist()
    rows = [(float(x), float(y)) for x, y in points.tolist()]
    out = []
    for a, b in pairwise(starts):
        low, up = _chains(rows[a : b - 1])
        out.append((_cut(low, mirrored), _cut(up, mirrored)))
    return out


def are_notched(parts: Any) -> list[bool]:
    """Which polygons (n,), v up the slope, are cut out at a side or have a hole."""
    found: list[bool] = (shapely.get_num_interior_rings(parts) > 0).tolist()
    # four corners have no room for a notch
    for k in np.flatnonzero(shapely.get_num_coordinates(parts) > 5).tolist():
        if not found[k]:
            rows = shapely.get_coordinates(shapely.get_exterior_ring(parts[k])).tolist()
            found[k] = _leaves_side([(float(x), float(y)) for x, y in rows[:-1]])
    return found


def _leaves_side(ring: list[Corner]) -> bool:
    """Does the ring leave one of the sheet's sides between the lower and the upper end?"""
    ring = _leftward(ring)
    for first in (True, False):
        side = (min if first else max)(x for x, _ in ring)
        on = [k for k, (x, _) in enumerate(ring) if abs(x - side) <= _AT_SIDE_MM]
        low, high = (f(on, key=lambda k: ring[k][1]) for f in (min, max))
        way = _between(ring, high, low) if first else _between(ring, low, high)
        if any(abs(x - side) > _NOTCH_MM for x, _ in way):
            return True
    return False


def _leftward(ring: list[Corner]) -> list[Corner]:
    """The ring counter-clockwise."""
    doubled = sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
    )
    return ring[::-1] if doubled < 0.0 else ring


def _chains(ring: list[Corner]) -> tuple[list[Corner], list[Corner]]:
    """The lower and the upper outline of a ring, each from low to high u."""
    ring = _leftward(ring)
    first, last = min(x for x, _ in ring), max(x for x, _ in ring)
    at_first = [k for k, (x, _) in enumerate(ring) if x <= first + _AT_SIDE_MM]
    at_last = [k for k, (x, _) in enumerate(ring) if x >= last - _AT_SIDE_MM]

    def height(k: int) -> float:
        return ring[k][1]

    low = _between(ring, min(at_first, key=height), min(at_last, key=height))
    up = _between(ring, max(at_last, key=height), max(at_first, key=height))
    return low, up[::-1]


def _between(ring: list[Corner], start: int, end: int) -> list[Corner]:
    return ring[start : end + 1] if start <= end else ring[start:] + ring[: end + 1]


def _cut(chain: list[Corner], mirrored: bool) -> EndCut:
    kept = chain[:1]
    for k in range(1, len(chain)):
        last = k + 1 == len(chain)
        if last or not _goes_straight(kept[-1], chain[k], chain[k + 1]):
            kept.append(chain[k])
    lines = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(kept)]
    if mirrored:
        lines = [(width, -rise) for width, rise in reversed(lines)]
    return EndCut(tuple(lines))


def _goes_straight(a: Corner, b: Corner, c: Corner) -> bool:
    """Does b lie on the way from a to c?"""
    x, y = c[0] - a[0], c[1] - a[1]
    far = math.hypot(x, y)
    off = abs(x * (b[1] - a[1]) - y * (b[0] - a[0]))
    on = x * (b[0] - a[0]) + y * (b[1] - a[1])
    return far <= _STRAIGHT_MM or (off <= _STRAIGHT_MM * far and 0.0 <= on <= far * far)
