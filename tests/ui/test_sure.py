"""How sure quantities and price are, in the window: worked out in the background, what to measure
first, and what a measured value changes."""

from __future__ import annotations

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from roofmodel.document.offer_edits import set_prices
from roofmodel.document.part_edits import rename_building
from roofmodel.spread import spread_of
from roofmodel_io.prices_toml import sample_prices
from roofmodel_ui import background
from roofmodel_ui.panels.sure import STALE, SurePage
from roofmodel_ui.panels.sure_tables import texts_of, words_of
from roofmodel_ui.window import MainWindow
from tests.ui.hands import enter, error, press, settle, undo

LONG = 90_000


@pytest.fixture
def page(house: MainWindow) -> SurePage:
    """The page for the house with invented prices, nothing worked out yet."""
    house.session.edit("Prices", set_prices(house.session.project, sample_prices()))
    house.actions_by_id["list_how_sure"].trigger()
    settle()
    return house.side.count.money.sure


def worked_out(house: MainWindow, page: SurePage, qtbot: QtBot) -> None:
    press(house, page.go)
    qtbot.waitUntil(lambda: page.work.state != "working", timeout=LONG)
    assert page.work.state == "idle", page.work.sentence
    settle()


def test_low_and_high_are_those_of_the_model(
    house: MainWindow, page: SurePage, qtbot: QtBot
) -> None:
    assert not page.table.isVisible()
    worked_out(house, page, qtbot)
    project = house.session.project
    wanted = spread_of(project)
    rows = {r[0]: r[1:4] for r in texts_of(page.table)}
    assert rows == {
        r.name: tuple(words_of(v, r.unit, project) for v in (r.value, r.low, r.high))
        for r in wanted.ranges
    }
    assert next(iter(rows)) == "Price"
    assert [(m.part, m.edge) for m, _ in wanted.best] == [
        (w.part, w.edge) for w in page.rows.wanted()
    ]
    assert "invented" in page.state.text()


def test_the_window_goes_on_and_stop_stops(
    house: MainWindow, page: SurePage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    # a process that never answers
    monkeypatch.setattr(background, "WORKER", ("-c", "import sys, time; time.sleep(600)"))
    press(house, page.go)
    assert page.go.text() == "Stop"
    qtbot.waitUntil(lambda: page.progress.isVisible(), timeout=3000)
    enter(house, page.tolerances.fields["Traced lines, either way by"], "6")  # type: ignore[arg-type]
    assert house.session.project.tolerances.tracing == pytest.approx(152.4)
    press(house, page.go)
    assert page.work.state == "stopped"
    assert page.work._worker.process is None
    assert page.state.text() == "Stopped."
    assert page.go.text() == "Work it out"


def test_closing_the_window_ends_the_process(
    house: MainWindow, page: SurePage, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(background, "WORKER", ("-c", "import time; time.sleep(600)"))
    press(house, page.go)
    settle()
    assert page.work._worker.process is not None
    house.session.undo_stack.setClean()
    house.close()
    assert page.work._worker.process is None
    assert page.work.state == "idle"


def test_a_process_that_fails_says_so(
    house: MainWindow, page: SurePage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(background, "WORKER", ("-c", "raise SystemExit(3)"))
    press(house, page.go)
    qtbot.waitUntil(lambda: page.work.state == "failed", timeout=LONG)
    settle()
    assert page.state.text() == "This could not be worked out: try again."


def test_a_result_of_another_project_says_so(
    house: MainWindow, page: SurePage, qtbot: QtBot
) -> None:
    worked_out(house, page, qtbot)
    assert STALE not in page.state.text()
    session = house.session
    session.edit("Rename", rename_building(session.project, "b1", "Cottage"))
    settle()
    enter(house, page.tolerances.fields["Pitches, either way by"], "1/12")  # type: ignore[arg-type]
    settle()
    assert STALE in page.state.text()
    item = page.table.topLevelItem(0)
    assert item is not None
    assert not item.flags() & Qt.ItemFlag.ItemIsEnabled
    undo(house)
    undo(house)
    settle()
    assert STALE not in page.state.text()


def length_row(page: SurePage) -> int:
    return next(k for k, w in enumerate(page.rows.wanted()) if w.edge)


def type_measured(page: SurePage, place: int, text: str) -> None:
    field = page.rows.fields[place]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_a_measured_length_shows_what_it_changes_and_goes_into_the_model(
    house: MainWindow, page: SurePage, qtbot: QtBot
) -> None:
    worked_out(house, page, qtbot)
    session, place = house.session, length_row(page)
    wanted, before = page.rows.wanted()[place], house.session.project
    longer = wanted.value + 304.8
    assert not page.rows.buttons[place].isEnabled()
    type_measured(page, place, f"{longer} mm")
    qtbot.waitUntil(lambda: page.changes.isVisible(), timeout=LONG)
    rows = {r[0]: r for r in texts_of(page.changes)}
    assert "Price" in rows
    assert rows["Price"][3].startswith("+")
    assert rows["Roof area"][1] != rows["Roof area"][2]
    assert rows["Price"][1] == texts_of(page.table)[0][1]  # as it is modelled
    assert session.project is before  # only shown
    assert session.highlight.items  # what is measured lights up
    press(house, page.rows.buttons[place])
    settle()
    reading = session.project.readings[0]
    assert (reading.part, reading.edge) == (wanted.part, wanted.edge)
    assert reading.value == pytest.approx(longer)
    assert page.rows.buttons[place].text() == "In the model"
    assert page.rows.fields[place].text() == f"{longer} mm"
    assert STALE in page.state.text()
    assert page.forget.isVisible()
    worked_out(house, page, qtbot)
    assert all(w.edge != wanted.edge for w in page.rows.wanted()[:1])
    undo(house)
    assert session.project is before


def test_a_measured_pitch_goes_into_the_model(
    house: MainWindow, page: SurePage, qtbot: QtBot
) -> None:
    worked_out(house, page, qtbot)
    place = next(k for k, w in enumerate(page.rows.wanted()) if not w.edge)
    type_measured(page, place, "7/12")
    press(house, page.rows.buttons[place])
    settle()
    (reading,) = house.session.project.readings
    assert reading.value == pytest.approx(7 / 12)
    planes = house.session.results.surface.planes
    assert {round(p.slope, 6) for p in planes} == {round(7 / 12, 6)}
    press(house, page.forget)
    settle()
    assert house.session.project.readings == ()
    assert not page.forget.isVisible()


@pytest.mark.parametrize("typed", ["long", "-3 ft", "0"])
def test_what_cannot_be_measured_is_refused_and_stays_typed(
    house: MainWindow, page: SurePage, qtbot: QtBot, typed: str
) -> None:
    worked_out(house, page, qtbot)
    place, before = length_row(page), house.session.project
    type_measured(page, place, typed)
    assert error(house)
    assert page.rows.fields[place].text() == typed
    press(house, page.rows.buttons[place])
    assert error(house)
    assert house.session.project is before


def test_without_a_roof_there_is_nothing_to_be_sure_of(window: MainWindow) -> None:
    window.actions_by_id["list_how_sure"].trigger()
    settle()
    page = window.side.count.money.sure
    assert not page.go.isEnabled()
    page.work_out()
    assert "no roof" in error(window)
    assert page.work.state == "idle"


def test_the_field_sheet_is_written(
    house: MainWindow,
    page: SurePage,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    out = tmp_path / "to measure.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    assert page.sheet is not None
    press(house, page.sheet)
    qtbot.waitUntil(out.exists, timeout=LONG)
    qtbot.waitUntil(lambda: page.work.state == "idle", timeout=LONG)
    assert "to measure.pdf" in house.notice.label.text()
    text = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_bounded()
    assert "40'-0" in text or "42'-0" in text
    assert page.found is not None  # it was worked out on the way


def test_another_project_begins_anew(house: MainWindow, page: SurePage, qtbot: QtBot) -> None:
    worked_out(house, page, qtbot)
    type_measured(page, length_row(page), "41 ft")
    house.session.open(house.session.project, None)
    settle()
    assert page.found is None
    assert page.rows.fields == []
    assert not page.changes.isVisible()
    assert page.work.state == "idle"


def test_count_comes_back_to_its_page(house: MainWindow, page: SurePage) -> None:
    house.show_stage("Shape")
    settle()
    assert house.side.count.tabs.currentIndex() == 0
    house.show_stage("Count")
    settle()
    assert page.isVisible()
