"""Drip lines and wall lines, overhangs that meet, level plates; feet, derived beside each."""

from __future__ import annotations

import math

import pytest

from roofmodel.document import DrawnPlane, Section
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, RECTANGLE, box, by_slope, drawn_plane, opening, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    ends,
    heights,
    node,
    of_kind,
    roof,
    sf,
    square_bend,
    total_plan,
)

F6, F3 = sf(0.5), sf(0.25)
ROOT2 = math.sqrt(2)


def cross_gable(back: float) -> tuple[Section, Section]:
    """Wall lines 40 × 24 and 16 wide from y = -10 to `back`."""
    return (
        section(RECTANGLE, (1.0, GABLE, 1.0, GABLE), overhang_ft=2, line="wall", eave_ft=8),
        section(
            box(12, -10, 28, back),
            (GABLE, 1.0, GABLE, 1.0),
            section_id="s2",
            overhang_ft=2,
            line="wall",
            eave_ft=8,
        ),
    )


@pytest.mark.parametrize("back", [8.0, 10.0])
def test_inside_corners_with_overhangs(back: float) -> None:
    """Wall lines: 40 × 24 and a wing 16 wide, 10 proud; 12/12, 2 ft overhang all round, level
    fascias 8 high. Drip lines: 44 × 28 from (-2, -2), and 20 wide from y = -12. The wing's ridge,
    10 above the fascia, ends where y + 2 = 10. Valleys run from the drip lines' crossing at
    (10, -2) outside both walls to (20, 8): (10, 10, 10)."""
    s = roof(*cross_gable(back))
    side = 10 * 10 + 10 * 10 / 2
    check_planes(
        s,
        {
            "South 1": (44 * 14 - 100, 1.0),
            "North 1": (44 * 14, 1.0),
            "East 1": (side, 1.0),
            "West 1": (side, 1.0),
        },
    )
    # nothing twice: the union of both drip lines
    assert total_plan(s) == pytest.approx(44 * 28 + 20 * 10, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [44, 20],
            K.VALLEY: [10 * math.sqrt(3)] * 2,
            K.EAVE: [12, 12, 44, 10, 10],
            K.RAKE: [*[14 * ROOT2] * 4, 10 * ROOT2, 10 * ROOT2],
        },
    )
    check_folds(s, K.VALLEY, -60.0)
    assert sorted(ends(v) for v in of_kind(s, K.VALLEY)) == [
        ((10, -2, 8), (20, 8, 18)),
        ((30, -2, 8), (20, 8, 18)),
    ]
    assert node(s, 10, -2) == node(s, 30, -2) == "valley foot"


def steeper_wing(level: str) -> tuple[Section, Section]:
    """Walls 40 × 24, 6/12, and a wing 8 wide, 10 proud, 12/12; overhang 2, height 8."""
    return (
        section(
            RECTANGLE,
            (0.5, GABLE, 0.5, GABLE),
            eave_ft=8,
            overhang_ft=2,
            line="wall",
            level=level,  # type: ignore[arg-type]
        ),
        section(
            box(12, -10, 20, 11),
            (GABLE, 1.0, GABLE, 1.0),
            section_id="s2",
            eave_ft=8,
            overhang_ft=2,
            line="wall",
            level=level,  # type: ignore[arg-type]
        ),
    )


def test_steeper_wing_with_level_fascias() -> None:
    """Drip lines 44 × 28 and 12 wide: the wing's ridge is 6 above the fascia, where the main
    slope has run 12. Valleys (6, 12, 6) = √216 from the crossing of the drip lines at (10, -2).

    Level fascias raise the wing's plate to 10, 1 above the main one, so the valley passes beside
    the crossing of the walls at (12, 0), over (11, 0) and (12, 2). Between those the wing's
    overhang lies over the main roof inside the main wall line; the joint of the overhangs runs
    on there, so nothing of the main roof stays below and the valley is whole."""
    s = roof(*steeper_wing("fascias"))
    side = 6 * 10 + 6 * 12 / 2
    check_planes(
        s,
        {
            "South 1": (44 * 14 - 72, 0.5),
            "North 1": (44 * 14, 0.5),
            "East 1": (side, 1.0),
            "West 1": (side, 1.0),
        },
    )
    assert total_plan(s) == pytest.approx(44 * 28 + 12 * 10, rel=REL)
    valley = math.sqrt(216)
    check_edges(
        s,
        {
            K.RIDGE: [44, 22],
            K.VALLEY: [valley, valley],
            K.EAVE: [12, 20, 44, 10, 10],
            K.RAKE: [*[14 * F6] * 4, 6 * ROOT2, 6 * ROOT2],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.5, 1.0))
    assert min(ends(v) for v in of_kind(s, K.VALLEY)) == ((10, -2, 8), (16, 10, 14))


def test_steeper_wing_with_level_plates() -> None:
    """Fascias at 7 and 6. The planes are 8 + y/2 and 8 + (x - 12): the valley runs over the wall
    corner, y = 2(x - 12), and leaves the main drip line at (11, -2), 7 high, for the ridge at
    (16, 8), 12 high: (5, 10, 5). West of it, to x = 10, the wing lies lower, up to 1 below the
    main fascia: it runs on below the main overhang to the main wall, 3 sq ft on each side, and
    ends there in a sidewall 2√2 long."""
    s = roof(*steeper_wing("plates"))
    side = 1 * 10 + 5 * 10 + 5 * 10 / 2 + 3
    check_planes(
        s,
        {
            "South 1": (44 * 14 - 50, 0.5),
            "North 1": (44 * 14, 0.5),
            "East 1": (side, 1.0),
            "West 1": (side, 1.0),
        },
    )
    assert total_plan(s) == pytest.approx(44 * 28 + 12 * 10 + 2 * 3, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [44, 20],
            K.VALLEY: [math.sqrt(150)] * 2,
            K.SIDEWALL: [2 * ROOT2] * 2,
            K.EAVE: [13, 21, 44, 12, 12],
            K.RAKE: [*[14 * F6] * 4, 6 * ROOT2, 6 * ROOT2],
        },
    )
    assert min(ends(v) for v in of_kind(s, K.VALLEY)) == ((11, -2, 7), (16, 8, 12))
    assert heights(s, "West 1") == pytest.approx((6, 12), rel=REL)


def test_main_roof_shut_in_below_the_overhang_of_a_wing_goes() -> None:
    """As above, but the wing's back wall stands at y = 7, where its ridge is 1 above the main
    slope: the triangle of main roof behind that wall, 2 wide and 1 deep, is shut in between the
    wall and the two valleys below the wing's overhang. No one could build or drain it."""
    s = roof(*cross_gable(7.0))
    plan = {p.name: p.plan_area / FT**2 for p in s.planes}
    assert plan == pytest.approx(
        {"South 1": 44 * 14 - 100, "North 1": 44 * 14, "East 1": 150, "West 1": 150}, rel=REL
    )
    assert not of_kind(s, K.SIDEWALL)


def square_house(level: str, overhangs: tuple[float, float]) -> Section:
    """Walls 40 × 24; 6/12 on the long sides, 9/12 on the short ones; height 8."""
    long, short = overhangs
    return section(
        RECTANGLE,
        (0.5, 0.75, 0.5, 0.75),
        eave_ft=8,
        overhangs_ft=(long, short, long, short),
        line="wall",
        level=level,  # type: ignore[arg-type]
    )


def test_level_plates() -> None:
    """Equal overhangs of 2: fascias at 8 - 1 and 8 - 1.5. Both planes pass through the wall
    corners, so hips run over them at y = 3x/2 and reach the higher fascia at (-4/3, -2); between
    there and x = -2 the short side's plane ends over the long side's line in a rake of
    2/3 · 1.25. Ridge at y = 12, 14 high, from x = 8 to 32."""
    s = roof(square_house("plates", (2, 2)))
    long, ridge = 40 + 2 * 4 / 3, 24
    side = (long + ridge) / 2 * 14
    end = (44 * 28 - 2 * side) / 2
    check_planes(
        s,
        {
            "South 1": (side, 0.5),
            "East 1": (end, 0.75),
            "North 1": (side, 0.5),
            "West 1": (end, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [ridge],
            K.HIP: [math.hypot(8 + 4 / 3, 14, 7)] * 4,
            K.EAVE: [long, long, 28, 28],
            K.RAKE: [2 / 3 * 1.25] * 4,
        },
    )
    check_folds(s, K.HIP, square_bend(0.5, 0.75))
    assert heights(s, "South 1") == pytest.approx((7, 14), rel=REL)
    assert heights(s, "West 1") == pytest.approx((6.5, 14), rel=REL)
    low, high = min(ends(r) for r in of_kind(s, K.RAKE))
    assert low == (-2, -2, 6.5)
    assert high == pytest.approx((-4 / 3, -2, 7))


def test_level_fascias_by_unlike_overhangs() -> None:
    """Overhangs 3 and 2, so that 3·6/12 = 2·9/12: fascias level, hips from corner to corner.
    Drip line 44 × 30; ridge 15/2 above the fascia, 10 in from both ends."""
    s = roof(square_house("fascias", (3, 2)))
    side, end = (44 + 24) / 2 * 15, 30 * 10 / 2
    check_planes(
        s,
        {
            "South 1": (side, 0.5),
            "East 1": (end, 0.75),
            "North 1": (side, 0.5),
            "West 1": (end, 0.75),
        },
    )
    check_edges(s, {K.RIDGE: [24], K.HIP: [math.hypot(10, 15, 7.5)] * 4, K.EAVE: [44, 44, 30, 30]})
    assert heights(s, "South 1") == heights(s, "East 1") == pytest.approx((8, 15.5))


def test_level_fascias_by_raised_plates() -> None:
    """Equal overhangs of 2, fascias level: the hips start at the drip line's corners and pass
    beside the walls' corners. Ridge 7 above the fascia, 7/0.75 in."""
    s = roof(square_house("fascias", (2, 2)))
    inset = 7 / 0.75
    check_edges(
        s,
        {
            K.RIDGE: [44 - 2 * inset],
            K.HIP: [math.hypot(inset, 14, 7)] * 4,
            K.EAVE: [44, 44, 28, 28],
        },
    )
    assert total_plan(s) == pytest.approx(44 * 28, rel=REL)


MAIN = section(RECTANGLE, [0.5] * 4, eave_ft=9, overhang_ft=2, line="wall")
"""Hip house, walls 40 × 24, drip line 44 × 28, fascia at 9; its roof at the walls is 10 high."""


def porch(kind: str, *, open_below: bool) -> Section | DrawnPlane:
    """12 × 10 in front of the south wall, 3/12, from 5 to 7.5 high: below the main eave."""
    corners = box(8, -10, 20, 0)
    if kind == "drawn":
        lies = by_slope(8, -10, 5, 0.25, 180)
        return drawn_plane(corners, lies, open_below=open_below)
    return section(
        corners,
        (0.25, GABLE, GABLE, GABLE),
        section_id="s2",
        eave_ft=5,
        open_below=open_below,
    )


@pytest.mark.parametrize("open_below", [False, True])
@pytest.mark.parametrize("kind", ["section", "drawn"])
def test_porch_under_a_main_overhang(kind: str, open_below: bool) -> None:
    """The 12 × 2 of the porch under the overhang stay, and so does the overhang above."""
    s = roof(MAIN, porch(kind, open_below=open_below))
    side, end = (44 + 16) / 2 * 14, 28 * 14 / 2
    check_planes(
        s,
        {
            "South 1": (side, 0.5),
            "East 1": (end, 0.5),
            "North 1": (side, 0.5),
            "West 1": (end, 0.5),
            "South 2": (120, 0.25),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [16],
            K.HIP: [21] * 4,
            K.HEADWALL: [12],
            K.EAVE: [44, 44, 28, 28, 12],
            K.RAKE: [10 * F3] * 2,
        },
    )
    check_folds(s, K.HEADWALL, -(90 - angle(0.25)))
    assert ends(of_kind(s, K.HEADWALL)[0]) == ((8, 0, 7.5), (20, 0, 7.5))
    assert s.gaps == ()


@pytest.mark.parametrize(("kind", "cut"), [("skylight", 0.0), ("pipe", 2.0)])
def test_opening_through_two_roofs_above_each_other(kind: str, cut: float) -> None:
    """2 × 1 in the overhang above the porch: a skylight cuts the upper roof only, a pipe both."""
    hole = opening(box(10, -1.5, 12, -0.5), kind)  # type: ignore[arg-type]
    s = roof(MAIN, porch("section", open_below=True), hole)
    plan = {p.name: p.plan_area / FT**2 for p in s.planes}
    assert plan["South 1"] == pytest.approx((44 + 16) / 2 * 14 - 2, rel=REL)
    assert plan["South 2"] == pytest.approx(120 - cut, rel=REL)


def neighbours(eave_ft: float) -> tuple[Section, Section]:
    """Two hip roofs 24 × 24 whose overhangs lie over each other from x = 21 to 22."""
    return (
        section(box(0, 0, 20, 20), [0.5] * 4, eave_ft=9, overhang_ft=2, line="wall"),
        section(
            box(23, 0, 43, 20),
            [0.5] * 4,
            section_id="s2",
            eave_ft=eave_ft,
            overhang_ft=2,
            line="wall",
        ),
    )


def test_overhangs_that_pass_each_other_both_stay() -> None:
    """Fascias at 9 and 8; the lower roof has risen to 8.5 below the upper fascia: 6 in of gap,
    which is reported."""
    s = roof(*neighbours(8))
    assert total_plan(s) == pytest.approx(2 * 24**2, rel=REL)
    assert {e.kind for e in s.edges} == {K.EAVE, K.HIP}
    (gap,) = s.gaps
    assert gap.height / FT == pytest.approx(0.5, rel=REL)
    assert 21 < gap.place[0] / FT < 22
    assert {gap.first, gap.second} == {"s1", "s2"}


@pytest.mark.parametrize(("eave", "gap"), [(7.4, False), (7.6, True)])
def test_gaps_are_reported_under_twelve_inches(eave: float, gap: bool) -> None:
    # 9 - (eave + 0.5) is 1.1 and 0.9
    assert bool(roof(*neighbours(eave)).gaps) is gap


def test_overhangs_that_cross_meet_in_a_valley() -> None:
    """Fascias level at 9: the roofs are equal along x = 21.5, 9.25 high. Of each the strip below
    the other goes: the union of both drip lines stays. The line is level: a dead valley, from
    y = -1.5 to 21.5, where the hips of both drip corners reach it."""
    s = roof(*neighbours(9))
    assert total_plan(s) == pytest.approx(2 * 24**2 - 24, rel=REL)
    (level,) = [v for v in of_kind(s, K.VALLEY) if v.remark]
    assert ends(level) == ((21.5, -1.5, 9.25), (21.5, 21.5, 9.25))
    check_folds(s, K.VALLEY, -2 * angle(0.5))
