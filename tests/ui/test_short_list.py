"""The short list of quantities under the forms: whose total a line is can be read without its
group's heading, and it begins with the job's own."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QTreeView

from roofmodel.document.edits import new_section
from roofmodel.document.part_edits import new_building
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, click, settle

BARN = tuple((x * FT, y * FT) for x, y in ((60, 0), (80, 0), (80, 20), (60, 20)))


@pytest.fixture
def two(house: MainWindow) -> MainWindow:
    """The house with a barn, a building of its own, in a window with room for the short list."""
    project, building = new_building(house.session.project)
    project, _ = new_section(project, BARN, "Barn", building=building)
    house.session.edit("Draw outline", project)
    house.resize(1280, 1000)
    house.show_stage("Cover")
    house.zoom_to_fit()
    settle()
    assert house.quantities.table.isVisible()
    return house


def top(table: QTreeView) -> str:
    index: QModelIndex = table.indexAt(QPoint(4, 4))
    return str(index.siblingAtColumn(0).data(Qt.ItemDataRole.DisplayRole))


def words(window: MainWindow, building: str) -> list[str]:
    """The first texts of a building's group, as shown."""
    model = window.quantities.model
    row = next(k for k, g in enumerate(model.groups) if g.title == f"Building: {building}")
    group = model.index(row, 0)
    return [str(model.index(k, 0, group).data()) for k in range(model.rowCount(group))]


def test_a_total_of_one_building_says_so(two: MainWindow) -> None:
    names = [b.name for b in two.session.project.buildings]
    assert len(names) == 2
    for name in names:
        assert all(text.startswith(f"{name}: ") for text in words(two, name))
    model = two.quantities.model
    assert str(model.index(0, 0, model.index(0, 0)).data()) == "Roof area"
    # with one building its totals are the job's, and in Count a column names it
    two.show_stage("Count")
    assert all(": " not in text for text in words(two, names[0]))


def test_the_list_begins_with_the_totals_of_the_job(two: MainWindow) -> None:
    table = two.quantities.table
    first = top(table)
    click(two, 70, 3)  # a plane of the barn: the list goes to its line
    settle()
    assert top(table) != first
    QTest.keyClick(two.plan, Qt.Key.Key_Escape)
    settle()
    assert two.session.selection == frozenset()
    assert top(table) == first
    table.verticalScrollBar().setValue(table.verticalScrollBar().maximum())
    two.show_stage("Count")
    two.show_stage("Shape")
    settle()
    assert top(table) == first
