"""The slitting plan in the Hand over stage: asked for, shown, old after an edit, left alone."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QTextDocument
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from roofmodel.document import Job, Project, Units
from roofmodel.document.edits import set_slope
from roofmodel.document.releases import set_shop_rules
from roofmodel.sheets.slitting import proof_of, slit_sheets, slitting_words
from roofmodel.shop.job import ShopJob
from roofmodel_io.prices_toml import sample_prices
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.panels.slitting_list import SlittingList
from roofmodel_ui.window import MainWindow

LONG = 60_000


@pytest.fixture
def plan(house: MainWindow) -> SlittingList:
    house.show_stage("Hand over")
    panel = house.side._hand_over.get()
    assert isinstance(panel, HandOverPanel)
    return panel.slitting


def press(plan: SlittingList) -> None:
    QTest.mouseClick(plan.button, Qt.MouseButton.LeftButton)


def texts(plan: SlittingList) -> list[str]:
    """Cuts and their strips as they are read."""
    document = QTextDocument()
    document.setHtml(plan.list.text())
    return document.toPlainText().replace("\N{NO-BREAK SPACE}", " ").splitlines()


def test_it_is_worked_out_when_asked_for(
    house: MainWindow, plan: SlittingList, qtbot: QtBot
) -> None:
    assert not plan.list.isVisible()
    assert not plan.said.isVisible()
    press(plan)
    assert plan.slitting.working
    assert plan.button.text() == "Cancel"
    qtbot.waitUntil(lambda: plan.list.isVisible(), timeout=LONG)
    results = house.session.results
    job = ShopJob(results.project, results.surface, results.take_off)
    (sheet,) = slit_sheets(job)
    assert plan.said.text().splitlines() == [
        slitting_words(job),
        f"Plan: {proof_of(sheet.plan)}.",
    ]
    shown = texts(plan)
    assert len(shown) == sum(1 + len(k.strips) for k in sheet.kinds)
    heads = [words for words in shown if "× Cut " in words]
    for words, kind in zip(heads, sheet.kinds, strict=True):
        assert words.startswith(f"{kind.times} × Cut {kind.number}: ")
    # every word has room: nothing is cut off and nothing scrolls for itself
    page = plan.list
    qtbot.waitUntil(lambda: page.height() >= page.heightForWidth(page.width()) > 0, timeout=LONG)
    assert page.width() <= house.side.forms.viewport().width()
    assert "Ridge cap" in " ".join(shown)
    assert re.search(r"\d&nbsp;\d+/\d", page.text())
    assert re.search(r"\d \d+/\d", page.text()) is None
    # another coil, and it is old; the edit can be taken back, and it is not
    house.session.attempt("Coil", lambda p: set_shop_rules(p, trim_coils=(914.4,)))
    assert not plan.list.isVisible()
    assert "work it out again" in plan.said.text()
    house.session.undo_stack.undo()
    assert plan.list.isVisible()
    house.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    assert not plan.list.isVisible()
    press(plan)
    qtbot.waitUntil(lambda: plan.list.isVisible(), timeout=LONG)
    assert plan.said.text().startswith("Trim to slit: ")


def test_it_can_be_left(plan: SlittingList, qtbot: QtBot) -> None:
    press(plan)
    press(plan)
    assert not plan.slitting.working
    assert plan.button.text() == "Work out the slitting plan"
    assert not plan.list.isVisible()
    press(plan)
    qtbot.waitUntil(lambda: plan.list.isVisible(), timeout=LONG)


def test_what_changes_no_strip_leaves_it_as_it_is(
    house: MainWindow, plan: SlittingList, qtbot: QtBot
) -> None:
    press(plan)
    qtbot.waitUntil(lambda: plan.list.isVisible(), timeout=LONG)
    session, before = house.session, plan.said.text()
    changes: list[Callable[[Project], Project]] = [
        lambda p: replace(p, job=Job("Elm Street", "A client")),
        lambda p: set_shop_rules(p, lift_weight=500.0, sheet_weight=6.0, formed=1.3),
        lambda p: replace(p, prices=None if p.prices is not None else sample_prices()),
        lambda p: replace(p, colour="dark bronze"),
        lambda p: replace(p, buildings=tuple(replace(b, name="Barn") for b in p.buildings)),
    ]
    for change in changes:
        project = change(session.project)
        assert project != session.project
        session.edit("Change", project)
        assert plan.list.isVisible()
        assert plan.said.text() == before
    session.attempt("Units", lambda p: replace(p, units=Units("metric")))  # cuts go by the unit
    assert not plan.list.isVisible()


def test_what_no_coil_holds_is_said(house: MainWindow, plan: SlittingList, qtbot: QtBot) -> None:
    house.session.attempt("Coil", lambda p: set_shop_rules(p, trim_coils=(60.0,)))
    press(plan)
    qtbot.waitUntil(lambda: not plan.slitting.working, timeout=LONG)
    assert "in no slitting plan" in plan.said.text()
    assert not plan.list.isVisible()


def test_without_trim_there_is_nothing_to_ask(window: MainWindow) -> None:
    window.show_stage("Hand over")
    assert not window.side._hand_over.get().slitting.button.isEnabled()
