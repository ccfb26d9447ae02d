"""Drip line and wall line from each other."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from roofmodel.document.outlines import drip_rings, wall_rings
from roofmodel.errors import OutlineError
from roofmodel.geometry import plan_area
from roofmodel.results import results_of
from tests.houses import FT, RECTANGLE, project, section

YARD = ((15, 8), (25, 8), (25, 16), (15, 16))


def test_overhang_grows_the_outline_and_shrinks_the_courtyard() -> None:
    one = section(RECTANGLE, [0.5] * 8, courtyards_ft=[YARD])
    one = replace(one, line="wall", overhang=2 * FT)
    outer, yard = drip_rings(one)
    assert plan_area(outer) == pytest.approx(44 * 28 * FT**2)
    assert plan_area(yard) == pytest.approx(6 * 4 * FT**2)
    back = wall_rings(replace(one, line="drip", rings=one.rings))
    assert plan_area(back[0]) == pytest.approx(36 * 20 * FT**2)
    plan = sum(p.plan_area for p in results_of(project(one)).surface.planes)
    assert plan == pytest.approx((44 * 28 - 6 * 4) * FT**2, rel=1e-9)


def test_overhangs_that_close_a_courtyard_are_refused() -> None:
    one = section(RECTANGLE, [0.5] * 8, courtyards_ft=[YARD])
    one = replace(one, line="wall", overhang=4.5 * FT)
    with pytest.raises(OutlineError, match="overhangs are wider"):
        drip_rings(one)
    problems = results_of(project(one)).problems
    assert [p.serious for p in problems] == [True]


def test_unlike_overhangs_on_a_nearly_straight_eave_stay_near() -> None:
    corners = ((0, 0), (20, -0.03), (40, 0), (40, 24), (0, 24))
    one = replace(section(corners, [0.5] * 5), line="wall", overhang=FT)
    ring = one.rings[0]
    edges = (ring.edges[0], replace(ring.edges[1], overhang=2 * FT), *ring.edges[2:])
    one = replace(one, rings=(replace(ring, edges=edges),))
    (drip,) = drip_rings(one)
    assert drip[:, 0].max() < 44 * FT
    assert drip[:, 1].min() == pytest.approx(-2.03 * FT, abs=1.0)
