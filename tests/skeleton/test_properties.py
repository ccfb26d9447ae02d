"""Properties of every roof: it keeps all promises, and nothing but the house itself counts."""

from __future__ import annotations

import math
from collections import defaultdict

import pytest
from hypothesis import find, given, settings
from hypothesis import strategies as st

from roofmodel.geometry import plan_area, signed_area
from roofmodel.skeleton import Solved, solve
from tests.skeleton.random_outlines import RandomHouse, Ring, verdict
from tests.skeleton.strategies import houses, moved, plain_outlines, profiles, with_yards

SAME = settings(derandomize=True, deadline=None, database=None)


@given(houses())
@settings(SAME, max_examples=300)
def test_any_house_keeps_every_promise(house: RandomHouse) -> None:
    result, why = verdict(house)
    assert result != "failed", why


def measures(solved: Solved) -> dict[tuple[int, int], list[float]]:
    """Per edge and step: plan area, greatest height; (-9, 0): length of all lines in space."""
    out: dict[tuple[int, int], list[float]] = defaultdict(lambda: [0.0, -math.inf])
    length = 0.0
    for f in solved.faces:
        entry = out[f.edge, f.step]
        entry[0] += f.plan_area
        entry[1] = max(entry[1], float(f.vertices[:, 2].max()))
        for loop in (f.vertices, *f.holes):
            points = loop.tolist()
            length += sum(map(math.dist, points, points[1:] + points[:1]))
    out[-9, 0] = [0.0, length]
    return out


@given(
    plain_outlines(),
    profiles(plain=True),
    st.integers(0, 359),
    st.booleans(),
    st.integers(0, 20),
    st.sampled_from(((0.0, 0.0), (5e3, -3e3), (-1e5, 2e5))),
)
@settings(SAME, max_examples=120)
def test_moved_turned_mirrored_renumbered_nothing_changes(
    rings: list[Ring],
    recipes: list[list[tuple[float, float]]],
    degrees: int,
    mirrored: bool,
    first: int,
    by: tuple[float, float],
) -> None:
    dealt = [recipes[k % len(recipes)] for k in range(sum(map(len, rings)))]
    before = measures(solve(rings, dealt))
    turned, numbers, start = [], [], 0
    for ring in moved(rings, 1.0, degrees, by):
        n = len(ring)
        if mirrored:
            ring = [(-x, y) for x, y in ring]
        k = first % n
        turned.append(ring[k:] + ring[:k])
        numbers += [start + (k + i) % n for i in range(n)]
        start += n
    after = measures(solve(turned, [dealt[i] for i in numbers]))
    area = plan_area(rings[0], rings[1:])  # type: ignore[arg-type]
    size = math.sqrt(abs(signed_area(rings[0])))
    names = {(edge, 0): (numbers[edge], 0) for edge in range(len(numbers))}
    assert {names.get(k, k) for k in after} == set(before)
    for key, (plan, high) in after.items():
        expected = before[names.get(key, key)]
        assert plan == pytest.approx(expected[0], abs=1e-6 * area)
        assert high == pytest.approx(expected[1], rel=1e-6, abs=1e-6 * size)


def test_houses_shrink_to_something_one_can_draw() -> None:
    few = settings(SAME, max_examples=100)
    courtyard = find(with_yards(), lambda rings: len(rings) > 1, settings=few)
    assert sum(map(len, courtyard)) <= 8
    gabled = find(houses(), lambda h: [(0.0, math.inf)] in h.profiles, settings=few)
    assert gabled.size <= 4
    assert gabled.deck is None
    assert [p for p in gabled.profiles if p != [(0.0, math.inf)]] in ([], [[(0.0, 0.5)]] * 3)
