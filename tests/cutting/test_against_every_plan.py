"""Cutting plans of a few pieces against every way to cut them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cache
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roofmodel.cutting import CutPlan, plan_cuts, solve
from roofmodel.cutting.quick import packed, simple_bound
from roofmodel.cutting.search import generated
from roofmodel.cutting.task import Task
from roofmodel.errors import DocumentError

stocks = st.lists(st.integers(5, 60), min_size=1, max_size=3, unique=True)
few_pieces = st.lists(st.integers(1, 20), min_size=1, max_size=7)
more_pieces = st.lists(st.integers(3, 20), min_size=1, max_size=40)
kerfs = st.integers(0, 3)


def best_by_trying(pieces: Sequence[int], lengths: Sequence[int], kerf: int) -> tuple[int, int]:
    """Least metal, then fewest bars, by trying every set of pieces for the next bar."""
    every = (1 << len(pieces)) - 1

    def length(chosen: int) -> int | None:
        some = [p for k, p in enumerate(pieces) if chosen >> k & 1]
        total = sum(some) + kerf * (len(some) - 1)
        return min((s for s in lengths if s >= total), default=None)

    @cache
    def least(left: int) -> tuple[int, int]:
        if not left:
            return 0, 0
        first, found = left & -left, []
        chosen = left
        while chosen:
            if chosen & first and (stock := length(chosen)) is not None:
                metal, bars = least(left & ~chosen)
                found.append((metal + stock, bars + 1))
            chosen = (chosen - 1) & left
        return min(found)

    return least(every)


def check(plan: CutPlan, pieces: Sequence[int], lengths: Sequence[int], kerf: int) -> None:
    assert plan.pieces == Counter(pieces)
    assert len({(p.stock, p.pieces) for p in plan.patterns}) == len(plan.patterns)
    for p in plan.patterns:
        assert p.stock in lengths
        assert p.times >= 1
        assert sum(p.pieces) + kerf * (len(p.pieces) - 1) <= p.stock
        assert list(p.pieces) == sorted(p.pieces, reverse=True)
        assert 0 <= p.offcut(kerf) < p.stock


@settings(max_examples=150, deadline=None)
@given(few_pieces, stocks, kerfs)
def test_no_plan_is_better(pieces: list[int], lengths: list[int], kerf: int) -> None:
    lengths = [*lengths, 20]
    plan = plan_cuts(Counter(pieces), lengths, kerf)
    check(plan, pieces, lengths, kerf)
    metal, bars = best_by_trying(pieces, lengths, kerf)
    assert plan.is_best
    assert (plan.metal, plan.bars) == (metal, bars)
    assert plan.least == (metal if plan.by_metal else bars)


@settings(max_examples=60, deadline=None)
@given(few_pieces, stocks, kerfs)
def test_bounds_never_pass_the_best(pieces: list[int], lengths: list[int], kerf: int) -> None:
    lengths = [*lengths, 20]
    task = Task.of(Counter(pieces), lengths, kerf)
    metal, bars = best_by_trying(pieces, lengths, kerf)
    best = bars if len(task.stocks) == 1 else metal * (len(pieces) + 1) + bars
    quick = packed(task, task.wanted)
    _, plan, bound = generated(task, quick)
    assert max(bound, simple_bound(task)) <= best <= task.cost(plan) <= task.cost(quick)
    assert max(task.missing(plan)) == 0


@settings(max_examples=60, deadline=None)
@given(more_pieces, stocks, kerfs)
def test_the_way_without_all_patterns_comes_as_near(
    pieces: list[int], lengths: list[int], kerf: int
) -> None:
    lengths = [*lengths, 20]
    whole = plan_cuts(Counter(pieces), lengths, kerf)
    check(whole, pieces, lengths, kerf)
    with patch.object(solve, "_PATTERNS", 0):
        solve._known.clear()
        other = plan_cuts(Counter(pieces), lengths, kerf)
        solve._known.clear()
    check(other, pieces, lengths, kerf)
    one, two = (p.metal if p.by_metal else p.bars for p in (whole, other))
    assert other.least <= one
    assert whole.least <= two
    assert two == one or not (whole.is_best and other.is_best)


def test_the_same_task_gives_the_same_plan() -> None:
    wanted = {120: 4, 96: 6, 64: 8, 48: 5, 31: 12, 26: 10, 18: 16}
    plan = plan_cuts(wanted, [126])
    solve._known.clear()
    assert plan_cuts(dict(reversed(wanted.items())), [126]) == plan


def test_equal_plans_have_the_fewest_patterns() -> None:
    # 40 of length fill four bars of 10 only as 7 + 3 each
    (pattern,) = plan_cuts({7: 4, 3: 4}, [10]).patterns
    assert (pattern.pieces, pattern.times) == ((7, 3), 4)
    # six 5s, six 3s, six 2s: 5 + 3 + 2 six times; 5 + 5 and 3 + 3 + 2 + 2 would be two patterns
    (pattern,) = plan_cuts({5: 6, 3: 6, 2: 6}, [10]).patterns
    assert (pattern.pieces, pattern.times) == ((5, 3, 2), 6)


def test_one_long_offcut_is_kept() -> None:
    # 60, 50, 20, 10 in two bars of 100, 60 left over: 60 + 20 + 10 and 50 leave 50 in one piece,
    # 50 + 20 + 10 and 60 leave 40, 60 + 20 and 50 + 10 leave 40, 60 + 10 and 50 + 20 leave 30
    plan = plan_cuts({60: 1, 50: 1, 20: 1, 10: 1}, [100])
    assert sorted(p.pieces for p in plan.patterns) == [(50,), (60, 20, 10)]


def test_several_stock_lengths_take_the_least_metal() -> None:
    # 9, 9, 4 ft: two of 10 and a third for the 4, or 10 + 14: 24 ft of metal instead of 30
    plan = plan_cuts({9: 2, 4: 1}, [10, 14])
    assert sorted((p.stock, p.pieces, p.times) for p in plan.patterns) == [
        (10, (9,), 1), (14, (9, 4), 1),
    ]  # fmt: skip
    assert (plan.metal, plan.least, plan.is_best) == (24, 24, True)
    # 23 of metal are wanted: 10 + 14 = 24 is the next that 10s and 14s come to, and proves itself
    assert plan_cuts({7: 2, 9: 1}, [10, 14]).least == 24
    # where a stock is too short for any piece, it is out of the reckoning
    assert plan_cuts({9: 3, 12: 1}, [6, 14]).bars == 4
    # 5 + 5 + 5 + 5: one of 20 or two of 10, the same metal: fewer bars
    assert plan_cuts({5: 4}, [10, 20]).bars == 1


def test_nothing_and_the_impossible() -> None:
    empty = plan_cuts({5: 0}, [10])
    assert (empty.patterns, empty.bars, empty.is_best) == ((), 0, True)
    with pytest.raises(DocumentError, match="longer than every stock length"):
        plan_cuts({11: 1}, [10])
    with pytest.raises(DocumentError, match="longer than 0"):
        plan_cuts({5: 1}, [10], -1)
    with pytest.raises(DocumentError, match="longer than 0"):
        plan_cuts({-5: 1}, [10])
