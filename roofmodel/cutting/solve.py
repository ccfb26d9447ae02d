"""The best cutting plan for a list of pieces: the one entry to this package."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Final, TypeAlias

from roofmodel.cutting.patterns import all_patterns
from roofmodel.cutting.quick import best_fit, packed, simple_bound
from roofmodel.cutting.search import best_of, generated
from roofmodel.cutting.task import Cut, Task
from roofmodel.cutting.tidy import fewer_patterns, longest_offcut
from roofmodel.cutting.types import CutPattern, CutPlan

_PATTERNS: Final = 2000
"""Up to so many patterns the integer programme takes them all, and its proof is complete."""

_NODES: Final = 2000
_FEWER_NODES: Final = 200
"""How far the integer programme searches over all patterns, and over some of them."""

_FEW: Final = 300
"""Up to so many pieces each is placed singly in the quick plans."""

_KEPT: Final = 512

_Key: TypeAlias = tuple[tuple[tuple[int, int], ...], tuple[int, ...], int, bool]
_known: OrderedDict[_Key, CutPlan] = OrderedDict()
"""The plans of late, by their tasks."""


def plan_cuts(
    wanted: Mapping[int, int], stocks: Sequence[int], kerf: int = 0, *, thorough: bool = True
) -> CutPlan:
    """The fewest bars (of several stock lengths: the least metal, then the fewest bars) that
    give all pieces `wanted` (length -> how many); then few patterns, then a long offcut.

    Whole numbers of one unit. n pieces from one bar take n − 1 cuts of width `kerf`. The plan
    says what is proved. The same task gives the same plan. Without being `thorough` only patterns
    that the linear plan asks for are tried, which takes a fraction of a second where all of them
    can take many; the proof is then less often complete. DocumentError where a piece is longer
    than every stock.

    >>> plan_cuts({7: 2, 5: 2, 3: 4}, [10]).bars
    4
    """
    plan = _planned(_key_of(wanted, stocks, kerf, thorough), search=True)
    assert plan is not None
    return plan


def known_plan(wanted: Mapping[int, int], stocks: Sequence[int], kerf: int = 0) -> CutPlan | None:
    """What `plan_cuts` gives, where that is known or found at once; None where it would have to
    be searched for."""
    return _planned(_key_of(wanted, stocks, kerf), search=False)


def learn(wanted: Mapping[int, int], stocks: Sequence[int], kerf: int, plan: CutPlan) -> None:
    """Remember what `plan_cuts` gave elsewhere, such as in another process."""
    _remember(_key_of(wanted, stocks, kerf), plan)


def _key_of(
    wanted: Mapping[int, int], stocks: Sequence[int], kerf: int, thorough: bool = True
) -> _Key:
    pieces = tuple(sorted((k, n) for k, n in wanted.items() if n > 0))
    return pieces, tuple(sorted(set(stocks))), kerf, thorough


def _remember(key: _Key, plan: CutPlan) -> None:
    _known[key] = plan
    _known.move_to_end(key)
    while len(_known) > _KEPT:
        _known.popitem(last=False)


def _planned(key: _Key, *, search: bool) -> CutPlan | None:
    plan = _known.get(key) or _made(key, search=search)
    if plan is not None:
        _remember(key, plan)
    return plan


def _made(key: _Key, *, search: bool) -> CutPlan | None:
    wanted, stocks, kerf, thorough = key
    task = Task.of(dict(wanted), stocks, kerf)
    by_metal = len(task.stocks) > 1
    if not wanted:
        return CutPlan((), kerf, 0, by_metal)
    cheapest = _cheapest(task, search=search, thorough=thorough)
    if cheapest is None:
        return None
    plan, bound = cheapest
    tidy = fewer_patterns(task, plan, search=search)
    if tidy is None:
        return None
    plan = longest_offcut(task, tidy)
    made = sorted(plan.items(), key=lambda item: (-item[1], item[0].stock, item[0].counts))
    patterns = tuple(
        CutPattern(
            task.stocks[cut.stock],
            tuple(p for p, n in zip(task.pieces, cut.counts, strict=True) for _ in range(n)),
            times,
        )
        for cut, times in made
    )
    return CutPlan(patterns, kerf, _least(task, plan, bound), by_metal)


def _cheapest(task: Task, *, search: bool, thorough: bool) -> tuple[dict[Cut, int], int] | None:
    """A plan and a price that no plan can be below; where they are equal, the plan is best.
    Without `search` None where the quick plans are not good enough."""
    bound = task.raised(simple_bound(task))
    plan = task.trimmed(packed(task, task.wanted))
    if task.cost(plan) > bound and sum(task.wanted) <= _FEW:
        plan = min((plan, task.trimmed(best_fit(task))), key=task.cost)
    if task.cost(plan) <= bound:
        return plan, bound
    if not search:
        return None
    patterns = all_patterns(task, _PATTERNS) if thorough else None
    if patterns is not None:
        found, proved = best_of(task, patterns, bound, _NODES)
        return min((plan, found or plan), key=task.cost), max(bound, proved)
    patterns, plan, proved = generated(task, plan)
    bound = task.raised(max(bound, proved))
    if _measure(task, plan) > _least(task, plan, bound):
        found, _ = best_of(task, patterns, bound, _FEWER_NODES)  # its proof holds for these only
        plan = min((plan, found or plan), key=task.cost)
    return plan, bound


def _measure(task: Task, plan: Mapping[Cut, int]) -> int:
    """Bars, or metal where there are several stocks."""
    if len(task.stocks) == 1:
        return task.cost(plan)
    return sum(n * task.stocks[cut.stock] for cut, n in plan.items())


def _least(task: Task, plan: Mapping[Cut, int], bound: int) -> int:
    """The bound in bars or in metal, never above what the plan takes."""
    least = bound if len(task.stocks) == 1 else task.least_metal(bound)
    return min(_measure(task, plan), least)
