"""Strips longer than the longest panel: where their end laps lie. Lengths mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.systems import PanelRules
from roofmodel.tolerance import COUNT_EPS

_SHORTEST_MM = 304.8
"""A piece shows at least 12 in above its lap: common practice, no source."""
_AGREES_MM = 1e-6
_MANY = 20
"""A strip of more pieces is no roof's: its joints stay where they fall."""


def joints(
    low: float, high: float, rules: PanelRules, lap: float, beside: Sequence[float]
) -> list[float]:
    """Upper ends of all but the last piece of a strip from `low` to `high`, bottom to top.

    As few pieces as can be, as alike as can be: they are moved only to keep the stagger from the
    joints `beside`, those of the strip laid before. Where that cannot be there is one piece
    more, and where that does not help either the joints lie as far apart as they can.
    """
    longest, length = rules.longest, high - low
    if longest is None or length <= longest + _AGREES_MM:
        return []
    count = math.ceil((length - lap) / (longest - lap) - COUNT_EPS)
    for n in (count, count + 1):
        levels, room = _alike(low, length, n, longest, lap)
        moves = [0.0]
        moves += (
            []
            if n > _MANY
            else [
                p + side * rules.stagger - level
                for p in beside
                for level in levels
                for side in (1.0, -1.0)
            ]
        )
        fit = [
            m
            for m in moves
            if abs(m) <= room + _AGREES_MM
            and _apart(levels, m, beside) >= rules.stagger - _AGREES_MM
        ]
        if fit:
            move = min(fit, key=lambda m: (round(abs(m), 6), -m))
            return [level + move for level in levels]
    levels, room = _alike(low, length, count, longest, lap)
    move = max((0.0, room, -room), key=lambda m: _apart(levels, m, beside))
    return [level + move for level in levels]


def _alike(
    low: float, length: float, count: int, longest: float, lap: float
) -> tuple[list[float], float]:
    """Joints of pieces that are all as long, and how far all can be moved."""
    each = (length + (count - 1) * lap) / count
    levels = [low + k * each - (k - 1) * lap for k in range(1, count)]
    return levels, max(min(longest - each, each - lap - _SHORTEST_MM), 0.0)


def _apart(levels: Sequence[float], move: float, beside: Sequence[float]) -> float:
    return min((abs(level + move - p) for level in levels for p in beside), default=math.inf)
