"""Roofs that meet at eaves, at ridges, or in one plane; feet, derived beside each."""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Section
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from tests.houses import GABLE, RECTANGLE, box, project, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    check_walls,
    ends,
    heights,
    node,
    of_kind,
    roof,
    sf,
    total_plan,
)

F6 = sf(0.5)
RAKES = [12 * F6] * 4


def gable_x(name: str, x0: float, y0: float, x1: float, y1: float, eave: float = 0) -> Section:
    """6/12, its ridge along x."""
    slopes = (0.5, GABLE, 0.5, GABLE)
    return section(box(x0, y0, x1, y1), slopes, section_id=name, eave_ft=eave)


def gable_y(name: str, x0: float, y0: float, x1: float, y1: float, eave: float = 0) -> Section:
    """6/12, its ridge along y."""
    slopes = (GABLE, 0.5, GABLE, 0.5)
    return section(box(x0, y0, x1, y1), slopes, section_id=name, eave_ft=eave)


def test_two_gables_side_by_side() -> None:
    """Two gables 40 × 24 share an eave line: a level valley of 40 that is told."""
    parts = gable_x("s1", 0, 0, 40, 24), gable_x("s2", 0, 24, 40, 48)
    s = roof(*parts)
    check_planes(s, {f"{w} {k}": (480, 0.5) for w in ("South", "North") for k in (1, 2)})
    check_edges(s, {K.RIDGE: [40, 40], K.VALLEY: [40], K.EAVE: [40, 40], K.RAKE: RAKES * 2})
    check_folds(s, K.VALLEY, -2 * angle(0.5))
    assert any("valley is level" in p.sentence for p in results_of(project(*parts)).problems)


def test_cross_of_two_equal_gables() -> None:
    """24 wide each, 40 and 44 long: four ridge ends and four valleys (12, 12, 6) = 18 meet in
    one point over (20, 12)."""
    s = roof(gable_x("s1", 0, 0, 40, 24), gable_y("s2", 8, -10, 32, 34))
    arm_x, arm_y = 12 * 8 + 12 * 12 / 2, 12 * 10 + 12 * 12 / 2
    names = [f"{w} 1{piece}" for w in ("South", "North", "East", "West") for piece in ("", "b")]
    check_planes(s, {n: (arm_x if n[0] in "SN" else arm_y, 0.5) for n in names})
    check_edges(
        s,
        {
            K.RIDGE: [20, 20, 22, 22],
            K.VALLEY: [18] * 4,
            K.EAVE: [8] * 4 + [10] * 4,
            K.RAKE: [*RAKES, *RAKES],
        },
    )
    (middle,) = [n for n in s.nodes if math.dist(n.place / 304.8, (20, 12, 6)) < 1e-6]
    assert len(middle.edges) == 8


def test_wing_whose_ridge_is_above_the_main_eave_and_its_eaves_below() -> None:
    """Main eave 8; wing 16 wide, eave 6: it rises past 8 at 4 in. Below, its slopes end at the
    main wall, above, in valleys on the main slope: (4, 4, 2) = 6. The main eave runs on over the
    wing's roof up to there."""
    s = roof(gable_x("s1", 0, 0, 40, 24, 8), gable_y("s2", 12, -10, 28, 10, 6))
    side = 8 * 10 + 4 * 4 / 2
    check_planes(
        s,
        {
            "South 1": (480 - 16, 0.5),
            "North 1": (480, 0.5),
            "East 1": (side, 0.5),
            "West 1": (side, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 14],
            K.VALLEY: [6, 6],
            K.SIDEWALL: [4 * F6] * 2,
            K.EAVE: [16, 16, 40, 10, 10],
            K.RAKE: [*RAKES, 8 * F6, 8 * F6],
        },
    )
    assert ends(of_kind(s, K.SIDEWALL)[0])[0][2] == 6
    gable = 24 * 8 + 72
    check_walls(
        s,
        {
            ("s1", "e1"): 2 * (12 * 8 + 4 * 2 / 2),
            ("s1", "e2"): gable,
            ("s1", "e3"): 320,
            ("s1", "e4"): gable,
            ("s2", "e1"): 16 * 6 + 32,
            ("s2", "e2"): 60,
            ("s2", "e4"): 60,
        },
    )


def test_wing_whose_ridge_just_touches_the_main_eave() -> None:
    """Eave 4 and ridge 8 under an eave of 8: no valley, the main eave is whole."""
    s = roof(gable_x("s1", 0, 0, 40, 24, 8), gable_y("s2", 12, -10, 28, 10, 4))
    check_planes(
        s,
        {
            "South 1": (480, 0.5),
            "North 1": (480, 0.5),
            "East 1": (80, 0.5),
            "West 1": (80, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 10],
            K.SIDEWALL: [8 * F6] * 2,
            K.EAVE: [40, 40, 10, 10],
            K.RAKE: [*RAKES, 8 * F6, 8 * F6],
        },
    )


def test_slope_carried_on_over_an_addition() -> None:
    """The main slope runs on over an addition 20 × 8 in the same plane (eave 8 - 8/2 = 4): one
    plane, no line between."""
    addition = section(box(10, -8, 30, 0), (0.5, GABLE, GABLE, GABLE), section_id="s2", eave_ft=4)
    s = roof(gable_x("s1", 0, 0, 40, 24, 8), addition)
    check_planes(s, {"South 1": (480 + 160, 0.5), "North 1": (480, 0.5)})
    check_edges(s, {K.RIDGE: [40], K.EAVE: [10, 10, 20, 40], K.RAKE: [*RAKES, 8 * F6, 8 * F6]})
    assert heights(s, "South 1") == pytest.approx((4, 14), rel=REL)
    assert node(s, 10, 0) == node(s, 30, -8) == "roof corner"


def test_courtyard_filled_by_a_hip_roof() -> None:
    """48 × 48 around a courtyard of 16 × 16, 6/12; the courtyard is covered by a pyramid with the
    same eave, 4 high: a level valley of 16 on each side."""
    parts = (
        section(box(0, 0, 48, 48), [0.5] * 8, courtyards_ft=[box(16, 16, 32, 32)]),
        section(box(16, 16, 32, 32), [0.5] * 4, section_id="s2"),
    )
    s = roof(*parts)
    assert total_plan(s) == pytest.approx(48**2, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [32] * 4,
            K.HIP: [12] * 8,
            K.VALLEY: [12] * 4 + [16] * 4,
            K.EAVE: [48] * 4,
        },
    )
    told = [p for p in results_of(project(*parts)).problems if "valley is level" in p.sentence]
    assert len(told) == 4


def test_three_ridges_of_one_height_in_a_t() -> None:
    """A wing of the main body's width, 24, from the south: its ridge runs into the main ridge,
    valleys 18; the main slope falls into two pieces that touch in that point."""
    s = roof(gable_x("s1", 0, 0, 60, 24), gable_y("s2", 18, -20, 42, 12))
    side = 12 * 20 + 12 * 12 / 2
    check_planes(
        s,
        {
            "South 1": (18 * 12 + 72, 0.5),
            "South 1b": (18 * 12 + 72, 0.5),
            "North 1": (720, 0.5),
            "East 1": (side, 0.5),
            "West 1": (side, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [30, 30, 32],
            K.VALLEY: [18, 18],
            K.EAVE: [18, 18, 60, 20, 20],
            K.RAKE: [*RAKES, 12 * F6, 12 * F6],
        },
    )


@pytest.mark.parametrize("place", [(0.0, 0.0), (3e5, -2e5), (-2e6, 2.5e6)])
@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0])
def test_a_cross_gable_anywhere(place: tuple[float, float], turn: float) -> None:
    """E4 turned, and at survey coordinates far out (up to 760 km): the same figures, but
    for the last digits that doubles have there."""
    c, w = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def at(x: float, y: float) -> tuple[float, float]:
        return place[0] + c * x - w * y, place[1] + w * x + c * y

    main = section([at(*p) for p in RECTANGLE], (0.5, GABLE, 0.5, GABLE))
    wing = section(
        [at(*p) for p in box(12, -10, 28, 12)], (GABLE, 0.5, GABLE, 0.5), section_id="s2"
    )
    s = roof(main, wing)
    assert total_plan(s) == pytest.approx(1120, rel=1e-8)
    expected = {
        K.RIDGE: [18, 40],
        K.VALLEY: [12, 12],
        K.EAVE: [10, 10, 12, 12, 40],
        K.RAKE: [8 * F6, 8 * F6, *RAKES],
    }
    for kind, values in expected.items():
        found = sorted(e.length / 304.8 for e in of_kind(s, kind))
        assert found == pytest.approx(values, rel=1e-8), kind
    assert len(s.edges) == 15
