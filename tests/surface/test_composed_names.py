"""Names and identities stay while something else is edited."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Building, Project, Section
from roofmodel.results import results_of
from roofmodel.surface import Surface
from tests.houses import FT, GABLE, RECTANGLE, box, by_slope, drawn_plane, plain_system, section
from tests.surface.roof_asserts import REL, roof, total_plan

MAIN = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=8)
GARAGE = section(box(60, 0, 80, 20), [0.5] * 4, section_id="s3", eave_ft=8)
PORCH = msgspec.structs.replace(
    drawn_plane(box(60, -6, 80, 0), by_slope(60, 0, 6, 0.25, 180)), id="p4"
)


def shed(eave_ft: float) -> Section:
    """A hipped tower of 10 × 6 over the main roof's south slope, or hidden inside the house."""
    return section(box(10, 3, 20, 9), [0.5] * 4, section_id="s2", eave_ft=eave_ft)


def names(surface: Surface) -> dict[str, str]:
    return {str(p.id): p.name for p in surface.planes}


@pytest.mark.parametrize("eave_ft", [2.0, 9.0, 9.9, 30.0])
def test_hiding_planes_renames_no_other(eave_ft: float) -> None:
    """The shed's planes sink below the main roof, some or all of them: every plane that is left
    is called as before."""
    before = names(roof(MAIN, shed(16), GARAGE, PORCH))
    after = names(roof(MAIN, shed(eave_ft), GARAGE, PORCH))
    assert before["s3/e1/0/1"] == "South 3"
    assert before["p4/plane/0/1"] == "South 4"
    assert after.items() <= before.items()
    assert len(set(after.values())) == len(after)
    assert ("s2/e1/0/1" in after) is (eave_ft > 9.5)


def test_identities_hold_when_sections_are_listed_in_another_order() -> None:
    one = roof(MAIN, shed(16), GARAGE)
    other = roof(GARAGE, shed(16), MAIN)
    plan = {str(p.id): p.plan_area for p in one.planes}
    assert {str(p.id): p.plan_area for p in other.planes} == pytest.approx(plan, rel=REL)


def two_buildings(apart_ft: float) -> Project:
    """House and garage, the garage's west side `apart_ft` from the house's east gable."""
    x = 40 + apart_ft
    garage = section(box(x, 2, x + 20, 22), [0.5] * 4, section_id="s2", eave_ft=8)
    buildings = (Building("b1", "House", (MAIN,)), Building("b2", "Garage", (garage,)))
    return Project(plain_system(), buildings=buildings)


def test_two_buildings_apart() -> None:
    """Ten feet between: each keeps its planes, and they know their building."""
    s = results_of(two_buildings(10)).surface
    of = {p.id.section: p.building for p in s.planes}
    assert of == {"s1": "b1", "s2": "b2"}
    assert total_plan(s) == pytest.approx(960 + 400, rel=REL)
    assert all(len({of[i.section] for i in e.planes}) == 1 for e in s.edges)


def test_a_building_that_reaches_into_another_is_joined_like_a_section() -> None:
    """The garage moved 4 ft into the gable: there it lies below the house's roof only where
    (x - 36)/2 is less than the house's own height; both eaves are 8 high."""
    s = results_of(two_buildings(-4)).surface
    # the garage's roof over the 4 × 20 of overlap is at most 2 high, under min(y - 2, 22 - y)/2;
    # the house's, from y/2 and (24 - y)/2, is always higher: all of the overlap is hidden
    plan = {b: sum(p.plan_area for p in s.planes if p.building == b) / FT**2 for b in ("b1", "b2")}
    assert plan == pytest.approx({"b1": 960, "b2": 400 - 80}, rel=REL)


def test_results_do_not_depend_on_the_run() -> None:
    """Composed twice from equal documents, all corners are the same to the last bit."""
    parts = (MAIN, shed(16), GARAGE, PORCH)
    again = tuple(msgspec.structs.replace(p) for p in parts)
    one, two = roof(*parts), roof(*again)
    assert [p.outline.tobytes() for p in one.planes] == [p.outline.tobytes() for p in two.planes]
    assert [str(e.id) for e in one.edges] == [str(e.id) for e in two.edges]


def test_a_row_of_two_buildings_counts_each_for_itself() -> None:
    """Two buildings of a row under one gable, 40 and 20 long: 960 and 480 of plan."""
    next_door = section(box(40, 0, 60, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2", eave_ft=8)
    buildings = (Building("b1", "House", (MAIN,)), Building("b2", "House", (next_door,)))
    s = results_of(Project(plain_system(), buildings=buildings)).surface
    plan = {b: sum(p.plan_area for p in s.planes if p.building == b) / FT**2 for b in ("b1", "b2")}
    assert plan == pytest.approx({"b1": 960, "b2": 480}, rel=REL)


def test_own_ends_of_a_merged_plane_name_the_outline_edge_below_them() -> None:
    """The south slope runs on over an addition: its eave there is the addition's, no cut."""
    addition = section(box(10, -8, 30, 0), (0.5, GABLE, GABLE, GABLE), section_id="s2", eave_ft=4)
    s = roof(MAIN, addition)
    assert [str(e.id) for e in s.edges if e.id.second == "cut"] == []
