"""Trim along the roof's edges: how many stock lengths with laps cover each."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from roofmodel.surface import RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.types import TrimRun
from roofmodel.tolerance import COUNT_EPS, HEAL_MM, SAME_FOLD_DEG
from roofmodel.units import LengthUnits, format_length


def pieces_for(run: float, stock: float, lap: float) -> int:
    """The fewest pieces n with n * stock - (n - 1) * lap >= run; at least 1. Lengths in mm.

    >>> pieces_for(12192.0, 3200.4, 101.6)
    4
    """
    return max(1, math.ceil((run - lap) / (stock - lap) - COUNT_EPS))


def trim_kind(edge: RoofEdge) -> EdgeKind:
    """The kind an edge is trimmed as: a sloping pitch transition like a hip or a valley."""
    if edge.kind is EdgeKind.PITCH_TRANSITION and edge.remark:
        return EdgeKind.HIP if edge.fold > 0 else EdgeKind.VALLEY
    return edge.kind


def trim_of(
    edges: Sequence[RoofEdge], coverings: Coverings, units: LengthUnits
) -> tuple[TrimRun, ...]:
    """Trim runs in the order of the roof's edges; edges of one building and one system that go
    on straight are one run. A kind that the system has no trim for takes none."""
    groups: dict[tuple[str, str, EdgeKind], list[int]] = defaultdict(list)
    for k, edge in enumerate(edges):
        system = coverings.trim_system(edge)
        kind = trim_kind(edge)
        if system is not None and kind in system.trim:
            groups[system.id, coverings.edges[edge.id].building, kind].append(k)
    runs: list[tuple[list[int], TrimRun]] = []
    for (system_id, building, kind), members in groups.items():
        rule = coverings.systems[system_id].trim[kind]
        for run in _runs(edges, members):
            some = [edges[k] for k in run]
            length = sum(e.length for e in some)
            n = pieces_for(length, rule.stock_length, rule.lap)
            laps = "" if n == 1 else f" − {n - 1} × {format_length(rule.lap, units)} lap"
            shared = dict.fromkeys(words for e in some if (words := coverings.shared_words(e)))
            how = (
                f"{n} × {format_length(rule.stock_length, units)}{laps}"
                f" covers {format_length(length, units)}" + "".join(f", {s}" for s in shared)
            )
            made = TrimRun(
                tuple(e.id for e in some),
                " and ".join(e.name for e in some),
                some[0].kind,
                rule.part,
                length,
                rule.stock_length,
                rule.lap,
                n,
                how,
                rule.source,
                system_id,
                building,
            )
            runs.append((run, made))
    return tuple(made for _, made in sorted(runs, key=lambda r: r[0]))


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
