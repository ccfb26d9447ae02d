"""In which direction a begun edge is meant to run, and lines that meet. Plan millimetres."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Final, Literal

Point = tuple[float, float]
Kind = Literal[
    "corner", "edge", "middle", "square to", "on the line of", "parallel", "right angle",
    "underlay line", "crossing",
]  # fmt: skip
"""What can be snapped to."""

NEAR_EDGE_DEG: Final = 7.0
"""The pointer means a multiple of 45 degrees from the edge before within this."""

NEAR_AXIS_DEG: Final = 4.0
"""The same from the axes and other edges: less, since a house a little out of square to a
picture is common."""

_AXIS: Final = 1e-9
"""A component of a unit vector below this is rounding, not a direction."""

_PARALLEL: Final = 1e-6
"""Sine below which lines do not meet."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line through `point` along `unit`; it counts from `low` to `high` along it."""

    point: Point
    unit: Point
    low: float
    high: float
    kind: Kind

    def along(self, p: Point) -> float:
        """How far along the line the foot of p lies, mm."""
        return (p[0] - self.point[0]) * self.unit[0] + (p[1] - self.point[1]) * self.unit[1]

    def at(self, t: float) -> Point:
        """The point that far along, mm."""
        return self.point[0] + t * self.unit[0], self.point[1] + t * self.unit[1]

    def meets(self, other: Line) -> Point | None:
        """Where both lines are, if they are there at all."""
        (ux, uy), (vx, vy) = self.unit, other.unit
        turn = ux * vy - uy * vx
        if abs(turn) < _PARALLEL:
            return None
        wx, wy = other.point[0] - self.point[0], other.point[1] - self.point[1]
        t = (wx * vy - wy * vx) / turn
        found = self.at(t)
        s = other.along(found)
        inside = self.low <= t <= self.high and other.low <= s <= other.high
        return found if inside else None


@dataclass(frozen=True, slots=True)
class Way:
    """The line along which a begun edge is meant to run, from its start, and why in words."""

    line: Line
    words: str


def way_of(
    others: Sequence[float],
    at: Point,
    begun: Sequence[Point],
    kinds: AbstractSet[str],
    *,
    own: bool = False,
) -> Way | None:
    """How the edge from the last corner of `begun` to the pointer `at` is meant to run.

    `others` are directions of edges about (degrees), `kinds` what counts. With `own` the edge
    must run along or square to one already begun, or else to one of `others`, or to the axes.
    """
    if not begun or math.dist(at, begun[-1]) == 0.0:
        return None
    start = begun[-1]
    meant = math.degrees(math.atan2(at[1] - start[1], at[0] - start[0]))
    for angle, near, kind, words in _directions(others, meant, begun, kinds, own):
        if abs((angle - meant + 180.0) % 360.0 - 180.0) <= near:
            ux, uy = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            # Along an axis the other component is exactly nothing, so right angles stay right.
            unit = (0.0 if abs(ux) < _AXIS else ux), (0.0 if abs(uy) < _AXIS else uy)
            return Way(Line(start, unit, 0.0, math.inf, kind), words)
    return None


def _directions(
    others: Sequence[float],
    meant: float,
    begun: Sequence[Point],
    kinds: AbstractSet[str],
    own: bool,
) -> Iterator[tuple[float, float, Kind, str]]:
    """(direction, how near the pointer must be, kind, words), the ones meant most first."""
    edges = [
        math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) for a, b in itertools.pairwise(begun)
    ]
    if own:
        bases = edges or list(others[:12]) or [0.0]
        turned = [base + 90.0 * round((meant - base) / 90.0) for base in bases]
        yield min(turned, key=lambda a: abs(a - meant)), 360.0, "parallel", "Own direction"
        return
    if edges and "right angle" in kinds:
        eighths = round((meant - edges[-1]) / 45.0)
        words = {0: "Straight on", 2: "Right angle", 4: "Straight back"}.get(
            abs((eighths + 3) % 8 - 3), "Half a right angle"
        )
        yield edges[-1] + 45.0 * eighths, NEAR_EDGE_DEG, "right angle", words
    found: list[tuple[float, Kind, str]] = []
    if "parallel" in kinds:
        for base in (*edges[:-1], *others[:40]):
            quarters = round((meant - base) / 90.0)
            words = "Square to another edge" if quarters % 2 else "Parallel to another edge"
            found.append((base + 90.0 * quarters, "parallel", words))
    # Nearest first; an edge goes before an axis that is as near.
    found.sort(key=lambda o: abs(o[0] - meant))
    if found:
        yield found[0][0], NEAR_AXIS_DEG, found[0][1], found[0][2]
    if "right angle" in kinds:
        yield 45.0 * round(meant / 45.0), NEAR_AXIS_DEG, "right angle", "Along the grid"
