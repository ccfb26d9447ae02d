"""The Cover stage: panels in plan and 3D, starting lines by hand, coverings, all with real
presses. The house is 40 by 24 ft, 6/12, with the built-in ribbed panel, 36 in coverage."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from roofmodel.document import NOT_IN_JOB, PanelLayout
from roofmodel.document.edits import set_slope
from roofmodel.surface import Plane
from roofmodel_ui import settings
from roofmodel_ui.plan import foreground, panel_lines
from roofmodel_ui.plan.labels import Placer, _touch
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, choose, click, enter, error, press, settle, shown, undone

SOUTH, NORTH = (30.0, 3.0), (30.0, 21.0)


@pytest.fixture
def cover(house: MainWindow) -> MainWindow:
    house.show_stage("Cover")
    house.zoom_to_fit()
    settle()
    return house


def plane_named(window: MainWindow, name: str) -> Plane:
    return next(p for p in window.session.results.surface.planes if p.name == name)


def layout(window: MainWindow, name: str) -> PanelLayout:
    return window.session.project.layout_of(str(plane_named(window, name).id))


def at(window: MainWindow, x: float, y: float) -> QPoint:
    return window.plan.to_pixel((x * FT, y * FT)).toPoint()


def drag(window: MainWindow, start: tuple[float, float], *way: tuple[float, float]) -> None:
    """Press at a place in plan, feet, and go on; the button stays down."""
    view = window.plan.viewport()
    QTest.mouseMove(view, at(window, *start))
    QTest.mousePress(view, LEFT, pos=at(window, *start))
    for place in way:
        QTest.mouseMove(view, at(window, *place))
        settle()


def let_go(window: MainWindow, x: float, y: float) -> None:
    QTest.mouseRelease(window.plan.viewport(), LEFT, pos=at(window, x, y))
    settle()


def test_cover_brings_panels_ribs_and_its_tool(house: MainWindow) -> None:
    assert not house.plan.panels
    assert house.view3d.ribs.ribs.count == ()
    house.show_stage("Cover")
    settle()
    assert house.plan.panels
    assert house.plan.tool is house.tools["lay"]
    assert house.actions_by_id["lay"].isChecked()
    # a rib every 9 in of 40 ft, both ends among them: 54 in 13 panels and a part of one
    assert house.view3d.ribs.ribs.count == (54, 54)
    house.show_stage("Count")
    assert house.plan.panels
    house.show_stage("Shape")
    assert not house.plan.panels
    assert house.plan.tool is house.tools["select"]
    assert house.view3d.ribs.ribs.count == ()


def test_panels_are_shown_and_hidden(cover: MainWindow) -> None:
    action = cover.actions_by_id["panels_shown"]
    assert action.isChecked()
    action.trigger()
    assert not action.isChecked()
    assert not cover.plan.panels
    assert cover.view3d.ribs.ribs.count == ()
    cover.show_stage("Count")
    assert not cover.plan.panels
    action.trigger()
    assert cover.plan.panels
    assert cover.view3d.ribs.ribs.count == (54, 54)


def test_a_window_that_was_closed_in_cover_begins_there(house: MainWindow, qtbot: QtBot) -> None:
    project = house.session.project
    settings.STAGE.put("Cover")
    other = MainWindow(project)
    qtbot.addWidget(other)
    assert other.plan.tool is other.tools["lay"]
    assert other.plan.panels
    assert other.actions_by_id["panels_shown"].isChecked()


def test_the_tool_brings_its_stage(house: MainWindow) -> None:
    house.actions_by_id["lay"].trigger()
    assert house._stage == "Cover"
    assert house.plan.tool is house.tools["lay"]
    house.show_stage("Shape")
    house.session.select((plane_named(house, "North 1").id,))
    house.actions_by_id["start_typed"].trigger()
    assert house._stage == "Cover"
    assert house.tools["lay"].overlay().field == ""
    assert "North 1" in house.tools["lay"].overlay().label


def test_without_a_roof_there_is_a_word(window: MainWindow) -> None:
    window.show_stage("Cover")
    settle()
    form = window.cover.layouts
    assert not form.start.isVisible()
    assert form._none.text().endswith("draw a roof in Shape first.")
    assert not window.actions_by_id["start_least"].isEnabled()
    QTest.keyClicks(window.plan, "2")
    assert "Select a plane" in error(window)


def test_a_tool_chosen_by_hand_stays(house: MainWindow) -> None:
    house.use_tool("measure")
    house.show_stage("Cover")
    assert house.plan.tool is house.tools["measure"]
    house.use_tool("select")
    house.show_stage("Shape")
    assert house.plan.tool is house.tools["select"]


def test_the_starting_line_is_dragged_and_drawn_to_the_middle(cover: MainWindow) -> None:
    session, before = cover.session, cover.session.project
    drag(cover, (0.0, 4.0), (10.0, 4.0), (20.2, 4.0))
    assert session.is_preview()
    assert session.project is before
    label = cover.tools["lay"].overlay().label
    assert label.startswith(
        "20'-0\" from the end · in the middle · first 2'-0\" · last 2'-0\" · 14 panels"
    )
    assert set(cover.view3d.ribs.ribs.planes) == {p.id for p in session.results.surface.planes}
    let_go(cover, 20.2, 4.0)
    south = plane_named(cover, "South 1")
    assert layout(cover, "South 1").start == "by hand"
    assert layout(cover, "South 1").offset == pytest.approx(20 * FT, abs=1e-6)
    assert layout(cover, "North 1") == PanelLayout()
    assert session.selection == {south.id}
    assert session.undo_stack.undoText() == "Move starting line"
    undone(cover, before)


def test_escape_gives_a_dragged_line_up(cover: MainWindow) -> None:
    before = cover.session.project
    drag(cover, (0.0, 4.0), (7.0, 4.0))
    QTest.keyClick(cover.plan, Qt.Key.Key_Escape)
    assert not cover.session.is_preview()
    let_go(cover, 7.0, 4.0)
    assert cover.session.project is before
    assert cover.session.undo_stack.undoText() == "Draw outline"


def test_all_selected_planes_move_with_a_line_of_theirs(cover: MainWindow) -> None:
    click(cover, *SOUTH)
    click(cover, *NORTH, add=True)
    drag(cover, (0.0, 4.0), (4.0, 4.0), (5.0, 4.0))
    let_go(cover, 5.0, 4.0)
    assert layout(cover, "South 1") == layout(cover, "North 1")
    assert layout(cover, "South 1").offset == pytest.approx(5 * FT, rel=0.05)


def test_an_offset_is_typed_in_plan(cover: MainWindow) -> None:
    click(cover, *SOUTH)
    QTest.keyClicks(cover.plan, "2'6")
    overlay = cover.tools["lay"].overlay()
    assert overlay.field == "2'6"
    assert "South 1" in overlay.label
    QTest.keyClick(cover.plan, Qt.Key.Key_Return)
    assert layout(cover, "South 1") == PanelLayout("by hand", 30 * 25.4)
    QTest.keyClicks(cover.plan, "2 miles")
    QTest.keyClick(cover.plan, Qt.Key.Key_Return)
    assert "2 miles" in error(cover)
    assert cover.tools["lay"].busy()
    QTest.keyClick(cover.plan, Qt.Key.Key_Escape)
    assert not cover.tools["lay"].busy()
    assert layout(cover, "South 1").offset == 30 * 25.4


def test_planes_are_reached_by_keys(cover: MainWindow) -> None:
    cover.plan.setFocus()
    planes = list(cover.session.results.surface.planes)
    for plane in planes:
        QTest.keyClick(cover.plan, Qt.Key.Key_Tab)
        assert cover.session.selection == {plane.id}
        assert cover.focusWidget() is cover.plan
    assert cover.actions_by_id["turn_laying"].shortcut().toString() == "R"
    cover.actions_by_id["turn_laying"].trigger()
    assert layout(cover, "North 1").from_right
    cover.actions_by_id["start_least"].trigger()
    assert layout(cover, "North 1").start == "least metal"
    assert layout(cover, "South 1") == PanelLayout()
    QTest.keyClick(cover.plan, Qt.Key.Key_Tab)
    assert not cover.session.selection
    assert cover.focusWidget() is not cover.plan


def test_the_small_bar_lays_the_selected_planes(cover: MainWindow) -> None:
    assert cover.toolbar.isHidden()
    click(cover, *SOUTH)
    settle()
    assert cover.toolbar.isVisible()
    for words, wanted in (
        ("Equal ends", PanelLayout("balanced ends")),
        ("Other end", PanelLayout("balanced ends", from_right=True)),
        ("Least metal", PanelLayout("least metal", from_right=True)),
        ("In line", PanelLayout("ribs aligned across the ridge", from_right=True)),
    ):
        button = next(b for b in cover.toolbar.buttons if b.text() == words)
        assert button.toolTip()
        before = cover.session.project
        QTest.mouseClick(button, LEFT)
        settle()
        assert layout(cover, "South 1") == wanted
        undone(cover, before)
    assert layout(cover, "North 1") == PanelLayout()


def test_the_form_lays_all_planes_or_those_selected(cover: MainWindow) -> None:
    form, session = cover.cover.layouts, cover.session
    assert form.title.text() == "All planes"
    assert not form.plane.isVisible()
    choose(cover, form.start, "For equal ends")
    assert session.project.layout == PanelLayout("balanced ends")
    click(cover, *SOUTH)
    assert form.title.text() == "South 1"
    choose(cover, form.end, "From the right")
    press(cover, form.vented)
    assert layout(cover, "South 1") == PanelLayout("balanced ends", 0.0, True, True)
    assert session.project.layout == PanelLayout("balanced ends")
    click(cover, *NORTH, add=True)
    assert form.title.text() == "2 planes"
    assert form.end.currentIndex() == -1
    assert form.end.elided() == "different"
    assert form.vented.checkState() is Qt.CheckState.PartiallyChecked
    click(cover, *SOUTH)
    before = session.project
    press(cover, form.buttons["lay_as_others"])
    assert session.project.plane_layouts == ()
    undone(cover, before)
    cover.actions_by_id["undo"].trigger()
    press(cover, form.buttons["lay_alike"])
    assert session.project.layout == PanelLayout("balanced ends", 0.0, True, True)
    assert session.project.plane_layouts == ()


def test_a_line_typed_in_the_form(cover: MainWindow) -> None:
    form = cover.cover.layouts
    click(cover, *SOUTH)
    enter(cover, form.line, "4'-3 1/2\"")
    assert layout(cover, "South 1") == PanelLayout("by hand", 51.5 * 25.4)
    assert form.start.currentText() == "By hand"
    assert form.line.text() == "4'-3 1/2\""
    before = cover.session.project
    for wrong in ("abc", "90000"):
        enter(cover, form.line, wrong)
        assert error(cover)
        assert cover.session.project is before
    choose(cover, form.start, "For equal ends")
    assert form.line.text() == "2'-0\""
    choose(cover, form.start, "By hand")
    assert layout(cover, "South 1").start == "by hand"
    assert layout(cover, "South 1").offset == pytest.approx(2 * FT)


def test_a_panel_of_a_selected_plane_says_what_it_is_cut_to(cover: MainWindow) -> None:
    tool = cover.tools["lay"]

    def said(x: float, y: float) -> str:
        # A pointer that stands there already does not move.
        QTest.mouseMove(cover.plan.viewport(), at(cover, x, y) + QPoint(1, 0))
        QTest.mouseMove(cover.plan.viewport(), at(cover, x, y))
        settle()
        return tool.overlay().label

    assert said(10.4, 5.0) == ""
    click(cover, *SOUTH)
    assert said(10.4, 5.0).startswith("Panel 4 · 13'-5")
    assert said(10.4, 18.0) == ""  # the other plane
    ends = [e.id for r in cover.session.project.section("s1").rings for e in r.edges]
    cover.session.edit("x", set_slope(cover.session.project, "s1", ends, 0.5))
    cover.session.select((plane_named(cover, "East 1").id,))
    assert "upper end 48.2° up to the right" in said(38.0, 4.6)


def test_what_the_panels_come_to(cover: MainWindow) -> None:
    form = cover.cover.layouts
    assert form.facts.text("Panels") == "28 on 2 planes"
    click(cover, *SOUTH)
    laying = next(x for x in cover.session.results.take_off.layings if x.plane_name == "South 1")
    assert form.facts.text("Panels") == "14"
    assert form.facts.text("First, last") == "3'-0\" and 1'-0\" wide"
    assert form.facts.text("Cut to").startswith("14\u00a0×\u00a013'-5")
    gross, net = (sum(getattr(p, k) for p in laying.panels) for k in ("gross_area", "net_area"))
    assert form.facts.text("Waste") == f"{100 * (gross / net - 1):.1f} % over net"
    choose(cover, form.start, "In line over the ridge")
    assert form.facts.text("Remark") == "In line with North 1."


def test_a_plane_is_left_out_and_taken_back(cover: MainWindow) -> None:
    form, session = cover.cover.layouts, cover.session
    click(cover, *SOUTH)
    before = session.project
    choose(cover, form.plane, "Not in this job")
    own = session.project.plane_coverings[0]
    assert own.covering == NOT_IN_JOB
    settle()
    assert not form.start.isVisible()
    assert not cover.tools["lay"].offers()
    assert cover.view3d.ribs.ribs.count == (54,)
    cover.actions_by_id["leave_out"].trigger()
    assert len(session.project.plane_coverings) == 0
    cover.actions_by_id["leave_out"].trigger()
    assert own in session.project.plane_coverings
    cover.actions_by_id["undo"].trigger()
    cover.actions_by_id["undo"].trigger()
    undone(cover, before)


def test_words_on_panels_never_touch(cover: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Placer] = []

    class Kept(Placer):
        def __init__(self, *args: object) -> None:
            super().__init__(*args)  # type: ignore[arg-type]
            made.append(self)

    monkeypatch.setattr(foreground, "Placer", Kept)
    xs, ys = (0.0, 40.0 * FT), (0.0, 24.0 * FT)
    for room in (500.0, 8000.0, 30000.0):
        cover.plan.show_places([(xs[0], ys[0]), (xs[1], ys[1])], room)
        made.clear()
        cover.plan.viewport().repaint()
        boxes = [box for box, _ in made[-1]._taken]
        assert len(boxes) > 8
        # the first three are kept free: the scale bar and both arrows
        words = boxes[3:]
        for k, one in enumerate(words):
            assert not any(_touch(one, other) for other in words[:k])


def test_a_dragged_corner_leaves_words_and_ribs_out_until_it_is_let_go(
    cover: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    cover.use_tool("select")
    drawn: list[object] = []
    known = panel_lines._draw_words

    def draw_words(*args: Any) -> None:
        drawn.append(args)
        known(*args)

    monkeypatch.setattr(panel_lines, "_draw_words", draw_words)
    drag(cover, (40.0, 24.0), (42.0, 25.0), (43.0, 26.0))
    assert cover.session.is_preview()
    drawn.clear()
    cover.plan.viewport().repaint()
    assert not drawn
    assert cover.plan.panels
    assert len(cover.view3d.ribs.ribs.count) in (0, 2)
    let_go(cover, 43.0, 26.0)
    cover.plan.viewport().repaint()
    assert drawn
    assert len(cover.view3d.ribs.ribs.count) == 2


def test_the_picture_has_ribs(cover: MainWindow) -> None:
    actors = cover.view3d._actors
    assert actors is not None
    ribs = cover.view3d.ribs.ribs
    assert actors.ribs.poly.n_points == len(ribs.points)
    click(cover, *SOUTH)
    colors = np.unique(np.asarray(actors.ribs.poly.cell_data["color"]), axis=0)
    assert len(colors) == 2  # those of the selected plane, and the roof's


def test_every_command_of_cover_has_a_tip_and_words(cover: MainWindow) -> None:
    names = [
        *("lay", "start_end", "start_least", "start_balanced", "start_ridge", "start_typed"),
        *("turn_laying", "vent_ridge", "lay_alike", "lay_as_others", "leave_out"),
        *("load_system", "save_system", "panels_shown"),
    ]
    for name in names:
        command = cover.commands[name]
        assert command.tip.endswith(".")
    shown(cover, cover.cover.layouts.start)
