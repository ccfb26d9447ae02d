"""Corners of the roof that trim goes on past: what it meets there, and how much longer a part that
hangs square to the slope must be for its lower border to reach an upright corner.

Take-off counts by it and the shop cuts by it, so that both agree.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from roofmodel.surface import RoofEdge
from roofmodel.systems import EdgeKind, TrimRule
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.tolerance import HEAL_MM

Array = NDArray[np.float64]

Meeting = Literal["square", "pitch changes", "no such edge", "not square", "inside"]

CORNER: Final = "roof corner"
"""The kind of node where a plane's own ends meet."""
EAVES: Final = (EdgeKind.EAVE, EdgeKind.HIGH_EAVE)
_SQUARE_COSINE: Final = math.cos(math.radians(88.0))
"""Corners within 2 degrees of a right angle are square: a tab bent by 90 degrees lies there."""
_STEEPEST: Final = 3.0
"""Beside steeper planes a part hangs nearly along the corner and would reach it far down or not at
all: it goes on as at 36/12."""


class Beside(NamedTuple):
    """How an edge of the same plane meets a run's end, which edge, and its unit way (3,) from
    there; None where there is none that it could turn along."""

    meeting: Meeting
    edge: RoofEdge | None = None
    away: Array | None = None


def beside(
    kind: EdgeKind, own: Sequence[RoofEdge], place: Array, out: Array, outward: Array
) -> Beside:
    """What a rake or a high eave meets at a corner at `place` (3,). `own` are the other edges of
    its plane there; it comes the way `out` (3,), and in plan its plane ends `outward` (2,)."""
    if any(trim_kind(e) is EdgeKind.PITCH_TRANSITION for e in own):
        return Beside("pitch changes")
    wanted = EAVES if kind is EdgeKind.RAKE else (EdgeKind.RAKE,)
    edge = next((e for e in own if e.kind in wanted), None)
    if edge is None:
        return Beside("no such edge")
    away = away_from(edge, place)
    if not is_square(away, out):
        return Beside("not square", edge, away)
    if float(away[:2] @ outward) > 0.0:
        return Beside("inside", edge, away)
    return Beside("square", edge, away)


def plumb_length(
    rule: TrimRule, own: Sequence[RoofEdge], place: Array, out: Array, outward: Array
) -> float:
    """How much further (mm) trim that hangs down from a rake goes on at such a corner: an upright
    line runs rise over run along it for every 1 across what hangs, downhill at its foot."""
    fall = -float(out[2]) / max(float(np.hypot(out[0], out[1])), 1e-9)
    if min(rule.hang, rule.ends.get(CORNER, 0.0), fall) <= 0.0:
        return 0.0
    if beside(EdgeKind.RAKE, own, place, out, outward).meeting != "square":
        return 0.0
    further = rule.hang * min(fall, _STEEPEST)
    return further if further > HEAL_MM else 0.0


def is_square(away: Array, out: Array) -> bool:
    """Do two ways (3,) meet at a right angle in plan?"""
    return abs(float(level_way(away) @ level_way(out))) < _SQUARE_COSINE


def away_from(edge: RoofEdge, place: Array) -> Array:
    """The unit way (3,) of an edge from a node at one of its ends."""
    near = np.linalg.norm(edge.start - place) < np.linalg.norm(edge.end - place)
    way = edge.end - edge.start if near else edge.start - edge.end
    out: Array = way / np.linalg.norm(way)
    return out


def level_way(way: Array) -> Array:
    """The way in plan, unit."""
    out: Array = way[:2] / np.linalg.norm(way[:2])
    return out
