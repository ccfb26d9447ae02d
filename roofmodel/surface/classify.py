"""The kind and the fold of a roof edge, from geometry alone.

A plane is given by its uphill gradient g = (dz/dx, dz/dy). An edge runs along the plan unit
vector d with the (first) plane to its left; `rise` is its own rise over run.

Formulas: handbook trigonometry of planes; the bend between two planes is
acos((1 + g1·g2) / (SF1·SF2)) with SF = sqrt(1 + |g|²), taken here by its tangent; the bend to a
vertical face is acos(sin a · cos γ), γ being the plan angle between the downslope
and the face's outward normal.
"""

from __future__ import annotations

import math
from functools import lru_cache

from roofmodel.systems import EdgeKind
from roofmodel.tolerance import ALONG_SLOPE_SINE, LEVEL_SLOPE

Vector = tuple[float, float]


def _left(d: Vector) -> Vector:
    return -d[1], d[0]


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _bend_to_vertical(g: Vector, outward: Vector) -> float:
    """Bend from flat, degrees, between a plane and a vertical face with this outward normal."""
    slope = math.hypot(*g)
    if slope == 0.0:
        return 90.0
    sine = slope / math.sqrt(1.0 + slope * slope)
    cos_gamma = -_dot(g, outward) / slope
    return math.degrees(math.acos(max(-1.0, min(1.0, sine * cos_gamma))))


def _uphill(g: Vector, side: Vector) -> int:
    """Does the plane rise (1), fall (-1) or run level (0) towards `side`?"""
    along = _dot(g, side)
    if abs(along) <= ALONG_SLOPE_SINE * math.hypot(*g):
        return 0
    return 1 if along > 0 else -1


@lru_cache(maxsize=4096)
def between(g1: Vector, g2: Vector, d: Vector, rise: float) -> tuple[EdgeKind, float, str]:
    """Kind, signed fold (degrees) and remark of the edge between two planes.

    The plane with gradient g1 lies to the left of d, the other to its right.
    """
    n = _left(d)
    right = (-n[0], -n[1])
    # cross product of the two normals: the tangent is exact for small bends, where acos is not
    cross = (g1[1] - g2[1], g2[0] - g1[0], g1[0] * g2[1] - g1[1] * g2[0])
    size = math.degrees(math.atan2(math.hypot(*cross), 1.0 + _dot(g1, g2)))
    convex = _dot((g1[0] - g2[0], g1[1] - g2[1]), n) < 0.0
    fold = size if convex else -size
    level = abs(rise) < LEVEL_SLOPE
    up1, up2 = _uphill(g1, n), _uphill(g2, right)
    if convex and up1 <= 0 and up2 <= 0:
        return (EdgeKind.RIDGE if level else EdgeKind.HIP), fold, ""
    if not convex and up1 >= 0 and up2 >= 0:
        remark = "This valley is level: water will stand in it." if level else ""
        return EdgeKind.VALLEY, fold, remark
    if level:
        return EdgeKind.PITCH_TRANSITION, fold, ""
    like = "hip" if convex else "valley"
    return (
        EdgeKind.PITCH_TRANSITION,
        fold,
        f"Water runs over this sloping line: trim it as a {like}.",
    )


@lru_cache(maxsize=4096)
def deck_edge(g: Vector, d: Vector, is_left: bool) -> tuple[EdgeKind, float, str]:
    """Kind and fold of the edge between a plane and a deck above it."""
    n = _left(d)
    slope = math.hypot(*g)
    below = _dot(g, n) < 0.0 if is_left else _dot(g, n) > 0.0
    fold = math.degrees(math.atan(slope))
    return EdgeKind.DECK_EDGE, fold if below else -fold, ""


@lru_cache(maxsize=4096)
def own_end(g: Vector, d: Vector, rise: float) -> tuple[EdgeKind, float, str]:
    """Kind, fold and remark of a plane's own end; the plane lies to the left of d."""
    n = _left(d)
    fold = _bend_to_vertical(g, (-n[0], -n[1]))
    if g == (0.0, 0.0):
        return EdgeKind.DECK_EDGE, fold, ""
    up = _uphill(g, n)
    if abs(rise) < LEVEL_SLOPE and up != 0:
        return (EdgeKind.EAVE if up > 0 else EdgeKind.HIGH_EAVE), fold, ""
    remark = "Water runs over this rake." if up > 0 else ""
    return EdgeKind.RAKE, fold, remark


@lru_cache(maxsize=4096)
def against_wall(g: Vector, d: Vector, rise: float) -> tuple[EdgeKind, float, str]:
    """Kind, fold and remark where a plane, to the left of d, ends against a wall above it."""
    n = _left(d)
    fold = -_bend_to_vertical(g, n)
    up = _uphill(g, n)
    if abs(rise) < LEVEL_SLOPE and (up < 0 or g == (0.0, 0.0)):
        return EdgeKind.HEADWALL, fold, ""
    remark = "Water runs against this wall." if up > 0 else ""
    return EdgeKind.SIDEWALL, fold, remark


@lru_cache(maxsize=4096)
def around_opening(g: Vector, d: Vector) -> tuple[EdgeKind, float, str]:
    """Kind and fold where a plane, to the left of d, ends at an opening's side."""
    n = _left(d)
    fold = -_bend_to_vertical(g, n)
    up = _uphill(g, n)
    if up == 0 and g != (0.0, 0.0):
        return EdgeKind.SIDE, fold, ""
    # a plane that rises away from the opening sends its water against it
    return (EdgeKind.UPHILL_SIDE if up > 0 else EdgeKind.DOWNHILL_SIDE), fold, ""
