"""What trim is cut from: the pieces of all runs of one part, planned together.

An offcut serves any run of the same part in the same building and system, bent to much the same
angle. Buildings are planned apart, so that their totals add up to the job's.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Sequence
from dataclasses import replace

from roofmodel.cutting import CutPlan, Planner, plan_cuts
from roofmodel.takeoff.trim import cut_unit
from roofmodel.takeoff.trim_types import TrimBar, TrimPiece, TrimPlan, TrimRun
from roofmodel.tolerance import COUNT_EPS, SAME_BEND_DEG
from roofmodel.units import LengthUnits, format_angle


def cutting_plans(
    runs: Sequence[TrimRun], units: LengthUnits, planner: Planner | None = plan_cuts
) -> tuple[TrimPlan, ...]:
    """The plans of all runs, in the order of each one's first run. Without a `planner`, or where
    it has no plan as yet: an estimate at once, with a bar for every piece, which no plan exceeds
    where a part has one length."""
    plans = [_planned(some, cut_unit(units), planner) for some in _together(runs)]
    return tuple(replace(p, name=name) for p, name in zip(plans, _names(plans), strict=True))


def _names(plans: Sequence[TrimPlan]) -> list[str]:
    """The part of each plan, with its bend where it is bent in several ways."""
    bends: dict[str, set[tuple[str, bool]]] = defaultdict(set)
    for plan in plans:
        bends[plan.part].add(_bend(plan))
    out = []
    for plan in plans:
        words, hollow = _bend(plan)
        several = bends[plan.part]
        both_ways = len({h for _, h in several}) > 1
        way = (" up" if hollow else " down") if both_ways else ""
        out.append(f"{plan.part} bent {words}{way}" if len(several) > 1 else plan.part)
    return out


def _bend(plan: TrimPlan) -> tuple[str, bool]:
    """ "53.1°", or "53.1° to 56.3°" where one plan serves both; and whether it is hollow."""
    runs = plan.runs
    low, high = (format_angle(f(r.fold for r in runs)) for f in (min, max))
    return (low if low == high else f"{low} to {high}"), runs[0].hollow


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
        alike = run.system, run.building, run.part, run.stocks, run.kerf, run.hollow
        groups[alike].append(k)
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


def _planned(runs: Sequence[TrimRun], unit: float, planner: Planner | None) -> TrimPlan:
    bars, first = _whole_bars(runs), runs[0]
    waiting: dict[int, deque[TrimRun]] = defaultdict(deque)
    for run in runs:
        for cut in run.cuts[run.whole :]:
            waiting[round(cut / unit)].append(run)
    # a stock length that is no whole number of units counts as the next below
    stocks = {math.floor(s / unit + COUNT_EPS): s for s in first.stocks}
    kerf = math.ceil(first.kerf / unit - COUNT_EPS)
    wanted = Counter({n: len(some) for n, some in waiting.items()})
    plan = planner(wanted, [*stocks], kerf) if planner is not None else None
    if plan is None:
        return _estimated(runs, unit)
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
        first.part,
    )
