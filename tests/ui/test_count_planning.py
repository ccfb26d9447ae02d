"""Cutting plans in the window: bars to scale, an estimate while something moves, the exact plan
from the background; the newest request wins, stopping keeps the estimate."""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from roofmodel.cutting import plan_cuts, solve
from roofmodel.document import Project
from roofmodel.document.edits import new_section, set_slope
from roofmodel.results import results_of
from roofmodel.takeoff import TrimPlan
from roofmodel_io.defaults import default_project
from roofmodel_ui import planning
from roofmodel_ui.panels.count import CountPanel
from roofmodel_ui.panels.cutting import edges_of
from roofmodel_ui.plan_worker import PlanTask, answered
from roofmodel_ui.session import Session
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, click_row, error, settle

LONG = 30_000


def gable(wide: float, deep: float) -> Project:
    """A gable house, feet; its eaves and rakes are cut to unlike lengths."""
    corners = [(x * FT, y * FT) for x, y in ((0, 0), (wide, 0), (wide, deep), (0, deep))]
    project, section = new_section(default_project(), corners)
    return set_slope(project, section, ["e2", "e4"], None)


def with_wings(many: int) -> Project:
    """Many houses of unlike sizes in one building: its trim has to be searched for."""
    project = default_project()
    for k in range(many):
        x, wide, deep = 100.0 * k, 21.0 + 1.7 * k, 15.0 + 1.3 * k
        corners = [
            (a * FT, b * FT) for a, b in ((x, 0), (x + wide, 0), (x + wide, deep), (x, deep))
        ]
        project, _ = new_section(project, corners)
    return project


@pytest.fixture(autouse=True)
def _nothing_known() -> Iterator[None]:
    solve._known.clear()
    yield
    solve._known.clear()


@pytest.fixture
def session(qtbot: QtBot) -> Iterator[Session]:
    holder = QObject()
    made = Session(default_project(), holder)
    yield made
    made.planning.shut_down()


def content(plans: tuple[TrimPlan, ...]) -> list[tuple[object, ...]]:
    return [
        (p.part, p.state, p.gap, [(b.stock_length, b.cuts, b.offcut) for b in p.bars])
        for p in plans
    ]


def done(session: Session) -> bool:
    return session.planning.state == "done" and not session.is_estimate()


def test_the_exact_plan_follows_an_edit(session: Session, qtbot: QtBot) -> None:
    project = with_wings(6)
    session.edit("Draw outline", project)
    assert session.is_estimate()
    estimate = session.results.take_off
    assert any(plan.state == "estimate" for plan in estimate.cutting_plans)
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    found = session.results.take_off
    solve._known.clear()
    exact = results_of(project).take_off
    assert content(found.cutting_plans) == content(exact.cutting_plans)
    assert found.quantities == exact.quantities
    assert sum(len(p.bars) for p in found.cutting_plans) < sum(
        len(p.bars) for p in estimate.cutting_plans
    )
    assert session.undo_stack.count() == 1  # no step of its own


def test_undo_and_redo_show_the_exact_plan(session: Session, qtbot: QtBot) -> None:
    session.edit("Draw outline", with_wings(5))
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    exact = content(session.results.take_off.cutting_plans)
    session.undo_stack.undo()
    session.undo_stack.redo()
    qtbot.waitUntil(lambda: done(session), timeout=1000)  # it is known
    assert content(session.results.take_off.cutting_plans) == exact


def test_the_newest_request_wins(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(planning, "PATIENCE_MS", 10)
    session.planning._patience.setInterval(10)
    for many in (7, 6, 5):
        session.edit("Draw outline", with_wings(many))
        session.planning.begin()
    assert session.planning.state == "working"
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    solve._known.clear()
    exact = results_of(session.project).take_off
    assert len(session.project.sections()) == 5
    assert content(session.results.take_off.cutting_plans) == content(exact.cutting_plans)


def test_a_drag_shows_an_estimate_and_says_so(house: MainWindow, qtbot: QtBot) -> None:
    house.show_stage("Count")
    settle()
    count, session = house.side.count, house.session
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    assert count.state.text() == ""
    count.tabs.setCurrentIndex(2)
    settle()
    exact = content(session.results.take_off.cutting_plans)
    session.preview(gable(41, 24))
    assert count.state.text() == "Trim is an estimate while you drag"

    def first() -> str:
        item = count.cutting.table.topLevelItem(0)
        return "" if item is None else item.text(0)

    # a few times a second: the drag itself stays quick
    qtbot.waitUntil(lambda: "an estimate" in first(), timeout=LONG)
    assert count.cutting.words() == "An estimate: each piece from a length of its own."
    assert all("an estimate" in h.words for h in count.cutting.headings())
    session.cancel_preview()
    assert "an estimate" not in first()
    assert count.state.text() == ""
    assert content(session.results.take_off.cutting_plans) == exact


def test_a_corner_dragged_by_mouse_in_count(house: MainWindow, qtbot: QtBot) -> None:
    """An estimate from the first move to the release, then the exact plan of the new house."""
    house.show_stage("Count")
    settle()
    house.zoom_to_fit()
    settle()
    session, count, view = house.session, house.side.count, house.plan.viewport()
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    before = session.project
    corner = house.plan.to_pixel((0.0, 0.0)).toPoint()
    QTest.mouseMove(view, corner)
    QTest.mousePress(view, LEFT, pos=corner)
    for step in (8, 16, 24):
        QTest.mouseMove(view, corner - QPoint(step, 0))
        settle()
        assert session.is_preview()
        assert count.state.text() == "Trim is an estimate while you drag"
    QTest.mouseRelease(view, LEFT, pos=corner - QPoint(24, 0))
    settle()
    assert session.project != before
    assert count.state.text() == ""
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    solve._known.clear()
    exact = results_of(session.project).take_off
    assert content(session.results.take_off.cutting_plans) == content(exact.cutting_plans)


def test_working_is_said_after_a_while_and_can_be_stopped(
    house: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    count, session = house.side.count, house.session
    house.show_stage("Count")
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    solve._known.clear()
    session.planning.shut_down()  # the process that planned the house
    with monkeypatch.context() as patch:
        patch.setattr(planning, "WORKER", ("-c", "import time; time.sleep(60)"))
        session.edit("Draw outline", with_wings(4))
        qtbot.waitUntil(lambda: session.planning.state == "working", timeout=LONG)
        assert count.state.text() == ""  # not before 300 ms
        assert not count.work.isVisible()
        qtbot.waitUntil(lambda: session.planning.is_long, timeout=LONG)
        assert count.state.text() == "Working out the cutting plan …"
        path = tmp_path / "count.csv"
        patch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(path), ""))
        house.actions_by_id["export_csv"].trigger()
        assert house.notice.label.text() == "count.csv follows as soon as the trim is planned."
        assert not path.exists()
        press(count)
        assert "count.csv was not written" in error(house)
    assert count.state.text() == "Trim is an estimate"
    assert count.work.text() == "Work it out"
    assert session.planning._worker.process is None
    assert session.is_estimate()
    press(count)
    qtbot.waitUntil(lambda: done(session), timeout=LONG)
    assert count.state.text() == ""
    assert not path.exists()


def press(count: CountPanel) -> None:
    assert count.work.isVisible()
    QTest.mouseClick(count.work, LEFT)
    settle()


def test_files_wait_for_the_exact_plan(
    house: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session, path = house.session, tmp_path / "count.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(path), ""))
    session.edit("Draw outline", with_wings(4))
    house.actions_by_id["export_csv"].trigger()
    assert not path.exists()
    qtbot.waitUntil(path.exists, timeout=LONG)
    rows = list(csv.DictReader(path.read_text("utf-8-sig").splitlines()))
    assert rows
    assert done(session)
    assert not any("an estimate" in " ".join(filter(None, row.values())) for row in rows)


def test_without_a_process_the_plan_is_worked_out_all_the_same(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "no such program")
    session.edit("Draw outline", with_wings(3))
    qtbot.waitUntil(lambda: done(session), timeout=LONG)


def test_a_process_that_dies_is_made_up_for(session: Session, qtbot: QtBot) -> None:
    session.edit("Draw outline", with_wings(5))
    session.planning.begin()
    process = session.planning._worker.process
    assert process is not None
    process.kill()
    qtbot.waitUntil(lambda: done(session), timeout=LONG)


def test_the_worker_answers_what_the_model_would() -> None:
    task = PlanTask(((14, 9), (31, 7), (36, 5), (45, 3)), (100,), 0)
    assert answered(task).plan == plan_cuts(dict(task.wanted), task.stocks, task.kerf)
    assert answered(PlanTask(((11, 1),), (10,), 0)).plan is None


@pytest.fixture
def cutting(house: MainWindow, qtbot: QtBot) -> CountPanel:
    house.show_stage("Count")
    qtbot.waitUntil(lambda: done(house.session), timeout=LONG)
    house.side.count.tabs.setCurrentIndex(2)
    settle()
    return house.side.count


def test_bars_show_every_length_and_piece(house: MainWindow, cutting: CountPanel) -> None:
    plans = house.session.results.take_off.cutting_plans
    bars = cutting.cutting.bars()
    assert sum(b.times for b in bars) == sum(len(p.bars) for p in plans)
    for drawn in bars:
        cut = sum(length for length, *_ in drawn.pieces)
        assert cut + drawn.offcut == pytest.approx(drawn.stock, abs=0.1)
        assert drawn.longest >= drawn.stock
    words = [h.words for h in cutting.cutting.headings()]
    assert len(words) == len(plans)
    assert all("fewest lengths, proved" in w and "left over" in w for w in words)


def test_a_bar_lights_up_the_edges_it_is_for(house: MainWindow, cutting: CountPanel) -> None:
    _, bars, item = cutting.cutting._bars[0]
    click_row(cutting.cutting.table, item)
    settle()
    assert house.session.highlight.items == edges_of(bars)
    assert edges_of(bars)
    assert not house.session.selection


def test_bars_are_drawn_to_scale(house: MainWindow, cutting: CountPanel) -> None:
    """The offcut's hatching begins where the pieces end, to a pixel or two."""
    from roofmodel_ui import theme
    from roofmodel_ui.panels.bars import MARGIN_PX, TIMES_PX

    table = cutting.cutting.table
    pick: Callable[[float], bool] = lambda offcut: offcut > 12 * 25.4  # noqa: E731
    drawn = cutting.cutting.bars()
    number = next(k for k, b in enumerate(drawn) if pick(b.offcut))
    item = cutting.cutting._bars[number][2]
    table.scrollToItem(item)
    settle()
    rect = table.visualItemRect(item)
    image = table.viewport().grab().toImage()
    ratio = image.devicePixelRatio()
    y = round((rect.center().y() - 8) * ratio)
    fill = theme.ROOF_FILL.lower()
    xs = [
        x for x in range(rect.left() + TIMES_PX, rect.right())
        if image.pixelColor(round(x * ratio), y).name() == fill
    ]  # fmt: skip
    room = rect.width() - TIMES_PX - MARGIN_PX
    share = (drawn[number].stock - drawn[number].offcut) / drawn[number].longest
    assert max(xs) - (rect.left() + TIMES_PX) == pytest.approx(share * room, abs=3)
