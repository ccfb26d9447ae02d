"""Trim along the roof's edges: runs over nodes, and the pieces that cover each with laps."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from roofmodel.surface import EdgeId, RoofEdge, Surface
from roofmodel.systems import EdgeKind, TrimRule
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.tolerance import COUNT_EPS, HEAL_MM, SAME_FOLD_DEG
from roofmodel.units import MM_PER_IN, LengthUnits, format_length

LEAST_PIECE_MM: Final = 304.8
"""A piece shorter than 12 in is hard to fasten and looks patched: common practice, no source."""

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
    if n == 1 or rest >= LEAST_PIECE_MM:
        return (stock,) * (n - 1) + (_up(rest, stock, unit),)
    return (stock,) * (n - 2) + (_up((stock + rest) / 2.0, stock, unit),) * 2


def _up(length: float, stock: float, unit: float) -> float:
    """The length rounded up to whole units; the stock where that would be longer."""
    return min(stock, max(1, math.ceil(length / unit - _NO_CUT)) * unit)


def trim_kind(edge: RoofEdge) -> EdgeKind:
    """The kind an edge is trimmed as: a sloping pitch transition like a hip or a valley."""
    if edge.kind is EdgeKind.PITCH_TRANSITION and edge.remark:
        return EdgeKind.HIP if edge.fold > 0 else EdgeKind.VALLEY
    return edge.kind


def trim_of(
    surface: Surface, edges: Sequence[RoofEdge], coverings: Coverings, units: LengthUnits
) -> tuple[TrimRun, ...]:
    """Trim runs in the order of these edges of the roof; edges of one building and one system
    that go on straight are one run. A kind that the system has no trim for takes none."""
    groups: dict[tuple[str, str, EdgeKind], list[int]] = defaultdict(list)
    for k, edge in enumerate(edges):
        system = coverings.trim_system(edge)
        kind = trim_kind(edge)
        if system is not None and kind in system.trim:
            groups[system.id, coverings.edges[edge.id].building, kind].append(k)
    slopes = {p.id: p.slope for p in surface.planes}
    asked = any(r.ends for s in coverings.systems.values() for r in s.trim.values())
    nodes = _node_kinds(surface) if asked else {}
    runs: list[tuple[list[int], TrimRun]] = []
    for (system_id, building, kind), members in groups.items():
        rule = coverings.systems[system_id].trim[kind]
        for run in _runs(edges, members):
            some = [edges[k] for k in run]
            flattest = min((slopes[p] for e in some for p in e.planes if p in slopes), default=1.0)
            shared = dict.fromkeys(words for e in some if (words := coverings.shared_words(e)))
            ends = [nodes.get(end, "") for end in _ends_of(some)]
            made = _covered(some, rule, flattest, ends, shared, units, system_id, building)
            runs.append((run, made))
    return tuple(made for _, made in sorted(runs, key=lambda r: r[0]))


def _covered(
    some: Sequence[RoofEdge],
    rule: TrimRule,
    flattest: float,
    ends: Sequence[str],
    shared: Mapping[str, None],
    units: LengthUnits,
    system: str,
    building: str,
) -> TrimRun:
    """One run with its pieces; `ends` are the kinds of nodes at both."""
    length = sum(e.length for e in some)
    more = [(rule.ends[kind], kind) for kind in ends if rule.ends.get(kind)]
    needed = length + sum(extra for extra, _ in more)
    is_low = rule.low_lap is not None and flattest < rule.low_slope - COUNT_EPS
    lap = rule.low_lap if is_low and rule.low_lap is not None else rule.lap
    stocks = sorted({rule.stock_length, *rule.more_stock})
    cuts = cuts_for(needed, stocks[-1], lap, cut_unit(units))
    words = [f"covers {format_length(length, units)}"]
    words += [f"{format_length(extra, units)} at the {kind}" for extra, kind in more]
    how = f"{_sum_of_cuts(cuts, lap, units)} {' + '.join(words)}"
    return TrimRun(
        tuple(e.id for e in some),
        " and ".join(e.name for e in some),
        some[0].kind,
        rule.part,
        length,
        needed,
        abs(some[0].fold),
        stocks[-1],
        tuple(stocks),
        rule.kerf,
        lap,
        cuts,
        how + "".join(f", {s}" for s in shared),
        rule.source,
        system,
        building,
    )


def _sum_of_cuts(cuts: Sequence[float], lap: float, units: LengthUnits) -> str:
    """Lengths less laps as a formula: ``3 × 10'-6" + 9'-6" − 3 × 4" lap``."""
    count: dict[float, int] = defaultdict(int)
    for cut in cuts:
        count[cut] += 1
    terms = [f"{n} × {format_length(c, units)}" for c, n in count.items()]
    laps = f" − {len(cuts) - 1} × {format_length(lap, units)} lap" if len(cuts) > 1 else ""
    return " + ".join(terms) + laps


def _node_kinds(surface: Surface) -> dict[tuple[EdgeId, int], str]:
    """The kind of node at the start (0) and the end (1) of every edge."""
    edges = {e.id: e for e in surface.edges}
    out: dict[tuple[EdgeId, int], str] = {}
    for node in surface.nodes:
        place = node.place.tolist()
        for ident in node.edges:
            edge = edges[ident]
            near = [math.dist(place, p.tolist()) for p in (edge.start, edge.end)]
            out[ident, int(near[1] < near[0])] = node.kind
    return out


def _ends_of(run: Sequence[RoofEdge]) -> tuple[tuple[EdgeId, int], tuple[EdgeId, int]]:
    """The two outer ends of edges on one line: (edge, 0 at its start or 1 at its end)."""
    if len(run) == 1:
        return (run[0].id, 0), (run[0].id, 1)
    way = run[0].end - run[0].start
    along = [(float(p @ way), (e.id, end)) for e in run for end, p in enumerate((e.start, e.end))]
    return min(along, key=lambda a: a[0])[1], max(along, key=lambda a: a[0])[1]


def _runs(edges: Sequence[RoofEdge], members: Sequence[int]) -> list[list[int]]:
    """Numbers of edges that meet end to end on one line, together, each run in order."""
    ends = np.array([p for k in members for p in (edges[k].start, edges[k].end)])
    apart = np.linalg.norm(ends[:, None] - ends[None], axis=2)
    root = list(range(len(members)))

    def top(k: int) -> int:
        while root[k] != k:
            k = root[k]
        return k

    for i, j in zip(*np.nonzero(np.triu(apart <= HEAL_MM, 1)), strict=True):
        one, two = int(i) // 2, int(j) // 2
        if one != two and _goes_on(edges[members[one]], edges[members[two]], i % 2, j % 2):
            low, high = sorted((top(one), top(two)))
            root[high] = low
    runs: dict[int, list[int]] = defaultdict(list)
    for k, number in enumerate(members):
        runs[top(k)].append(number)
    return list(runs.values())


def _goes_on(one: RoofEdge, two: RoofEdge, end_of_one: int, end_of_two: int) -> bool:
    """Do two edges of one fold, that meet at these ends (0 start, 1 end), lie on one line?"""
    if abs(one.fold - two.fold) > SAME_FOLD_DEG:
        return False
    way = (one.end - one.start) if end_of_one else (one.start - one.end)
    on = (two.start - two.end) if end_of_two else (two.end - two.start)
    off = float(np.linalg.norm(np.cross(way, on)))
    return bool(way @ on > 0.0 and off <= HEAL_MM * max(one.length, two.length))
