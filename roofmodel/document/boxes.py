"""Openings are mostly rectangles: corners from middle, width, depth and turn, and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from roofmodel.document.parts import Point
from roofmodel.errors import DocumentError

SMALLEST_MM = 1.0


class Box(NamedTuple):
    """A rectangle in plan, mm: `width` along its own x axis, which lies `turn` degrees
    counter-clockwise from the east; `depth` across it."""

    middle: Point
    width: float
    depth: float
    turn: float = 0.0

    def corners(self) -> tuple[Point, ...]:
        """The four corners, counter-clockwise; DocumentError if the box has no size.

        >>> Box((0.0, 0.0), 4.0, 2.0).corners()
        ((-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0))
        """
        if not (self.width >= SMALLEST_MM and self.depth >= SMALLEST_MM):
            raise DocumentError("The width and depth of an opening must be more than 0.")
        # Quarter turns are exact, so that square things stay so.
        quarter, rest = divmod(self.turn, 90.0)
        c, s = (1.0, 0.0) if rest == 0.0 else (_cos(rest), _sin(rest))
        for _ in range(int(quarter) % 4):
            c, s = -s, c
        x0, y0 = self.middle
        w, d = self.width / 2.0, self.depth / 2.0
        return tuple(
            (x0 + c * x - s * y, y0 + s * x + c * y)
            for x, y in ((-w, -d), (w, -d), (w, d), (-w, d))
        )


def box_of(corners: Sequence[Point]) -> Box:
    """The box with these corners; for any other polygon the smallest box around it that lies
    along its first edge."""
    points = np.array(corners, float)
    x, y = points[1] - points[0]
    turn = round(math.degrees(math.atan2(y, x)), 9) % 360.0
    along = np.array([_cos(turn), _sin(turn)])
    across = np.array([-along[1], along[0]])
    moved = points - points[0]
    u, v = moved @ along, moved @ across
    middle = points[0] + (u.max() + u.min()) / 2 * along + (v.max() + v.min()) / 2 * across
    return Box((float(middle[0]), float(middle[1])), float(np.ptp(u)), float(np.ptp(v)), turn)


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def _sin(degrees: float) -> float:
    return math.sin(math.radians(degrees))
