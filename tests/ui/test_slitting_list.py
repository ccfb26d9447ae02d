"""The slitting plan in the Hand over stage: asked for, shown, old after an edit, left alone."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from roofmodel.document.edits import set_slope
from roofmodel.document.releases import set_shop_rules
from roofmodel.sheets.slitting import slit_sheets, slitting_words
from roofmodel.shop.job import ShopJob
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


def texts(plan: SlittingList) -> list[tuple[str, list[str]]]:
    """Cuts and their strips as shown."""
    out = []
    for k in range(plan.list.topLevelItemCount()):
        top = plan.list.topLevelItem(k)
        assert top is not None
        assert top.isExpanded()
        rows = [top.child(n) for n in range(top.childCount())]
        out.append((top.text(0), [row.text(0) for row in rows if row is not None]))
    return out


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
    assert plan.said.text() == slitting_words(job)
    shown = texts(plan)
    (sheet,) = slit_sheets(job)
    assert [len(strips) for _, strips in shown] == [len(k.strips) for k in sheet.kinds]
    for (words, _), kind in zip(shown, sheet.kinds, strict=True):
        assert words.startswith(f"{kind.times} × Cut {kind.number}: ")
    said = " ".join(words for _, strips in shown for words in strips)
    assert "Ridge cap" in said
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


def test_what_no_coil_holds_is_said(house: MainWindow, plan: SlittingList, qtbot: QtBot) -> None:
    house.session.attempt("Coil", lambda p: set_shop_rules(p, trim_coils=(60.0,)))
    press(plan)
    qtbot.waitUntil(lambda: not plan.slitting.working, timeout=LONG)
    assert "in no slitting plan" in plan.said.text()
    assert not plan.list.isVisible()


def test_without_trim_there_is_nothing_to_ask(window: MainWindow) -> None:
    window.show_stage("Hand over")
    assert not window.side._hand_over.get().slitting.button.isEnabled()
