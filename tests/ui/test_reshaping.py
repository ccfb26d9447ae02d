"""Outlines changed in the real window: corners and edges dragged, lengths typed, parts copied."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document import ByEdge
from roofmodel.document.drawing_edits import main_direction, set_edge_length
from roofmodel.document.edits import move_corner
from roofmodel.document.part_edits import change_plane, turn_part
from roofmodel.surface import PlaneId
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.ties import ties
from roofmodel_ui.tools.select import SelectTool
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, click, click_part, enter, error, settle, undo, undone
from tests.ui.test_drawing import bar_words, corners, press_bar, snapped

PLAIN, CONTROL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
RECTANGLE = [(0, 0), (40, 0), (40, 24), (0, 24)]


def drag(
    window: MainWindow, start: tuple[float, float], *way: tuple[float, float], held: object = PLAIN
) -> str:
    """Drag in plan, feet; says what it snapped to before the button came up."""
    view = window.plan.viewport()
    assert isinstance(held, Qt.KeyboardModifier)
    at = [window.plan.to_pixel((x * FT, y * FT)).toPoint() for x, y in (start, *way)]
    QTest.mousePress(view, LEFT, held, at[0])
    for spot in at[1:]:
        QTest.mouseMove(view, (at[0] + spot) / 2)
        move(window, spot, held)
    words = snapped(window)
    window.plan.viewport().grab()
    QTest.mouseRelease(view, LEFT, held, at[-1])
    settle()
    return words


def move(window: MainWindow, spot: object, held: Qt.KeyboardModifier) -> None:
    from PySide6.QtCore import QEvent, QPoint, QPointF
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    assert isinstance(spot, QPoint)
    view, at = window.plan.viewport(), QPointF(spot)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, QPointF(view.mapToGlobal(at)), Qt.MouseButton.NoButton,
        LEFT, held,
    )  # fmt: skip
    QApplication.sendEvent(view, event)


def south(window: MainWindow) -> SelectTool:
    """Select the south eave."""
    click(window, 10, 0)
    tool = window.tools["select"]
    assert isinstance(tool, SelectTool)
    assert tool.edge() == OutlineEdgeId("s1", "e1")
    return tool


def test_a_corner_snaps_into_line_with_its_neighbours(house: MainWindow) -> None:
    before = house.session.project
    words = drag(house, (40, 24), (46, 24.3))
    assert words in ("On the line of an edge", "Crossing of lines")
    assert corners(house)[2] == pytest.approx((46, 24), abs=0.2)
    assert corners(house)[2][1] == 24
    undone(house, before)


def test_control_holds_a_corner_on_its_edges(house: MainWindow) -> None:
    drag(house, (40, 24), (34, 26), held=CONTROL)
    x, y = corners(house)[2]
    assert y == 24
    assert x == pytest.approx(34, abs=0.2)


def test_a_selected_edge_is_dragged_parallel(house: MainWindow) -> None:
    south(house)
    before = house.session.project
    drag(house, (10, 0), (11, -4))
    found = corners(house)
    assert found[0][1] == found[1][1] == pytest.approx(-4, abs=0.2)
    assert (found[0][0], found[1][0]) == (0, 40)
    assert house.session.undo_stack.undoText() == "Offset edge"
    undone(house, before)
    # one that is not selected stays where it is
    house.session.select(())
    undo(house)
    drag(house, (10, 0), (10, -4))
    assert corners(house) == RECTANGLE


def test_an_edge_is_offset_by_a_typed_distance(house: MainWindow) -> None:
    south(house)
    press_bar(house, "Offset")
    QTest.keyClicks(house.plan, "2' 6")
    assert house.plan.tool is not None
    assert house.plan.tool.overlay().field == "2' 6"
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert corners(house) == [(0, -2.5), (40, -2.5), (40, 24), (0, 24)]
    undo(house)
    press_bar(house, "Offset")
    QTest.keyClicks(house.plan, "-60")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert "too far" in house.notice.label.text()
    assert house.plan.tool.overlay().field == "-60"  # it stays to be mended
    QTest.keyClick(house.plan, Qt.Key.Key_Escape)
    assert corners(house) == RECTANGLE


def test_a_selected_plane_is_dragged_with_its_section(house: MainWindow) -> None:
    """The first drag selects what it was on and says so; the second moves the section."""
    session = house.session
    session.select(())
    before = session.project
    drag(house, (12, 5), (20, 8))
    assert session.project is before
    (item,) = session.selection
    assert isinstance(item, PlaneId)
    assert "drag it again" in house.notice.label.text()
    drag(house, (12, 5), (22, 5))
    assert corners(house)[0] == pytest.approx((10, 0), abs=0.2)
    assert session.selection == {PartId("s1")}
    undone(house, before)


def test_a_pitch_that_is_dragged_is_no_pitch_typed(house: MainWindow) -> None:
    session, tool = house.session, house.editing
    click(house, 12, 5)
    house.plan.viewport().repaint()
    south_edge = OutlineEdgeId("s1", "e1")
    spot = next(m for s, m, _, _ in tool.placed.boxes if s.target == south_edge)
    at = spot[0] / FT, spot[1] / FT
    before = session.project
    drag(house, at, (at[0] + 6, at[1]), held=Qt.KeyboardModifier.ShiftModifier)
    assert not tool.busy()
    assert corners(house)[0] == pytest.approx((6, 0), abs=0.2)
    undone(house, before)


def test_sides_are_rounded(house: MainWindow) -> None:
    session = house.session
    session.edit("Length", set_edge_length(session.project, "s1", "e1", 40.03 * FT))
    before = session.project
    session.select((PartId("s1"),))
    house.actions_by_id["round_outline"].trigger()
    assert np.array(corners(house)) == pytest.approx(np.array(RECTANGLE))
    assert "Sides rounded: 2, none by more than" in house.notice.label.text()
    undone(house, before)
    undo(house)
    house.show_stage("Shape")
    session.select((PartId("s1"),))
    enter(house, house.shape.section.round, "1/4")
    assert corners(house)[1][0] == pytest.approx(40 + 0.25 / 12)
    enter(house, house.shape.section.round, "none")
    error(house)


def test_a_length_is_typed_where_it_stands(house: MainWindow) -> None:
    tool = south(house)
    before = house.session.project
    click(house, 20, 0)
    assert tool.asked == "length"
    QTest.keyClicks(house.plan, "44")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert corners(house) == [(0, 0), (44, 0), (44, 24), (0, 24)]
    undone(house, before)
    house.actions_by_id["edge_length"].trigger()
    assert tool.asked == "length"
    QTest.keyClick(house.plan, Qt.Key.Key_Escape)
    assert tool.asked is None
    assert tool.edge() is not None


def test_an_edge_is_split_at_a_typed_length(house: MainWindow) -> None:
    south(house)
    press_bar(house, "Split")
    QTest.keyClicks(house.plan, "12")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert corners(house) == [(0, 0), (12, 0), (40, 0), (40, 24), (0, 24)]


def test_corners_are_added_and_deleted(house: MainWindow) -> None:
    before = house.session.project
    at = house.plan.to_pixel((12 * FT, 24 * FT)).toPoint()
    QTest.mouseDClick(house.plan.viewport(), LEFT, pos=at)
    settle()
    assert len(corners(house)) == 5
    assert bar_words(house) == ["Delete corner"]
    house.plan.setFocus()
    QTest.keyClick(house.plan, Qt.Key.Key_Delete)
    settle()
    assert house.session.project.sections()
    assert corners(house) == RECTANGLE
    undo(house)
    undo(house)
    assert house.session.project is before
    click(house, 40, 24)
    assert bar_words(house) == ["Delete corner"]
    press_bar(house, "Delete corner")
    assert corners(house) == [(0, 0), (40, 0), (0, 24)]
    QTest.keyClick(house.plan, Qt.Key.Key_Backspace)
    assert len(corners(house)) == 3


def test_the_handle_of_an_edge_pulls_out_a_corner(house: MainWindow) -> None:
    tool = south(house)
    before = house.session.project
    (handle,) = tool.overlay().handles
    start = (handle[0] / FT, handle[1] / FT)
    drag(house, start, (30, -5))
    found = corners(house)
    assert len(found) == 5
    assert found[1] == pytest.approx((30, -5), abs=0.2)
    undone(house, before)


def test_square_up_copy_mirror_turn_and_align(house: MainWindow) -> None:
    session, actions = house.session, house.actions_by_id
    crooked = move_corner(session.project, "s1", 0, 2, (40.3 * FT, 24.2 * FT))
    session.edit("Move corner", crooked)
    session.select((PartId("s1"),))
    actions["square_up"].trigger()
    assert house.notice.label.text().startswith(
        "Squared up: moved corner 2 by 0'-1 3/4\", corner 3 "
    )
    assert corners(house)[2] == pytest.approx((40.15, 24.1), abs=0.05)
    undone(house, crooked)
    before = session.project
    assert bar_words(house) == ["Copy", "Mirror", "Turn", "Square up"]
    press_bar(house, "Copy")
    assert session.selection == {PartId("s2")}
    assert session.project.section("s2").name == "Main house 1"
    undone(house, before)
    session.select((PartId("s2"),))
    for command in ("mirror_across", "mirror_along", "turn_quarter"):
        before = session.project
        actions[command].trigger()
        assert session.project != before
        undone(house, before)
    before = session.project
    actions["turn"].trigger()
    QTest.keyClicks(house.plan, "30")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    assert main_direction(session.project.section("s2")) == pytest.approx(30.0)
    undone(house, before)
    session.edit("Turn", turn_part(session.project, "s2", 7.0))
    session.select((PartId("s2"),))
    actions["align"].trigger()
    wanted = main_direction(session.project.section("s1"))
    assert main_direction(session.project.section("s2")) == pytest.approx(wanted, abs=1e-6)


def test_a_wing_with_its_porch_is_copied_to_the_other_side(porch: MainWindow) -> None:
    """The porch is tied to an eave; its copy is tied to the eave at the other side."""
    session, actions = porch.session, porch.actions_by_id
    eave = next(t for t in ties(session.project) if t.middle[1] == pytest.approx(0.0))
    tied = change_plane(session.project, "p2", lies=ByEdge(eave.section, eave.edge, -0.25))
    session.edit("Tie", tied)
    session.select(())
    assert not actions["copy_along"].isEnabled()
    click_part(porch, "p2")
    actions["copy_along"].trigger()
    (copy,) = (p for p in session.project.planes() if p.id != "p2")
    assert session.selection == {PartId(copy.id)}
    # over y = 12 ft: the porch from 8 ft below the south eave to as far above the north one
    ys = sorted(y / FT for _, y in copy.corners)
    assert ys == pytest.approx([24, 24, 32, 32])
    north = next(t for t in ties(session.project) if t.middle[1] == pytest.approx(24 * FT))
    assert copy.lies == ByEdge(north.section, north.edge, -0.25)
    said = porch.notice.label.text()
    assert said == "Copied 1 part, mirrored over the middle of Main house."
    both = session.project
    actions["copy_along"].trigger()
    assert "would fall on" in error(porch)
    assert session.project is both
    undone(porch, tied)
