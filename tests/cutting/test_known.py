"""Plans that are known, or found without a search, so that a window need not wait for others."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.cutting import known_plan, learn, plan_cuts, solve
from roofmodel.errors import DocumentError

HARD = {45: 3, 36: 5, 31: 7, 14: 9}
"""Three patterns at first sight; only a search says whether fewer would do."""


@pytest.fixture(autouse=True)
def _nothing_known() -> Iterator[None]:
    solve._known.clear()
    yield
    solve._known.clear()


def test_what_needs_a_search_is_not_known_before_it() -> None:
    assert known_plan(HARD, [100]) is None
    plan = plan_cuts(HARD, [100])
    assert known_plan(HARD, [100]) is plan
    assert known_plan(HARD, [100], 1) is None


def test_a_plan_learnt_is_taken_as_it_is() -> None:
    plan = plan_cuts(HARD, [100])
    solve._known.clear()
    learn(HARD, [100], 0, plan)
    assert known_plan(HARD, [100]) is plan
    assert plan_cuts(HARD, [100]) is plan


def test_only_the_plans_of_late_are_kept() -> None:
    plan = plan_cuts({7: 1}, [10])
    for n in range(2 * solve._KEPT):
        learn({7: n + 1}, [10], 0, plan)
    assert len(solve._known) == solve._KEPT
    assert known_plan({7: 2 * solve._KEPT}, [10]) is plan


@given(
    st.dictionaries(st.integers(1, 30), st.integers(1, 9), min_size=1, max_size=5),
    st.lists(st.integers(30, 60), min_size=1, max_size=2),
    st.integers(0, 2),
)
def test_what_is_found_at_once_is_what_the_search_gives(
    wanted: dict[int, int], stocks: list[int], kerf: int
) -> None:
    solve._known.clear()
    quick = known_plan(wanted, stocks, kerf)
    solve._known.clear()
    if quick is not None:
        assert quick == plan_cuts(wanted, stocks, kerf)
        assert quick.pieces == wanted


def test_a_piece_longer_than_every_length_is_refused_at_once() -> None:
    with pytest.raises(DocumentError, match="longer than every stock length"):
        known_plan({11: 1}, [10])
