"""Among plans of one price: fewer patterns to set up for, then one long offcut instead of many
short ones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from roofmodel.cutting.patterns import all_patterns, most_valuable
from roofmodel.cutting.search import taken
from roofmodel.cutting.task import Cut, Task

_PATTERNS: Final = 150
_NODES: Final = 20
_SECONDS: Final = 20.0
_BARS: Final = 120


def fewer_patterns(
    task: Task, plan: dict[Cut, int], *, search: bool = True
) -> dict[Cut, int] | None:
    """A plan of the same price with no more patterns: first by repeating good patterns as often
    as they go, then, where few patterns exist, by an integer programme of limited work. Without
    `search` None where that would be called for."""
    if len(plan) < 2 or max(task.wanted) == 1:
        return plan  # where each piece is wanted once, no bar repeats
    best = min((plan, _repeated(task)), key=lambda p: (task.cost(p), len(p)))
    if len(best) <= _least_patterns(task, task.cost(best)):
        return best
    patterns = all_patterns(task, _PATTERNS, full=False)
    if patterns is None:
        return best
    if not search:
        return None
    return min((best, _programmed(task, patterns, best)), key=lambda p: (task.cost(p), len(p)))


def _least_patterns(task: Task, cost: int) -> int:
    """No plan of this price has fewer patterns: a bar holds only so many kinds of pieces, and
    where all bars (of the one stock length) were cut alike each would have its share of each."""
    space, kinds = task.rooms[-1], 0
    for size in sorted(task.sizes):
        space -= size
        kinds += space >= 0
    least = -(-len(task.sizes) // max(1, kinds))
    if len(task.stocks) > 1:
        return least
    shares = [divmod(n, cost) for n in task.wanted]
    fits = task.used([n for n, _ in shares]) <= task.rooms[-1]
    alike = fits and not any(rest for _, rest in shares)
    return least if alike else max(least, 2)


def _repeated(task: Task) -> dict[Cut, int]:
    """Pattern after pattern, each cut as often as it goes: of patterns that can be cut t times,
    the fullest, for t as high as it leaves next to no waste.

    A sequential heuristic in the manner of Haessler, A heuristic programming solution to a
    nonlinear cutting stock problem, Management Science 17 (1971).
    """
    left = list(task.wanted)
    out: dict[Cut, int] = {}
    room = task.rooms[-1]
    while any(left):
        pick: tuple[float, int, tuple[int, ...]] | None = None
        times = max(left)
        while times >= 1:
            part = Task(
                task.pieces, tuple(n // times for n in left), task.stocks, task.kerf,
                task.sizes, task.rooms, task.prices,
            )  # fmt: skip
            used, counts = most_valuable(part, task.sizes, len(task.rooms) - 1)
            if used:
                score = times**0.05 * used / room
                if pick is None or score > pick[0] + 1e-12:
                    pick = (score, times, counts)
            times = times - 1 if times <= 8 else times * 3 // 4
        if pick is None:
            break
        _, times, counts = pick
        cut = Cut(task.cheapest(counts), counts)
        out[cut] = out.get(cut, 0) + times
        left = [n - c * times for n, c in zip(left, counts, strict=True)]
    return out


def _programmed(task: Task, patterns: list[Cut], plan: dict[Cut, int]) -> dict[Cut, int]:
    """The plan of fewest patterns that the integer programme finds within its limits."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # late: a third of a second

    patterns = list(dict.fromkeys([*plan, *patterns]))
    many = len(patterns)
    counts = np.array([c.counts for c in patterns], float).T
    prices = np.array([task.prices[c.stock] for c in patterns], float)
    most = np.array(
        [min(w // n for n, w in zip(c.counts, task.wanted, strict=True) if n) for c in patterns],
        float,
    )
    none = np.zeros_like(counts)
    wanted = np.array(task.wanted, float)
    rules = [
        LinearConstraint(np.hstack([counts, none]), lb=wanted, ub=wanted),
        LinearConstraint(np.hstack([prices, 0.0 * prices])[None], ub=float(task.cost(plan))),
        LinearConstraint(np.hstack([np.eye(many), -np.diag(most)]), ub=np.zeros(many)),
        LinearConstraint(np.hstack([0.0 * prices, np.ones(many)])[None], ub=float(len(plan))),
    ]
    found = milp(
        np.hstack([np.zeros(many), np.ones(many)]),
        integrality=np.ones(2 * many),
        bounds=Bounds(0.0, np.hstack([most, np.ones(many)])),
        constraints=rules,
        options={"node_limit": _NODES, "time_limit": _SECONDS},
    )
    numbers = None if found.x is None else found.x[:many]
    return taken(task, patterns, numbers) or plan


def longest_offcut(task: Task, plan: Mapping[Cut, int]) -> dict[Cut, int]:
    """The same bars with pieces moved, or swapped for shorter ones, out of the emptiest bar into
    fuller ones, as long as that needs no more patterns. Nothing for very many bars."""
    out = dict(plan)
    if not 1 < sum(out.values()) <= _BARS:
        return out
    while True:
        better = _emptied(task, out)
        if better is None:
            return out
        out = better


def _emptied(task: Task, plan: dict[Cut, int]) -> dict[Cut, int] | None:
    """One move that makes the longest offcut longer; None if there is none."""

    def space(cut: Cut) -> int:
        return task.rooms[cut.stock] - task.used(cut.counts)

    emptiest = max(plan, key=lambda c: (space(c), c))
    for other in sorted(plan, key=lambda c: (space(c), c)):
        if other == emptiest and plan[other] < 2:
            continue
        for out_kind in [k for k, n in enumerate(emptiest.counts) if n]:
            backs = [None, *(k for k, n in enumerate(other.counts) if n and k > out_kind)]
            for back in backs:
                gain = task.sizes[out_kind] - (0 if back is None else task.sizes[back])
                if not 0 < gain <= space(other):
                    continue
                one, two = list(emptiest.counts), list(other.counts)
                one[out_kind] -= 1
                two[out_kind] += 1
                if back is not None:
                    one[back] += 1
                    two[back] -= 1
                made = dict(plan)
                for cut, counts in ((emptiest, one), (other, two)):
                    made[cut] -= 1
                    if any(counts):
                        new = Cut(cut.stock, tuple(counts))
                        made[new] = made.get(new, 0) + 1
                made = {c: n for c, n in made.items() if n}
                if len(made) <= len(plan):
                    return made
    return None
