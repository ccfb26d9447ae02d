"""Measuring against closed forms: right triangles, a square on a slope, a hip."""

from __future__ import annotations

import math

import pytest

from roofmodel.geometry.measuring import (
    angle,
    distance,
    height_difference,
    measured,
    plan_area,
    slope,
    slope_length,
    true_area,
)

FT = 304.8
# Half of a 24 ft wide gable at 6/12: 12 ft run, 6 ft rise, 13.4164 ft along the slope.
EAVE, RIDGE = (0.0, 0.0, 8 * FT), (0.0, 12 * FT, 14 * FT)


def test_a_slope_of_6_in_12() -> None:
    assert distance(EAVE, RIDGE) == pytest.approx(12 * FT)
    assert slope_length(EAVE, RIDGE) == pytest.approx(math.sqrt(180) * FT)
    assert height_difference(EAVE, RIDGE) == pytest.approx(6 * FT)
    assert height_difference(RIDGE, EAVE) == pytest.approx(-6 * FT)
    assert slope(EAVE, RIDGE) == pytest.approx(0.5)
    assert slope(RIDGE, EAVE) == pytest.approx(0.5)
    assert slope(EAVE, (*EAVE[:2], 0.0)) is None


def test_angle_between_two_hips_of_a_square() -> None:
    # A square of side 2 and pitch 1: the peak lies 1 above the middle, so a hip is (1, 1, 1) and
    # its neighbour (-1, 1, 1): the cosine of the angle between them is 1/3.
    peak = (1.0, 1.0, 1.0)
    assert angle((0.0, 0.0, 0.0), peak, (2.0, 0.0, 0.0)) == pytest.approx(
        math.degrees(math.acos(1 / 3))
    )
    assert angle(peak, peak, (0.0, 0.0, 0.0)) is None


def test_angles_at_both_ends_of_the_range_stay_exact() -> None:
    tiny = 1e-6
    got = angle((1e4, 0.0, 0.0), (0.0, 0.0, 0.0), (1e4, 1e4 * tiny, 0.0))
    assert got == pytest.approx(math.degrees(tiny), rel=1e-9)
    straight = angle((-5.0, 0.0, 0.0), (0.0, 0.0, 0.0), (7.0, 0.0, 0.0))
    assert straight == pytest.approx(180.0)


def test_areas_of_a_ring_on_a_slope_far_from_the_origin() -> None:
    x, y, z = 4e6, -3e6, 2e5
    ring = [(x, y, z), (x + 3000, y, z), (x + 3000, y + 4000, z + 3000), (x, y + 4000, z + 3000)]
    assert plan_area(ring) == pytest.approx(12e6)
    assert true_area(ring) == pytest.approx(15e6)
    assert true_area(ring[::-1]) == pytest.approx(15e6)
    assert true_area(ring[:2]) == 0.0


def test_a_chain_of_points() -> None:
    assert measured([EAVE]) is None
    two = measured([EAVE, RIDGE])
    assert two is not None
    assert (two.angle, two.plan_area, two.true_area) == (None, None, None)
    assert two.total == pytest.approx(two.slope_length)
    along = (40 * FT, 12 * FT, 14 * FT)
    open_ = measured([EAVE, RIDGE, along])
    assert open_ is not None
    assert open_.angle == pytest.approx(90.0)
    assert open_.distance == pytest.approx(40 * FT)
    assert open_.total == pytest.approx((40 + math.sqrt(180)) * FT)
    ring = measured([EAVE, RIDGE, along, (40 * FT, 0.0, 8 * FT)], closed=True)
    assert ring is not None
    assert ring.plan_area == pytest.approx(480 * FT**2)
    assert ring.true_area == pytest.approx(40 * math.sqrt(180) * FT**2)
    assert ring.total == pytest.approx(2 * (40 + math.sqrt(180)) * FT)
