"""Where the edges of a traced line cross one another. Pure functions over millimetres."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from roofmodel.document import Point

SAME_MM = 1.0
"""Points nearer than this are one corner."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """Edges number `first` < `second` (from 0) of a line meet at `at`, mm."""

    first: int
    second: int
    at: Point


def open_ring(corners: Sequence[Point]) -> tuple[Point, ...]:
    """The corners without a last one that repeats the first."""
    ring = tuple(corners)
    if len(ring) > 1 and math.dist(ring[0], ring[-1]) < SAME_MM:
        return ring[:-1]
    return ring


def crossings(points: Sequence[Point]) -> list[Crossing]:
    """Every two edges of the line through `points` (mm) that cross, touch or lie on each other.

    Edges that follow each other share a corner and only count where the second runs back over
    the first; a line that ends where it began is a ring.

    >>> crossings([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 5.0), (5.0, -5.0)])
    [Crossing(first=0, second=3, at=(5.0, 0.0))]
    """
    edges = list(itertools.pairwise(points))
    ring = len(edges) > 2 and math.dist(points[0], points[-1]) < SAME_MM
    found = []
    for j, (c, d) in enumerate(edges):
        for i in range(j):
            a, b = edges[i]
            if i == j - 1:
                at = c if _runs_back(a, b, d) else None
            elif ring and i == 0 and j == len(edges) - 1:
                at = a if _runs_back(c, d, b) else None
            else:
                at = meeting(a, b, c, d)
            if at is not None:
                found.append(Crossing(i, j, at))
    return found


def meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """A point common to the segments a b and c d (mm), or None.

    >>> meeting((0.0, 0.0), (4.0, 0.0), (1.0, -1.0), (1.0, 3.0))
    (1.0, 0.0)
    """
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    wx, wy = c[0] - a[0], c[1] - a[1]
    turn = ux * vy - uy * vx
    if abs(turn) > 1e-9 * math.hypot(ux, uy) * math.hypot(vx, vy):
        s, t = (wx * vy - wy * vx) / turn, (wx * uy - wy * ux) / turn
        inside = -1e-9 <= s <= 1 + 1e-9 and -1e-9 <= t <= 1 + 1e-9
        return (a[0] + s * ux, a[1] + s * uy) if inside else None
    return next(
        (p for p, q, r in ((c, a, b), (d, a, b), (a, c, d), (b, c, d)) if _lies_on(p, q, r)), None
    )


def _lies_on(p: Point, a: Point, b: Point) -> bool:
    return math.dist(a, p) + math.dist(p, b) - math.dist(a, b) < 1e-6


def _runs_back(a: Point, b: Point, d: Point) -> bool:
    """Whether the edge from b to d lies back over the edge from a to b."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - b[0], d[1] - b[1]
    sizes = math.hypot(ux, uy) * math.hypot(vx, vy)
    return ux * vx + uy * vy < 0 and abs(ux * vy - uy * vx) < 1e-6 * sizes
