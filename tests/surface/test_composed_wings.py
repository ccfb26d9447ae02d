"""Wings and cross gables, composed of two sections; feet. Every figure is derived beside it.

Main body unless said: 40 × 24 gable, 6/12, ridge along x at y = 12, 6 high; its slopes are
z = y/2 and z = (24 - y)/2, its rakes 12·√1.25 long. The wings' ridges run along y.
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Point, Section
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, RECTANGLE, box, section
from tests.surface.roof_asserts import (
    REL,
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
    square_bend,
    total_plan,
)

F6 = sf(0.5)
MAIN = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
MAIN_RAKES = [12 * F6] * 4


def wing(
    x0: float, x1: float, y0: float, y1: float, slope: float, eave_ft: float = 0.0
) -> Section:
    return section(
        box(x0, y0, x1, y1), (GABLE, slope, GABLE, slope), section_id="s2", eave_ft=eave_ft
    )


@pytest.mark.parametrize("back", [8.0, 12.0, 15.0])
def test_e4_cross_gable(back: float) -> None:
    """Wing 16 wide, 10 proud, same pitch and eave: ridge 4 high, which the main slope has at
    y = 8. Valleys rise 4 over 8√2 in plan: √(128 + 16) = 12. How far the wing's outline reaches
    under the main roof does not matter."""
    s = roof(MAIN, wing(12, 28, -10, back, 0.5))
    # a wing slope: 8 wide, from -10 to its valley at y = x - 12: 80 + 32
    check_planes(
        s,
        {
            "South 1": (480 - 16 * 8 / 2, 0.5),
            "North 1": (480, 0.5),
            "East 1": (112, 0.5),
            "West 1": (112, 0.5),
        },
    )
    assert sum(p.true_area for p in s.planes) / FT**2 == pytest.approx(1120 * F6, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [40, 18],
            K.VALLEY: [12, 12],
            K.EAVE: [12, 12, 40, 10, 10],
            K.RAKE: [*MAIN_RAKES, 8 * F6, 8 * F6],
        },
    )
    check_folds(s, K.RIDGE, 2 * math.degrees(math.atan(0.5)))
    check_folds(s, K.VALLEY, -math.degrees(math.acos(0.8)))
    check_folds(s, K.EAVE, 90 - math.degrees(math.atan(0.5)))
    check_folds(s, K.RAKE, 90.0)
    assert node(s, 12, 0) == node(s, 28, 0) == "valley foot"
    assert node(s, 20, 8) == "valley head"
    assert node(s, 20, -10) == "ridge end at a gable"
    # eaves at the ground: what is left are gable triangles, 24·6/2 and 16·4/2
    check_walls(s, {("s1", "e2"): 72, ("s1", "e4"): 72, ("s2", "e1"): 32})


def test_lower_wing_whose_valleys_end_on_the_slope() -> None:
    """Wing 9 wide, 8/12, its eaves 2 above the main eave: they meet the slope at y = 4, the
    ridge (2 + 4.5·2/3 = 5) at y = 10."""
    s = roof(MAIN, wing(16, 25, -8, 12, 2 / 3, eave_ft=2))
    # hidden: 9 wide from the eave to y = 4, then a triangle 9 wide and 6 deep
    side = 4.5 * 12 + 4.5 * 6 / 2
    check_planes(
        s,
        {
            "South 1": (480 - 36 - 27, 0.5),
            "North 1": (480, 0.5),
            "East 1": (side, 2 / 3),
            "West 1": (side, 2 / 3),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 18],
            K.VALLEY: [math.sqrt(4.5**2 + 6**2 + 3**2)] * 2,
            K.SIDEWALL: [4 * F6] * 2,
            K.EAVE: [16, 15, 40, 12, 12],
            K.RAKE: [*MAIN_RAKES, 4.5 * sf(2 / 3), 4.5 * sf(2 / 3)],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.5, 2 / 3))
    check_folds(s, K.SIDEWALL, -90.0)
    assert sorted(ends(v) for v in of_kind(s, K.VALLEY)) == [
        ((16, 4, 2), (20.5, 10, 5)),
        ((25, 4, 2), (20.5, 10, 5)),
    ]
    assert node(s, 16, 4) == node(s, 25, 4) == "valley at a wall"
    assert node(s, 20.5, 10) == "valley head"
    # the wing's sides: 2 high up to y = 0, then down to nothing at y = 4; its front: 9·2 + 9·3/2
    check_walls(
        s,
        {
            ("s1", "e2"): 72,
            ("s1", "e4"): 72,
            ("s2", "e1"): 31.5,
            ("s2", "e2"): 20,
            ("s2", "e4"): 20,
        },
    )


def test_wing_with_a_steeper_pitch() -> None:
    """12/12, 8 wide, same eave: ridge 4 high, so it ends at y = 8. Valleys (4, 8, 4) long; they
    leave the 6/12 eave at tan ψ = m2/m1 = 2."""
    s = roof(MAIN, wing(16, 24, -6, 10, 1.0))
    side = 4 * 6 + 4 * 8 / 2
    check_planes(
        s,
        {
            "South 1": (480 - 32, 0.5),
            "North 1": (480, 0.5),
            "East 1": (side, 1.0),
            "West 1": (side, 1.0),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 14],
            K.VALLEY: [math.sqrt(96)] * 2,
            K.EAVE: [16, 16, 40, 6, 6],
            K.RAKE: [*MAIN_RAKES, 4 * math.sqrt(2), 4 * math.sqrt(2)],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.5, 1.0))
    check_folds(s, K.RIDGE, 2 * math.degrees(math.atan(0.5)), 90.0)


def test_equal_ridge_heights() -> None:
    """9/12, 16 wide: ridge 6 high, it runs into the main ridge at (16, 12). The south slope falls
    into two pieces that touch there, and the main ridge into 16 + 24."""
    s = roof(MAIN, wing(8, 24, -10, 12, 0.75))
    side = 8 * 10 + 8 * 12 / 2
    check_planes(
        s,
        {
            "South 1": (8 * 12 + 48, 0.5),
            "South 1b": (16 * 12 + 48, 0.5),
            "North 1": (480, 0.5),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [16, 24, 22],
            K.VALLEY: [math.sqrt(8**2 + 12**2 + 6**2)] * 2,
            K.EAVE: [8, 16, 40, 10, 10],
            K.RAKE: [*MAIN_RAKES, 10, 10],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.5, 0.75))
    assert node(s, 16, 12) == "valley head"


def test_cross_gable_of_higher_ridge() -> None:
    """12/12, 20 wide, through the house: ridge 10 high. The main ridge (6) ends on its slopes at
    x = 16 and 24, in four valleys of (6, 12, 6)."""
    s = roof(MAIN, wing(10, 30, -6, 30, 1.0))
    piece = 10 * 12 + 6 * 12 / 2
    slope = 10 * 36 - 24 * 6 / 2
    names = ("South 1", "South 1b", "North 1", "North 1b")
    check_planes(
        s,
        dict.fromkeys(names, (piece, 0.5)) | dict.fromkeys(("East 1", "West 1"), (slope, 1.0)),
    )
    check_edges(
        s,
        {
            K.RIDGE: [16, 16, 36],
            K.VALLEY: [math.sqrt(216)] * 4,
            K.EAVE: [10] * 4 + [6] * 4,
            K.RAKE: [*MAIN_RAKES, *[10 * math.sqrt(2)] * 4],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.5, 1.0))
    assert heights(s, "East 1") == pytest.approx((0, 10), abs=1e-9)
    assert total_plan(s) == pytest.approx(960 + 20 * 12, rel=REL)


def test_wing_at_45_degrees() -> None:
    """Main body 60 long. The wing, 16 wide, same pitch and eave, comes in from the south-west
    through (30, 0). With t along it and s across it, y = (t - s)/√2 and the wing is (8 - |s|)/2:
    they are equal at s = 8, t = 8; at s = -8, t = -8; and on the ridge at t = 8√2. Angles between
    the ascents are 45° and 135°, so the valleys run 8/sin 67.5° and 8/sin 22.5° in plan."""
    root = math.sqrt(2)

    def place(t: float, s: float) -> Point:
        return 30 + (t + s) / root, (t - s) / root

    corners = [place(-20, -8), place(-20, 8), place(13, 8), place(13, -8)]
    s = roof(
        section(box(0, 0, 60, 24), (0.5, GABLE, 0.5, GABLE)),
        section(corners, (GABLE, 0.5, GABLE, 0.5), section_id="s2"),
    )
    check_planes(
        s,
        {
            # hidden: base 16√2 on the eave, height 8 (the ridge's end, 8√2 along, at y = 8)
            "South 1": (60 * 12 - 64 * root, 0.5),
            "North 1": (60 * 12, 0.5),
            "South-east 1": (8 * (20 + (8 + 8 * root) / 2), 0.5),
            "North-west 1": (8 * (20 + (-8 + 8 * root) / 2), 0.5),
        },
    )
    wide, sharp = (math.sin(math.radians(v)) for v in (67.5, 22.5))
    check_edges(
        s,
        {
            K.RIDGE: [60, 20 + 8 * root],
            K.VALLEY: [8 * math.sqrt(0.25 + 1 / wide**2), 8 * math.sqrt(0.25 + 1 / sharp**2)],
            K.EAVE: [30 - 8 * root, 30 - 8 * root, 60, 28, 12],
            K.RAKE: [*MAIN_RAKES, 8 * F6, 8 * F6],
        },
    )
    # cos b = (1 + m² cos γ)/(1 + m²)
    bends = [math.degrees(math.acos((1 + 0.25 * c) / 1.25)) for c in (1 / root, -1 / root)]
    check_folds(s, K.VALLEY, *(-b for b in bends))


def test_courtyard_house_with_a_wing() -> None:
    """48 × 48 around a courtyard of 16 × 16, 6/12: ridges 8 in from both, 4 high. A gabled wing
    12 wide comes in from the south: ridge 3 high, to y = 6."""
    s = roof(
        section(box(0, 0, 48, 48), [0.5] * 8, courtyards_ft=[box(16, 16, 32, 32)]),
        wing(18, 30, -10, 8, 0.5),
    )
    outer, inner, side = (48 + 32) / 2 * 8, (16 + 32) / 2 * 8, 6 * 10 + 18
    found = sorted(p.plan_area / FT**2 for p in s.planes)
    assert found == pytest.approx(sorted([outer - 36, *[outer] * 3, *[inner] * 4, side, side]))
    assert total_plan(s) == pytest.approx(48**2 - 16**2 + 120, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [32] * 4 + [16],
            K.HIP: [8 * 1.5] * 4,
            K.VALLEY: [8 * 1.5] * 4 + [6 * 1.5] * 2,
            K.EAVE: [18, 18, 48, 48, 48, *[16] * 4, 10, 10],
            K.RAKE: [6 * F6] * 2,
        },
    )
    check_folds(s, K.VALLEY, -math.degrees(math.acos(0.8)))


def test_of_coincident_sections_one_stays() -> None:
    twin = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), section_id="s2")
    s = roof(MAIN, twin)
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5)})
    check_edges(s, {K.RIDGE: [40], K.EAVE: [40, 40], K.RAKE: MAIN_RAKES})


def test_of_coincident_walls_one_stays() -> None:
    twin = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), section_id="s2")
    check_walls(roof(MAIN, twin), {("s1", "e2"): 72, ("s1", "e4"): 72})


@pytest.mark.parametrize("start", [15.0, 40.0])
def test_coplanar_neighbours_become_one_plane(start: float) -> None:
    """A second section carries the same gable on to x = 50, overlapping or only touching."""
    more = section(box(start, 0, 50, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    s = roof(MAIN, more)
    check_planes(s, {"South 1": (600, 0.5), "North 1": (600, 0.5)})
    check_edges(s, {K.RIDGE: [50], K.EAVE: [50, 50], K.RAKE: MAIN_RAKES})
