"""Compositions that once went wrong, each with its reason; feet."""

from __future__ import annotations

import pytest

from roofmodel.results import results_of
from roofmodel.systems import EdgeKind
from tests.houses import (
    FT,
    GABLE,
    RECTANGLE,
    box,
    by_heights,
    drawn_plane,
    opening,
    project,
    section,
)


def test_steep_planes_meet_though_their_corners_were_rounded() -> None:
    """Two planes of 60/12 entered to the millimetre: over their common side their heights differ
    by 2 mm, and still it is one ridge and no wall."""
    off = 2.0 / FT
    left = drawn_plane(
        box(0, 0, 10, 10), by_heights((0, 0, 0), (10, 0, 50), (0, 10, 0)), plane_id="p1"
    )
    right = drawn_plane(
        box(10, 0, 20, 10),
        by_heights((10, 0, 50 - off), (20, 0, -off), (10, 10, 50 - off)),
        plane_id="p2",
    )
    surface = results_of(project(left, right)).surface
    ridges = [e.length for e in surface.edges if e.kind is EdgeKind.RIDGE]
    assert ridges == pytest.approx([10 * FT])
    assert len(surface.planes) == 2
    assert not [e for e in surface.edges if e.kind in (EdgeKind.SIDEWALL, EdgeKind.HEADWALL)]


@pytest.mark.parametrize("lift_mm", [0.5, 1.5, 2.5, 4.0, 40.0])
def test_a_roof_over_its_own_copy_is_no_plane_over_itself(lift_mm: float) -> None:
    """A carport entered twice, a hair apart in height: within the healing limit (1 mm in plan,
    and the rise of both slopes over it) one roof is left, beyond it two lie over each other."""
    one = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), open_below=True)
    two = section(
        RECTANGLE,
        (0.5, GABLE, 0.5, GABLE),
        open_below=True,
        section_id="s2",
        eave_ft=lift_mm / FT,
    )
    surface = results_of(project(one, two)).surface
    areas = [p.plan_area / FT**2 for p in surface.planes]
    assert areas == pytest.approx([480.0] * (2 if lift_mm < 2.0 else 4))


@pytest.mark.parametrize("order", [1, -1])
def test_overlapping_openings_cut_the_same_in_any_order(order: int) -> None:
    """A skylight that overlaps a chimney, in a shed carport above a house: where both are, the
    chimney cuts both roofs; where only the skylight is, only the carport's."""
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    above = section(
        RECTANGLE,
        (0.25, GABLE, GABLE, GABLE),
        section_id="s2",
        eave_ft=20,
        open_below=True,
    )
    chimney = opening(box(10, 4, 14, 8), opening_id="o1")
    skylight = opening(box(12, 6, 16, 10), "skylight", opening_id="o2")
    surface = results_of(project(house, above, *(chimney, skylight)[::order])).surface
    plan = {p.name: p.plan_area / FT**2 for p in surface.planes}
    assert plan["South 1"] == pytest.approx(480 - 16)
    assert plan["South 2"] == pytest.approx(960 - 28)


def test_a_saddle_stands_the_same_way_however_things_are_numbered() -> None:
    """A chimney in a valley: two sides and two planes do equally well behind it. The wider side
    counts, not the first one."""
    areas = []
    for shift in range(4):
        for order in (1, -1):
            main = section(RECTANGLE, (0.25, GABLE, 0.25, GABLE))
            wing = section(box(12, -10, 28, 12), (GABLE, 0.25, GABLE, 0.25), section_id="s2")
            ring = box(12, 1, 15, 3)
            corners = (ring[shift:] + ring[:shift])[::order]
            chimney = opening(corners, saddle=True)
            surface = results_of(project(*(main, wing)[::order], chimney)).surface
            areas.append(sorted(p.true_area for p in surface.planes))
            assert len([p for p in surface.planes if p.id.section == "o1"]) == 2
    for other in areas[1:]:
        assert other == pytest.approx(areas[0], rel=1e-9)
