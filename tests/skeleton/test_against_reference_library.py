"""The solver against pysfcgal, a general geometry library, live."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from roofmodel.geometry import signed_area
from tests.houses import GABLE, L_SHAPE, RECTANGLE
from tests.skeleton.reference import Outline, is_unique, our_areas, reference_areas

PLUS = (
    (10, 0),
    (20, 0),
    (20, 10),
    (30, 10),
    (30, 20),
    (20, 20),
    (20, 30),
    (10, 30),
    (10, 20),
    (0, 20),
    (0, 10),
    (10, 10),
)
TRAPEZOID = ((0, 0), (30, 0), (24, 14), (5, 14))
T_SHAPE = ((0, 0), (44, 0), (44, 20), (30, 20), (30, 36), (14, 36), (14, 20), (0, 20))

CASES = [
    (RECTANGLE, [0.5] * 4),
    (RECTANGLE, [0.5, GABLE, 0.5, GABLE]),
    (RECTANGLE, [0.5, 0.75, 0.5, 0.75]),
    (L_SHAPE, [0.5] * 6),
    (L_SHAPE, [0.5, 0.75, 0.5, 1.0, 0.6, 0.25]),
    (L_SHAPE, [0.5, GABLE, 0.5, 0.5, GABLE, 0.5]),
    (((0, 0), (30, 0), (30, 14), (0, 14)), [0.25, GABLE, GABLE, GABLE]),
    (((0, 0), (30, 0), (30, 24), (0, 24)), [1.0, GABLE, 1 / 3, GABLE]),
    (PLUS, [0.5] * 12),
    (TRAPEZOID, [0.5, 0.75, 0.4, 1.0]),
    (T_SHAPE, [0.5] * 8),
    (T_SHAPE, [0.5, GABLE, 0.5, 0.7, GABLE, 0.7, 0.5, GABLE]),
]


@pytest.mark.parametrize(("outline", "slopes"), CASES)
def test_same_area_per_plane(outline: Outline, slopes: list[float]) -> None:
    theirs, ours = reference_areas(outline, slopes), our_areas(outline, slopes)
    total = abs(signed_area(outline))
    assert ours.keys() == theirs.keys()
    for g, area in theirs.items():
        assert ours[g] == pytest.approx(area, abs=1e-9 * total)


@given(st.lists(st.tuples(st.integers(3, 20), st.integers(3, 12)), min_size=5, max_size=12))
@settings(max_examples=60, deadline=None)
def test_star_outlines_with_random_pitches(arms: list[tuple[int, int]]) -> None:
    """Outlines with a corner per direction, pitches 3/12 to 12/12."""
    n = len(arms)
    outline = [
        (r * math.cos(2 * math.pi * (k + 0.3) / n), r * math.sin(2 * math.pi * (k + 0.3) / n))
        for k, (r, _) in enumerate(arms)
    ]
    slopes = [x / 12 for _, x in arms]
    assume(is_unique(outline, slopes))
    theirs, ours = reference_areas(outline, slopes), our_areas(outline, slopes)
    total = abs(signed_area(outline))
    for g in theirs.keys() | ours.keys():
        assert ours.get(g, 0.0) == pytest.approx(theirs.get(g, 0.0), abs=1e-7 * total)
