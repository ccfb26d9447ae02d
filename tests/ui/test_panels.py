"""The panels, the notice, the list of problems and the names of files, in the real window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from zipfile import is_zipfile

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from roofmodel.document import Project, Units
from roofmodel.document.edits import move_corner, new_section, set_slope, set_units
from roofmodel.surface import PlaneId
from roofmodel.systems import EdgeKind
from roofmodel_ui.panels.fields import parse_small_length
from roofmodel_ui.selection import OutlineEdgeId
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, IN, click, click_row, enter, error, press, settle

HOUSE = tuple((x * FT, y * FT) for x, y in ((0, 0), (30, 0), (30, 20), (0, 20)))
FEET, METRIC = Units("feet", 8), Units("metric", 8)


@pytest.fixture
def house(window: MainWindow) -> MainWindow:
    """30 x 20 ft, 6/12 all round."""
    project, _ = new_section(window.session.project, HOUSE)
    window.session.edit("Draw outline", project)
    window.show_stage("Shape")
    window.zoom_to_fit()
    return window


def click_gable(window: MainWindow) -> None:
    press(window, window.shape.edges.gable)


def only_section(window: MainWindow) -> str:
    (section,) = window.session.project.sections()
    return section.id


def slope_of(window: MainWindow, edge: OutlineEdgeId) -> float | None:
    (section,) = window.session.project.sections()
    return next(e.profile[0].slope for e in section.rings[0].edges if e.id == edge.edge)


@pytest.mark.parametrize(
    ("text", "feet", "metric"),
    [
        ("36", 36 * IN, 36.0),
        ("1 1/2", 1.5 * IN, 1.5),
        ("½", 0.5 * IN, 0.5),
        ("-2", -2 * IN, -2.0),
        ('36"', 36 * IN, 36 * IN),
        ("3'", 3 * FT, 3 * FT),
        ("3 ft", 3 * FT, 3 * FT),
        ("1' 6", 18 * IN, 18 * IN),
        ("1-6", 18 * IN, 18 * IN),
        ("915 mm", 915.0, 915.0),
    ],
)
def test_bare_small_lengths_are_inches(text: str, feet: float, metric: float) -> None:
    assert parse_small_length(text, FEET) == pytest.approx(feet)
    assert parse_small_length(text, METRIC) == pytest.approx(metric)


def test_small_fields_take_inches(house: MainWindow) -> None:
    session = house.session
    house.show_stage("Cover")
    cover = house.cover
    assert "inches" in cover.systems.coverage.toolTip()
    for field, typed in (
        (cover.systems.coverage, "30"), (cover.systems.lap_leg, "2"),
        (cover.systems.eave, "1 1/2"), (cover.trim.lap, "5"),
    ):  # fmt: skip
        enter(house, field, typed)
    enter(house, cover.trim.stock, "11")
    system = session.project.system
    assert system.coverage == pytest.approx(30 * IN)
    assert system.lap_leg == pytest.approx(2 * IN)
    assert system.shifts[EdgeKind.EAVE] == pytest.approx(1.5 * IN)
    for rule in (r for some in system.trim.values() for r in some):
        assert (rule.lap, rule.stock_length) == pytest.approx((5 * IN, 11 * FT))
    house.show_stage("Shape")
    enter(house, house.shape.section.overhang, "18")
    assert session.project.sections()[0].overhang == pytest.approx(18 * IN)
    click(house, 15, 0)
    enter(house, house.shape.edges.overhang, "12")
    assert session.project.sections()[0].rings[0].edges[0].overhang == pytest.approx(FT)


@pytest.mark.parametrize(("units", "too_much"), [(FEET, "97"), (METRIC, "2401")])
def test_absurd_overhang_and_coverage_are_refused(
    house: MainWindow, units: Units, too_much: str
) -> None:
    house.session.edit("Set units", set_units(house.session.project, units))
    before = house.session.project
    enter(house, house.shape.section.overhang, too_much)
    assert "overhang" in error(house)
    click(house, 15, 0)
    enter(house, house.shape.edges.overhang, too_much)
    assert "overhang" in error(house)
    house.show_stage("Cover")
    for typed in ("5 in", "61 in"):
        enter(house, house.cover.systems.coverage, typed)
        assert "coverage" in error(house)
    assert house.session.project == before


def test_error_goes_once_mended(house: MainWindow) -> None:
    click(house, 15, 0)
    enter(house, house.shape.edges.pitch, "steep")
    assert "steep" in error(house)
    enter(house, house.shape.edges.pitch, "9/12")
    assert not house.notice.isVisible()


def crossed(project: Project, section: str) -> Project:
    return move_corner(project, section, 0, 1, (10 * FT, 40 * FT))


def test_problems_are_listed_and_shown(house: MainWindow) -> None:
    session, totals = house.session, house.totals
    assert totals.problems.text() == "No problems"
    assert not totals.problems.isEnabled()
    session.attempt("Move corner", lambda p: crossed(p, only_section(house)))
    sentence = session.results.problems[0].sentence
    assert error(house) == sentence
    house.show_stage("Count")
    assert house.quantities.explanation.text() == sentence
    house.show_stage("Shape")
    house.notice.hide()
    assert totals.problems.text() == "1 serious problem"
    QTest.mouseClick(totals.problems, Qt.MouseButton.LeftButton)
    assert totals.list.isVisible()
    (row,) = totals.list.rows
    assert row.label.text() == sentence
    assert row.mend is None
    (go_to,) = row.go_to
    QTest.mouseClick(go_to, Qt.MouseButton.LeftButton)
    assert totals.list.isVisible()
    assert error(house) == sentence
    (chosen,) = session.selection
    assert isinstance(chosen, OutlineEdgeId)
    for place in session.results.problems[0].places:
        assert house.plan.viewport().rect().contains(house.plan.to_pixel(place).toPoint())
    house.actions_by_id["undo"].trigger()
    assert not house.notice.isVisible()
    assert totals.problems.text() == "No problems"
    settle()
    assert not totals.list.isVisible()  # nothing is left to list


def test_gable_keeps_selection_and_pitch(house: MainWindow) -> None:
    session = house.session
    click(house, 30, 10)
    enter(house, house.shape.edges.pitch, "9/12")
    assert house.shape.edges.pitch.text() == "9/12"
    edge = OutlineEdgeId(only_section(house), session.project.sections()[0].rings[0].edges[1].id)
    click_gable(house)
    assert slope_of(house, edge) is None
    assert session.selection == {edge}
    assert house.shape.edges.gable.isChecked()
    click_gable(house)
    assert slope_of(house, edge) == pytest.approx(0.75)
    assert session.selection == {edge}
    assert not house.shape.edges.gable.isChecked()
    house.actions_by_id["make_gable"].trigger()
    assert session.selection == {edge}
    assert slope_of(house, edge) is None


def test_plane_that_becomes_a_gable_leaves_its_outline_edge(house: MainWindow) -> None:
    click(house, 27, 10)
    (plane,) = house.session.selection
    assert isinstance(plane, PlaneId)
    click_gable(house)
    assert house.session.selection == {OutlineEdgeId(plane.section, plane.edge)}


def test_delete_needs_a_selection(house: MainWindow) -> None:
    session = house.session
    before = session.project
    house.actions_by_id["remove"].trigger()
    assert session.project == before
    assert error(house) == "Select something first: click one of its planes or edges, or its row."
    click(house, 15, 0)
    house.actions_by_id["remove"].trigger()
    assert not session.project.sections()
    assert house.notice.label.text() == "Removed: Section 1. Undo brings it back."
    house.actions_by_id["undo"].trigger()
    assert session.project == before


@pytest.mark.parametrize(
    ("command", "typed", "written"),
    [
        ("save_as", "house 1.2", "house 1.2.roof"),
        ("export_dxf", "house 1.2", "house 1.2.dxf"),
        ("export_dxf", "house.DXF", "house.DXF"),
        ("export_quantities", "house.txt", "house.txt.json"),
        ("export_csv", "house", "house.csv"),
        ("export_xlsx", "house.xls", "house.xls.xlsx"),
        ("export_picture", "house v2.0", "house v2.0.png"),
    ],
)
def test_names_get_their_suffix(
    house: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot,
    command: str, typed: str, written: str,
) -> None:  # fmt: skip
    qtbot.waitUntil(lambda: not house.session.is_estimate(), timeout=30_000)
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *a, **k: (str(tmp_path / typed), "")
    )
    house.actions_by_id[command].trigger()
    qtbot.waitUntil((tmp_path / written).exists, timeout=30_000)
    files = [p for p in tmp_path.iterdir() if p.name.startswith("house")]
    assert [p.name for p in files] == [written]
    assert files[0].stat().st_size > 0


@pytest.mark.parametrize("yes", [False, True])
def test_another_file_is_not_replaced_unasked(
    house: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot, yes: bool
) -> None:
    there = tmp_path / "house.dxf"
    there.write_text("drawn by hand")
    asked: list[str] = []

    def answer(*args: object, **_: object) -> QMessageBox.StandardButton:
        asked.append(str(args[2]))
        buttons = QMessageBox.StandardButton
        return buttons.Yes if yes else buttons.No

    monkeypatch.setattr(QMessageBox, "question", answer)
    choose: Callable[..., tuple[str, str]] = lambda *a, **k: (str(tmp_path / "house"), "")  # noqa: E731
    monkeypatch.setattr(QFileDialog, "getSaveFileName", choose)
    house.actions_by_id["export_dxf"].trigger()
    assert len(asked) == 1
    assert "house.dxf" in asked[0]
    qtbot.waitUntil(lambda: not house.files.exports.writing, timeout=30_000)
    assert (there.read_text() == "drawn by hand") is not yes


def test_cut_list(house: MainWindow) -> None:
    """Gables at both ends: two planes of 30 ft, so 10 panels of 36 in each, all one length."""
    session = house.session
    section = session.project.sections()[0]
    ends = [section.rings[0].edges[k].id for k in (1, 3)]
    session.edit("Make gable end", set_slope(session.project, section.id, ends, None))
    house.show_stage("Shape")
    assert not house.cut_list.isVisible()
    house.actions_by_id["list_cut_list"].trigger()
    assert house.cut_list.isVisible()
    rows = house.cut_list.rows()
    assert [(r[0], r[1], r[-1]) for r in rows] == [
        ("South 1", "10", "1-10"),
        ("North 1", "10", "1-10"),
    ]
    assert rows[0][2] == rows[1][2]
    total = house.cut_list.table.topLevelItem(2)
    assert total is not None
    assert (total.text(0), total.text(1)) == ("Total", "20")
    plane, item = house.cut_list._rows[1]
    click_row(house.cut_list.table, item)
    assert session.selection == {plane}
    assert session.results.surface.plane(plane).name == "North 1"
    house.zoom_to_fit()
    settle()
    click(house, 15, 5)
    # the list of South 1 alone
    assert [(row.text(0), row.isSelected()) for _, row in house.cut_list._rows] == [
        ("South 1", True)
    ]


def test_workbook_is_one(
    house: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    qtbot.waitUntil(lambda: not house.session.is_estimate(), timeout=30_000)
    path = tmp_path / "count.xlsx"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(path), ""))
    house.show_stage("Hand over")
    house.actions_by_id["export_xlsx"].trigger()
    qtbot.waitUntil(path.exists, timeout=30_000)
    assert is_zipfile(path)
