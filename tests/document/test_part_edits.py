"""Edits of drawn planes, openings, buildings and parts as a whole."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import pytest

from roofmodel.document import (
    ByEdge,
    ByHeights,
    BySlope,
    Project,
    cover_edits,
    edits,
    part_edits,
)
from roofmodel.document.boxes import Box, box_of
from roofmodel.errors import DocumentError
from roofmodel.systems import RoofingSystem

SYSTEM = RoofingSystem("ribbed", "Ribbed panel", 914.4, 0.0, {}, {})
HOUSE = ((0.0, 0.0), (9000.0, 0.0), (9000.0, 6000.0), (0.0, 6000.0))
PORCH = ((1000.0, -2000.0), (4000.0, -2000.0), (4000.0, 0.0), (1000.0, 0.0))
STACK = Box((4500.0, 3000.0), 800.0, 600.0).corners()
SOUTHWARD = BySlope((1000.0, -2000.0, 2400.0), 0.25, 180.0)


def job() -> Project:
    """A house b1 with section s1, drawn plane p2 and chimney o3; an empty building b4."""
    project, _ = edits.new_section(Project(SYSTEM), HOUSE)
    project, _ = part_edits.new_plane(project, PORCH, SOUTHWARD)
    project, _ = part_edits.new_opening(project, "chimney", STACK)
    return part_edits.new_building(project, "Garage")[0]


def test_parts_get_names_and_ids_of_their_own() -> None:
    project = job()
    assert project.building("b1").part_ids() == ("s1", "p2", "o3")
    assert [b.id for b in project.buildings] == ["b1", "b4"]
    assert project.ids_used == 4
    assert project.plane("p2").name == "Drawn plane 1"
    assert project.opening("o3").name == "Chimney 1"
    project, skylight = part_edits.new_opening(project, "skylight", STACK, " Attic ", "b4")
    assert (skylight, project.opening(skylight).name) == ("o5", "Attic")
    assert project.building_of(skylight).id == "b4"


def test_ids_are_not_given_twice_across_kinds_of_parts() -> None:
    project = job()
    for part in ("s1", "p2", "o3"):
        project = part_edits.remove_part(project, part)
    project = part_edits.remove_building(project, "b4")
    assert project.building("b1").part_ids() == ()
    project, plane = part_edits.new_plane(project, PORCH, SOUTHWARD)
    project, building = part_edits.new_building(project)
    assert (plane, building) == ("p5", "b6")


def test_drawn_planes_are_turned_and_changed() -> None:
    project, plane = part_edits.new_plane(job(), [*PORCH[::-1], PORCH[-1]], SOUTHWARD)
    corners = project.plane(plane).corners
    assert set(corners) == set(PORCH)
    assert corners[0] == PORCH[-1]
    assert Box((2500.0, -1000.0), 3000.0, 2000.0).corners() == (*corners[1:], corners[0])
    tied = ByEdge("s1", "s1/e1/0/0|e1|0", -0.1)
    changed = part_edits.change_plane(
        project, plane, lies=tied, overhang=300.0, open_below=True, name=" Porch "
    )
    after = changed.plane(plane)
    assert (after.lies, after.overhang, after.open_below, after.name) == (
        tied, 300.0, True, "Porch",
    )  # fmt: skip
    assert changed.plane("p2") is project.plane("p2")
    assert changed.section("s1") is project.section("s1")
    assert part_edits.change_plane(changed, plane, lies=tied, corners=PORCH[::-1]) is changed


def test_openings_are_changed() -> None:
    project = part_edits.change_opening(
        job(), "o3", kind="skylight", saddle=True, saddle_slope=0.5, height=90.0
    )
    opening = project.opening("o3")
    assert (opening.kind, opening.saddle, opening.saddle_slope) == ("skylight", True, 0.5)
    assert opening.height == 90.0
    again = part_edits.change_opening(project, "o3", kind="chimney", saddle=False)
    assert again.section("s1") is project.section("s1")


@pytest.mark.parametrize("part", ["s1", "p2", "o3"])
def test_any_part_moves_turns_and_goes(part: str) -> None:
    project = job()
    moved = part_edits.move_part(project, part, 100.0, -50.0)
    for other in {"s1", "p2", "o3"} - {part}:
        assert find(moved, other) is find(project, other)
    before, after = corners_of(project, part), corners_of(moved, part)
    assert after == tuple((x + 100.0, y - 50.0) for x, y in before)
    assert part_edits.move_part(project, part, 0.0, 0.0) is project
    back = part_edits.turn_part(part_edits.turn_part(project, part, 30.0), part, -30.0)
    for a, b in zip(corners_of(back, part), before, strict=True):
        assert math.dist(a, b) < 1e-9
    renamed = part_edits.rename_part(project, part, " Kept ")
    assert find(renamed, part) == msgspec.structs.replace(find(project, part), name="Kept")
    gone = part_edits.remove_part(project, part)
    assert [p.id for p in parts(gone)] == [i for i in ("s1", "p2", "o3") if i != part]


def test_known_heights_move_and_turn_with_their_plane() -> None:
    project = part_edits.move_part(job(), "p2", 10.0, 20.0)
    assert project.plane("p2").lies == BySlope((1010.0, -1980.0, 2400.0), 0.25, 180.0)
    turned = part_edits.turn_part(job(), "p2", 90.0, about=(0.0, 0.0))
    lies = turned.plane("p2").lies
    assert isinstance(lies, BySlope)
    # south is 180; a quarter counter-clockwise is east, 90
    assert (lies.bearing, lies.slope) == (90.0, 0.25)
    assert lies.through == pytest.approx((2000.0, 1000.0, 2400.0))
    known = ByHeights(((0.0, 0.0, 1.0), (1.0, 0.0, 2.0), (0.0, 1.0, 3.0)))
    project = part_edits.change_plane(job(), "p2", lies=known)
    project = part_edits.move_part(project, "p2", 5.0, 0.0)
    assert project.plane("p2").lies == ByHeights(
        ((5.0, 0.0, 1.0), (6.0, 0.0, 2.0), (5.0, 1.0, 3.0))
    )
    tied = ByEdge("s1", "s1/e1/0/0|e1|0", 0.1)
    project = part_edits.change_plane(job(), "p2", lies=tied)
    assert part_edits.turn_part(project, "p2", 45.0).plane("p2").lies is tied


def test_buildings_come_go_and_take_parts() -> None:
    project = job()
    chimney = project.opening("o3")
    moved = part_edits.move_to_building(project, "o3", "b4")
    assert moved.building("b4").openings == (chimney,)
    assert moved.opening("o3") is chimney
    assert moved.section("s1") is project.section("s1")
    assert part_edits.move_to_building(moved, "o3", "b4") is moved
    named = part_edits.rename_building(moved, "b4", " Barn ")
    assert [b.name for b in named.buildings] == ["House", "Barn"]
    assert named.building("b1") is moved.building("b1")
    gone = part_edits.remove_building(named, "b1")
    assert [p.id for p in parts(gone)] == ["o3"]
    with pytest.raises(DocumentError, match="only building"):
        part_edits.remove_building(gone, "b4")


def test_open_below() -> None:
    project = part_edits.set_open_below(job(), "s1", True)
    project = part_edits.set_open_below(project, "p2", True)
    assert (project.section("s1").open_below, project.plane("p2").open_below) == (True, True)
    assert part_edits.set_open_below(project, "s1", True) is project


def test_what_was_set_by_hand_outlives_its_part() -> None:
    project = cover_edits.set_plane_covering(job(), "p2/plane/0/0", "other")
    gone = part_edits.remove_part(project, "p2")
    assert gone.plane_coverings == project.plane_coverings


IMPOSSIBLE: list[Callable[[Project], object]] = [
    lambda p: part_edits.new_plane(p, PORCH[:2], SOUTHWARD),
    lambda p: part_edits.new_plane(p, PORCH, SOUTHWARD, building="b9"),
    lambda p: part_edits.change_plane(p, "p9", overhang=1.0),
    lambda p: part_edits.change_plane(p, "p2", id="p3"),
    lambda p: part_edits.change_plane(p, "p2", colour="red"),
    lambda p: part_edits.change_plane(p, "p2", overhang=-1.0),
    lambda p: part_edits.change_plane(p, "p2", name=" "),
    lambda p: part_edits.new_opening(p, "window", STACK),  # type: ignore[arg-type]
    lambda p: part_edits.new_opening(p, "pipe", STACK[:2]),
    lambda p: part_edits.change_opening(p, "o3", kind="door"),
    lambda p: part_edits.change_opening(p, "o3", saddle_slope=-1.0),
    lambda p: part_edits.change_opening(p, "s1", saddle=True),
    lambda p: part_edits.set_open_below(p, "o3", True),
    lambda p: part_edits.rename_part(p, "s1", ""),
    lambda p: part_edits.remove_part(p, "b1"),
    lambda p: part_edits.move_part(p, "x9", 1.0, 0.0),
    lambda p: part_edits.move_part(p, "x9", 0.0, 0.0),
    lambda p: part_edits.move_part(p, "s1", math.nan, 0.0),
    lambda p: part_edits.turn_part(p, "x9", 0.0),
    lambda p: part_edits.rename_building(p, "b1", "  "),
    lambda p: part_edits.remove_building(p, "b9"),
    lambda p: part_edits.move_to_building(p, "s1", "b9"),
    lambda p: part_edits.move_to_building(p, "s9", "b1"),
    lambda _: Box((0.0, 0.0), 0.0, 5.0).corners(),
    lambda _: Box((0.0, 0.0), 5.0, math.nan).corners(),
]


@pytest.mark.parametrize("edit", IMPOSSIBLE)
def test_impossible_edits_are_refused_in_one_sentence(edit: Callable[[Project], object]) -> None:
    with pytest.raises(DocumentError) as caught:
        edit(job())
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("turn", [0.0, 90.0, 270.0, 12.5, 359.0])
def test_a_box_comes_back_from_its_corners(turn: float) -> None:
    box = Box((-30.0, 12.0), 800.0, 300.0, turn)
    again = box_of(box.corners())
    assert again.middle == pytest.approx(box.middle)
    assert again[1:] == pytest.approx(box[1:])
    assert math.dist(box.corners()[0], box.corners()[2]) == pytest.approx(math.hypot(800, 300))


def test_a_polygon_has_a_box_around_it() -> None:
    box = box_of([(0.0, 0.0), (4.0, 0.0), (4.0, 2.0)])
    assert box == ((2.0, 1.0), 4.0, 2.0, 0.0)


def parts(project: Project) -> list:  # type: ignore[type-arg]
    return [*project.sections(), *project.planes(), *project.openings()]


def find(project: Project, part: str):  # type: ignore[no-untyped-def]
    return next(p for p in parts(project) if p.id == part)


def corners_of(project: Project, part: str) -> tuple[tuple[float, float], ...]:
    found = find(project, part)
    corners: tuple[tuple[float, float], ...]
    corners = found.rings[0].corners if part == "s1" else found.corners
    return corners
