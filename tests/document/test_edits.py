"""Edits: each does what it says, keeps the rest as it was and refuses what cannot be."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.document import Building, Job, Project, Step, Underlay, Units, edits
from roofmodel.document.part_edits import remove_part
from roofmodel.document.underlay_edits import new_underlay
from roofmodel.errors import DocumentError
from roofmodel.systems import RoofingSystem

SYSTEM = RoofingSystem("ribbed", "Ribbed panel", 914.4, 0.0, {}, {})
EMPTY = Project(SYSTEM)
SQUARE = ((0.0, 0.0), (9000.0, 0.0), (9000.0, 6000.0), (0.0, 6000.0))
YARD = ((3000.0, 2000.0), (5000.0, 2000.0), (5000.0, 4000.0), (3000.0, 4000.0))
PICTURE = Underlay("u1", "roof.png", 800, 600)


def two_sections() -> Project:
    project, _ = edits.new_section(EMPTY, SQUARE)
    return edits.new_section(project, SQUARE, "Garage", [YARD])[0]


def pictured() -> Project:
    return new_underlay(EMPTY, PICTURE)[0]


def signed_area(corners: tuple[tuple[float, float], ...]) -> float:
    return sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    )


def test_new_section_names_numbers_and_turns() -> None:
    project, first = edits.new_section(EMPTY, [*SQUARE[::-1], SQUARE[-1]])
    project, second = edits.new_section(project, SQUARE, " Garage ", [YARD])
    assert (first, second) == ("s1", "s2")
    house, garage = project.sections()
    assert (house.name, garage.name) == ("Section 1", "Garage")
    assert set(house.rings[0].corners) == set(SQUARE)
    assert len(house.rings[0].corners) == 4
    assert signed_area(house.rings[0].corners) == pytest.approx(2 * 54e6)
    assert signed_area(garage.rings[1].corners) == pytest.approx(-2 * 4e6)
    assert [e.id for r in garage.rings for e in r.edges] == [f"e{k}" for k in range(1, 9)]
    assert all(e.profile == (Step(0.0, 0.5),) for e in garage.rings[0].edges)


def test_ids_are_never_those_in_use() -> None:
    project = remove_part(two_sections(), "s1")
    project, third = edits.new_section(project, SQUARE)
    assert third == "s3"
    assert [s.id for s in project.sections()] == ["s2", "s3"]
    named = msgspec.structs.replace(EMPTY, buildings=(Building("s7", "Barn"),))
    assert edits.new_section(named, SQUARE)[1] == "s8"


def test_ids_of_what_is_gone_are_not_given_again() -> None:
    project = remove_part(two_sections(), "s2")
    project, third = edits.new_section(project, SQUARE)
    assert (third, project.ids_used) == ("s3", 3)
    project = edits.add_corner(project, third, 0, 3, (0.0, 3000.0))
    project = edits.remove_corner(project, third, 0, 4)
    project = edits.add_corner(project, third, 0, 0, (4500.0, 0.0))
    assert [e.id for e in project.section(third).rings[0].edges] == ["e1", "e6", "e2", "e3", "e4"]


def test_a_section_goes_into_the_building_named() -> None:
    project = msgspec.structs.replace(
        EMPTY, buildings=(*EMPTY.buildings, Building("b2", "Garage"))
    )
    project, section_id = edits.new_section(project, SQUARE, building="b2")
    assert project.building_of(section_id).id == "b2"
    with pytest.raises(DocumentError, match="b9"):
        edits.new_section(project, SQUARE, building="b9")


def test_a_project_without_buildings_gets_one() -> None:
    bare = msgspec.structs.replace(EMPTY, buildings=())
    project, section_id = edits.new_section(bare, SQUARE)
    assert len(project.buildings) == 1
    assert project.section(section_id).rings[0].corners == SQUARE


def test_an_edit_shares_what_it_does_not_change() -> None:
    before = two_sections()
    after = edits.set_slope(before, "s2", ["e2"], 1.0)
    assert after.section("s1") is before.section("s1")
    assert after.section("s2").rings[1] is before.section("s2").rings[1]
    old, new = before.section("s2").rings[0], after.section("s2").rings[0]
    assert [a is b for a, b in zip(old.edges, new.edges, strict=True)] == [
        True, False, True, True,
    ]  # fmt: skip
    assert new.corners is old.corners
    assert before.section("s2").rings[0].edges[1].profile == (Step(0.0, 0.5),)


SAME: list[Callable[[Project], Project]] = [
    lambda p: edits.set_slope(p, "s1", ["e1", "e2"], 0.5),
    lambda p: edits.move_corner(p, "s1", 0, 1, SQUARE[1]),
    lambda p: edits.rename_section(p, "s2", "Garage"),
    lambda p: edits.set_overhang(p, "s1", None, 0.0),
    lambda p: edits.set_overhang(p, "s1", "e1", None),
    lambda p: edits.set_units(p, Units()),
    lambda p: edits.set_job(p, Job()),
    lambda p: edits.set_line(p, "s1", "drip"),
    lambda p: edits.set_deck_height(p, "s1", None),
    lambda p: edits.set_level(p, "s1", "fascias"),
]


@pytest.mark.parametrize("edit", SAME)
def test_an_edit_that_changes_nothing_returns_the_same_project(
    edit: Callable[[Project], Project],
) -> None:
    project = two_sections()
    assert edit(project) is project


def test_corners_move_come_and_go() -> None:
    project = two_sections()
    moved = edits.move_corner(project, "s1", 0, 2, (9000.0, 7000.0))
    assert moved.section("s1").rings[0].corners[2] == (9000.0, 7000.0)
    steep = edits.set_slope(project, "s1", ["e4"], 1.0)
    split = edits.add_corner(steep, "s1", 0, 3, (0.0, 3000.0))
    ring = split.section("s1").rings[0]
    assert ring.corners == (*SQUARE, (0.0, 3000.0))
    assert [e.id for e in ring.edges] == ["e1", "e2", "e3", "e4", "e5"]
    assert ring.edges[4].profile == ring.edges[3].profile == (Step(0.0, 1.0),)
    assert split.section("s1").ids_used == 5
    joined = edits.remove_corner(split, "s1", 0, 4)
    assert joined.section("s1").rings == steep.section("s1").rings


def test_gables_and_profiles() -> None:
    project = two_sections()
    gambrel = (Step(300.0, 2.0), Step(2400.0, 0.4))
    project = edits.set_profile(project, "s1", ["e1", "e3"], gambrel)
    assert project.section("s1").rings[0].edges[2].profile == gambrel
    project = edits.set_slope(project, "s1", ["e1", "e2"], None)
    first, second, third, _ = project.section("s1").rings[0].edges
    assert first.profile == (Step(300.0, None),)
    assert second.profile == (Step(0.0, None),)
    assert third.profile == gambrel


def test_the_section_as_a_whole() -> None:
    project = two_sections()
    project = edits.rename_section(project, "s1", "  Main house ")
    project = edits.set_eave_height(project, "s1", 3000.0)
    project = edits.set_overhang(project, "s1", None, 400.0)
    project = edits.set_overhang(project, "s1", "e3", 600.0)
    project = edits.set_line(project, "s1", "wall")
    project = edits.set_deck_height(project, "s1", 1200.0)
    section = project.section("s1")
    assert (section.name, section.eave_height, section.overhang) == ("Main house", 3000.0, 400.0)
    assert [e.overhang for e in section.rings[0].edges] == [None, None, 600.0, None]
    assert (section.line, section.deck_height) == ("wall", 1200.0)
    assert edits.set_deck_height(project, "s1", None).section("s1").deck_height is None


def test_overhangs_are_matched_for_level_fascias() -> None:
    """o₁·m₁ = o₂·m₂: 400 mm at 6/12 drop 200 mm, as 200 mm at 12/12 and 800 mm at 3/12 do."""
    project = edits.set_slope(two_sections(), "s1", ["e2"], None)
    project = edits.set_slope(project, "s1", ["e3"], 1.0)
    project = edits.set_slope(project, "s1", ["e4"], 0.25)
    matched = edits.match_overhangs(project, "s1", 400.0)
    section = matched.section("s1")
    assert [e.overhang for e in section.rings[0].edges] == [400.0, None, 200.0, 800.0]
    assert matched.section("s2") is project.section("s2")
    assert edits.match_overhangs(matched, "s1", 400.0) is matched
    gables = edits.set_slope(project, "s1", ["e1", "e3", "e4"], None)
    with pytest.raises(DocumentError, match="Section 1"):
        edits.match_overhangs(gables, "s1", 400.0)


def test_level_plates_and_back() -> None:
    project = edits.set_level(two_sections(), "s1", "plates")
    assert [s.level for s in project.sections()] == ["plates", "fascias"]
    assert edits.set_level(project, "s1", "fascias") == two_sections()


def test_pictures_job_units() -> None:
    project = pictured()
    project = edits.change_underlay(project, "u1", mm_per_pixel=12.5, scaled=True)
    assert project.underlays == (
        Underlay("u1", "roof.png", 800, 600, mm_per_pixel=12.5, scaled=True),
    )
    assert edits.remove_underlay(project, "u1") == EMPTY
    project = edits.set_job(EMPTY, Job("Hill farm"))
    project = edits.set_units(project, Units("metric"))
    assert (project.job.name, project.units.system) == ("Hill farm", "metric")


IMPOSSIBLE: list[Callable[[Project], object]] = [
    lambda p: edits.new_section(p, SQUARE[:2]),
    lambda p: edits.new_section(p, [*SQUARE[:2], SQUARE[0]]),
    lambda p: edits.new_section(p, []),
    lambda p: edits.new_section(p, [*SQUARE, (float("nan"), 0.0)]),
    lambda p: remove_part(p, "s9"),
    lambda p: edits.rename_section(p, "s1", "  "),
    lambda p: edits.move_corner(p, "s1", 0, 4, (0.0, 0.0)),
    lambda p: edits.move_corner(p, "s1", 0, -1, (0.0, 0.0)),
    lambda p: edits.move_corner(p, "s1", 1, 0, (0.0, 0.0)),
    lambda p: edits.move_corner(p, "s1", 0, 0, (float("inf"), 0.0)),
    lambda p: edits.add_corner(p, "s1", 0, 4, (0.0, 0.0)),
    lambda p: edits.remove_corner(edits.remove_corner(p, "s1", 0, 0), "s1", 0, 0),
    lambda p: edits.set_slope(p, "s1", ["e1", "e99"], 0.5),
    lambda p: edits.set_slope(p, "s1", ["e1"], -0.5),
    lambda p: edits.set_slope(p, "s1", ["e1"], 0.0),
    lambda p: edits.set_profile(p, "s1", ["e1"], []),
    lambda p: edits.set_profile(p, "s1", ["e1"], [Step(900.0, 0.5), Step(300.0, 1.0)]),
    lambda p: edits.set_overhang(p, "s1", None, None),
    lambda p: edits.set_overhang(p, "s1", "e1", -1.0),
    lambda p: edits.set_overhang(p, "s1", "e99", 1.0),
    lambda p: edits.set_eave_height(p, "s1", float("nan")),
    lambda p: edits.set_line(p, "s1", "fence"),  # type: ignore[arg-type]
    lambda p: edits.set_deck_height(p, "s1", 0.0),
    lambda p: edits.set_level(p, "s1", "floors"),  # type: ignore[arg-type]
    lambda p: edits.match_overhangs(p, "s9", 300.0),
    lambda p: edits.match_overhangs(p, "s1", -1.0),
    lambda p: edits.change_underlay(p, "u9", opacity=0.5),
    lambda p: edits.change_underlay(pictured(), "u1", opacity=1.5),
    lambda p: edits.change_underlay(pictured(), "u1", id="u2"),
    lambda p: edits.change_underlay(pictured(), "u1", colour="red"),
    lambda p: edits.remove_underlay(p, "u9"),
]


@pytest.mark.parametrize("edit", IMPOSSIBLE)
def test_impossible_edits_are_refused_in_one_sentence(
    edit: Callable[[Project], object],
) -> None:
    with pytest.raises(DocumentError) as caught:
        edit(two_sections())
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


coordinate = st.floats(-1e5, 1e5)
point = st.tuples(coordinate, coordinate)


@given(st.lists(point, min_size=3, max_size=12, unique=True), st.data())
def test_a_corner_added_and_removed_leaves_no_trace(
    corners: list[tuple[float, float]], data: st.DataObject
) -> None:
    project, section_id = edits.new_section(EMPTY, corners)
    edge = data.draw(st.integers(0, len(corners) - 1))
    split = edits.add_corner(project, section_id, 0, edge, data.draw(point))
    edge_ids = [e.id for e in split.section(section_id).rings[0].edges]
    assert len(set(edge_ids)) == len(corners) + 1
    joined = edits.remove_corner(split, section_id, 0, edge + 1)
    assert joined.section(section_id).rings == project.section(section_id).rings


@given(st.lists(point, min_size=3, max_size=12, unique=True))
def test_either_winding_gives_the_same_ring(corners: list[tuple[float, float]]) -> None:
    rings = [
        edits.new_section(EMPTY, order)[0].sections()[0].rings[0].corners
        for order in (corners, [corners[0], *reversed(corners[1:])])
    ]
    assert signed_area(rings[0]) >= -1e-3
    if abs(signed_area(rings[0])) > 1e-3:
        assert rings[0] == rings[1]


@given(st.lists(st.sampled_from(["new", "remove"]), max_size=20))
def test_ids_stay_unique_whatever_comes_and_goes(steps: list[str]) -> None:
    project = EMPTY
    given: set[str] = set()
    for step in steps:
        if step == "new":
            project, section_id = edits.new_section(project, SQUARE)
            assert section_id not in given
            given.add(section_id)
        elif project.sections():
            project = remove_part(project, project.sections()[0].id)
    names = [s.name for s in project.sections()]
    assert len(set(names)) == len(names)
