"""A flat blank bent again, arc by arc, from its girth and its bend lines alone: a second road to
the section. mm and radians; points are on the middle of the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class FlatPart(NamedTuple):
    """A flat from `low` to `high` on the blank: where it starts in the section, and its way."""

    low: float
    high: float
    start: Array
    heading: float

    @property
    def way(self) -> Array:
        return np.array([math.cos(self.heading), math.sin(self.heading)])

    @property
    def normal(self) -> Array:
        return np.array([-math.sin(self.heading), math.cos(self.heading)])

    @property
    def end(self) -> Array:
        out: Array = self.start + (self.high - self.low) * self.way
        return out


class ArcPart(NamedTuple):
    """A bend from `low` to `high` on the blank around `centre`; the inside radius is on that
    side; `turn` up positive."""

    low: float
    high: float
    centre: Array
    inside_radius: float
    first_heading: float
    turn: float


def fold_back(
    bends: Iterable[tuple[float, float, float]], girth: float, thickness: float, k_factor: float
) -> tuple[list[FlatPart], list[ArcPart]]:
    """Flats and arcs of a blank bent along lines at (x, degrees up positive, inside radius)."""
    flats, arcs = [], []
    place, heading, s = np.zeros(2), 0.0, 0.0
    for x, degrees, radius in sorted(bends):
        turn = math.radians(degrees)
        half = abs(turn) * (radius + k_factor * thickness) / 2.0
        flat = FlatPart(s, x - half, place, heading)
        flats.append(flat)
        side = math.copysign(radius + thickness / 2.0, turn)
        centre = flat.end + side * flat.normal
        arcs.append(ArcPart(x - half, x + half, centre, radius, heading, turn))
        heading += turn
        place = centre - side * np.array([-math.sin(heading), math.cos(heading)])
        s = x + half
    flats.append(FlatPart(s, girth, place, heading))
    return flats, arcs


def point_at(
    s: float, flats: list[FlatPart], arcs: list[ArcPart], thickness: float, offset: float = 0.0
) -> Array:
    """Where a point of the blank comes to lie, `offset` from the middle towards the colour
    side."""
    for arc in arcs:
        if arc.low < s < arc.high:
            heading = arc.first_heading + arc.turn * (s - arc.low) / (arc.high - arc.low)
            normal = np.array([-math.sin(heading), math.cos(heading)])
            side = math.copysign(arc.inside_radius + thickness / 2.0, arc.turn)
            out: Array = arc.centre + (offset - side) * normal
            return out
    flat = min(flats, key=lambda f: max(f.low - s, s - f.high, 0.0))
    here: Array = flat.start + (s - flat.low) * flat.way + offset * flat.normal
    return here


def crossing(p: Array, u: Array, q: Array, v: Array) -> Array:
    """Where the lines p + t·u and q + t·v meet."""
    t = np.linalg.solve(np.column_stack([u, -v]), q - p)
    out: Array = p + t[0] * u
    return out
