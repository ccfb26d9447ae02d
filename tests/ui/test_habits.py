"""Habits: every command in one table, found by typing; keys, themes, units, files dropped and
opened of late; names for those who cannot see; no traceback for anybody."""

from __future__ import annotations

import sys
import threading
from collections import Counter
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, QSettings, Qt, QUrl
from PySide6.QtGui import QColor, QDropEvent, QKeySequence, QPixmap
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from roofmodel.document import Units
from roofmodel.scene import EDGE_LOOKS
from roofmodel_io.project_file import write_project
from roofmodel_ui import app as app_module
from roofmodel_ui import recent, settings, theme
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.command_list import rating
from roofmodel_ui.recent import RecentMenu
from roofmodel_ui.window import MainWindow
from tests.ui.hands import click, error, settle, undo

HANDLED = (
    QAbstractButton, QLineEdit, QComboBox, QAbstractItemView, QAbstractSlider, QAbstractSpinBox,
)  # fmt: skip


def test_every_command_has_words_a_tip_and_keys_of_its_own(window: MainWindow) -> None:
    commands = list(window.commands.values())
    assert not [i for i, n in Counter(c.id for c in commands).items() if n > 1]
    for command in commands:
        assert not command.title[0].islower(), command.id
        assert command.tip.endswith("."), command.id
    keys = [QKeySequence(c.shortcut).toString() for c in commands if c.shortcut]
    assert all(keys)
    assert not [k for k, n in Counter(keys).items() if n > 1]
    in_menus = {a for m in window.menus.values() for a in m.actions()}
    assert set(window.actions_by_id.values()) <= in_menus


@pytest.fixture
def active(house: MainWindow, qtbot: QtBot) -> MainWindow:
    """The house's window as the one that gets the keys."""
    with qtbot.waitActive(house):
        house.activateWindow()
    return house


def test_commands_are_found_by_typing_and_done_by_enter(active: MainWindow) -> None:
    house = active
    found = house.command_list
    QTest.keyClick(house, Qt.Key.Key_F1)
    settle()
    assert found.isVisible()
    assert len(found.found()) == len(house.commands) - 1
    QTest.keyClicks(found.field, "draw outl")
    assert found.found()[0] == "Draw outline"
    QTest.keyClick(found.field, Qt.Key.Key_Return)
    assert not found.isVisible()
    assert house.plan.tool is house.tools["outline"]
    house.actions_by_id["find"].trigger()
    QTest.keyClicks(found.field, "metric")
    QTest.keyClick(found.field, Qt.Key.Key_Down)
    QTest.keyClick(found.field, Qt.Key.Key_Up)
    QTest.keyClick(found.field, Qt.Key.Key_Return)
    assert house.session.project.units == Units("metric")
    house.actions_by_id["find"].trigger()
    QTest.keyClicks(found.field, "qqq")
    assert found.found() == []
    QTest.keyClick(found, Qt.Key.Key_Escape)
    assert not found.isVisible()


def test_rating_of_what_is_typed() -> None:
    def better(one: int | None, other: int | None) -> bool:
        return one is not None and (other is None or one > other)

    assert better(rating("gab", "Make gable"), rating("gab", "Draw outline", "Not for gables."))
    assert better(rating("make", "Make gable"), rating("make", "Remake"))
    assert rating("mkg", "Make gable") is not None
    assert rating("pit", "Load picture") is not None
    assert better(rating("pit", "Set pitch"), rating("pit", "Load picture"))
    assert rating("gable make", "Make gable") is not None
    assert rating("make x", "Make gable") is None
    assert rating("", "Make gable") == 0


def test_undo_says_what_it_takes_back(house: MainWindow) -> None:
    assert house.actions_by_id["undo"].text() == "Undo: Draw outline"
    undo(house)
    assert house.actions_by_id["redo"].text() == "Redo: Draw outline"


def test_units_change_at_any_time_and_the_roof_does_not(house: MainWindow) -> None:
    before = house.session.project
    for name, units in (("units_16", Units("feet", 16)), ("units_metric", Units("metric"))):
        house.actions_by_id[name].trigger()
        assert house.session.project.units == units
        assert house.session.project.buildings is before.buildings
        assert house.actions_by_id[name].isChecked()
    undo(house)
    assert house.actions_by_id["units_16"].isChecked()


def test_light_and_dark(house: MainWindow) -> None:
    assert theme.scheme() == "light"
    light = house.plan.grab().toImage().pixelColor(3, 3)
    house.actions_by_id["theme_dark"].trigger()
    settle()
    assert theme.scheme() == "dark"
    assert house.plan.grab().toImage().pixelColor(3, 3).lightness() < 90 < light.lightness()
    assert settings.THEME.get() == "dark"
    paper = QColor(theme.PAPER)
    for look in EDGE_LOOKS.values():
        shown = QColor(theme.line_color(look.color))
        assert theme.contrast(shown, paper) >= theme.READABLE
    for ink in (theme.INK, theme.QUIET, theme.ACCENT):
        assert theme.contrast(QColor(ink), paper) >= 4.5
    with theme.on_paper():
        assert theme.line_color("#000000") == "#000000"
    house.actions_by_id["theme_light"].trigger()
    settle()
    assert theme.contrast(QColor(theme.INK), QColor(theme.PAPER)) > 10
    assert house.plan.grab().toImage().pixelColor(3, 3) == light


def test_stages_by_keys_and_the_last_is_remembered(active: MainWindow) -> None:
    house = active
    for number, stage in enumerate(STAGES, 1):
        QTest.keyClick(house, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.ControlModifier)
        assert house.strip.buttons[stage].isChecked()
    house.show_stage("Count")
    house.session.undo_stack.setClean()
    project = house.session.project
    house.close()
    again = MainWindow(project)
    assert again.strip.buttons["Count"].isChecked()
    again.deleteLater()


def test_files_of_late(house: MainWindow, tmp_path: Path) -> None:
    one, two = tmp_path / "one.roof", tmp_path / "two & three.roof"
    assert house.files.save_path(one)
    assert house.files.save_path(two)
    menu = RecentMenu(house.files.open_recent, house)
    words = [a.text() for a in menu.actions()[:2]]
    assert words == ["&1  two && three.roof", "&2  one.roof"]
    menu.actions()[1].trigger()
    assert house.session.path == one
    assert recent.folder() == tmp_path
    two.unlink()
    house.files.open_recent(two)
    assert "no file" in error(house)
    assert recent.recent_files() == (one,)
    menu.fill()
    menu.actions()[-1].trigger()
    menu.fill()
    assert [a.text() for a in menu.actions()] == ["No files yet"]


def drop(window: MainWindow, *paths: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(p)) for p in paths])
    event = QDropEvent(
        QPointF(400.0, 300.0), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    # Qt itself delivers drops only at the end of a drag of the system's.
    assert window.dropping.eventFilter(window, event)
    settle()


def test_files_dropped_on_the_window(house: MainWindow, tmp_path: Path) -> None:
    file, picture = tmp_path / "a.roof", tmp_path / "a.png"
    write_project(file, house.session.project, {})
    pixmap = QPixmap(60, 40)
    pixmap.fill(Qt.GlobalColor.white)
    assert pixmap.save(str(picture))
    house.session.undo_stack.setClean()
    drop(house, file)
    assert house.session.path == file
    drop(house, picture)
    assert len(house.session.project.underlays) == 1
    wrong = tmp_path / "a.txt"
    wrong.write_text("no picture")
    drop(house, wrong)
    assert "a.txt" in error(house)
    assert len(house.session.project.underlays) == 1


def test_settings_survive_nonsense() -> None:
    settings.NAMES_3D.put(False)
    assert settings.NAMES_3D.get() is False
    QSettings().setValue("view3d/names", "perhaps")
    assert settings.NAMES_3D.get() is True
    settings.RECENT.put(("a", "b"))
    assert settings.RECENT.get() == ("a", "b")
    settings.RECENT.put(("a",))
    assert settings.RECENT.get() == ("a",)
    QSettings().setValue("window/geometry", 7)
    assert settings.GEOMETRY.get().isEmpty()


def nameless(window: MainWindow) -> list[str]:
    """Widgets that are used and say nothing to a screen reader."""
    found = []
    for widget in window.findChildren(QWidget):
        if not isinstance(widget, HANDLED) or widget.objectName().startswith("qt_"):
            continue
        inside = widget.parentWidget()
        if isinstance(inside, (QComboBox, QAbstractSpinBox, QAbstractItemView)):
            continue  # parts of something that has a name
        if type(widget).__name__ in ("QScrollBar", "QHeaderView", "QTableCornerButton"):
            continue
        if type(widget).__name__.endswith("ListView") or widget.accessibleName():
            continue
        if isinstance(widget, QAbstractButton) and widget.text():
            continue
        found.append(f"{type(widget).__name__} in {type(inside).__name__}")
    return found


def test_everything_used_has_a_name(porch: MainWindow) -> None:
    for stage in STAGES:
        porch.show_stage(stage)
        settle()
        assert nameless(porch) == []


def test_focus_goes_through_the_window_by_tab(active: MainWindow) -> None:
    house = active
    house.strip.buttons["Shape"].setFocus()
    seen = set()
    for _ in range(60):
        QTest.keyClick(QApplication.focusWidget() or house, Qt.Key.Key_Tab)
        seen.add(QApplication.focusWidget())
    assert house.plan in seen
    assert any(b in seen for b in house.rail.findChildren(QAbstractButton))


def test_errors_nobody_foresaw_are_written_down_and_said(
    house: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    app_module.catch_errors(house)
    try:
        raise ZeroDivisionError("of all things")
    except ZeroDivisionError as wrong:
        sys.excepthook(type(wrong), wrong, wrong.__traceback__)
    assert "did not foresee" in error(house)
    assert "of all things" not in error(house)

    def fails() -> None:
        raise KeyError("in a thread")

    thread = threading.Thread(target=fails)
    thread.start()
    thread.join()
    text = app_module.log_file().read_text("utf-8")
    assert "of all things" in text
    assert "in a thread" in text
    for handler in app_module._log().handlers:
        handler.close()


def test_the_status_line_follows_the_work(window: MainWindow) -> None:
    line = window.totals._hint
    window.use_tool("rectangle")
    assert line.text() == window.tools["rectangle"].hint
    click(window, 0, 0)
    assert line.text().startswith("Click the other end")
    QTest.keyClicks(window.plan, "40")
    assert line.text().startswith("Enter takes")
    QTest.keyClick(window.plan, Qt.Key.Key_Escape)
    QTest.keyClick(window.plan, Qt.Key.Key_Escape)
    window.use_tool("outline")
    for corner in ((0, 0), (10, 0), (10, 10)):
        click(window, *corner)
    assert line.text().endswith("closes the outline.")
