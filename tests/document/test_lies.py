"""One plane said in different ways is one plane."""

from __future__ import annotations

import math

import pytest

from roofmodel.document import ByEdge, ByHeights, BySlope
from roofmodel.document.lies import by_heights, by_slope, height_at, through

CORNERS = ((0.0, 0.0), (10.0, 0.0), (12.0, 6.0), (0.0, 8.0))


@pytest.mark.parametrize("bearing", [0.0, 45.0, 90.0, 180.0, 247.5])
def test_there_and_back(bearing: float) -> None:
    lies = BySlope((3.0, 4.0, 100.0), 0.5, bearing)
    again = by_slope(by_heights(lies, CORNERS))
    assert again is not None
    assert again.slope == pytest.approx(0.5)
    assert again.bearing == pytest.approx(bearing, abs=1e-9)
    for p in CORNERS:
        assert height_at(again, p) == pytest.approx(height_at(lies, p))
        moved = through(lies, p)
        assert height_at(moved, CORNERS[2]) == pytest.approx(height_at(lies, CORNERS[2]))
    assert by_slope(lies) is lies


def test_bearing_says_where_it_falls() -> None:
    """10 to the south at 6/12 the plane is 5 lower, 10 to the north 5 higher."""
    lies = BySlope((0.0, 0.0, 50.0), 0.5, 180.0)
    assert height_at(lies, (0.0, -10.0)) == pytest.approx(45.0)
    assert height_at(lies, (10.0, 0.0)) == pytest.approx(50.0)
    assert height_at(lies, (0.0, 10.0)) == pytest.approx(55.0)


def test_a_level_plane_and_a_tied_one() -> None:
    level = by_slope(ByHeights(((0.0, 0.0, 7.0), (5.0, 0.0, 7.0), (0.0, 5.0, 7.0))))
    assert level == BySlope((0.0, 0.0, 7.0), 0.0, 180.0)
    assert by_slope(ByEdge("s1", "s1/e1/0/0|e1|0", 0.5)) is None


def test_corners_in_one_line_are_passed_over() -> None:
    heights = by_heights(BySlope((0.0, 0.0, 0.0), 1.0, 180.0), ((0, 0), (1, 0), (2, 0), (2, 3)))
    assert math.isclose(heights.points[2][2], 3.0)
    assert {p[:2] for p in heights.points} == {(0, 0), (2, 0), (2, 3)}
