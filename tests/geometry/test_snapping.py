"""What the pointer is taken to mean, against places known by hand."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest

from roofmodel.geometry.snapping import KINDS, Snap, Targets, best_snap

HOUSE = [(0, 0, 40, 0), (40, 0, 40, 24), (40, 24, 0, 24), (0, 24, 0, 0)]
RIDGE = (0, 12, 40, 12)


def house(underlay: object = ()) -> Targets:
    lines = np.array([*HOUSE, RIDGE], dtype=float)
    return Targets(lines, np.asarray(underlay, dtype=float), [True] * 4 + [False])


def meant(
    x: float, y: float, *begun: tuple[float, float], kinds: frozenset[str] = frozenset(KINDS)
) -> Snap:
    found = best_snap(house(), (x, y), 1.0, begun, kinds)
    assert found is not None
    return found


def test_a_corner_goes_before_the_edges_at_it() -> None:
    found = meant(39.5, 0.6)
    assert found.at == (40.0, 0.0)
    assert (found.kinds, found.words) == (("corner",), "Corner")


def test_on_an_edge_and_at_its_middle() -> None:
    assert meant(31.0, 0.7).at == pytest.approx((31.0, 0.0))
    assert meant(31.0, 0.7).kinds == ("edge",)
    middle = meant(20.3, -0.5)
    assert middle.at == pytest.approx((20.0, 0.0))
    assert middle.kinds == ("middle",)


def test_crossing_of_two_lines_that_have_no_corner_there() -> None:
    targets = Targets([(0, 0, 10, 10), (0, 10, 10, 0)])
    found = best_snap(targets, (5.4, 5.1), 1.0, kinds=frozenset({"edge", "crossing"}))
    assert found is not None
    assert found.at == pytest.approx((5.0, 5.0))
    assert found.kinds == ("crossing",)


def test_square_to_an_edge() -> None:
    # from (13, -20) the foot on the south side is straight up; no other direction is meant
    found = meant(13.4, 0.3, (2.0, -9.0), (13.0, -20.0), kinds=frozenset({"square to", "edge"}))
    assert found.at == pytest.approx((13.0, 0.0))
    assert found.kinds == ("square to",)


def test_on_the_line_of_an_edge_beyond_its_end() -> None:
    found = meant(55.0, 24.6)
    assert found.at == pytest.approx((55.0, 24.0))
    assert found.kinds == ("on the line of",)
    assert np.allclose(found.guides, [[(40.0, 24.0), (55.0, 24.0)]])
    # a ridge lends no line beyond its ends
    assert best_snap(house(), (55.0, 12.4), 1.0) is None


def test_two_lines_beyond_their_ends_cross() -> None:
    targets = Targets([(0, 0, 10, 0), (20, 5, 20, 15)])
    found = best_snap(targets, (20.4, 0.5), 1.0)
    assert found is not None
    assert found.at == pytest.approx((20.0, 0.0))
    assert found.words == "Crossing of lines"


def test_right_angle_from_the_edge_before() -> None:
    begun = ((-50.0, -50.0), (-40.0, -45.0))
    ux, uy = 10 / math.hypot(10, 5), 5 / math.hypot(10, 5)
    aside = (-40.0 - 8 * uy + 0.5, -45.0 + 8 * ux)
    found = meant(*aside, *begun, kinds=frozenset({"right angle"}))
    assert found.kinds == ("right angle",)
    assert found.way == pytest.approx((-uy, ux))
    x, y = found.at[0] + 40.0, found.at[1] + 45.0
    assert x * ux + y * uy == pytest.approx(0.0, abs=1e-9)


def test_parallel_to_another_edge_before_the_axes() -> None:
    turned = math.radians(3.0)
    targets = Targets([(0, 0, 40 * math.cos(turned), 40 * math.sin(turned))])
    found = best_snap(targets, (20.0, -79.0 + 0.9), 0.5, ((0.0, -80.0),))
    assert found is not None
    assert found.words == "Parallel to another edge"
    assert found.way == pytest.approx((math.cos(turned), math.sin(turned)))
    alone = best_snap(Targets(), (20.0, -79.0), 0.5, ((0.0, -80.0),))
    assert alone is not None
    assert (alone.words, alone.at) == ("Along the grid", (20.0, -80.0))


def test_a_direction_and_an_edge_together() -> None:
    """4 degrees off a right angle and half a foot off the edge: both are meant."""
    found = meant(29.6, -0.5, (10.0, -8.0), (30.0, -8.0))
    assert found.at == pytest.approx((30.0, 0.0))
    assert found.kinds == ("right angle", "edge")
    assert found.words == "Right angle, on an edge"


def test_in_line_with_the_first_corner_is_exact() -> None:
    begun = ((0.1, 50.3), (30.7, 50.3), (30.7, 70.9))
    found = meant(0.5, 71.3, *begun)
    assert found.at == (0.1, 70.9)
    assert found.guides == (((0.1, 70.9), (0.1, 50.3)),)


def test_own_directions_hold_however_far_the_pointer_is() -> None:
    begun = ((0.0, 100.0), (30.0, 110.0))
    found = best_snap(house(), (44.0, 140.0), 1.0, begun, own_directions=True)
    assert found is not None
    assert found.way == pytest.approx((-10 / math.hypot(30, 10), 30 / math.hypot(30, 10)))
    x, y = found.at[0] - 30.0, found.at[1] - 110.0
    assert x * 30 + y * 10 == pytest.approx(0.0, abs=1e-9)


def test_underlay_lines_are_told_apart() -> None:
    targets = house([(60, 0, 60, 30)])
    line = best_snap(targets, (60.4, 11.0), 1.0)
    end = best_snap(targets, (60.4, 29.5), 1.0)
    assert line is not None
    assert end is not None
    assert line.at == pytest.approx((60.0, 11.0))
    assert line.kinds == ("underlay line",)
    assert end.at == (60.0, 30.0)
    assert end.words == "End of an underlay line"
    assert best_snap(targets, (60.4, 11.0), 1.0, kinds=frozenset({"edge", "corner"})) is None


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_switched_off_is_never_found(kind: str) -> None:
    rng = np.random.default_rng(7)
    targets = house([(60, 0, 60, 30)])
    begun = ((-20.0, -10.0), (-10.0, -9.0), (-9.0, 6.0))
    for x, y in rng.uniform(-30, 70, (300, 2)):
        found = best_snap(targets, (float(x), float(y)), 2.0, begun, frozenset(KINDS) - {kind})
        assert found is None or kind not in found.kinds


def test_nothing_near_means_nothing() -> None:
    assert best_snap(house(), (500.0, -300.0), 1.0) is None
    assert best_snap(Targets(), (0.0, 0.0), 1.0) is None
    assert best_snap(Targets([(1, 1, 1, 1)]), (1.0, 1.0), 1.0) is None  # of no length


def test_snapping_is_quick() -> None:
    """400 edges, 20,000 lines of a drawing: typical of a big job over a plan."""
    rng = np.random.default_rng(3)
    starts = rng.uniform(0, 40_000, (400, 2))
    edges = np.hstack([starts, starts + rng.uniform(-6000, 6000, (400, 2))])
    lines = rng.uniform(0, 40_000, (20_000, 2))
    targets = Targets(edges, np.hstack([lines, lines + rng.uniform(-2000, 2000, (20_000, 2))]))
    begun = ((100.0, 100.0), (9000.0, 400.0), (8800.0, 9000.0))
    best_snap(targets, (0.0, 0.0), 150.0, begun)
    times = []
    for x, y in rng.uniform(0, 40_000, (60, 2)):
        before = time.perf_counter()
        best_snap(targets, (float(x), float(y)), 150.0, begun)
        times.append(time.perf_counter() - before)
    # aim 2 ms; a busy machine gets more
    assert float(np.median(times)) < 0.008
