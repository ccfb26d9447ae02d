"""Roofs open below hide nothing; feet. Every figure is derived beside it.

House 40 × 24 gable, 6/12, eave 0. The carport rises 2/12 to the north.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from roofmodel.document import Point, Section
from roofmodel.systems import EdgeKind as K
from tests.houses import GABLE, RECTANGLE, box, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    check_walls,
    ends,
    of_kind,
    roof,
    sf,
    total_plan,
)

F6, F2 = sf(0.5), sf(1 / 6)
HOUSE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
RAKES = [12 * F6] * 4


def carport(corners: Sequence[Point], eave_ft: float, *, open_below: bool = True) -> Section:
    return section(
        corners,
        (1 / 6, GABLE, GABLE, GABLE),
        section_id="s2",
        eave_ft=eave_ft,
        open_below=open_below,
    )


def test_carport_above_the_house_hides_nothing() -> None:
    """Ten feet of a carport, 9 high, reach over a roof that is 3 to 6 high there."""
    s = roof(HOUSE, carport(box(30, 6, 52, 18), 9))
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5), "South 2": (22 * 12, 1 / 6)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.EAVE: [40, 40, 22],
            K.HIGH_EAVE: [22],
            K.RAKE: [*RAKES, 12 * F2, 12 * F2],
        },
    )
    check_walls(s, {("s1", "e2"): 72, ("s1", "e4"): 72})


def test_carport_that_runs_into_the_house() -> None:
    """One foot high it stays below the house's roof: it ends at the gable wall, x = 40."""
    s = roof(HOUSE, carport(box(30, 6, 52, 18), 1))
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5), "South 2": (12 * 12, 1 / 6)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.SIDEWALL: [12 * F2],
            K.EAVE: [40, 40, 12],
            K.HIGH_EAVE: [12],
            K.RAKE: [*RAKES, 12 * F2],
        },
    )
    check_folds(s, K.SIDEWALL, -90.0)


def test_carport_whose_roof_ends_on_one_that_runs_on_beneath() -> None:
    """1 + (y + 10)/6 reaches y/2 at y = 8: further up it is inside the house; the house's slope
    runs on beneath it. The line is a pitch transition as if both ended there."""
    s = roof(HOUSE, carport(box(20, -10, 30, 12), 1))
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5), "South 2": (180, 1 / 6)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.PITCH_TRANSITION: [10],
            K.EAVE: [40, 40, 10],
            K.RAKE: [*RAKES, 18 * F2, 18 * F2],
        },
    )
    check_folds(s, K.PITCH_TRANSITION, -(angle(0.5) - angle(1 / 6)))
    assert ends(of_kind(s, K.PITCH_TRANSITION)[0]) == ((20, 8, 4), (30, 8, 4))


def test_the_same_body_closed_below_hides_what_it_covers() -> None:
    """Closed, its walls take the 10 × 8 of the house's slope below it away, up to y = 8: at the
    eave it stands 1 + 10/6 above the slope, and its sides cut 8·√1.25 twice."""
    s = roof(HOUSE, carport(box(20, -10, 30, 12), 1, open_below=False))
    check_planes(s, {"South 1": (400, 0.5), "North 1": (480, 0.5), "South 2": (180, 1 / 6)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.PITCH_TRANSITION: [10],
            K.SIDEWALL: [8 * F6] * 2,
            K.EAVE: [20, 10, 40, 10],
            K.RAKE: [*RAKES, 18 * F2, 18 * F2],
        },
    )
    assert total_plan(s) == pytest.approx(960 + 100, rel=REL)


def test_overhangs_of_a_carport_hide_nothing_either() -> None:
    """Gabled carport square to the house's eave, both with 2 ft overhangs and level fascias, its
    posts ending at the wall: in the two squares of overhang where the roofs cross, the house's
    goes where it is lower than a roof that is solid, but the carport's is not. The carport's own
    lower half goes, so the valley's line is there."""
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), overhang_ft=2, line="wall", eave_ft=9)
    port = section(
        box(12, -20, 28, 10),
        (GABLE, 0.5, GABLE, 0.5),
        section_id="s2",
        overhang_ft=2,
        line="wall",
        eave_ft=9,
        open_below=True,
    )
    s = roof(house, port)
    # drip lines: 44 × 28 from (-2, -2), all of it stays; 20 wide from y = -22 up to the line
    # y + 2 = x - 10
    side = 10 * 20 + 10 * 10 / 2
    check_planes(
        s,
        {
            "South 1": (44 * 14, 0.5),
            "North 1": (44 * 14, 0.5),
            "East 1": (side, 0.5),
            "West 1": (side, 0.5),
        },
    )
    assert sum(e.length for e in of_kind(s, K.VALLEY)) / 304.8 == pytest.approx(30, rel=REL)
