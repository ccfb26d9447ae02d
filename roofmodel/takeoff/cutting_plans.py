"""What trim is cut from: the pieces of all runs of one part, planned together.

An offcut serves any run of the same part in the same building and system, bent to much the same
angle. Buildings are planned apart, so that their totals add up to the job's.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Sequence

from roofmodel.cutting import CutPlan, plan_cuts
from roofmodel.takeoff.trim import cut_unit
from roofmodel.takeoff.trim_types import TrimBar, TrimPiece, TrimPlan, TrimRun
from roofmodel.tolerance import COUNT_EPS, SAME_BEND_DEG
from roofmodel.units import LengthUnits


def cutting_plans(
    runs: Sequence[TrimRun], units: LengthUnits, *, exact: bool = True
) -> tuple[TrimPlan, ...]:
    """The plans of all runs, in the order of each one's first run. Not `exact`: an estimate at
    once, with a bar for every piece, which no plan exceeds where a part has one length."""
    make = _planned if exact else _estimated
    return tuple(make(some, cut_unit(units)) for some in _together(runs))


def alike(bars: Iterable[TrimBar]) -> list[list[TrimBar]]:
    """Bars of one stock length cut to the same lengths, together, in the order they first come."""
    out: dict[tuple[float, tuple[float, ...]], list[TrimBar]] = defaultdict(list)
    for bar in bars:
        out[bar.stock_length, bar.cuts].append(bar)
    return list(out.values())


def _together(runs: Sequence[TrimRun]) -> list[list[TrimRun]]:
    """Runs that share offcuts."""
    groups: dict[object, list[int]] = defaultdict(list)
    for k, run in enumerate(runs):
        groups[run.system, run.building, run.part, run.stocks, run.kerf].append(k)
    out = []
    for members in groups.values():
        least, some = -math.inf, []
        for k in sorted(members, key=lambda k: (runs[k].fold, k)):
            if runs[k].fold > least + SAME_BEND_DEG:
                least, some = runs[k].fold, list[int]()
                out.append(some)
            some.append(k)
    return [[runs[k] for k in sorted(some)] for some in sorted(out, key=min)]


def _whole_bars(runs: Sequence[TrimRun]) -> list[TrimBar]:
    """The stock lengths that are used as they come."""
    return [
        TrimBar(run.stock_length, (TrimPiece(run, run.stock_length),), 0.0)
        for run in runs
        for _ in range(run.whole)
    ]


def _estimated(runs: Sequence[TrimRun], unit: float) -> TrimPlan:
    bars = _whole_bars(runs)
    for run in runs:
        for cut in run.cuts[run.whole :]:
            stock = min(s for s in run.stocks if s >= cut)
            bars.append(TrimBar(stock, (TrimPiece(run, cut),), max(0.0, stock - cut - run.kerf)))
    return _plan_of(runs, bars, None, unit)


def _planned(runs: Sequence[TrimRun], unit: float) -> TrimPlan:
    bars, first = _whole_bars(runs), runs[0]
    waiting: dict[int, deque[TrimRun]] = defaultdict(deque)
    for run in runs:
        for cut in run.cuts[run.whole :]:
            waiting[round(cut / unit)].append(run)
    # a stock length that is no whole number of units counts as the next below
    stocks = {math.floor(s / unit + COUNT_EPS): s for s in first.stocks}
    kerf = math.ceil(first.kerf / unit - COUNT_EPS)
    plan = plan_cuts(Counter({n: len(some) for n, some in waiting.items()}), [*stocks], kerf)
    for pattern in plan.patterns:
        stock = stocks[pattern.stock]
        lengths = sum(pattern.pieces) * unit
        offcut = max(0.0, stock - lengths - first.kerf * len(pattern.pieces))
        for _ in range(pattern.times):
            pieces = [TrimPiece(waiting[n].popleft(), n * unit) for n in pattern.pieces]
            bars.append(TrimBar(stock, tuple(pieces), offcut))
    return _plan_of(runs, bars, plan, unit)


def _plan_of(
    runs: Sequence[TrimRun], bars: Sequence[TrimBar], plan: CutPlan | None, unit: float
) -> TrimPlan:
    first = runs[0]
    by_metal = len(first.stocks) > 1 if plan is None else plan.by_metal
    gap = 0.0 if plan is None else plan.gap * (unit if by_metal else 1.0)
    return TrimPlan(
        first.part,
        first.system,
        first.building,
        tuple(bars),
        first.kerf,
        by_metal,
        "estimate" if plan is None else "best" if plan.is_best else "open",
        gap,
    )
