"""The tool that lays panels: what a click means, all planes by keys. The house is 40 by 24 ft."""

from __future__ import annotations

import warnings

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from roofmodel.surface import EdgeId, PlaneId
from roofmodel_ui.plan.picking import item_at
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, click, settle, shown

SOUTH = (30.0, 3.0)


@pytest.fixture
def cover(house: MainWindow) -> MainWindow:
    house.show_stage("Cover")
    house.zoom_to_fit()
    settle()
    return house


def plane(window: MainWindow, name: str) -> PlaneId:
    return next(p.id for p in window.session.results.surface.planes if p.name == name)


@pytest.mark.parametrize("spot", [(20.0, 0.3), (20.0, 11.8), (39.7, 6.0)])
def test_a_click_near_a_line_selects_the_plane(
    cover: MainWindow, spot: tuple[float, float]
) -> None:
    """At an eave, at the ridge and at a rake of the house of 40 x 24 ft."""
    assert isinstance(item_at(cover.session.results, (spot[0] * FT, spot[1] * FT), 300.0), EdgeId)
    click(cover, *spot)
    assert cover.session.selection == {plane(cover, "South 1")}
    QTest.mouseMove(cover.plan.viewport(), cover.plan.to_pixel((30.0 * FT, 0.3 * FT)).toPoint())
    settle()
    assert cover.tools["lay"].overlay().hover == plane(cover, "South 1")
    click(cover, 20.0, -6.0)
    assert cover.session.selection == frozenset()


def test_all_planes_of_the_job_by_keys(cover: MainWindow) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        QApplication.setActiveWindow(cover)  # shortcuts fire in an active window only
    cover.plan.setFocus()
    QTest.keyClick(cover.plan, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    both = {plane(cover, name) for name in ("South 1", "North 1")}
    assert cover.session.selection == both
    click(cover, *SOUTH)
    cover.actions_by_id["leave_out"].trigger()
    cover.session.select(())
    QTest.keyClick(cover.plan, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    assert cover.session.selection == {plane(cover, "North 1")}
    # in a field the same keys select what is typed
    line = cover.cover.layouts.line
    cover.session.select(())
    shown(cover, line)
    line.setFocus()
    QTest.keyClick(line, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    assert cover.session.selection == frozenset()
