"""What is cut off at a hip or valley and serves as another panel: two panels out of one sheet.

A sheet cut across at an angle leaves a piece with the same cut from the other side. As it lies it
fits an end of the other sort that is cut to the same hand and angle (what falls off under a hip
begins a panel in a valley). Turned end for end it fits an end of the same sort, but then its lap
leg is on the other side: only a plane laid the other way takes it, or a sheet that laps alike on
both sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.types import EndCut, Laying, Panel
from roofmodel.tolerance import HEAL_MM


class Shared(NamedTuple):
    """Two panels cut out of one sheet, and how much shorter it is than both (mm)."""

    first: Panel
    second: Panel
    saved: float


class _End(NamedTuple):
    panel: Panel
    from_right: bool
    upper: bool


def shared_sheets(layings: Iterable[Laying], system: RoofingSystem) -> list[Shared]:
    """Pairs of panels of one system that can be cut out of one sheet, each panel in one pair.

    Empty where the system's cut-offs do not serve. No sheet is longer than the longest panel.
    """
    if not system.panel.cut_offs_serve:
        return []
    ends = [
        _End(panel, laying.from_right, upper)
        for laying in layings
        for panel in laying.panels
        for upper in (True, False)
        if _is_across(panel.upper if upper else panel.lower, system)
    ]
    out: list[Shared] = []
    used: set[int] = set()
    for some in _alike(ends):
        for turned in (False, True):
            for one in some:
                two = _partner(one, some, used, turned, system)
                if two is not None:
                    used |= {id(one.panel), id(two.panel)}
                    out.append(Shared(one.panel, two.panel, abs(_rise(one))))
    return out


def _is_across(cut: EndCut, system: RoofingSystem) -> bool:
    """Does an end cut run along one sloping line over the whole sheet?"""
    if cut.shape != "angled":
        return False
    ((width, _),) = cut.lines
    return abs(width - system.coverage - system.lap_leg) <= HEAL_MM


def _rise(end: _End) -> float:
    """Positive to the right."""
    return (end.panel.upper if end.upper else end.panel.lower).lines[0][1]


def _alike(ends: list[_End]) -> list[list[_End]]:
    """Ends of one hand and angle together, the longest panels first."""
    groups: list[list[_End]] = []
    last = -math.inf
    for end in sorted(ends, key=_rise):
        if _rise(end) - last > HEAL_MM:
            groups.append([])
        groups[-1].append(end)
        last = _rise(end)
    return [sorted(g, key=lambda e: -e.panel.length) for g in groups]


def _partner(
    one: _End, others: Sequence[_End], used: set[int], turned: bool, system: RoofingSystem
) -> _End | None:
    """The longest panel that can come out of one sheet with `one`."""
    if id(one.panel) in used:
        return None
    longest, step = system.panel.longest, abs(_rise(one))
    for two in others:
        if two.panel is one.panel or id(two.panel) in used:
            continue
        if (one.upper == two.upper) is not turned:
            continue
        # lying as it is, it laps the same way; turned, the other way
        if (one.from_right == two.from_right) is turned and not system.panel.turns:
            continue
        if longest is None or one.panel.length + two.panel.length - step <= longest:
            return two
    return None
