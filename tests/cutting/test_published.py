"""Published cutting tasks, and tasks made for these tests: the fewest bars, proved, in time."""

from __future__ import annotations

import time

import pytest

from roofmodel.cutting import plan_cuts
from roofmodel.cutting.patterns import all_patterns
from roofmodel.cutting.quick import packed, simple_bound
from roofmodel.cutting.search import generated
from roofmodel.cutting.task import Task

Wanted = dict[int, int]

# Encyclopaedia article "Cutting stock problem": 73 rolls, 0.401 % waste, 308 patterns.
PAPER = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip
# Chvátal, Linear Programming (1983), chapter 13: linear bound 452.25, 453 rolls, 37 patterns.
TEXTBOOK = {45: 97, 36: 610, 31: 395, 14: 211}
# A teaching file of a constraint solver: data only; 44 of length need 4 bars of 10.
SMALL = {7: 2, 5: 2, 3: 4}
# A question of a course in linear programming: 7 bars, 13 scrap.
STEEL = {3: 19}
# An exercise on lumber: data only; linear bound 2166.67, so 2167 cannot be bettered.
LUMBER = {7: 5000, 9: 1200, 11: 300}
# Made here, in inches from 10 ft 6 in: linear bound 22.14, so 23 cannot be bettered.
TRIM = {120: 4, 96: 6, 64: 8, 48: 5, 31: 12, 26: 10, 18: 16}
# Made here, in 1/8 in from 20 ft, kerf 1/8 in: 4 × 59 7/8 + 3 × 1/8 = 239 7/8 fits, but
# 6 × 40 + 5 × 1/8 = 240 5/8 does not, so 40s go 5 to a bar: 2 + 2 bars.
KERF = {479: 8, 320: 6}

TASKS = {
    "paper": (PAPER, 5600, 0, 73),
    "textbook": (TEXTBOOK, 100, 0, 453),
    "small": (SMALL, 10, 0, 4),
    "steel": (STEEL, 10, 0, 7),
    "lumber": (LUMBER, 25, 0, 2167),
    "trim": (TRIM, 126, 0, 23),
    "kerf": (KERF, 1920, 1, 4),
}


@pytest.fixture(scope="module", autouse=True)
def _loaded() -> None:
    """The solver's own loading is not the plan's time."""
    import scipy.optimize  # noqa: F401


@pytest.mark.parametrize("name", TASKS)
def test_the_published_number_of_bars_proved(name: str) -> None:
    wanted, stock, kerf, bars = TASKS[name]
    start = time.perf_counter()
    plan = plan_cuts(wanted, [stock], kerf)
    seconds = time.perf_counter() - start
    assert (plan.bars, plan.least, plan.is_best, plan.gap) == (bars, bars, True, 0)
    assert plan.pieces == wanted
    for p in plan.patterns:
        assert sum(p.pieces) + kerf * (len(p.pieces) - 1) <= stock
    assert seconds < 2.0


def test_the_published_waste() -> None:
    plan = plan_cuts(PAPER, [5600])
    assert sum(k * n for k, n in PAPER.items()) == 407160
    assert 1 - 407160 / plan.metal == pytest.approx(0.00401, abs=5e-6)
    steel = plan_cuts(STEEL, [10])
    assert steel.metal - 57 == 13


def test_the_published_numbers_of_patterns() -> None:
    # every pattern that is not empty, full or not
    for wanted, stock, count in ((PAPER, 5600, 308), (TEXTBOOK, 100, 37)):
        found = all_patterns(Task.of(wanted, [stock], 0), 1000, full=False)
        assert found is not None
        assert len(found) == len(set(found)) == count


@pytest.mark.parametrize("name", TASKS)
def test_generated_columns_prove_the_same_bound(name: str) -> None:
    # the bound in whole numbers, without all patterns: 72.92 → 73, 452.25 → 453, 22.14 → 23 …
    wanted, stock, kerf, bars = TASKS[name]
    task = Task.of(wanted, [stock], kerf)
    _, plan, bound = generated(task, packed(task, task.wanted))
    assert bound == bars
    assert task.cost(plan) >= bars


def test_a_rounded_bound_is_no_proof() -> None:
    # Two 44s, three 33s, six 12s in bars of 132 = 3 × 44 = 4 × 33 = 11 × 12: the linear plan with
    # whole bars of one kind takes 2/3 + 3/4 + 6/11 = 259/132 = 1.96 bars, rounded up 2. Two bars
    # may waste 5 in all. Of sums 44a + 33b + 12c with a ≤ 2, b ≤ 3, c ≤ 6 the highest up to 132
    # with both 44s is 88 + 36 = 124; with one 44 it is 44 + 33 + 48 = 125, with none 99 + 24: each
    # bar wastes 7 or more. So it takes three, and the plan must not claim two as its bound.
    wanted = {44: 2, 33: 3, 12: 6}
    task = Task.of(wanted, [132], 0)
    assert simple_bound(task) == 2
    plan = plan_cuts(wanted, [132])
    assert (plan.bars, plan.least, plan.is_best) == (3, 3, True)
