"""Dormers, composed of sections; feet. Every figure is derived beside it.

Main body: 40 × 36 gable, 9/12 (slope factor 1.25), ridge at y = 18, 13.5 high; rakes 22.5. The
dormers are 8 wide and stand 6 in from the eave, where the main slope is 4.5 high.
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Section
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from tests.houses import GABLE, box, project, section
from tests.surface.roof_asserts import (
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
    square_bend,
    walls,
)

MAIN = section(box(0, 0, 40, 36), (0.75, GABLE, 0.75, GABLE))
MAIN_RAKES = [22.5] * 4
GABLES = {("s1", "e2"): 36 * 13.5 / 2, ("s1", "e4"): 36 * 13.5 / 2}


def gable_dormer(section_id: str, x0: float, back: float = 16) -> Section:
    return section(
        box(x0, 6, x0 + 8, back),
        (GABLE, 0.75, GABLE, 0.75),
        section_id=section_id,
        eave_ft=8.25,
    )


@pytest.mark.parametrize("back", [15.0, 16.0, 18.0])
def test_e7_gable_dormer(back: float) -> None:
    """Face wall 3.75 above the slope, eave level 4.5 + 3.75 = 8.25: the slope has it at y = 11.
    The ridge is 3 higher, 11.25, and ends at y = 15; valleys (4, 4, 3) = √41."""
    s = roof(MAIN, gable_dormer("s2", 16, back))
    side = 4 * 5 + 4 * 4 / 2
    check_planes(
        s,
        {
            "South 1": (40 * 18 - 2 * side, 0.75),
            "North 1": (40 * 18, 0.75),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 9],
            K.VALLEY: [math.sqrt(41)] * 2,
            K.SIDEWALL: [6.25, 6.25],
            K.HEADWALL: [8],
            K.EAVE: [40, 40, 5, 5],
            K.RAKE: [*MAIN_RAKES, 5, 5],
        },
    )
    check_folds(s, K.RIDGE, 2 * angle(0.75))
    check_folds(s, K.VALLEY, -square_bend(0.75, 0.75))
    check_folds(s, K.SIDEWALL, -90.0)
    check_folds(s, K.HEADWALL, -(90 - angle(0.75)))
    # cheeks: triangles 3.75 plumb and 5 level; face: 8·3.75 + 8·3/2
    check_walls(
        s, {**GABLES, ("s2", "e1"): 42, ("s2", "e2"): 3.75 * 2.5, ("s2", "e4"): 3.75 * 2.5}
    )
    assert heights(s, "East 1") == pytest.approx((8.25, 11.25), rel=1e-9)
    assert node(s, 20, 15) == "valley head"
    assert node(s, 16, 11) == "valley at a wall"


def test_wall_dormer_breaks_the_eave() -> None:
    """The gable dormer's face moved out into the house's wall: no apron, the cheeks run from the
    eave to y = 11 on the slope, and the eave is 16 + 16."""
    dormer = section(box(16, 0, 24, 16), (GABLE, 0.75, GABLE, 0.75), section_id="s2", eave_ft=8.25)
    s = roof(MAIN, dormer)
    side = 4 * 11 + 8
    check_planes(
        s,
        {
            "South 1": (720 - 2 * side, 0.75),
            "North 1": (720, 0.75),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 15],
            K.VALLEY: [math.sqrt(41)] * 2,
            K.SIDEWALL: [11 * 1.25] * 2,
            K.EAVE: [16, 16, 40, 11, 11],
            K.RAKE: [*MAIN_RAKES, 5, 5],
        },
    )
    cheek = 11 * 8.25 / 2
    check_walls(
        s,
        {**GABLES, ("s2", "e1"): 8 * 8.25 + 12, ("s2", "e2"): cheek, ("s2", "e4"): cheek},
    )


def test_dormer_with_overhangs_keeps_the_roof_beneath_them() -> None:
    """The gable dormer with 1 ft overhangs, plates level at 8.25: its eaves are 7.5 high at
    x = 15 and 25, y from 5 to 10, and its ridge runs from y = 5. The main roof is cut as before,
    at the walls only; the valleys begin 1 further out, 5/4 of √41 in all, the outer fifth of
    it on a roof that runs on beneath."""
    dormer = section(
        box(16, 6, 24, 16),
        (GABLE, 0.75, GABLE, 0.75),
        section_id="s2",
        eave_ft=8.25,
        overhang_ft=1,
        line="wall",
        level="plates",
    )
    s = roof(MAIN, dormer)
    side = 5 * 5 + 5 * 5 / 2
    check_planes(
        s,
        {
            "South 1": (720 - 56, 0.75),
            "North 1": (720, 0.75),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    valleys = [e.length / 304.8 for e in of_kind(s, K.VALLEY)]
    assert sum(valleys) == pytest.approx(2.5 * math.sqrt(41), rel=1e-9)
    check_edges(
        s,
        {
            K.RIDGE: [40, 10],
            K.VALLEY: valleys,
            K.SIDEWALL: [6.25, 6.25],
            K.HEADWALL: [8],
            K.EAVE: [40, 40, 5, 5],
            K.RAKE: [*MAIN_RAKES, 6.25, 6.25],
        },
    )
    check_folds(s, K.VALLEY, -square_bend(0.75, 0.75))
    # walls do not grow with the overhang
    check_walls(
        s, {**GABLES, ("s2", "e1"): 42, ("s2", "e2"): 3.75 * 2.5, ("s2", "e4"): 3.75 * 2.5}
    )


@pytest.mark.parametrize("back", [14.0, 17.0])
def test_shed_dormer_meets_the_slope_in_a_pitch_transition(back: float) -> None:
    """3/12, 12 wide, face 4 high: 8.5 + (y - 6)/4 reaches 3y/4 at y = 14, 8 behind the face."""
    s = roof(
        MAIN,
        section(box(14, 6, 26, back), (0.25, GABLE, GABLE, GABLE), section_id="s2", eave_ft=8.5),
    )
    check_planes(s, {"South 1": (720 - 96, 0.75), "North 1": (720, 0.75), "South 2": (96, 0.25)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.PITCH_TRANSITION: [12],
            K.HEADWALL: [12],
            K.SIDEWALL: [8 * 1.25] * 2,
            K.EAVE: [40, 40, 12],
            K.RAKE: [*MAIN_RAKES, 8 * sf(0.25), 8 * sf(0.25)],
        },
    )
    check_folds(s, K.PITCH_TRANSITION, -(angle(0.75) - angle(0.25)))
    assert ends(of_kind(s, K.PITCH_TRANSITION)[0]) == ((14, 14, 10.5), (26, 14, 10.5))
    check_walls(s, {**GABLES, ("s2", "e1"): 48, ("s2", "e2"): 16, ("s2", "e4"): 16})


def test_hipped_dormer() -> None:
    """As the gable dormer, with a hip in front: hips (4, 4, 3), ridge from y = 10 to 15."""
    dormer = section(box(16, 6, 24, 16), (0.75, 0.75, GABLE, 0.75), section_id="s2", eave_ft=8.25)
    s = roof(MAIN, dormer)
    front, side = 8 * 4 / 2, 4 * 5 + 8 - 8
    check_planes(
        s,
        {
            "South 1": (720 - 56, 0.75),
            "North 1": (720, 0.75),
            "South 2": (front, 0.75),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 5],
            K.HIP: [math.sqrt(41)] * 2,
            K.VALLEY: [math.sqrt(41)] * 2,
            K.SIDEWALL: [6.25, 6.25],
            K.HEADWALL: [8],
            K.EAVE: [40, 40, 8, 5, 5],
            K.RAKE: MAIN_RAKES,
        },
    )
    check_folds(s, K.HIP, square_bend(0.75, 0.75))
    check_folds(s, K.VALLEY, -square_bend(0.75, 0.75))
    assert node(s, 20, 10) == "ridge end at hips"
    check_walls(
        s, {**GABLES, ("s2", "e1"): 30, ("s2", "e2"): 3.75 * 2.5, ("s2", "e4"): 3.75 * 2.5}
    )


def test_two_dormers_whose_roofs_meet() -> None:
    """Ridges 6 apart: the inner slopes meet half-way, 3 from each ridge, 11.25 - 2.25 = 9 high,
    in a level valley that runs back to y = 12. The valleys on the main slope from there up are
    3/4 of √41."""
    parts = (MAIN, gable_dormer("s2", 12), gable_dormer("s3", 18))
    s = roof(*parts)
    outer, inner = 28, 3 * (9 + 6) / 2
    check_planes(
        s,
        {
            "South 1": (720 - 2 * (outer + inner), 0.75),
            "North 1": (720, 0.75),
            "West 1": (outer, 0.75),
            "East 1": (inner, 0.75),
            "West 2": (inner, 0.75),
            "East 2": (outer, 0.75),
        },
    )
    root = math.sqrt(41)
    headwalls = [e.length / 304.8 for e in of_kind(s, K.HEADWALL)]
    assert sum(headwalls) == pytest.approx(14, rel=1e-9)
    check_edges(
        s,
        {
            K.RIDGE: [40, 9, 9],
            K.VALLEY: [root, root, 0.75 * root, 0.75 * root, 6],
            K.SIDEWALL: [6.25, 6.25],
            K.HEADWALL: headwalls,
            K.EAVE: [40, 40, 5, 5],
            K.RAKE: [*MAIN_RAKES, 5, 5, 3.75, 3.75],
        },
    )
    # two slopes against each other fold by twice the pitch
    fold = square_bend(0.75, 0.75)
    check_folds(s, K.VALLEY, -fold, -fold, -fold, -fold, -2 * angle(0.75))
    level = next(v for v in of_kind(s, K.VALLEY) if v.remark)
    assert ends(level) == ((19, 6, 9), (19, 12, 9))
    sentences = [p.sentence for p in results_of(project(*parts)).problems]
    assert sum("valley is level" in text for text in sentences) == 1


def test_the_face_that_two_dormers_share_is_one_wall() -> None:
    """Face 14 wide: 3.75 high below the eaves, two gables of 12, less what the overlap (2 wide)
    would count twice: 2·3.75 and a triangle 2 wide, 0.75 high, below the valley."""
    s = roof(MAIN, gable_dormer("s2", 12), gable_dormer("s3", 18))
    found = walls(s)
    face = 14 * 3.75 + 2 * 12 - 2 * 0.75 / 2
    assert found["s2", "e1"] + found["s3", "e1"] == pytest.approx(face, rel=1e-9)


def test_dormer_taller_than_the_main_ridge() -> None:
    """Eave 12, ridge 15, its back wall over the main ridge (13.5): the slope has 12 at y = 16, so
    the valleys are (2, 2, 1.5) up to the ridge; of the back gable 4 × 1.5 / 2 stand above it, a
    headwall of 4 for the north slope. The main ridge is 18 + 18."""
    dormer = section(box(16, 6, 24, 18), (GABLE, 0.75, GABLE, 0.75), section_id="s2", eave_ft=12)
    s = roof(MAIN, dormer)
    side = 4 * 12 - 2 * 2 / 2
    check_planes(
        s,
        {
            "South 1": (720 - 2 * side, 0.75),
            "North 1": (720, 0.75),
            "East 1": (side, 0.75),
            "West 1": (side, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [18, 18, 12],
            K.VALLEY: [math.sqrt(10.25)] * 2,
            K.SIDEWALL: [12.5, 12.5],
            K.HEADWALL: [8, 4],
            K.EAVE: [40, 40, 10, 10],
            K.RAKE: [*MAIN_RAKES, 5, 5, 2.5, 2.5],
        },
    )
    cheek = 10 * 7.5 / 2
    front = 8 * 7.5 + 12
    check_walls(
        s,
        {
            **GABLES,
            ("s2", "e1"): front,
            ("s2", "e2"): cheek,
            ("s2", "e3"): 3,
            ("s2", "e4"): cheek,
        },
    )
