"""Drip line and wall line of a section: one is drawn, the overhangs give the other."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from roofmodel.document.types import Ring, Section
from roofmodel.errors import OutlineError
from roofmodel.geometry import rolled, shifted_ring, signed_area
from roofmodel.tolerance import STRAIGHT_SINE

if TYPE_CHECKING:
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"


def overhangs(section: Section, ring: Ring) -> tuple[float, ...]:
    """Overhang of each edge of a ring, mm."""
    return tuple(section.overhang if e.overhang is None else e.overhang for e in ring.edges)


def drip_rings(section: Section) -> tuple[Array, ...]:
    """The outer edge of the roof in plan, one (n, 2) ring per ring of the section, mm.

    Where two edges that run on nearly straight have unlike overhangs the larger holds for both.
    OutlineError where the overhangs swallow an edge.
    """
    if section.line == "drip":
        return tuple(np.array(r.corners) for r in section.rings)
    return tuple(_moved(section, r, k > 0, 1.0) for k, r in enumerate(section.rings))


def wall_rings(section: Section) -> tuple[Array, ...]:
    """The outside of the walls in plan, one ring per ring of the section, mm."""
    if section.line == "wall":
        return tuple(np.array(r.corners) for r in section.rings)
    return tuple(_moved(section, r, k > 0, -1.0) for k, r in enumerate(section.rings))


def _moved(section: Section, ring: Ring, is_hole: bool, sign: float) -> Array:
    corners = np.array(ring.corners)
    outwards = 1.0 if (signed_area(corners) > 0) != is_hole else -1.0
    shifts = list(overhangs(section, ring))
    n = len(shifts)
    step = rolled(corners) - corners
    for _ in range(2):
        for k in range(n):
            a, b = step[k - 1], step[k]
            turn = a[0] * b[1] - a[1] * b[0]
            if abs(turn) <= STRAIGHT_SINE * math.hypot(*a) * math.hypot(*b):
                shifts[k - 1] = shifts[k] = max(shifts[k - 1], shifts[k])
    moved = shifted_ring(corners, [sign * outwards * s for s in shifts])
    after = rolled(moved) - moved
    if len(after) != n or not np.all(np.sum(after * step, axis=1) > 0):
        what = "courtyard" if is_hole else "outline"
        raise OutlineError(
            f"The overhangs are wider than an edge of the {what} is long: its drip line and wall"
            " line do not fit each other. Make the overhang smaller, or draw the other line."
        )
    return moved
