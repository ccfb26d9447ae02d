"""The 3D view in the real window: looks, tips, picking, names, dragged heights, measuring."""

from __future__ import annotations

import math

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton

from roofmodel.document.part_edits import new_opening
from roofmodel.surface import EdgeId, PlaneId
from roofmodel_ui.selection import PartId
from roofmodel_ui.tools.base import PlanEvent
from roofmodel_ui.tools.measure import MeasureTool
from roofmodel_ui.view3d.canvas import Canvas3D
from roofmodel_ui.view3d.words import tip
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, click, settle, undone

EAVE = 2743.2


def canvas_of(window: MainWindow) -> Canvas3D:
    canvas = window.view3d.canvas
    assert canvas is not None
    return canvas


def pixel(window: MainWindow, place: object) -> QPoint:
    size = canvas_of(window).view_size()
    ((x, y, _),) = window.view3d.camera.project(np.asarray(place, float), size)
    return QPoint(round(x), round(y))


def click3d(window: MainWindow, place: object) -> None:
    at = pixel(window, place)
    QTest.mouseMove(canvas_of(window), at)
    QTest.mouseClick(canvas_of(window), LEFT, pos=at)


def middle(window: MainWindow, name: str) -> np.ndarray:
    """The middle of a plane or edge by its name."""
    surface = window.session.results.surface
    for plane in surface.planes:
        if plane.name == name:
            return np.asarray(plane.outline.mean(axis=0))
    edge = next(e for e in surface.edges if e.name == name)
    return np.asarray((edge.start + edge.end) / 2.0)


def hover(window: MainWindow, at: QPoint) -> None:
    canvas = canvas_of(window)
    QTest.mouseMove(canvas, at + QPoint(2, 0))  # a first move may only enter the view
    QTest.mouseMove(canvas, at)
    canvas.repaint()


def frames(window: MainWindow) -> int:
    return len(canvas_of(window).frames.times)


def button(window: MainWindow, words: str) -> QToolButton:
    return next(b for b in canvas_of(window).findChildren(QToolButton) if b.text() == words)


def test_looks_from_all_sides_by_buttons_and_keys(house: MainWindow) -> None:
    view = house.view3d
    for words, bearing in (("South", 180), ("East", 90), ("North", 0), ("West", 270)):
        QTest.mouseClick(button(house, words), LEFT)
        assert view.camera.bearing == bearing
        assert view.camera.elevation < 15
        points = view.camera.project(view.scene.house_points(), canvas_of(house).view_size())
        assert (points[:, :2] > 0).all()
        assert (points[:, :2] < canvas_of(house).view_size()).all()
    assert house.actions_by_id["look_above"].shortcut().toString() == "Shift+A"
    house.actions_by_id["look_above"].trigger()
    assert view.camera.elevation == 90
    QTest.mouseClick(button(house, "Parallel"), LEFT)
    assert view.camera.parallel
    assert button(house, "Parallel").isChecked()
    assert house.actions_by_id["parallel_3d"].isChecked()
    house.actions_by_id["parallel_3d"].trigger()
    assert not view.camera.parallel
    assert not button(house, "Parallel").isChecked()


def test_turn_move_and_zoom(house: MainWindow) -> None:
    view, canvas = house.view3d, canvas_of(house)
    first = view.camera
    at = QPoint(100, 300)
    QTest.mousePress(canvas, LEFT, pos=at)
    QTest.mouseMove(canvas, at + QPoint(60, 20))
    QTest.mouseRelease(canvas, LEFT, pos=at + QPoint(60, 20))
    turned = view.camera
    assert turned.bearing != first.bearing
    assert turned.elevation > first.elevation
    assert not house.session.selection  # a drag is no click
    QTest.mousePress(canvas, Qt.MouseButton.MiddleButton, pos=at)
    QTest.mouseMove(canvas, at + QPoint(30, 0))
    QTest.mouseRelease(canvas, Qt.MouseButton.MiddleButton, pos=at + QPoint(30, 0))
    assert view.camera.bearing == turned.bearing
    assert view.camera.focal != turned.focal
    canvas.setFocus()
    far = view.camera.distance
    QTest.keyClick(canvas, Qt.Key.Key_Plus)
    assert view.camera.distance < far
    house.actions_by_id["fit"].trigger()
    points = view.camera.project(view.scene.house_points(), canvas.view_size())
    assert (points[:, :2] > 0).all()


def test_hover_shows_name_and_size_without_drawing_the_scene(house: MainWindow) -> None:
    view, canvas = house.view3d, canvas_of(house)
    canvas.draw_now()
    settle()
    before, picture = frames(house), canvas.grab().toImage()
    hover(house, pixel(house, middle(house, "South 1")))
    assert isinstance(view.hover, PlaneId)
    assert tip(house.session.results, view.hover) == "South 1 · 6/12 · 536.7 sq ft"
    assert canvas.grab().toImage() != picture
    hover(house, pixel(house, middle(house, "Ridge 1")))
    assert isinstance(view.hover, EdgeId)
    hover(house, QPoint(5, canvas.height() // 2))
    assert view.hover is None
    assert frames(house) == before


def test_names_are_switched(house: MainWindow) -> None:
    view, canvas = house.view3d, canvas_of(house)
    canvas.draw_now()
    before, picture = frames(house), canvas.grab().toImage()
    assert view.names
    QTest.mouseClick(button(house, "Names"), LEFT)
    canvas.repaint()
    assert not view.names
    assert canvas.grab().toImage() != picture
    assert frames(house) == before
    QTest.mouseClick(button(house, "Names"), LEFT)
    assert view.names


def test_click_selects_openings_and_whole_sections(house: MainWindow) -> None:
    corners = [(x * FT, y * FT) for x, y in ((10, 4), (14, 4), (14, 7), (10, 7))]
    house.session.attempt(
        "Place opening", lambda p: new_opening(p, "chimney", corners, "Chimney 1")[0]
    )
    (opening,) = house.session.project.openings()
    house.view3d.look_from("south")
    settle()
    scene = house.view3d.scene
    mine = scene.solid_triangles[scene.solid_part == scene.parts.index(opening.id)]
    top = float(scene.solid_points[mine.ravel(), 2].max())
    click3d(house, (12 * FT, 4 * FT, top - 200.0))
    assert house.session.selection == {PartId(opening.id)}
    click3d(house, (30 * FT, 0.0, 900.0))
    assert house.session.selection == {PartId("s1")}


def test_the_eave_is_dragged_and_all_follows(house: MainWindow) -> None:
    session, canvas = house.session, canvas_of(house)
    house.view3d.look_from("south")
    session.select([PartId("s1")])
    settle()
    before = session.project
    handle = house.view3d.grip.shown()
    assert handle is not None
    at = pixel(house, handle.place)
    up = pixel(house, np.add(handle.place, (0.0, 0.0, 2 * FT)))
    steps = session.undo_stack.count()
    heights, rebuilt = [], house.view3d._actors.planes.rebuilt  # type: ignore[union-attr]
    QTest.mousePress(canvas, LEFT, pos=at)
    for share in (0.3, 0.6, 1.0):
        QTest.mouseMove(canvas, at + (up - at) * share)
        settle()
        heights.append(float(house.view3d.scene.points[:, 2].min()))
        assert house.view3d.grip.words(handle).startswith("Eave height")
    assert heights == sorted(set(heights))
    assert heights[-1] == pytest.approx(EAVE + 2 * FT, abs=60.0)
    assert session.project is before
    assert house.view3d._actors.planes.rebuilt == rebuilt  # type: ignore[union-attr]
    QTest.mouseRelease(canvas, LEFT, pos=up)
    assert session.undo_stack.count() == steps + 1
    assert session.undo_stack.undoText() == "Set eave height"
    assert session.project.section("s1").eave_height == pytest.approx(heights[-1])
    undone(house, before)


def test_the_ridge_is_dragged_or_let_go_with_escape(house: MainWindow) -> None:
    session, canvas = house.session, canvas_of(house)
    click3d(house, np.add(middle(house, "Ridge 1"), (6 * FT, 0, 0)))
    (ridge,) = session.selection
    assert isinstance(ridge, EdgeId)
    before = session.project
    handle = house.view3d.grip.shown()
    assert handle is not None
    at, up = pixel(house, handle.place), pixel(house, np.add(handle.place, (0, 0, 3 * FT)))
    QTest.mousePress(canvas, LEFT, pos=at)
    QTest.mouseMove(canvas, up)
    canvas.setFocus()
    QTest.keyClick(canvas, Qt.Key.Key_Escape)
    assert session.results.project is before
    QTest.mouseRelease(canvas, LEFT, pos=up)
    assert session.project is before
    QTest.mousePress(canvas, LEFT, pos=at)
    QTest.mouseMove(canvas, up)
    QTest.mouseRelease(canvas, LEFT, pos=up)
    pitches = {e.profile[0].slope for e in session.project.section("s1").rings[0].edges}
    (pitch,) = (p for p in pitches if p is not None)
    assert pitch == pytest.approx(9 / 12, abs=0.5 / 12)
    assert pitch * 48 == pytest.approx(round(pitch * 48))  # in quarters of an inch
    assert session.selection == {ridge}
    undone(house, before)


def test_measuring_in_plan_and_in_3d_is_one_tool(house: MainWindow) -> None:
    house.actions_by_id["measure"].trigger()
    tool = house.tools["measure"]
    assert isinstance(tool, MeasureTool)
    assert house.plan.tool is tool
    click(house, 0, 0)
    click(house, 0, 12)
    assert tool.words() == "12'-0\" level · 13'-5\" along the slope · 6'-0\" higher · 6/12"
    click(house, 40, 12)
    assert "angle 90.0°" in tool.words()
    assert "in all 53'-5\"" in tool.words()
    click(house, 40, 0)
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert tool.words() == "Area 536.7 sq ft · in plan 480.0 sq ft · around 106'-10\""
    QTest.keyClick(house.plan, Qt.Key.Key_Escape)
    assert tool.chain() == []
    # the same line on the roof in 3D: at the middle of the ridge and of the eave below
    QTest.mouseClick(button(house, "South"), LEFT)
    settle()
    eave, ridge = middle(house, "Eave 1"), middle(house, "Ridge 1")
    click3d(house, eave)
    click3d(house, ridge)
    assert not house.session.selection
    assert len(tool.spots) == 2
    assert math.dist(tool.spots[0], tool.spots[1]) == pytest.approx(math.dist(eave, ridge), abs=80)
    assert "6'-0\" higher" in tool.words()
    canvas_of(house).setFocus()
    QTest.keyClick(canvas_of(house), Qt.Key.Key_Backspace)
    assert len(tool.spots) == 1
    QTest.keyClick(canvas_of(house), Qt.Key.Key_Escape)
    assert tool.spots == []


def test_what_was_measured_stays_while_the_hand_moves(house: MainWindow) -> None:
    house.use_tool("measure")
    tool = house.tools["measure"]
    assert isinstance(tool, MeasureTool)
    click(house, 0, 0)
    click(house, 40, 0)
    assert tool.words() == "40'-0\""
    reach = 6 / house.plan.scale_now()
    tool.move(PlanEvent((40 * FT + reach / 6, 0.0), reach))  # a pixel away: still that corner
    assert tool.words() == "40'-0\""
    tool.move(PlanEvent((40 * FT, 12 * FT), reach))
    assert tool.words().startswith("12'-0\" level")
    assert [words for *_, words in tool.overlay().legs] == ["40'-0\""]
    click(house, 40, 12)
    assert [w for *_, w in tool.legs()] == ["40'-0\"", "12'-0\" level\n13'-5\" along the slope"]
    tool.enter()
    assert len(tool.legs()) == 3  # the closing one too
    house.view3d.look_from("south")
    settle()
    before = canvas_of(house).grab().toImage()
    tool.cancel()
    settle()
    assert canvas_of(house).grab().toImage() != before


def test_measuring_beside_the_roof_is_plan_only(house: MainWindow) -> None:
    house.use_tool("measure")
    tool = house.tools["measure"]
    assert isinstance(tool, MeasureTool)
    click(house, -5, 0)
    click(house, -5, 12)
    assert tool.words().startswith("12'-0")
    assert "·" not in tool.words()  # no heights are known there
    tool.key("enter")
    assert not tool.closed
    assert house.notice.label.text() == "An area needs at least three points."


def test_a_place_is_gone_to_in_3d(house: MainWindow) -> None:
    view, place = house.view3d, middle(house, "North 1")
    view.look_from("south")
    view.show_places([(float(place[0]), float(place[1]))], 8000.0)
    sight = view.sight()
    assert sight is not None
    assert sight.sees(place)
    assert view.camera.distance < 40_000.0
