"""Trim along the roof's edges: runs over nodes, and the pieces that cover each with laps."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import Final

import numpy as np

from roofmodel.surface import EdgeId, PlaneId, RoofEdge, Surface
from roofmodel.systems import EdgeKind, TrimRule
from roofmodel.systems.joining import joined_name
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.formula import size, sum_of
from roofmodel.takeoff.trim_corners import CORNER, plumb_length
from roofmodel.takeoff.trim_runs import Lie, lies_of, runs_of, straight_on
from roofmodel.takeoff.trim_sides import first_plane, lies_left
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.tolerance import COUNT_EPS, HEAL_MM
from roofmodel.units import MM_PER_IN, LengthUnits, format_length

LEAST_PIECE_MM: Final = 304.8
"""A piece shorter than 12 in is hard to fasten and looks patched: common practice, no source."""

_CUT_ALONG: Final = (
    *(EdgeKind.EAVE, EdgeKind.HIGH_EAVE, EdgeKind.DECK_EDGE, EdgeKind.VALLEY),
    *(EdgeKind.HEADWALL, EdgeKind.SIDEWALL),
)
"""What a cap or pan that runs into it is cut along; caps that meet caps are mitred."""
_LEAST_SINE: Final = 1e-3
_MOST_PAST: Final = 3.0
"""Where a part runs nearly along what cuts it, the cut would never end: it is cut off at so many
times the part's width."""
_NO_CUT: Final = 1e-6
"""A piece that passes a mark of the rule by this share of it is that long: rounding."""


def pieces_for(run: float, stock: float, lap: float) -> int:
    """The fewest pieces n with n * stock - (n - 1) * lap >= run; at least 1. Lengths in mm.

    >>> pieces_for(12192.0, 3200.4, 101.6)
    4
    """
    return max(1, math.ceil((run - lap) / (stock - lap) - COUNT_EPS))


def cut_unit(units: LengthUnits) -> float:
    """What lengths are cut to, mm: the fraction of an inch that the lists show, or 1 mm."""
    return MM_PER_IN / units.fraction if units.system == "feet" else 1.0


def cuts_for(run: float, stock: float, lap: float, unit: float) -> tuple[float, ...]:
    """The lengths of the fewest pieces that cover a run with laps, longest first, all in mm.

    Whole stock lengths and one remainder; where that would be under 12 in, it and one whole
    length become two of one length. Remainders are rounded up to whole `unit`.

    >>> cuts_for(1000.0, 400.0, 100.0, 1.0)  # 3 × 400 − 2 × 100 covers it to the mm
    (400.0, 400.0, 400.0)
    >>> cuts_for(1020.0, 400.0, 100.0, 1.0)  # 120 more would do, but in a piece too short
    (400.0, 400.0, 260.0, 260.0)
    """
    n = pieces_for(run, stock, lap)
    rest = run - (n - 1) * (stock - lap)
    if n == 1 or rest >= LEAST_PIECE_MM * (1.0 - _NO_CUT):
        return (stock,) * (n - 1) + (_up(rest, stock, unit),)
    return (stock,) * (n - 2) + (_up((stock + rest) / 2.0, stock, unit),) * 2


def _up(length: float, stock: float, unit: float) -> float:
    """The length rounded up to whole units; the stock where that would be longer."""
    whole = max(1, math.ceil(length / unit - _NO_CUT)) * unit
    return stock if whole >= stock * (1.0 - _NO_CUT) else whole


def trim_of(
    surface: Surface,
    edges: Sequence[RoofEdge],
    coverings: Coverings,
    units: LengthUnits,
    panelled: Collection[PlaneId],
) -> tuple[TrimRun, ...]:
    """Trim runs in the order of these edges of the roof: all the parts of an edge, and on each
    plane those that lie on its panels (`panelled` are the planes that take some). Edges of one
    building and one system that go on straight are one run."""
    onwards = straight_on(edges)
    runs: list[tuple[list[int], int, TrimRun]] = []
    bench = _Bench(surface, coverings, units)
    for lie, members in lies_of(surface, edges, coverings, panelled).items():
        rule = coverings.systems[lie.system].trim[lie.kind][lie.rule]
        for run in runs_of(edges, members, onwards, of_one_fold=rule.bent_to_roof):
            runs.append((run, lie.rule, bench.covered([edges[k] for k in run], rule, lie)))
    return tuple(made for *_, made in sorted(runs, key=lambda r: r[:2]))


class _Bench:
    """Makes runs of one roof."""

    def __init__(self, surface: Surface, coverings: Coverings, units: LengthUnits) -> None:
        self._planes = {p.id: p for p in surface.planes}
        self._coverings, self._units = coverings, units
        some = (r for s in coverings.systems.values() for rules in s.trim.values() for r in rules)
        self._edges = {e.id: e for e in surface.edges}
        asked = any(r.ends or r.reach for r in some)
        self._nodes, self._met = _nodes(surface, self._edges) if asked else ({}, {})

    def covered(self, some: Sequence[RoofEdge], rule: TrimRule, lie: Lie) -> TrimRun:
        """One run along these edges with its pieces."""
        units = self._units
        length = math.fsum(e.length for e in some)
        ends = _ends_of(some)
        kinds = [self._nodes.get(end, "") for end in ends]
        more = [(rule.ends[kind], kind) for kind in kinds if rule.ends.get(kind)]
        if rule.reach:
            for end, kind in zip(ends, kinds, strict=True):
                past = self._past_end(end, rule.reach)
                if past > HEAL_MM:
                    more.append((past, f"corners past the {kind or 'end'}"))
        if rule.hang and lie.kind is EdgeKind.RAKE:
            feet = [self._foot(e, rule) for e, k in zip(ends, kinds, strict=True) if k == CORNER]
            more += [(further, "foot, cut plumb") for further in feet if further > 0.0]
        needed = length + sum(extra for extra, _ in more)
        lap = self._lap(some, rule, lie.plane)
        stocks = sorted({rule.stock_length, *rule.more_stock})
        cuts = cuts_for(needed, stocks[-1], lap, cut_unit(units))
        words = [f"covers {format_length(length, units)}"]
        words += [
            f"{_times(n, size(extra, units))} at the {kind}"
            for (extra, kind), n in Counter(more).items()
        ]
        name = " and ".join(e.name for e in some)
        pair = lie.pair
        side = "" if lie.plane is None else self._planes[lie.plane].name
        words = [" + ".join(words)]
        if not side:
            words += dict.fromkeys(w for e in some if (w := self._coverings.shared_words(e)))
        return TrimRun(
            tuple(e.id for e in some),
            f"{name}, {side} side" if side else name,
            lie.kind,
            joined_name(pair.first, pair.second) if pair else rule.part,
            length,
            needed,
            abs(some[0].fold) if rule.bent_to_roof else 0.0,
            stocks[-1],
            tuple(stocks),
            rule.kerf,
            lap,
            cuts,
            _sum_of_cuts(cuts, lap, units),
            rule.source,
            lie.system,
            lie.building,
            ", ".join(words),
            lie.plane,
            rule.bent_to_roof and some[0].fold < 0.0,
            (pair.first, pair.second) if pair else None,
            first_plane(some[0], pair, self._planes),
            rule.part if pair else "",
        )

    def _past_end(self, end: tuple[EdgeId, int], reach: float) -> float:
        """How far the corners of a part that lies `reach` mm wide on each plane go on past an end
        that is cut along the edge it runs into: an eave, a wall, a valley.

        On each plane that edge passes the part's border where it has gone `reach` away from the
        part's line; how far it has gone on along the line by then is what is asked.
        """
        edge = self._edges[end[0]]
        place, out = (edge.end, edge.start) if end[1] else (edge.start, edge.end)
        onward = (place - out) / edge.length
        longest = 0.0
        for other in self._met.get(end, ()):
            beside = self._edges[other]
            if beside.kind not in _CUT_ALONG:
                continue
            if not set(edge.planes) & set(beside.planes):
                continue
            near = math.dist(beside.start, place) < beside.length / 2.0
            away = (beside.end - beside.start) / beside.length * (1.0 if near else -1.0)
            cosine = float(away @ onward)
            sine = math.sqrt(max(1.0 - cosine * cosine, 0.0))
            if sine > _LEAST_SINE:
                longest = max(longest, min(reach * cosine / sine, _MOST_PAST * reach))
        return longest

    def _foot(self, end: tuple[EdgeId, int], rule: TrimRule) -> float:
        """How much further trim that hangs down from a rake goes on past its end at a corner."""
        edge = self._edges[end[0]]
        plane = next((p for p in edge.planes if p in self._planes), None)
        if plane is None:
            return 0.0
        place, back = (edge.end, edge.start) if end[1] else (edge.start, edge.end)
        out = (place - back) / edge.length
        right = np.array([out[1], -out[0]])
        outward = right if lies_left(self._planes[plane], edge, out) else -right
        met = (self._edges[other] for other in self._met.get(end, ()))
        own = [other for other in met if plane in other.planes]
        return plumb_length(rule, own, place, out, outward)

    def _lap(self, some: Sequence[RoofEdge], rule: TrimRule, plane: PlaneId | None) -> float:
        """The lap of the flattest plane beside a run."""
        beside = [plane] if plane is not None else [p for e in some for p in e.planes]
        flattest = min((self._planes[p].slope for p in beside if p in self._planes), default=1.0)
        is_low = rule.low_lap is not None and flattest < rule.low_slope - COUNT_EPS
        return rule.low_lap if is_low and rule.low_lap is not None else rule.lap


def _sum_of_cuts(cuts: Sequence[float], lap: float, units: LengthUnits) -> str:
    """Lengths less laps as a formula: ``3 × 10'-6" + 9'-6" − 3 × 4"``."""
    terms = [_times(n, format_length(c, units)) for c, n in Counter(cuts).items()]
    laps = len(cuts) - 1
    return sum_of(terms) + (f" − {_times(laps, size(lap, units))}" if laps and lap else "")


def _times(count: int, length: str) -> str:
    return length if count == 1 else f"{count} × {length}"


def _nodes(
    surface: Surface, edges: Mapping[EdgeId, RoofEdge]
) -> tuple[dict[tuple[EdgeId, int], str], dict[tuple[EdgeId, int], tuple[EdgeId, ...]]]:
    """The kind of node at the start (0) and the end (1) of every edge, and what meets there."""
    kinds: dict[tuple[EdgeId, int], str] = {}
    meeting: dict[tuple[EdgeId, int], tuple[EdgeId, ...]] = {}
    for node in surface.nodes:
        place = node.place.tolist()
        for ident in node.edges:
            edge = edges[ident]
            near = [math.dist(place, p.tolist()) for p in (edge.start, edge.end)]
            end = ident, int(near[1] < near[0])
            kinds[end] = node.kind
            meeting[end] = tuple(other for other in node.edges if other != ident)
    return kinds, meeting


def _ends_of(run: Sequence[RoofEdge]) -> tuple[tuple[EdgeId, int], tuple[EdgeId, int]]:
    """The two outer ends of edges on one line: (edge, 0 at its start or 1 at its end)."""
    if len(run) == 1:
        return (run[0].id, 0), (run[0].id, 1)
    way = run[0].end - run[0].start
    along = [(float(p @ way), (e.id, end)) for e in run for end, p in enumerate((e.start, e.end))]
    return min(along, key=lambda a: a[0])[1], max(along, key=lambda a: a[0])[1]
