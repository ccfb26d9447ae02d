"""Towers through roofs; feet. Every figure is derived beside it.

House 40 × 24, 6/12. The tower is 6 × 6, eave 12, with a pyramid of 12/12: 3 high, hips (3, 3, 3),
four planes of 9.
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Section
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, RECTANGLE, box, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    check_walls,
    ends,
    node,
    of_kind,
    roof,
    sf,
    square_bend,
)

F6 = sf(0.5)
HOUSE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
HIPS = [3 * math.sqrt(3)] * 4
QUARTER = (9, 1.0)


def tower(x0: float, y0: float) -> Section:
    return section(box(x0, y0, x0 + 6, y0 + 6), [1.0] * 4, section_id="s2", eave_ft=12)


def test_tower_through_a_ridge() -> None:
    """The ridge runs from x = 12 to 28. 6 × 3 are cut from both slopes, which are 4.5 high at
    the tower's faces."""
    s = roof(section(RECTANGLE, [0.5] * 4), tower(17, 9))
    check_planes(
        s,
        {
            "South 1": (336 - 18, 0.5),
            "East 1": (144, 0.5),
            "North 1": (336 - 18, 0.5),
            "West 1": (144, 0.5),
            "South 2": QUARTER,
            "East 2": QUARTER,
            "North 2": QUARTER,
            "West 2": QUARTER,
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [5, 5],
            K.HIP: [*[18] * 4, *HIPS],
            K.HEADWALL: [6, 6],
            K.SIDEWALL: [3 * F6] * 4,
            K.EAVE: [40, 24, 40, 24, *[6] * 4],
        },
    )
    check_folds(s, K.HEADWALL, -(90 - angle(0.5)))
    check_folds(s, K.SIDEWALL, -90.0)
    check_folds(s, K.HIP, *[square_bend(0.5, 0.5)] * 4, *[60.0] * 4)
    assert node(s, 17, 12) == node(s, 23, 12) == "ridge end at a wall"
    assert node(s, 20, 12) == "peak"
    # faces: 6 × 7.5 above the slopes; sides: under them 4.5 to 6 and back, 5.25 on average
    check_walls(
        s,
        {("s2", "e1"): 45, ("s2", "e2"): 40.5, ("s2", "e3"): 45, ("s2", "e4"): 40.5},
    )


def test_tower_on_a_slope_stops_the_water_behind_it() -> None:
    s = roof(HOUSE, tower(17, 3))
    south = next(p for p in s.planes if p.name == "South 1")
    assert len(south.holes) == 1
    assert south.plan_area / FT**2 == pytest.approx(480 - 36, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.HIP: HIPS,
            K.HEADWALL: [6],
            K.SIDEWALL: [6, 6 * F6, 6 * F6],
            K.EAVE: [40, 40, *[6] * 4],
            K.RAKE: [12 * F6] * 4,
        },
    )
    # behind it the slope comes down to the wall: bend 90 + a
    check_folds(s, K.SIDEWALL, -90.0, -90.0, -(90 + angle(0.5)))
    behind = next(e for e in of_kind(s, K.SIDEWALL) if e.remark)
    assert ends(behind) == ((17, 9, 4.5), (23, 9, 4.5))
    assert behind.remark == "Water runs against this wall."


def test_tower_turned_by_45_degrees() -> None:
    """A square tower stands with a corner down the slope, half its diagonal 4: each side is 4√2
    in plan and rises 2 on the slope, √36. cos of the bend is ±sin a · cos 45°; water runs
    against the two upper sides."""
    corners = ((20, 2), (24, 6), (20, 10), (16, 6))
    s = roof(HOUSE, section(corners, [1.0] * 4, section_id="s2", eave_ft=12))
    south = next(p for p in s.planes if p.name == "South 1")
    assert south.plan_area / FT**2 == pytest.approx(480 - 32, rel=REL)
    assert [e.length / FT for e in of_kind(s, K.SIDEWALL)] == pytest.approx([6] * 4, rel=REL)
    bend = math.degrees(math.acos(math.sin(math.radians(angle(0.5))) * math.sqrt(0.5)))
    assert bend == pytest.approx(71.5651, abs=5e-5)
    check_folds(s, K.SIDEWALL, -bend, -bend, bend - 180, bend - 180)
    against = [e for e in of_kind(s, K.SIDEWALL) if e.remark]
    assert [e.fold for e in against] == pytest.approx([bend - 180] * 2, rel=REL)
    assert {p.name for p in s.planes} >= {
        "South-east 1", "South-west 1", "North-east 1", "North-west 1"
    }  # fmt: skip


def test_tower_across_an_eave() -> None:
    """Half of the tower stands in front of the house, y from -3 to 3: it breaks the eave, and
    the slope ends against its back wall and 3 of its sides."""
    s = roof(HOUSE, tower(17, -3))
    quarters = {f"{way}": QUARTER for way in ("South 2", "East 1", "North 2", "West 1")}
    check_planes(s, {"South 1": (480 - 18, 0.5), "North 1": (480, 0.5), **quarters})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.HIP: HIPS,
            K.SIDEWALL: [6, 3 * F6, 3 * F6],
            K.EAVE: [17, 17, 40, *[6] * 4],
            K.RAKE: [12 * F6] * 4,
        },
    )
    # back wall: above 1.5; sides: 3 × 12 in front, then 3 wide from y/2 up
    side = 3 * 12 + 3 * 12 - 3 * 1.5 / 2
    check_walls(
        s,
        {
            ("s1", "e2"): 72,
            ("s1", "e4"): 72,
            ("s2", "e1"): 72,
            ("s2", "e2"): side,
            ("s2", "e3"): 6 * 10.5,
            ("s2", "e4"): side,
        },
    )


def test_tower_at_a_corner_of_hips() -> None:
    """The tower around the hip from (0, 0), x and y from 3 to 9: the hip is 3 and 3 long in plan
    on both sides of it; of both slopes 18 go. Each slope falls from one wall: it is headed by one
    (6 less what lies beyond the hip) and passes another."""
    s = roof(section(RECTANGLE, [0.5] * 4), tower(3, 3))
    plan = {p.name: p.plan_area / FT**2 for p in s.planes if p.id.section == "s1"}
    expected = {"South 1": 336 - 18, "East 1": 144, "North 1": 336, "West 1": 144 - 18}
    assert plan == pytest.approx(expected, rel=REL)
    check_edges(
        s,
        {
            K.RIDGE: [16],
            K.HIP: [18, 18, 18, 3 * 1.5, 3 * 1.5, *HIPS],
            K.HEADWALL: [6, 6],
            K.SIDEWALL: [6 * F6, 6 * F6],
            K.EAVE: [40, 24, 40, 24, *[6] * 4],
        },
    )
    # on the slopes, and at the tower's own eave above
    assert node(s, 3, 3) == node(s, 9, 9) == "wall corner, hip foot"
