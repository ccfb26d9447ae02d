"""Ends of trim that go on past a corner of the roof or of a wall: what is turned around it, what
runs on, what is notched.

Three kinds of runs do so: rake trim at an eave, a high-eave cap at a rake, a headwall flashing
where its wall ends or turns. Their leg on the first plane ends where that plane or its panels do;
the leg on the second plane, which hangs down a face or stands up a wall, is bent along the
upright corner, and its tab lies on the next face or wall, cut so that it does not pass the roof
there. What lies beyond that leg (kick, hem) ends at the corner, as does the bend before it.

Coordinates: along the run from its node outwards, mm; in the blank, x across it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.parts import Folded
from roofmodel.shop.lines import LEAST_SINE, Line, Roof
from roofmodel.surface import Node, RoofEdge, Wall
from roofmodel.systems import EdgeKind
from roofmodel.systems.profiles import LEAST_LEG
from roofmodel.takeoff.trim_corners import (
    CORNER,
    Meeting,
    away_from,
    beside,
    is_square,
    level_way,
)
from roofmodel.tolerance import HEAL_MM

Array = NDArray[np.float64]

CornerKind = Literal["square", "turned around the corner", "runs on along the wall"]

_WALLS: Final = (EdgeKind.HEADWALL, EdgeKind.SIDEWALL)
_CORNERS: Final = {
    EdgeKind.RAKE: CORNER,
    EdgeKind.HIGH_EAVE: CORNER,
    EdgeKind.HEADWALL: "wall corner",
}
_UP: Final = np.array([0.0, 0.0, 1.0])
_STRAIGHT_COSINE: Final = math.cos(math.radians(2.0))
_NONE_MM: Final = 1e-9
_NEAR_MM: Final = 50.0
"""So far from a corner its walls are looked for: less than any flashing goes on, and than any wall
is long."""
_SHORT_MM: Final = 1.0
_TOOTH_MM: Final = 0.5
"""Nobody cuts a notch less deep."""

_ODD_CORNER: Final = (
    "the corner it goes past is not square in plan: it is cut square, notch and turn it there"
)
_OTHER_CORNER: Final = "at the corner it goes past it is cut square: notch it and fit it there"
_PITCH_CHANGES: Final = (
    "where the pitch changes it is cut square: notch its leg down the gable at the break, lap the"
    " upper trim over the lower"
)
_INSIDE: Final = "it goes on past an inside corner and is cut square: cut and turn it there"
_NO_ROOM: Final = (
    "too little goes on past the corner to be turned around it: it is cut square, close the corner"
    " with sealant"
)
_SHORT: Final = (
    "below its tab the leg ends square, short of the upright corner: the eave's trim covers it"
)
_NOT_TURNED: Final[dict[Meeting, str]] = {
    "pitch changes": _PITCH_CHANGES,
    "no such edge": _OTHER_CORNER,
    "not square": _ODD_CORNER,
    "inside": _INSIDE,
}


@dataclass(frozen=True, slots=True, eq=False)
class Turn:
    """How an end goes on past its node. What lies on the first plane ends `on_roof` mm past it,
    or earlier at the plane with the normal `roof` (3,). `wall` is the normal (3,), away from the
    run, of the upright plane that the tab comes to lie in, None where nothing is turned; along it
    the roof rises by `rise` over run. The tab is `wide` mm at most, below the roof where the leg
    `hangs`, above it where it stands, and bent `direction`. Nothing goes on farther than `far`,
    which is counted: more than `wide` where the corner runs across the leg aslant."""

    on_roof: float
    wide: float
    far: float
    hangs: bool
    roof: Array | None = None
    wall: Array | None = None
    rise: float = 0.0
    direction: Literal["up", "down"] = "down"


class Corner(NamedTuple):
    """What happens at one corner; `turn` None is a square end."""

    kind: CornerKind
    turn: Turn | None
    remark: str


class TurnedEnd(NamedTuple):
    """Corners (n, 2) of an end across the blank, x from 0 to the girth, y mm from the start of
    the run's line; the line its tab is bent along from (x, y) to (x, y), None where it has none,
    and the name of its leg."""

    points: Array
    bend: tuple[tuple[float, float], tuple[float, float]] | None
    leg: str
    remark: str


def corner_at(
    kind: EdgeKind,
    roof: Roof,
    line: Line,
    node: Node,
    others: Sequence[RoofEdge],
    inward: Array,
    extra: float,
    further: float,
    shifts: Mapping[EdgeKind, float],
) -> Corner | None:
    """How a run that comes the way `inward` from a node, and goes on `extra` mm past it with its
    tab, and what hangs down `further`, ends there; None where it is no such corner. `others` are
    the other edges at the node, `shifts` how far panels lie past edges (mm)."""
    out = -inward
    if extra <= 0.0 or node.kind != _CORNERS.get(kind):
        return None
    if kind is EdgeKind.HEADWALL:
        return _at_a_wall(roof.walls, line, node, others, out, extra)
    own = [e for e in others if line.first in e.planes]
    meeting, edge, away = beside(kind, own, node.place, out, line.across[:2])
    if meeting != "square":
        return Corner("square", None, _NOT_TURNED[meeting])
    assert edge is not None
    assert away is not None
    wall, rise = _facing(_upright(away), out), _rise(away)
    far = extra + further
    if kind is EdgeKind.RAKE:  # on the panels as far as they go
        on_roof = min(far, max(0.0, shifts.get(edge.kind, far)))
        turn = Turn(on_roof, extra, far, True, None, wall, rise)
    else:
        turn = Turn(0.0, extra, far, True, wall, wall, rise)
    return Corner("turned around the corner", turn, "")


def _at_a_wall(
    standing: Sequence[Wall],
    line: Line,
    node: Node,
    others: Sequence[RoofEdge],
    out: Array,
    extra: float,
) -> Corner:
    """The end of a flashing whose upstand stands on a wall."""
    walls = [(e, away_from(e, node.place)) for e in others if e.kind in _WALLS]
    own = [away_from(e, node.place) for e in others if line.first in e.planes]
    into = line.across[:2]  # to the wall
    square = [(e, away) for e, away in walls if is_square(away, out)]
    for edge, away in sorted(square, key=lambda item: float(item[1][:2] @ into)):
        wall, rise = _facing(_upright(away), out), _rise(away)
        if float(away[:2] @ into) < 0.0:  # the other wall stands in the way
            turn = Turn(0.0, extra, extra, False, _upright(away), wall, rise, "up")
        elif line.first in edge.planes:  # the roof goes on beside the wall
            turn = Turn(extra, extra, extra, False, None, wall, rise)
        else:
            turn = Turn(extra, extra, extra, False, _ended_by(own, line), wall, rise)
        return Corner("turned around the corner", turn, "")
    if any(abs(float(level_way(away) @ level_way(out))) < _STRAIGHT_COSINE for _, away in walls):
        return Corner("square", None, _ODD_CORNER)
    roof = _ended_by(own, line)
    if roof is None:
        return Corner("square", None, _OTHER_CORNER)
    back = np.array([*level_way(line.across), 0.0])
    if not _stands(standing, node.place, out) and _stands(standing, node.place, back):
        wall = _facing(_upright(back), out)  # the roof ends where its wall does
        turn = Turn(extra, extra, extra, False, roof, wall)
        return Corner("turned around the corner", turn, "")
    return Corner("runs on along the wall", Turn(extra, extra, extra, False, roof), "")


def _stands(walls: Sequence[Wall], place: Array, way: Array) -> bool:
    """Does a wall stand a little up and a little way on from a place?"""
    level = np.array([*level_way(way), 0.0])
    point = place + _NEAR_MM * level + _NEAR_MM * _UP
    for wall in walls:
        off = wall.outline - point
        if float(np.abs(off @ np.cross(level, _UP)).max()) > HEAL_MM:
            continue
        face = shapely.Polygon(np.column_stack([off @ level, off[:, 2]]))
        if face.covers(shapely.Point(0.0, 0.0)):
            return True
    return False


def _ended_by(own: Sequence[Array], line: Line) -> Array | None:
    """The normal of the upright plane along the other end of the first plane."""
    some = [n for n in map(_upright, own) if abs(float(n @ line.along)) > LEAST_SINE]
    return some[0] if some else None


def turned_end(
    line: Line,
    bent: Folded,
    turn: Turn,
    section: tuple[Array, Array, Array],
    at: float,
    *,
    at_end: bool,
) -> TurnedEnd:
    """The end whose farthest corners lie at `at` mm from the start of the run's line. `section`
    are the corners across the blank and where they lie from the apex, x and y, (n,) each."""
    sign = 1.0 if at_end else -1.0
    across, x, y = section
    node = at - sign * turn.far
    legs = bent.profile.legs
    up = next((k for k, leg in enumerate(legs) if leg.on == "second plane"), 0)
    if up == 0:
        return TurnedEnd(np.array([(0.0, at), (bent.girth, at)]), None, "", "")

    def passing(normal: Array) -> Array:
        """How far out a plane through the apex passes each corner of the section."""
        along = sign * float(normal @ line.along)
        out: Array = -(x * float(normal @ line.across) + y * float(normal @ line.up)) / along
        return out

    (_, before), (foot, border) = bent.legs[up - 1], bent.legs[up]
    side = across <= before + _NONE_MM
    first = np.full_like(across, turn.on_roof)
    if turn.roof is not None:
        first = passing(turn.roof)
    rows = _lower(across[side], first[side], turn.on_roof)
    beyond = across >= border - _NONE_MM
    bend = None
    remark = ""
    if turn.wall is None:
        rows += [(before, rows[-1][1]), (foot, rows[-1][1]), (foot, turn.far)]
        rows.append((bent.girth, turn.far))
    else:
        corner = passing(turn.wall)
        fold = np.interp([foot, border], across, corner)
        tab, bend = _tab(line, turn, (foot, border), fold, (across, x, y), sign)
        rows += [(before, float(fold[0])), (foot, float(fold[0])), *tab]
        rows += _lower(across[beyond], corner[beyond], turn.far)
        if bend is None:
            remark = _NO_ROOM
            rows = [(0.0, turn.wide), (bent.girth, turn.wide)]
        elif turn.hangs and fold[1] > turn.far + _SHORT_MM:
            remark = _SHORT
    points = np.array(rows)
    points[:, 1] = node + sign * points[:, 1]
    if bend is not None:
        (a, low), (b, high) = bend
        bend = (a, node + sign * low), (b, node + sign * high)
    return TurnedEnd(points, bend, legs[up].name, remark)


def _tab(
    line: Line,
    turn: Turn,
    leg: tuple[float, float],
    fold: Array,
    section: tuple[Array, Array, Array],
    sign: float,
) -> tuple[list[tuple[float, float]], tuple[tuple[float, float], tuple[float, float]] | None]:
    """The end of the leg that is turned, (x, out), and the line its tab is bent along.

    Everything is linear in x across the leg and in the way out: how far a point comes to lie from
    the corner along the next wall, and how high. So every limit of the tab is a line.
    """
    assert turn.wall is not None
    across, x, y = section
    foot, border = leg
    out = sign * line.along
    ends = [
        float(np.interp(a, across, x)) * line.across + float(np.interp(a, across, y)) * line.up
        for a in leg
    ]
    level = level_way(out) @ turn.wall[:2]
    grows = float(out @ turn.wall) / float(level)  # from the corner, per mm along the run
    start = [float(p @ turn.wall) / float(level) for p in ends]
    limits = [np.full(2, turn.far), np.array([(turn.wide - s) / grows for s in start])]
    # height over the roof at the next wall, z − rise · s, from where the leg leaves the bend: a
    # bend's setback clear of the roof, and no step in the cut
    climbs = float(out[2]) - turn.rise * grows
    over = [float(p[2]) - turn.rise * s for p, s in zip(ends, start, strict=True)]
    over = [h - over[0] - climbs * float(fold[0]) for h in over]
    if (climbs > _NONE_MM) if turn.hangs else (climbs < -_NONE_MM):
        limits.append(np.array([-h / climbs for h in over]))
    known = [*limits, fold]
    stops = {0.0, 1.0}
    for k, one in enumerate(known):
        for two in known[k + 1 :]:
            apart = one - two
            if apart[0] * apart[1] < 0.0:
                stops.add(float(apart[0] / (apart[0] - apart[1])))

    def on(ends: Array, t: float) -> float:
        return float(ends[0] + t * (ends[1] - ends[0]))

    rows, folded = [], []
    for t in sorted(stops):
        far = min(on(limit, t) for limit in limits)
        here = min(on(fold, t), turn.far)
        rows.append((foot + t * (border - foot), max(far, here)))
        folded.append((rows[-1][0], here, (far - on(fold, t)) * grows))
    if max(room for *_, room in folded) < LEAST_LEG:
        return rows, None
    open_at = [
        k
        for k in range(len(folded))
        if max(room for *_, room in folded[max(k - 1, 0) : k + 2]) > _NONE_MM
    ]
    first, last = folded[open_at[0]], folded[open_at[-1]]
    return rows, ((first[0], first[1]), (last[0], last[1]))


def _lower(across: Array, far: Array, most: float) -> list[tuple[float, float]]:
    """A line across the blank, nowhere farther out than `most`."""
    far = np.where(np.abs(far - most) < _TOOTH_MM, most, far)
    past = far - most
    k = np.flatnonzero(past[:-1] * past[1:] < 0.0)
    crossed = across[k] + (across[k + 1] - across[k]) * past[k] / (past[k] - past[k + 1])
    where = np.union1d(across, crossed)
    rows = np.column_stack([where, np.minimum(np.interp(where, across, far), most)])
    return [(float(a), float(b)) for a, b in rows]


def _rise(away: Array) -> float:
    """Rise over run along an edge."""
    return float(away[2]) / float(np.hypot(away[0], away[1]))


def _upright(way: Array) -> Array:
    """The unit normal of the upright plane along a way."""
    normal = np.cross(way, _UP)
    out: Array = normal / np.linalg.norm(normal)
    return out


def _facing(normal: Array, out: Array) -> Array:
    return normal if float(normal @ out) > 0.0 else -normal
