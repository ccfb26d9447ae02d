"""Scale and turn by least squares, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.geometry.fitting import fit_scale, square_turn

SIZES = st.floats(1e-3, 1e6)


def test_one_distance_fits_exactly() -> None:
    fit = fit_scale([250.0], [6096.0])
    assert fit.scale == pytest.approx(24.384)
    assert fit.worst == pytest.approx(0, abs=1e-9)


def test_two_distances_by_hand() -> None:
    """k = (3*30.2 + 4*39.6) / (9 + 16) = 249 / 25 = 9.96; it misses by -0.32 and +0.24."""
    fit = fit_scale([3.0, 4.0], [30.2, 39.6])
    assert fit.scale == pytest.approx(9.96)
    np.testing.assert_allclose(fit.residuals, [-0.32, 0.24], atol=1e-12)
    assert fit.worst == pytest.approx(0.32)


@given(st.lists(st.tuples(SIZES, SIZES), min_size=1, max_size=8))
def test_residuals_are_square_to_the_spans(pairs: list[tuple[float, float]]) -> None:
    """The normal equation of least squares: no other scale does better."""
    spans, lengths = np.array(pairs).T
    fit = fit_scale(spans, lengths)
    assert fit.residuals @ spans == pytest.approx(0, abs=1e-9 * float(spans @ lengths))


@pytest.mark.parametrize(
    ("spans", "lengths"),
    [([], []), ([1.0], [1.0, 2.0]), ([0.0], [1.0]), ([1.0], [-1.0]), ([math.nan], [1.0])],
)
def test_what_gives_no_scale_is_refused(spans: list[float], lengths: list[float]) -> None:
    with pytest.raises(ValueError, match="span"):
        fit_scale(spans, lengths)


@given(st.floats(-44.9, 44.9), st.integers(0, 3), st.floats(0.1, 1e6))
def test_one_edge_becomes_level_or_upright(turn: float, quarter: int, length: float) -> None:
    way = math.radians(90.0 * quarter - turn)
    edge = [(5.0, 7.0), (5.0 + length * math.cos(way), 7.0 + length * math.sin(way))]
    assert square_turn([edge]) == pytest.approx(turn, abs=1e-6)


def test_several_edges_are_weighted_by_length() -> None:
    """A long wall 1 degree off and one a third as long 5 degrees off, at right angles to it: of
    small angles the mean is (3*1 + 1*5) / 4 = 2, turned back."""
    edges = [
        [(0.0, 0.0), (30 * math.cos(math.radians(1)), 30 * math.sin(math.radians(1)))],
        [(0.0, 0.0), (-10 * math.sin(math.radians(5)), 10 * math.cos(math.radians(5)))],
    ]
    assert square_turn(edges) == pytest.approx(-2.0, abs=0.01)


def test_halfway_turns_counter_clockwise() -> None:
    assert square_turn([[(0, 0), (1, 1)]]) == pytest.approx(45.0)
    assert square_turn([[(0, 0), (1, -1)]]) == pytest.approx(45.0)


@pytest.mark.parametrize("edges", [[], [[(1, 1), (1, 1)]], [[(0, 0), (math.inf, 0)]]])
def test_edges_without_a_direction_are_refused(edges: list[list[tuple[float, float]]]) -> None:
    with pytest.raises(ValueError, match="edge"):
        square_turn(edges)
