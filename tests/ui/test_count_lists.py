"""The lists of the Count stage in the window: copied, filtered, added up, written to files."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from zipfile import is_zipfile

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from roofmodel.document.cover_edits import add_system, set_building_covering
from roofmodel.document.edits import new_section
from roofmodel.document.part_edits import new_building
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from roofmodel_ui.panels.count import CountPanel
from roofmodel_ui.panels.cutlist import COLUMNS as CUT_COLUMNS
from roofmodel_ui.panels.lines import COLUMNS
from roofmodel_ui.window import MainWindow
from tests.ui.counting import items, line_of, press_line, search
from tests.ui.hands import FT, LEFT, error, settle

SAMPLES = Path(__file__).parents[2] / "sample_projects"


@pytest.fixture
def count(house: MainWindow) -> CountPanel:
    """The house of 40 x 24 ft with two gables, at the Count stage."""
    house.show_stage("Count")
    settle()
    house.zoom_to_fit()
    settle()
    return house.side.count


BARN = tuple((x * FT, y * FT) for x, y in ((60, 0), (80, 0), (80, 20), (60, 20)))


@pytest.fixture
def two(house: MainWindow) -> CountPanel:
    """The same with a barn, a building of its own."""
    project, building = new_building(house.session.project)
    project, _ = new_section(project, BARN, "Barn", building=building)
    house.session.edit("Draw outline", project)
    house.show_stage("Count")
    settle()
    return house.side.count


def test_copied_lines_read_back(count: CountPanel) -> None:
    press_line(count, "Ridge 1")
    QTest.keyClick(count.quantities.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    rows = list(csv.DictReader(QApplication.clipboard().text().splitlines(), delimiter="\t"))
    quantity = line_of(count, "Ridge 1").quantity
    assert len(rows) == 1
    assert rows[0]["Item"] == "Ridge 1"
    assert rows[0]["Quantity"] == "40'-0\""
    assert rows[0]["Formula"] == quantity.how
    assert rows[0]["Source"] == quantity.source
    count.quantities.table.clearSelection()
    QTest.mouseClick(count.copy_button, LEFT)
    whole = QApplication.clipboard().text().splitlines()
    assert len(whole) == 1 + len(items(count))
    assert all(line.count("\t") == len(COLUMNS) + 3 for line in whole)


def test_copy_of_the_other_lists(count: CountPanel) -> None:
    count.tabs.setCurrentIndex(1)
    QTest.mouseClick(count.copy_button, LEFT)
    rows = list(csv.DictReader(QApplication.clipboard().text().splitlines(), delimiter="\t"))
    assert [(r["Plane"], r["Numbers"]) for r in rows] == [
        (r[0], r[-1]) for r in count.cut_list.rows()
    ]
    count.tabs.setCurrentIndex(2)
    settle()
    table = count.cutting.table
    table.setFocus()
    QTest.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    rows = list(csv.DictReader(QApplication.clipboard().text().splitlines(), delimiter="\t"))
    assert sum(int(r["Lengths"]) for r in rows) == sum(b.times for b in count.cutting.bars())


def test_one_building_has_no_choice_of_buildings(count: CountPanel) -> None:
    assert not count.building.isVisible()
    assert not count.covering.isVisible()


def test_only_the_lines_of_one_building(two: CountPanel) -> None:
    assert two.building.isVisible()
    names = [words for words, _ in two.building._options]
    two.building.setCurrentIndex(2)
    two.building.activated.emit(2)
    settle()
    lines = [line for line, _ in two.quantities.model.lines()]
    assert lines
    assert {line.quantity.building for line in lines} == {names[2]}
    total = two.cut_list.total()
    assert int(total[1]) == sum(int(row[1]) for row in two.cut_list.rows())
    assert {row[0] for row in two.cut_list.rows()}.isdisjoint({"South 1"})
    two.building.activated.emit(0)
    settle()
    assert {line.quantity.building for line, _ in two.quantities.model.lines()} > {names[2]}


def test_group_totals_follow_the_search(two: CountPanel) -> None:
    def total(title: str) -> tuple[str, str]:
        return next(g.total for g in two.quantities.model.groups if g.title == title)

    results = two.session.results
    planes = results.surface.planes
    area = sum(p.true_area for p in planes) / FT**2
    assert total("Planes") == (f"{area:.1f}", "sq ft")
    south = [p for p in planes if p.name.startswith("South")]
    search(two, "south")
    assert total("Planes") == (f"{sum(p.true_area for p in south) / FT**2:.1f}", "sq ft")


def test_cut_list_adds_up_and_has_both_ends(two: CountPanel) -> None:
    rows = two.cut_list.rows()
    assert int(two.cut_list.total()[1]) == len(two.session.results.take_off.panels)
    by_plane: dict[str, list[int]] = {}
    for plane, _, _, lower, upper, *_, numbers in rows:
        assert lower
        assert upper
        for part in numbers.split(", "):
            low, _, high = part.partition("-")
            by_plane.setdefault(plane, []).extend(range(int(low), int(high or low) + 1))
    for numbers_of_plane in by_plane.values():
        assert sorted(numbers_of_plane) == list(range(1, len(numbers_of_plane) + 1))
    assert any(row[4].endswith((" left", " right")) for row in rows)  # the barn has hips


def planned(window: MainWindow, qtbot: QtBot) -> None:
    """The trim is no estimate any more."""
    qtbot.waitUntil(lambda: not window.session.is_estimate(), timeout=30_000)


def answer(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(path), ""))


def test_files_are_written_from_here(
    house: MainWindow,
    count: CountPanel,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    planned(house, qtbot)
    texts = [button.text() for button in count.exports]
    assert texts == ["CSV …", "XLSX …", "JSON …"]
    for button, suffix in zip(count.exports, ("csv", "xlsx", "json"), strict=True):
        path = tmp_path / f"count.{suffix}"
        answer(monkeypatch, path)
        QTest.mouseClick(button, LEFT)
        qtbot.waitUntil(path.exists, timeout=30_000)
        assert path.stat().st_size > 0
        assert house.notice.label.text() == f"Written to {path.name}."
    quantities = house.session.results.take_off.quantities
    written = list(csv.DictReader((tmp_path / "count.csv").read_text("utf-8-sig").splitlines()))
    assert [r["Item"] for r in written[: len(quantities)]] == [q.item for q in quantities]
    data = json.loads((tmp_path / "count.json").read_text("utf-8"))
    assert [q["quantity"] for q in data["quantities"]] == [q.quantity for q in quantities]
    assert is_zipfile(tmp_path / "count.xlsx")


def test_a_failed_save_is_one_sentence(
    house: MainWindow,
    count: CountPanel,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    planned(house, qtbot)
    for button, suffix in zip(count.exports, ("csv", "xlsx", "json"), strict=True):
        answer(monkeypatch, tmp_path / "gone" / f"count.{suffix}")
        QTest.mouseClick(button, LEFT)
        qtbot.waitUntil(lambda: not house.files.exports.writing, timeout=30_000)
        assert "there is no folder" in error(house)
        assert "\n" not in error(house)


@pytest.mark.parametrize("width", [1280, 1920])
def test_text_that_is_cut_has_a_tip(two: CountPanel, width: int) -> None:
    window = two.window()
    window.resize(width, 800 if width == 1280 else 1080)
    settle()
    table, model = two.quantities.table, two.quantities.model
    metrics = table.fontMetrics()
    for _, first in model.lines():
        for column in range(len(COLUMNS)):
            if table.isColumnHidden(column):
                continue
            cell = first.siblingAtColumn(column)
            text = cell.data(Qt.ItemDataRole.DisplayRole)
            room = table.visualRect(cell).width() - 8
            if metrics.horizontalAdvance(text) > room:
                assert text in cell.data(Qt.ItemDataRole.ToolTipRole)
    assert table.horizontalScrollBar().maximum() == 0


def test_the_cut_list_tells_coverings_and_buildings_apart(
    two: CountPanel, house: MainWindow
) -> None:
    cut = two.cut_list
    two.tabs.setCurrentIndex(1)
    settle()
    shown = [c for c in range(len(CUT_COLUMNS)) if not cut.table.isColumnHidden(c)]
    assert [CUT_COLUMNS[c] for c in shown] == [
        "Plane", "Panels", "Cut length", "Lower end", "Upper end", "Building", "Numbers",
    ]  # fmt: skip
    seam = next(s for s in built_in_systems() if s.id != house.session.project.system.id)
    house.session.attempt("Add system", lambda p: add_system(p, seam))
    barn = next(b for b in house.session.project.buildings if b.name != "House")
    house.session.attempt("Cover", lambda p: set_building_covering(p, barn.id, seam.id))
    settle()
    names = {row[CUT_COLUMNS.index("Covering")] for row in cut.rows()}
    assert len(names) == 2
    assert not cut.table.isColumnHidden(CUT_COLUMNS.index("Covering"))
    panels = house.session.results.take_off.panels
    order = cut.order_rows()
    totals = {row[0]: int(row[1]) for row in order if row[0].startswith("Total")}
    assert totals.pop("Total") == len(panels) == sum(totals.values())
    assert set(totals) == {f"Total {name}" for name in names}
    lines = [row for row in order if not row[0].startswith("Total")]
    assert sum(int(row[1]) for row in lines) == len(panels)
    assert all(row[2] and row[3] for row in lines)
    # what is filtered is ordered alone
    two.building.setCurrentIndex(2)
    two.building.activated.emit(2)
    settle()
    assert {row[0] for row in cut.order_rows()} - {"Total"} < names
    cut.order.setFocus()
    QTest.keyClick(cut.order, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QApplication.clipboard().text().splitlines()
    assert copied[0] == "Covering\tPanels\tCut length\tTotal length"
    assert len(copied) == 1 + len(cut.order_rows())


def test_ends_in_the_cut_list_are_never_cut_short_for_buildings(house: MainWindow) -> None:
    """The largest sample has two buildings, notched panels and long names of planes."""
    house.resize(1280, 800)
    manor = read_project(SAMPLES / "fern_hill_manor.roof").project
    house.session.open(manor, None)
    house.show_stage("Count")
    house.side.count.show_list("Cut list")
    settle()
    cut = house.cut_list
    table, lower = cut.table, CUT_COLUMNS.index("Lower end")
    metrics = table.fontMetrics()
    for k in range(len(cut.rows())):
        row = table.topLevelItem(k)
        assert row is not None
        for column in (lower, lower + 1):
            index = table.indexFromItem(row, column)
            assert (
                metrics.horizontalAdvance(row.text(column)) <= table.visualRect(index).width() - 8
            )
    assert table.horizontalScrollBar().maximum() == 0
    building = CUT_COLUMNS.index("Building")
    assert table.isColumnHidden(building)
    first = table.topLevelItem(0)
    assert first is not None
    assert first.toolTip(0) == f"{first.text(0)}, {first.text(building)}"
    house.resize(1920, 1080)
    settle()
    assert not table.isColumnHidden(building)
