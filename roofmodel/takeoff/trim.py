"""Trim along the roof's edges: how many stock lengths with laps cover each."""

from __future__ import annotations

import math

from roofmodel.surface import RoofEdge, Surface
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.types import TrimRun
from roofmodel.tolerance import COUNT_EPS
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
    """Trim runs, one per edge, in the order of the roof's edges."""
    out = []
    for edge in surface.edges:
        rule = system.trim.get(trim_kind(edge))
        if rule is None:
            continue
        n = pieces_for(edge.length, rule.stock_length, rule.lap)
        laps = "" if n == 1 else f" − {n - 1} × {format_length(rule.lap, units)} lap"
        how = (
            f"{n} × {format_length(rule.stock_length, units)}{laps}"
            f" covers {format_length(edge.length, units)}"
        )
        out.append(
            TrimRun(
                edge.id,
                edge.name,
                edge.kind,
                rule.part,
                edge.length,
                rule.stock_length,
                rule.lap,
                n,
                how,
            )
        )
    return tuple(out)
