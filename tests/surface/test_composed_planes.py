"""Planes drawn by hand; feet. Every figure is derived beside it."""

from __future__ import annotations

import math

import pytest

from roofmodel.document import ByEdge
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from tests.houses import (
    FT,
    GABLE,
    RECTANGLE,
    box,
    by_heights,
    by_slope,
    drawn_plane,
    project,
    section,
)
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
)

F6, F3 = sf(0.5), sf(0.25)


def test_butterfly_roof() -> None:
    """Two planes 12 × 20, 3/12, fall to x = 12, 8 high: a level valley, which is told."""
    parts = (
        drawn_plane(box(0, 0, 12, 20), by_slope(12, 0, 8, 0.25, 90)),
        drawn_plane(box(12, 0, 24, 20), by_slope(12, 0, 8, 0.25, 270), plane_id="p2"),
    )
    s = roof(*parts)
    check_planes(s, {"East 1": (240, 0.25), "West 1": (240, 0.25)})
    check_edges(s, {K.VALLEY: [20], K.HIGH_EAVE: [20, 20], K.RAKE: [12 * F3] * 4})
    check_folds(s, K.VALLEY, -2 * angle(0.25))
    check_folds(s, K.HIGH_EAVE, 90 + angle(0.25))
    assert heights(s, "East 1") == pytest.approx((8, 11), rel=1e-9)
    problems = results_of(project(*parts)).problems
    (problem,) = [p for p in problems if "valley is level" in p.sentence]
    (place,) = problem.places
    assert (place[0] / FT, place[1] / FT) == pytest.approx((12, 10))
    # walls from the ground: 11 high along the outer sides, 8 to 11 along the others
    side = 12 * 9.5
    check_walls(
        s,
        {
            ("p1", "side 1"): side,
            ("p1", "side 3"): side,
            ("p1", "side 4"): 20 * 11,
            ("p2", "side 1"): side,
            ("p2", "side 2"): 20 * 11,
            ("p2", "side 3"): side,
        },
    )


CORNERS = ((0, 0, 8), (20, 0, 12), (20, 20, 8), (0, 20, 12))
"""A square whose opposite corners are 8 and 12 high: no plane holds all four."""


@pytest.mark.parametrize(("first", "kind"), [(0, K.VALLEY), (1, K.RIDGE)])
def test_saddle_of_two_drawn_planes(first: int, kind: K) -> None:
    """Folded over one diagonal or the other: gradients ±(0.2, ∓0.2), slope √0.08, the fold
    2·atan √0.08 along 20√2, level. The sides climb 4 in 20: rakes of √416, and over those of the
    ridged one water runs."""
    a, b, c, d = (CORNERS[(first + k) % 4] for k in range(4))
    s = roof(
        *(
            drawn_plane([p[:2] for p in three], by_heights(*three), plane_id=plane_id)
            for three, plane_id in (((a, b, c), "p1"), ((a, c, d), "p2"))
        )
    )
    slope = math.sqrt(0.08)
    check_planes(s, {p.name: (200, slope) for p in s.planes})
    assert len(s.planes) == 2
    check_edges(s, {kind: [20 * math.sqrt(2)], K.RAKE: [math.sqrt(416)] * 4})
    fold = 2 * angle(slope)
    check_folds(s, kind, fold if kind is K.RIDGE else -fold)
    remark = "Water runs over this rake." if kind is K.RIDGE else ""
    assert {e.remark for e in of_kind(s, K.RAKE)} == {remark}


def test_skewed_plane_by_three_heights() -> None:
    """Over 10 × 8 it rises 1 to the east and 2 to the north: gradient (0.1, 0.25). It falls
    towards 180 + atan(0.1/0.25) degrees; no side is level."""
    s = roof(drawn_plane(box(0, 0, 10, 8), by_heights((0, 0, 5), (10, 0, 6), (0, 8, 7))))
    check_planes(s, {"South 1": (80, math.sqrt(0.0725))})
    assert s.planes[0].bearing == pytest.approx(180 + math.degrees(math.atan2(0.1, 0.25)))
    long, short = math.hypot(10, 1), math.hypot(8, 2)
    check_edges(s, {K.RAKE: [long, long, short, short]})
    assert heights(s, "South 1") == pytest.approx((5, 8), rel=1e-9)
    # to a plumb face: cos of the bend is the part of the fall that runs square to it, over SF
    bends = [math.degrees(math.acos(v / math.sqrt(1.0725))) for v in (0.25, -0.25, 0.1, -0.1)]
    check_folds(s, K.RAKE, *bends)


@pytest.mark.parametrize("deep", [0.0, 3.0])
def test_porch_tied_to_an_eave(deep: float) -> None:
    """House 40 × 24, 6/12, eave 8. The porch, 20 × 8, falls 3/12 from the eave to 6 high: a pitch
    transition over 20 of the eave, 10 left on both sides. What of its polygon lies inside the
    house is below the house's roof and hidden."""
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=8)
    eave = next(e for e in of_kind(roof(house), K.EAVE) if str(e.planes[0]).startswith("s1/e1"))
    porch = drawn_plane(box(10, -8, 30, 0), ByEdge("s1", str(eave.id), -0.25))
    if deep:
        # its plane runs on through the eave, further in, and is lower than the house's there
        porch = drawn_plane(box(10, -8, 30, deep), ByEdge("s1", str(eave.id), -0.25))
    s = roof(house, porch)
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5), "South 2": (160, 0.25)})
    check_edges(
        s,
        {
            K.RIDGE: [40],
            K.PITCH_TRANSITION: [20],
            K.EAVE: [10, 10, 40, 20],
            K.RAKE: [*[12 * F6] * 4, 8 * F3, 8 * F3],
        },
    )
    check_folds(s, K.PITCH_TRANSITION, -(angle(0.5) - angle(0.25)))
    assert ends(of_kind(s, K.PITCH_TRANSITION)[0]) == ((10, 0, 8), (30, 0, 8))
    assert heights(s, "South 2") == pytest.approx((6, 8), rel=1e-9)
    assert node(s, 10, 0) == node(s, 30, 0) == "roof corner"


def test_plane_tied_to_a_rake() -> None:
    """A plane that holds the rake of a 6/12 gable (it climbs 1/2) and is 12/12 steep falls away
    from it by √(1 - 1/4) to the side: a sloping fold along the rake, 12·√1.25 long."""
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=20)
    rake = next(
        e
        for e in of_kind(roof(house), K.RAKE)
        if e.start[0] / FT == 40 and min(e.start[1], e.end[1]) == 0
    )
    s = roof(house, drawn_plane(box(40, 0, 46, 12), ByEdge("s1", str(rake.id), -1.0)))
    check_planes(s, {"South 1": (480, 0.5), "North 1": (480, 0.5), "South-east 1": (72, 1.0)})
    across = math.sqrt(0.75)
    (plane,) = [p for p in s.planes if p.name == "South-east 1"]
    # uphill is west (across) and north (1/2): it looks to 90 + 30 degrees
    assert plane.bearing == pytest.approx(90 + math.degrees(math.asin(0.5)))
    assert heights(s, "South-east 1") == pytest.approx((20 - 6 * across, 26), rel=1e-9)
    (hip,) = of_kind(s, K.PITCH_TRANSITION) + of_kind(s, K.HIP)
    assert hip.length / FT == pytest.approx(12 * F6, rel=1e-9)
    # cos b = (1 + g1·g2)/(SF1·SF2), g1·g2 = 1/4
    assert hip.fold == pytest.approx(math.degrees(math.acos(1.25 / math.sqrt(1.25 * 2))))


def test_a_plane_tied_to_an_edge_that_is_gone_is_left_out_and_told() -> None:
    house = section(RECTANGLE, [0.5] * 4)
    porch = drawn_plane(box(10, -8, 30, 0), ByEdge("s1", "s1/e9/0/1|e9|1", -0.25))
    results = results_of(project(house, porch))
    (problem,) = [p for p in results.problems if p.serious]
    assert problem.sentence.startswith("P1: ")
    assert "is gone; tie it to another edge" in problem.sentence
    assert len(results.surface.planes) == 4
