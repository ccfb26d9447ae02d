"""Trim along the roof's edges: how many stock lengths with laps cover each."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from roofmodel.surface import RoofEdge, Surface
from roofmodel.systems import EdgeKind, RoofingSystem
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


def trim_of(surface: Surface, system: RoofingSystem, units: LengthUnits) -> tuple[TrimRun, ...]:
    """Trim runs in the order of the roof's edges; edges that go on straight are one run."""
    out = []
    for run in _runs(surface.edges):
        rule = system.trim.get(trim_kind(run[0]))
        if rule is None:
            continue
        length = sum(e.length for e in run)
        n = pieces_for(length, rule.stock_length, rule.lap)
        laps = "" if n == 1 else f" − {n - 1} × {format_length(rule.lap, units)} lap"
        how = (
            f"{n} × {format_length(rule.stock_length, units)}{laps}"
            f" covers {format_length(length, units)}"
        )
        out.append(
            TrimRun(
                tuple(e.id for e in run),
                " and ".join(e.name for e in run),
                run[0].kind,
                rule.part,
                length,
                rule.stock_length,
                rule.lap,
                n,
                how,
            )
        )
    return tuple(out)


def _runs(edges: Sequence[RoofEdge]) -> list[list[RoofEdge]]:
    """Edges of one kind that meet end to end on one line, together."""
    runs: list[list[RoofEdge]] = []
    for edge in edges:
        joined = [r for r in runs if any(_goes_on(e, edge) for e in r)]
        if joined:
            joined[0].append(edge)
            for other in joined[1:]:
                joined[0].extend(other)
                runs.remove(other)
        else:
            runs.append([edge])
    return runs


def _goes_on(one: RoofEdge, two: RoofEdge) -> bool:
    """Do two edges of one kind and one fold lie end to end on one straight line?"""
    if trim_kind(one) is not trim_kind(two) or abs(one.fold - two.fold) > SAME_FOLD_DEG:
        return False
    for p, far in ((one.start, one.end), (one.end, one.start)):
        for q, other in ((two.start, two.end), (two.end, two.start)):
            if float(np.linalg.norm(p - q)) <= HEAL_MM:
                way, on = p - far, other - q
                off = float(np.linalg.norm(np.cross(way, on)))
                return bool(way @ on > 0.0 and off <= HEAL_MM * max(one.length, two.length))
    return False
