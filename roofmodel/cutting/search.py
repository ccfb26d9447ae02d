"""The search for the best plan by integer programming over patterns, on HiGHS.

Where all patterns are known, the integer programme over them is the task itself, and its proof
is the task's. Where there are too many, patterns are generated column by column (Gilmore and
Gomory, A linear programming approach to the cutting-stock problem, Operations Research 9, 1961),
the linear bound is proved in whole numbers, and the integer programme runs over what was found.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from roofmodel.cutting.patterns import most_valuable
from roofmodel.cutting.quick import packed
from roofmodel.cutting.task import Cut, Task

_SCALE: Final = 2**20
"""Dual values become whole numbers in this unit, so that the bound they prove is exact."""

_ROUNDS: Final = 400
_SECONDS: Final = 20.0
"""Work is limited by counting, so that every run ends alike; the clock only guards it."""

_ALMOST: Final = 1e-6


def best_of(
    task: Task, patterns: Sequence[Cut], bound: int, nodes: int
) -> tuple[dict[Cut, int] | None, int]:
    """The cheapest plan of these patterns, and what no plan of them can be below."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # late: it takes a third of a second

    counts, prices = _columns(task, patterns)
    most = np.array([_most(task, cut) for cut in patterns], float)
    rules = [
        LinearConstraint(counts, lb=np.array(task.wanted, float)),
        LinearConstraint(prices[None], lb=float(bound)),
    ]
    found = milp(
        prices,
        integrality=np.ones(len(patterns)),
        bounds=Bounds(0.0, most),
        constraints=rules,
        options={"node_limit": nodes, "time_limit": _SECONDS, "mip_rel_gap": 0.0},
    )
    below = getattr(found, "mip_dual_bound", None)
    if below is not None and math.isfinite(below):
        bound = max(bound, math.ceil(below - _ALMOST * max(1.0, abs(below))))
    return taken(task, patterns, found.x), bound


def taken(task: Task, patterns: Sequence[Cut], numbers: Any) -> dict[Cut, int] | None:
    """The plan that solver's numbers stand for; None if they give too few pieces."""
    if numbers is None:
        return None
    cuts = {c: n for c, x in zip(patterns, numbers, strict=True) if (n := round(float(x))) > 0}
    return task.trimmed(cuts) if max(task.missing(cuts), default=0) <= 0 else None


def generated(task: Task, start: dict[Cut, int]) -> tuple[list[Cut], dict[Cut, int], int]:
    """Patterns of the best linear plan, a plan rounded from it, and a bound proved by it."""
    from scipy.optimize import linprog  # late, as above

    patterns = list(start)
    patterns += [
        Cut(task.cheapest(counts), counts)
        for kind, n in enumerate(task.wanted)
        if (counts := _only(task, kind, n)) is not None
    ]
    known = dict.fromkeys(patterns)
    best, bound = start, 0
    for _ in range(_ROUNDS):
        patterns = list(known)
        counts, prices = _columns(task, patterns)
        solved = linprog(prices, -counts, -np.array(task.wanted, float), method="highs")
        if solved.x is None:
            break
        values = [max(0, math.floor(-y * _SCALE)) for y in solved.ineqlin.marginals]
        more, proved = _priced(task, values)
        bound = max(bound, proved)
        new = [cut for cut in more if cut not in known]
        if not new or bound >= math.ceil(solved.fun - _ALMOST * abs(solved.fun)):
            best = min((best, _rounded(task, patterns, solved.x)), key=task.cost)
            break
        known.update(dict.fromkeys(new))
    return list(known), best, bound


def _priced(task: Task, values: Sequence[int]) -> tuple[list[Cut], int]:
    """Patterns worth more than they cost at these values, and the bound the values prove: scaled
    down until no pattern is worth more than its price, they are a solution of the dual."""
    more = []
    worth, price = 0, 1  # the greatest worth / price of any pattern, as a fraction
    for stock, own in enumerate(task.prices):
        value, counts = most_valuable(task, values, stock)
        if value * price > worth * own:
            worth, price = value, own
        if value > own * _SCALE:
            more.append(Cut(task.cheapest(counts), counts))
    total = sum(v * n for v, n in zip(values, task.wanted, strict=True))
    return more, -(-total * price // worth) if worth else 0


def _rounded(task: Task, patterns: Sequence[Cut], numbers: Any) -> dict[Cut, int]:
    """The better of two roundings of a linear plan, what is missing packed as it comes."""
    down = {c: n for c, x in zip(patterns, numbers, strict=True) if (n := int(x + _ALMOST)) > 0}
    near = dict(down)
    parts = sorted(zip(patterns, numbers, strict=True), key=lambda p: int(p[1] + _ALMOST) - p[1])
    for cut, x in parts:
        left = task.missing(near)
        if x % 1.0 > _ALMOST and all(n <= m for n, m in zip(cut.counts, left, strict=True)):
            near[cut] = near.get(cut, 0) + 1
    plans = [task.trimmed(packed(task, task.missing(cuts), cuts)) for cuts in (down, near)]
    return min(plans, key=task.cost)


def _only(task: Task, kind: int, wanted: int) -> tuple[int, ...] | None:
    """As many pieces of one kind as the longest stock holds."""
    counts = [0] * len(task.sizes)
    counts[kind] = min(wanted, task.rooms[-1] // task.sizes[kind])
    return tuple(counts) if counts[kind] else None


def _most(task: Task, cut: Cut) -> int:
    """How many bars of this kind a plan could use."""
    return max(-(-w // n) for n, w in zip(cut.counts, task.wanted, strict=True) if n)


def _columns(task: Task, patterns: Sequence[Cut]) -> tuple[Any, Any]:
    """Counts (kinds, patterns) and prices (patterns,) as floats."""
    counts = np.array([cut.counts for cut in patterns], float).T
    return counts, np.array([task.prices[cut.stock] for cut in patterns], float)
