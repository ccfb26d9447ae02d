"""The line in which one end of a flat blank is cut, with the tabs and notches of ends that are
turned down or around a corner."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from roofmodel.parts import Folded, folded
from roofmodel.parts.folding import Round
from roofmodel.shop.corners import turned_end
from roofmodel.shop.joints import EndKind, Joint
from roofmodel.shop.lines import Line
from roofmodel.systems import TrimProfile

Array = NDArray[np.float64]

_CHORDS: Final = 4
"""Chords per round: the farthest from its arc is 0.03 of a bend's radius at 90 degrees."""


_TURNS_MM: Final = 25.4
"""How far from the apex a cut that is fitted to the bends leaves the straight line."""
_SAME_MM: Final = 1e-9
_POKES_MM: Final = 0.5
"""Metal that reaches less far past a cut is left."""


class Tab(NamedTuple):
    """A bend line across a leg, where its end is turned down or around a corner: from (x, y) to
    (x, y), mm; `what` is beyond it; "down" is away from the colour side."""

    first: tuple[float, float]
    last: tuple[float, float]
    leg: str
    what: str
    direction: str = "down"


@dataclass(frozen=True, slots=True, eq=False)
class EndLine:
    """`points` (n, 2) across the blank, x from 0 to the girth, y mm from the start of the run's
    line. The slopes are dy towards the border over dx on the outermost leg of each side."""

    kind: EndKind
    points: Array
    tabs: tuple[Tab, ...]
    first_slope: float
    second_slope: float
    remark: str = ""

    @property
    def lowest(self) -> float:
        """The least y, mm."""
        return float(self.points[:, 1].min())

    @property
    def highest(self) -> float:
        """The greatest y, mm."""
        return float(self.points[:, 1].max())


def end_line(line: Line, bent: Folded, joint: Joint, at: float, *, at_end: bool) -> EndLine:
    """One end whose apex lies at `at` mm from the start of the run's line."""
    across, x, y, split = _stations(bent.profile, bent.fold)
    if joint.turn is not None:
        points, bend, leg, remark = turned_end(
            line, bent, joint.turn, (across, x, y), at, at_end=at_end
        )
        way = joint.turn.direction
        some = (Tab(*bend, leg, "tab around the corner", way),) if bend is not None else ()
        kind = joint.kind if some or joint.turn.wall is None else "square"
        return EndLine(kind, points, some, 0.0, 0.0, remark)
    crown = _crown(bent)
    first = _Cut.of(line, joint.first, joint.first_ball, crown)
    second = _Cut.of(line, joint.second, joint.second_ball, crown)
    k = -1
    if 0.0 < split < bent.girth:  # both sides have their say where they meet
        split, there = _meeting(first, second, crown) or (split, None)
        k = int(np.searchsorted(across, split - _SAME_MM))
        if across[k] - split > _SAME_MM:
            px, py = there or (np.interp(split, across, x), np.interp(split, across, y))
            across, x, y = np.insert(across, k, split), np.insert(x, k, px), np.insert(y, k, py)
    on_first, on_second = first.at(x, y, -x), second.at(x, y, _along_second(bent.fold, x, y))
    shift = np.where(across <= split, on_first, on_second)
    if k >= 0:
        shift[k] = (on_first[k] + on_second[k]) / 2.0
    ends = np.column_stack([across, at + shift])
    slopes = _slopes(bent, ends)
    if joint.kind not in ("turned down", "turned around the corner"):
        return EndLine(joint.kind, ends, (), *slopes)
    turned = _turned_down if joint.kind == "turned down" else _turned_around
    notched, tabs = turned(bent, ends, joint.extra, at_end=at_end)
    return EndLine(joint.kind if tabs else "square", notched, tabs, *slopes)


def cut_along(own: EndLine, cut: EndLine, *, at_end: bool) -> EndLine | None:
    """An end square across, cut back to where the end of the whole run is cut; None where it
    does not reach past it."""
    if cut.tabs:
        return None
    x = np.union1d(own.points[:, 0], cut.points[:, 0])
    mine, whole = (np.interp(x, e.points[:, 0], e.points[:, 1]) for e in (own, cut))
    past = mine - whole if at_end else whole - mine
    if past.max() <= _POKES_MM:
        return None
    k = np.flatnonzero(past[:-1] * past[1:] < 0.0)  # they cross between two corners
    crossed = x[k] + (x[k + 1] - x[k]) * past[k] / (past[k] - past[k + 1])
    x = np.union1d(x, crossed)
    mine, whole = (np.interp(x, e.points[:, 0], e.points[:, 1]) for e in (own, cut))
    y = np.minimum(mine, whole) if at_end else np.maximum(mine, whole)
    return replace(own, kind="cut lap", points=np.column_stack([x, y]))


@lru_cache(maxsize=256)
def _stations(profile: TrimProfile, fold: float) -> tuple[Array, Array, Array, float]:
    """Corners across the blank, where they come to lie from the apex, and where its second side
    begins."""
    bent = folded(profile, fold)
    across, points = bent.section("colour side", steps=_CHORDS)
    x, y = (points - bent.apex()).T
    crown = _crown(bent)
    if crown is not None:  # where cuts begin to turn towards the bend
        reach = _TURNS_MM - crown.setback
        ends = crown.begins, crown.begins + crown.allowance
        marks = [s for s in (ends[0] - reach, ends[1] + reach) if 0.0 < s < bent.girth]
        new = np.union1d(across, marks)
        x, y, across = np.interp(new, across, x), np.interp(new, across, y), new
    for values in (across, x, y):
        values.flags.writeable = False
    return across, x, y, bent.side_ends_at()


def _along_second(fold: float, x: Array, y: Array) -> Array:
    """How far along the second plane points of the section lie from the apex, mm."""
    turn = math.radians(fold)
    return x * math.cos(turn) - y * math.sin(turn)


class _Crown(NamedTuple):
    """The one round between the legs on both planes: where it begins on the blank and what it
    takes of it, mm; radius of the colour side, mm; its angle, radians."""

    begins: float
    allowance: float
    radius: float
    angle: float

    @property
    def setback(self) -> float:
        """How far from the apex it begins and ends, mm."""
        return self.radius * math.tan(self.angle / 2.0)

    def place(self, turned: float) -> tuple[float, float]:
        """(x, y) from the apex of its colour side where it has turned by so much."""
        r = self.radius
        return r * math.sin(turned) - self.setback, r * (math.cos(turned) - 1.0)


def _crown(bent: Folded) -> _Crown | None:
    """The bend of a cap; None where a part has more between its two sides, or is bent up."""
    legs = bent.profile.legs
    first = [k for k, leg in enumerate(legs) if leg.on == "first plane"]
    second = [k for k, leg in enumerate(legs) if leg.on == "second plane"]
    if not first or not second or second[0] != first[-1] + 1:
        return None
    turn = next(s for s in bent.stretches if isinstance(s, Round) and s.bend == first[-1])
    if not -180.0 < turn.angle < 0.0:
        return None
    radius = turn.inside_radius + bent.profile.metal.thickness
    return _Crown(bent.legs[first[-1]][1], turn.length, radius, math.radians(-turn.angle))


class _Cut(NamedTuple):
    """How far along the line a plane passes a point (x, y) of the section: b x + c y, mm, and in
    the bend `moved` mm more, to go through the ball there. On the leg it turns from one to the
    other: there both parts of a joint lie on one plane and can be cut along any one line, which
    is to end where their borders meet and where their bends do.
    """

    b: float = 0.0
    c: float = 0.0
    moved: float = 0.0
    setback: float = 0.0

    @staticmethod
    def of(line: Line, normal: Array | None, ball: Array | None, crown: _Crown | None) -> _Cut:
        """Of a plane through the apex of a part with this bend; of a square cut for None."""
        if normal is None:
            return _Cut()
        along = float(normal @ line.along)
        b, c = (0.0 - float(normal @ way) / along for way in (line.across, line.up))
        if ball is None or crown is None:
            return _Cut(b, c)
        return _Cut(b, c, crown.radius * float(normal @ ball) / along, crown.setback)

    def at(self, x: Array, y: Array, away: Array) -> Array:
        """For points (n,) that lie so far `away` from the apex along the plane that is cut on."""
        share = np.clip((_TURNS_MM - away) / (_TURNS_MM - self.setback), 0.0, 1.0)
        return self.b * x + self.c * y + self.moved * share


def _meeting(
    one: _Cut, two: _Cut, crown: _Crown | None
) -> tuple[float, tuple[float, float]] | None:
    """Where in the bend the cuts of both sides cross, nearest its middle: on the blank, and there
    (x, y); None where they do not."""
    if crown is None:
        return None
    b, c, a = one.b - two.b, one.c - two.c, one.moved - two.moved
    # a + b x + c y = 0 on the round: k + m sin(turned) + n cos(turned) = 0
    m, n = b * crown.radius, c * crown.radius
    k = a - b * crown.setback - n
    size = math.hypot(m, n)
    if size <= _SAME_MM or abs(k) > size:
        return None
    middle, half = math.atan2(m, n), math.acos(-k / size)
    turns = [math.remainder(t, math.tau) for t in (middle + half, middle - half)]
    turned = min(turns, key=lambda t: abs(t - crown.angle / 2.0))
    if not 0.0 <= turned <= crown.angle:
        return None
    return crown.begins + crown.allowance * turned / crown.angle, crown.place(turned)


def _slopes(bent: Folded, ends: Array) -> tuple[float, float]:
    """How the line slopes towards both borders on the legs that carry them."""
    legs = [k for k, leg in enumerate(bent.profile.legs) if leg.on] or [0]

    def slope(leg: int) -> float:
        a, b = bent.legs[leg]
        middle = (a + b) / 2.0  # near the bend a cut may turn
        a, b = (a, middle) if leg == legs[0] else (middle, b)
        y = np.interp([a, b], ends[:, 0], ends[:, 1])
        return float(y[1] - y[0]) / (b - a)

    return 0.0 - slope(legs[0]), 0.0 + slope(legs[-1])


def _turned_down(
    bent: Folded, ends: Array, extra: float, *, at_end: bool
) -> tuple[Array, tuple[Tab, ...]]:
    """An end whose last `extra` mm are bent down, leg by leg.

    Hems are cut away there. Legs that lean down from a bend would turn into each other: the notch
    opens from the bend by half its angle on each side.
    """
    into = -extra if at_end else extra

    def edge(x: float) -> float:
        return float(np.interp(x, ends[:, 0], ends[:, 1]))

    rows: list[tuple[float, float]] = [(0.0, edge(0.0) + into)]
    tabs = []
    gaps = [0.0, *(_gap(b.angle, extra) if b.direction == "down" else 0.0
                   for b in bent.bends if b.number >= 0), 0.0]  # fmt: skip
    for k, (a, b) in enumerate(bent.legs):
        left, right = a + gaps[k], b - gaps[k + 1]
        if left >= right:
            return ends, ()  # no room for a tab: the end is left as it is
        rows += [
            (a, edge(a) + into),
            (left, edge(left)),
            (right, edge(right)),
            (b, edge(b) + into),
        ]
        name = bent.profile.legs[k].name
        tabs.append(Tab((a, edge(a) + into), (b, edge(b) + into), name, "turned-down end"))
    rows.append((bent.girth, edge(bent.girth) + into))
    return np.array(rows), tuple(tabs)


def _turned_around(
    bent: Folded, ends: Array, extra: float, *, at_end: bool
) -> tuple[Array, tuple[Tab, ...]]:
    """An end whose upstand turns around a corner `extra` mm before it, while what lies on the
    roof runs on. Where the roof rises beside an upright upstand, the tab's foot is cut to it."""
    legs = bent.profile.legs
    up = next(k for k, leg in enumerate(legs) if leg.on == "second plane")
    if up == 0:
        return ends, ()
    into = -extra if at_end else extra
    far, corner = float(ends[0, 1]), float(ends[0, 1]) + into
    on_roof, foot, border = bent.legs[up - 1][1], bent.legs[up][0], bent.girth
    rise = max(0.0, math.tan(math.radians(90.0 - abs(bent.fold))))
    rows = [(0.0, far), (on_roof, far), (on_roof, corner), (foot, corner)]
    if rise * extra < border - foot - _POKES_MM:
        rows += [(foot + rise * extra, far), (border, far)]
    else:  # the roof passes the border before the tab's end
        rows.append((border, corner - into * min(1.0, (border - foot) / (rise * extra))))
    tab = Tab((foot, corner), (border, corner), legs[up].name, "tab around the corner")
    return np.array(rows), (tab,)


def _gap(angle: float, extra: float) -> float:
    return extra * math.tan(math.radians(angle) / 2.0)
