"""The 3-4-5 that tells whether the first panel stands square to the eave, with lengths that fit.

A triangle with sides 3, 4 and 5 has a right angle. Here one leg lies on an eave, the other on the
side of a panel: its legs are whole feet (or half metres) where the plane has room for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import shapely

from roofmodel.tolerance import HEAL_MM
from roofmodel.units import MM_PER_FT, MM_PER_IN, LengthUnits

XY = tuple[float, float]

_STEPS: Final = {"feet": (MM_PER_FT, 3.0 * MM_PER_IN), "metric": (500.0, 50.0)}
_MOST: Final = 10
"""30, 40 and 50 ft: nobody pulls a longer tape over a slope."""
_ENOUGH: Final = 3
"""9, 12 and 15 ft tell as much as is needed; near the start is better than larger."""


@dataclass(frozen=True, slots=True)
class SquareCheck:
    """Three places on a plane, mm: the right angle at `corner`, `along` on the eave and `up` on
    the side of a panel, with the three lengths between them."""

    corner: XY
    along: XY
    up: XY
    on_eave: float
    on_side: float
    across: float


def square_check(
    plane: shapely.Polygon,
    eaves: Sequence[tuple[XY, XY]],
    sides: Sequence[float],
    from_right: bool,
    units: LengthUnits,
) -> SquareCheck | None:
    """The check nearest to the first side where one of enough size fits, else the largest; None
    where there is no eave or no room. Places in the plane's own (u, v), mm."""
    room = shapely.buffer(plane, HEAL_MM)
    level = [(a, b) for a, b in eaves if abs(a[1] - b[1]) <= HEAL_MM]
    coarse, fine = _STEPS[units.system]
    for step in (coarse, fine):
        best: tuple[int, SquareCheck] | None = None
        for u in sides:
            for a, b in level:
                if not min(a[0], b[0]) - HEAL_MM <= u <= max(a[0], b[0]) + HEAL_MM:
                    continue
                for hand in (-1.0, 1.0) if from_right else (1.0, -1.0):
                    found = _largest(room, (u, a[1]), hand, step)
                    if found is not None and (best is None or found[0] > best[0]):
                        best = found
            if step == coarse and best is not None and best[0] >= _ENOUGH:
                break
        if best is not None:
            return best[1]
    return None


def _largest(
    room: shapely.Geometry, corner: XY, hand: float, step: float
) -> tuple[int, SquareCheck] | None:
    """The largest check at a corner, and how many times 3, 4 and 5 steps it is."""
    u, v = corner
    for times in range(_MOST, 0, -1):
        for along, up in ((4.0, 3.0), (3.0, 4.0)):
            a, b = along * times * step, up * times * step
            ends = (u + hand * a, v), (u, v + b)
            if shapely.covers(room, shapely.LinearRing([corner, *ends])):  # a tape lies along each
                return times, SquareCheck(corner, *ends, a, b, 5.0 * times * step)
    return None
