"""Chimneys, saddles, skylights; feet. Every figure is derived beside it.

House: 40 × 24, 6/12, ridge at y = 12, or hips from the corners in at 45° in plan (1.5 long per
foot of run: √(1 + 1 + 1/4)).
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Opening
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, RECTANGLE, box, opening, project, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    ends,
    node,
    of_kind,
    roof,
    sf,
    square_bend,
)

F6 = sf(0.5)
A6 = angle(0.5)
HOUSE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
HIP_HOUSE = section(RECTANGLE, [0.5] * 4)
RAKES = [12 * F6] * 4


@pytest.mark.parametrize("kind", ["chimney", "skylight", "pipe"])
def test_opening_in_a_slope(kind: str) -> None:
    """4 wide, 3 along the slope: sides 3·√1.25; a chimney's faces bend by 90 ∓ a and 90."""
    s = roof(HOUSE, opening(box(18, 4, 22, 7), kind))  # type: ignore[arg-type]
    check_planes(s, {"South 1": (480 - 12, 0.5), "North 1": (480, 0.5)})
    assert [len(p.holes) for p in s.planes] == [1, 0]
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.EAVE: [40, 40],
            K.RAKE: RAKES,
            K.UPHILL_SIDE: [4],
            K.DOWNHILL_SIDE: [4],
            K.SIDE: [3 * F6] * 2,
        },
    )
    check_folds(s, K.UPHILL_SIDE, -(90 + A6))
    check_folds(s, K.DOWNHILL_SIDE, -(90 - A6))
    check_folds(s, K.SIDE, -90.0)
    assert ends(of_kind(s, K.UPHILL_SIDE)[0]) == ((18, 7, 3.5), (22, 7, 3.5))
    assert node(s, 18, 4) == "opening corner"


def test_saddle_of_the_slope_s_own_pitch() -> None:
    """Behind the 4 wide chimney the saddle's level ridge is 2·6/12 = 1 above y = 7, so it meets
    the slope at y = 9; valleys (2, 2, 1) = 3. At the chimney the saddle ends in two lines that
    climb with it, 2·√1.25 each: the chimney's uphill side."""
    s = roof(HOUSE, opening(box(18, 4, 22, 7), saddle=True))
    check_planes(
        s,
        {
            "South 1": (480 - 12 - 4, 0.5),
            "North 1": (480, 0.5),
            "Saddle 1": (2, 0.5),
            "Saddle 2": (2, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 2],
            K.VALLEY: [3, 3],
            K.EAVE: [40, 40],
            K.RAKE: RAKES,
            K.DOWNHILL_SIDE: [4],
            K.SIDE: [3 * F6, 3 * F6],
            K.UPHILL_SIDE: [2 * F6, 2 * F6],
        },
    )
    check_folds(s, K.RIDGE, 2 * A6)
    check_folds(s, K.VALLEY, -square_bend(0.5, 0.5))
    ridge = min(of_kind(s, K.RIDGE), key=lambda e: e.length)
    assert ends(ridge) == ((20, 7, 4.5), (20, 9, 4.5))
    assert {e.building for e in s.planes} == {"b1"}


def test_saddle_of_a_pitch_of_its_own() -> None:
    """12/12: its ridge is 2 above y = 7 and ends at y = 11, 4 behind; valleys (2, 4, 2)."""
    chimney = Opening(
        "o1", "O1", "chimney", opening(box(18, 4, 22, 7)).corners, True, saddle_slope=1.0
    )
    s = roof(HOUSE, chimney)
    check_planes(
        s,
        {
            "South 1": (480 - 12 - 8, 0.5),
            "North 1": (480, 0.5),
            "Saddle 1": (4, 1.0),
            "Saddle 2": (4, 1.0),
        },
    )
    assert [e.length / FT for e in of_kind(s, K.VALLEY)] == pytest.approx([math.sqrt(24)] * 2)
    check_folds(s, K.VALLEY, -square_bend(0.5, 1.0))


def test_chimney_across_a_ridge() -> None:
    """4 × 2.5, 1.5 of it on the south slope: water leaves it on both; the ridge is 18 + 18."""
    s = roof(HOUSE, opening(box(18, 10.5, 22, 13)))
    check_planes(s, {"South 1": (480 - 6, 0.5), "North 1": (480 - 4, 0.5)})
    check_edges(
        s,
        {
            K.RIDGE: [18, 18],
            K.EAVE: [40, 40],
            K.RAKE: RAKES,
            K.DOWNHILL_SIDE: [4, 4],
            K.SIDE: [1.5 * F6, 1.5 * F6, F6, F6],
        },
    )
    check_folds(s, K.DOWNHILL_SIDE, -(90 - A6))
    assert node(s, 18, 12) == node(s, 22, 12) == "opening corner"


def test_chimney_across_a_hip() -> None:
    """x 4-7, y 5-9; the hip y = x enters at (5, 5) and leaves at (7, 7). South of it a triangle
    of 2 is cut, west of it 12 - 2. On the south slope (up = north): face 2, side 2·√1.25. On the
    west slope (up = east): face 4, sides 1·√1.25 and 3·√1.25, uphill side 2."""
    s = roof(HIP_HOUSE, opening(box(4, 5, 7, 9)))
    check_planes(
        s,
        {
            "South 1": (336 - 2, 0.5),
            "East 1": (144, 0.5),
            "North 1": (336, 0.5),
            "West 1": (144 - 10, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [16],
            K.HIP: [18, 18, 18, 5 * 1.5, 5 * 1.5],
            K.EAVE: [40, 24, 40, 24],
            K.DOWNHILL_SIDE: [2, 4],
            K.UPHILL_SIDE: [2],
            K.SIDE: [F6, 2 * F6, 3 * F6],
        },
    )
    check_folds(s, K.HIP, square_bend(0.5, 0.5))
    check_folds(s, K.UPHILL_SIDE, -(90 + A6))


def test_skylight_across_a_valley() -> None:
    """On E4's west valley (x = 12 to 20, y = x - 12): x 15-17, y 3-6. The valley enters at
    (15, 3) and leaves at (17, 5): 3 of 12 are cut out. Below it lies the wing (east, up = +x):
    a triangle of 2; beside it the main slope: 6 - 2. On the wing: right side uphill, 2, and the
    lower side along its slope, 2·√1.25. On the main slope: left side 3·√1.25, top side uphill 2,
    right side above the valley √1.25."""
    s = roof(
        HOUSE,
        section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), section_id="s2"),
        opening(box(15, 3, 17, 6), "skylight"),
    )
    check_planes(
        s,
        {
            "South 1": (416 - 4, 0.5),
            "North 1": (480, 0.5),
            "East 1": (112, 0.5),
            "West 1": (112 - 2, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 18],
            K.VALLEY: [12, 3 * 1.5, 3 * 1.5],
            K.EAVE: [12, 12, 40, 10, 10],
            K.RAKE: [*RAKES, 8 * F6, 8 * F6],
            K.UPHILL_SIDE: [2, 2],
            K.SIDE: [2 * F6, 3 * F6, F6],
        },
    )


def test_chimney_at_the_eave_cuts_it_in_two() -> None:
    """Half in, half out: 3 × 1.5 are cut; the eave is 17 + 20, and no side faces the water's
    way down."""
    s = roof(HOUSE, opening(box(17, -1, 20, 1.5)))
    check_planes(s, {"South 1": (480 - 4.5, 0.5), "North 1": (480, 0.5)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.EAVE: [17, 20, 40],
            K.RAKE: RAKES,
            K.UPHILL_SIDE: [3],
            K.SIDE: [1.5 * F6] * 2,
        },
    )


def test_a_saddle_on_a_ridge_is_refused_in_words() -> None:
    results = results_of(project(HOUSE, opening(box(18, 10.5, 22, 13), saddle=True)))
    assert sum(p.plan_area for p in results.surface.planes) / FT**2 == pytest.approx(950, rel=REL)
    (problem,) = [p for p in results.problems if p.sentence.startswith("O1: ")]
    assert "no side that faces up a slope" in problem.sentence


def test_an_opening_beside_the_roof_is_told() -> None:
    results = results_of(project(HOUSE, opening(box(50, 0, 52, 2))))
    (problem,) = [p for p in results.problems if p.sentence.startswith("O1: ")]
    assert "beside the roof" in problem.sentence
    assert sum(p.plan_area for p in results.surface.planes) / FT**2 == pytest.approx(960, rel=REL)


def test_chimney_over_a_peak() -> None:
    """Pyramid 24 × 24, the chimney 2 × 2 around its peak: 1 of each plane goes, and the hips are
    11 long in plan. Water leaves all four sides."""
    s = roof(section(box(0, 0, 24, 24), [0.5] * 4), opening(box(11, 11, 13, 13)))
    check_planes(s, {f"{way} 1": (143, 0.5) for way in ("South", "East", "North", "West")})
    check_edges(s, {K.HIP: [16.5] * 4, K.EAVE: [24] * 4, K.DOWNHILL_SIDE: [2] * 4})


def test_openings_that_overlap_cut_their_union() -> None:
    """4 × 3 and 4 × 4, 2 × 2 in common: 24 go, once."""
    s = roof(
        HOUSE,
        opening(box(18, 4, 22, 7)),
        opening(box(20, 5, 24, 9), "skylight", opening_id="o2"),
    )
    check_planes(s, {"South 1": (480 - 24, 0.5), "North 1": (480, 0.5)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.EAVE: [40, 40],
            K.RAKE: RAKES,
            K.DOWNHILL_SIDE: [4, 2],
            K.UPHILL_SIDE: [2, 4],
            K.SIDE: [3 * F6, F6, 4 * F6, 2 * F6],
        },
    )


def test_chimney_at_the_cheek_of_a_dormer() -> None:
    """Gable dormer x 16-24 from y = 6, eave 8.25, on a 9/12 slope that has it at y = 11. The
    chimney, x 15-17, y 7-9, cuts 1 × 2 from the slope and from the dormer's west plane: of the
    cheek's line 1 and 2 are left (× 1.25), of the dormer's eave 1 and 2."""
    s = roof(
        section(box(0, 0, 40, 36), (0.75, GABLE, 0.75, GABLE)),
        section(box(16, 6, 24, 16), (GABLE, 0.75, GABLE, 0.75), section_id="s2", eave_ft=8.25),
        opening(box(15, 7, 17, 9)),
    )
    check_planes(
        s,
        {
            "South 1": (720 - 56 - 2, 0.75),
            "North 1": (720, 0.75),
            "East 1": (28, 0.75),
            "West 1": (28 - 2, 0.75),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 9],
            K.VALLEY: [math.sqrt(41)] * 2,
            K.SIDEWALL: [6.25, 1.25, 2.5],
            K.HEADWALL: [8],
            K.EAVE: [40, 40, 5, 1, 2],
            K.RAKE: [*[22.5] * 4, 5, 5],
            K.DOWNHILL_SIDE: [1],
            # behind it on the main slope; east of it on the dormer, which rises to the east
            K.UPHILL_SIDE: [1, 2],
            K.SIDE: [2.5, 1.25, 1.25],
        },
    )


def test_a_saddle_taller_than_the_ridge_behind_it_is_told() -> None:
    """Chimney 4 wide, its uphill side half a foot below the ridge: the saddle would be 1 high
    there, 6 in above the ridge, and end nowhere. It must be told, or end at the ridge."""
    parts = (HOUSE, opening(box(18, 9, 22, 11.5), saddle=True))
    results = results_of(project(*parts))
    told = any("saddle" in p.sentence and "codes" not in p.sentence for p in results.problems)
    above = max(float(p.outline[:, 2].max()) for p in results.surface.planes) / FT
    assert told or above == pytest.approx(6, rel=REL)


def test_saddle_behind_a_chimney_turned_by_15_degrees() -> None:
    """However its planes are chosen, a saddle has a ridge, valleys into the slope and lines at
    the chimney, but no end of its own in the air and no wall that water runs against."""
    c, w = math.cos(math.radians(15)), math.sin(math.radians(15))
    square = ((-2, -1.5), (2, -1.5), (2, 1.5), (-2, 1.5))
    turned = [(20 + c * x - w * y, 5 + w * x + c * y) for x, y in square]
    s = roof(HOUSE, opening(turned, saddle=True))
    assert [e.length / FT for e in of_kind(s, K.RAKE)] == pytest.approx(RAKES, rel=REL)
    assert [e.length / FT for e in of_kind(s, K.EAVE)] == pytest.approx([40, 40], rel=REL)
    assert of_kind(s, K.SIDEWALL) == []
