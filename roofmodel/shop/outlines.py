"""Outlines of flat metal without corners that are none."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SAME_CORNER_MM: Final = 0.02
"""No machine tells two corners so close from one; drawings take them for faults."""
_STRAIGHT_MM: Final = 1e-6
"""A corner so close to the line between its neighbours is none."""


def corners_of(outline: Array) -> Array:
    """An outline (n, 2), mm, without what is no corner: on top of another or on a straight
    line."""
    some = _once(outline)
    some = np.roll(some, -int(np.lexsort((some[:, 1], some[:, 0]))[0]), axis=0)  # a corner first
    kept, waiting = [some[0]], []
    for here, after in zip(some[1:], [*some[2:], some[0]], strict=True):
        waiting.append(here)
        off = shapely.distance(shapely.LineString([kept[-1], after]), shapely.points(waiting))
        if off.max() > _STRAIGHT_MM:
            kept.append(here)
            waiting.clear()
    return np.array(kept)


def _once(outline: Array) -> Array:
    """Corners that nobody can tell apart once; of two the one that length or girth ends at."""
    box = np.array([outline.min(axis=0), outline.max(axis=0)])
    out = [outline[0]]
    for point in outline[1:]:
        if np.linalg.norm(point - out[-1]) > _SAME_CORNER_MM:
            out.append(point)
        elif (point == box).any() and not (out[-1] == box).any():
            out[-1] = point
    if len(out) > 1 and np.linalg.norm(out[0] - out[-1]) <= _SAME_CORNER_MM:
        out.pop(0 if (out[-1] == box).any() and not (out[0] == box).any() else -1)
    return np.array(out)
