"""Drags that something comes between: undo, Delete, units, another project, other buttons, the
focus going elsewhere. What came between stays, and the release does nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from roofmodel.document import Project
from roofmodel_ui.selection import OutlineEdgeId
from roofmodel_ui.tools.underlay import MovePictureTool
from roofmodel_ui.view3d.handles import Handle
from roofmodel_ui.window import MainWindow
from tests.io.underlays.files import on_disk, png
from tests.ui.hands import FT, LEFT, click, click_part, settle, undo

MIDDLE = Qt.MouseButton.MiddleButton


def pixel(window: MainWindow, x: float, y: float) -> QPoint:
    return window.plan.to_pixel((x * FT, y * FT)).toPoint()


def begin(window: MainWindow, x: float, y: float) -> QPoint:
    """Press at a place (feet) and drag it some way up and right; where the pointer is then."""
    view, at = window.plan.viewport(), pixel(window, x, y)
    QTest.mouseMove(view, at)
    QTest.mousePress(view, LEFT, pos=at)
    for step in (20, 40):
        QTest.mouseMove(view, at + QPoint(step, -step))
    assert window.session.results.project != window.session.project, "nothing is dragged"
    return at + QPoint(40, -40)


def go_on(window: MainWindow, at: QPoint) -> None:
    """Drag on and let go."""
    QTest.mouseMove(window.plan.viewport(), at + QPoint(10, -10))
    QTest.mouseRelease(window.plan.viewport(), LEFT, pos=at + QPoint(10, -10))
    settle()


def grab_corner(house: MainWindow) -> QPoint:
    return begin(house, 40, 24)


def grab_edge(house: MainWindow) -> QPoint:
    house.session.select((OutlineEdgeId("s1", "e1"),))
    return begin(house, 10, 0)


def grab_section(house: MainWindow) -> QPoint:
    click_part(house, "s1")
    return begin(house, 12, 5)


GRABS = (grab_corner, grab_edge, grab_section)


def left_alone(window: MainWindow, at: QPoint) -> None:
    """Whatever the rest of the drag does: the project stays as it is now, and is what is seen."""
    project, steps = window.session.project, window.session.undo_stack.index()
    go_on(window, at)
    assert window.session.project is project
    assert window.session.undo_stack.index() == steps
    assert window.session.results.project is project


@pytest.mark.parametrize("grab", GRABS)
def test_undo_in_the_middle(house: MainWindow, grab: Callable[[MainWindow], QPoint]) -> None:
    at = grab(house)
    undo(house)
    assert not house.session.project.sections()
    left_alone(house, at)
    house.actions_by_id["redo"].trigger()
    assert len(house.session.project.sections()) == 1


@pytest.mark.parametrize("grab", GRABS)
def test_units_in_the_middle(house: MainWindow, grab: Callable[[MainWindow], QPoint]) -> None:
    before = house.session.project.sections()
    at = grab(house)
    house.actions_by_id["units_metric"].trigger()
    left_alone(house, at)
    assert house.session.project.units.system == "metric"
    assert house.session.project.sections() == before


def test_delete_in_the_middle(porch: MainWindow) -> None:
    click_part(porch, "p2")
    at = begin(porch, 15, -6)
    porch.actions_by_id["remove"].trigger()
    assert not porch.session.project.planes()
    left_alone(porch, at)


@pytest.mark.parametrize("grab", GRABS)
def test_a_new_project_in_the_middle(
    house: MainWindow, tmp_path: Path, grab: Callable[[MainWindow], QPoint]
) -> None:
    assert house.files.save_path(tmp_path / "a.roof")
    at = grab(house)
    house.actions_by_id["new"].trigger()
    assert not house.session.project.sections()
    left_alone(house, at)


def test_before_it_has_moved(house: MainWindow) -> None:
    """Pressed only: what the drag had in mind is gone too."""
    view, at = house.plan.viewport(), pixel(house, 40, 24)
    QTest.mousePress(view, LEFT, pos=at)
    undo(house)
    left_alone(house, at)


def test_a_picture_dragged(house: MainWindow, tmp_path: Path) -> None:
    assert house.files.load_picture_path(on_disk(tmp_path, "a.png", png(400, 300)))
    house.use_tool("move_picture")
    at = begin(house, 3, 3)
    house.actions_by_id["units_metric"].trigger()
    assert house.session.project.units.system == "metric"
    left_alone(house, at)
    at = begin(house, 3, 3)
    undo(house)  # takes back the drag
    assert house.session.project.units.system == "metric"
    left_alone(house, at)


def test_a_picture_pressed_only_is_not_carried_along_later(
    house: MainWindow, tmp_path: Path
) -> None:
    assert house.files.load_picture_path(on_disk(tmp_path, "a.png", png(400, 300)))
    house.use_tool("move_picture")
    view, at = house.plan.viewport(), pixel(house, 3, 3)
    QTest.mousePress(view, LEFT, pos=at)
    house.use_tool("select")
    QTest.mouseRelease(view, LEFT, pos=at)
    house.use_tool("move_picture")
    assert isinstance(house.plan.tool, MovePictureTool)
    QTest.mouseMove(view, at + QPoint(50, 50))
    assert house.session.results.project is house.session.project


def test_a_drag_done_in_peace_is_one_step(house: MainWindow) -> None:
    before, steps = house.session.project, house.session.undo_stack.index()
    go_on(house, begin(house, 40, 24))
    assert house.session.project != before
    assert house.session.undo_stack.index() == steps + 1


def test_a_height_in_3d(house: MainWindow) -> None:
    house.session.select((OutlineEdgeId("s1", "e1"),))
    assert house.view3d.canvas is not None
    house.view3d.canvas.draw_now()
    settle()
    grip = house.view3d.grip
    handle = grip.shown()
    assert isinstance(handle, Handle)
    x, y = grip.pixel(handle) or (0.0, 0.0)
    assert grip.press((x, y))
    grip.drag((x, y - 30.0), free=True)
    assert house.session.results.project != house.session.project
    undo(house)
    project: Project = house.session.project
    grip.drag((x, y - 60.0), free=True)
    grip.release()
    assert house.session.project is project
    assert house.session.results.project is project


def test_the_middle_button_in_a_drag_in_3d(house: MainWindow) -> None:
    house.session.select((OutlineEdgeId("s1", "e1"),))
    canvas, grip = house.view3d.canvas, house.view3d.grip
    assert canvas is not None
    canvas.draw_now()
    settle()
    handle = grip.shown()
    assert isinstance(handle, Handle)
    x, y = grip.pixel(handle) or (0.0, 0.0)
    at, before = QPoint(round(x), round(y)), house.session.project
    QTest.mousePress(canvas, LEFT, pos=at)
    QTest.mouseMove(canvas, at + QPoint(0, -30))
    QTest.mousePress(canvas, MIDDLE, pos=at + QPoint(0, -30))
    QTest.mouseRelease(canvas, MIDDLE, pos=at + QPoint(0, -30))
    assert house.session.project is before
    QTest.mouseRelease(canvas, LEFT, pos=at + QPoint(0, -30))
    assert house.session.project != before
    assert house.session.results.project is house.session.project


def test_the_middle_button_moves_the_plan_in_a_drag(house: MainWindow) -> None:
    """The left button's release ends the drag even while the middle one is down."""
    view, before = house.plan.viewport(), house.session.project
    at = begin(house, 40, 24)
    QTest.mousePress(view, MIDDLE, pos=at)
    QTest.mouseRelease(view, LEFT, pos=at)
    QTest.mouseRelease(view, MIDDLE, pos=at)
    assert house.session.project != before
    assert house.session.results.project is house.session.project


def test_the_middle_button_let_go_first(house: MainWindow) -> None:
    view, before = house.plan.viewport(), house.session.project
    at = begin(house, 40, 24)
    QTest.mousePress(view, MIDDLE, pos=at)
    QTest.mouseMove(view, at + QPoint(0, 15))
    QTest.mouseRelease(view, MIDDLE, pos=at + QPoint(0, 15))
    assert house.session.project is before
    go_on(house, at)
    assert house.session.project != before
    assert house.session.results.project is house.session.project


def test_a_release_that_never_came(house: MainWindow) -> None:
    """Some other window took it: the next click finds no preview left over."""
    before = house.session.project
    begin(house, 40, 24)
    click(house, 20, 6)
    assert house.session.project is before
    assert house.session.results.project is before


def test_space_is_not_held_when_the_focus_goes(house: MainWindow) -> None:
    plan = house.plan
    plan.setFocus()
    QTest.keyPress(plan, Qt.Key.Key_Space)
    assert plan.cursor().shape() == Qt.CursorShape.OpenHandCursor
    # whatever takes the focus gets the release
    QApplication.sendEvent(plan, QFocusEvent(QEvent.Type.FocusOut))
    assert plan.cursor().shape() == Qt.CursorShape.ArrowCursor
    go_on(house, begin(house, 40, 24))  # dragging is no panning
