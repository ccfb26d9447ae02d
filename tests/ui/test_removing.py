"""Removing says what goes, and never guesses between two parts."""

from __future__ import annotations

from roofmodel.document.cover_edits import set_building_covering
from roofmodel.document.edits import new_section, set_eave_height
from roofmodel.document.part_edits import move_to_building, new_building
from roofmodel.systems import EdgeKind
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, error, settle, undo

TOWER = tuple((x * FT, y * FT) for x, y in ((10, 4), (18, 4), (18, 10), (10, 10)))


def with_tower(house: MainWindow) -> str:
    project, tower = new_section(house.session.project, TOWER, "Tower")
    house.session.edit("Draw outline", set_eave_height(project, tower, 20 * FT))
    settle()
    return tower


def test_an_edge_between_two_parts_removes_neither(house: MainWindow) -> None:
    with_tower(house)
    before = house.session.project
    edges = house.session.results.surface.edges
    edge = next(e for e in edges if e.kind is EdgeKind.SIDEWALL)
    house.session.select([edge.id])
    house.actions_by_id["remove"].trigger()
    assert house.session.project is before
    assert "Two parts meet at this edge" in error(house)


def test_removing_says_what_went(house: MainWindow) -> None:
    tower = with_tower(house)
    plane = next(p for p in house.session.results.surface.planes if p.id.section == tower)
    house.session.select([plane.id])
    house.actions_by_id["remove"].trigger()
    assert [s.name for s in house.session.project.sections()] == ["Main house"]
    assert house.notice.label.text() == "Removed: Tower. Undo brings it back."
    undo(house)
    assert len(house.session.project.sections()) == 2


def test_the_bottom_line_counts_what_is_in_the_job(house: MainWindow) -> None:
    whole = house.totals.area.text()
    tower = with_tower(house)
    project, garage = new_building(house.session.project, "Garage")
    project = move_to_building(project, tower, garage)
    house.session.edit("Cover", set_building_covering(project, garage, "not in this job"))
    settle()
    assert house.totals.area.text().endswith(" in this job")
    assert house.totals.area.text() < whole
