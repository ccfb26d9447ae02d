"""Bodies, dormers, choices for edges, values typed in the plan, and what is dragged there: pressed
in the real window. The house is 40 x 24 ft, 6/12, gables east and west; feet."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from roofmodel.document import ByEdge, ByHeights, BySlope, Step
from roofmodel.document.boxes import box_of
from roofmodel.document.dormers import DormerKind, dormer_of
from roofmodel.document.edge_shapes import EdgeShape
from roofmodel.document.starts import StartKind
from roofmodel.systems import EdgeKind
from roofmodel_ui.plan.spots import CornerHeight
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.tools.grips import arrow_of
from roofmodel_ui.window import MainWindow
from tests.ui.hands import (
    FT,
    IN,
    LEFT,
    choose,
    click,
    click_part,
    click_row,
    enter,
    error,
    press,
    settle,
    undo,
    undone,
)

PLAIN = Qt.KeyboardModifier.NoModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
SOUTH, EAST, NORTH = (OutlineEdgeId("s1", f"e{k}") for k in (1, 2, 3))


def pixel(window: MainWindow, x: float, y: float) -> QPoint:
    return window.plan.to_pixel((x * FT, y * FT)).toPoint()


def drag(
    window: MainWindow, start: QPoint, end: QPoint, held: Qt.KeyboardModifier = PLAIN
) -> None:
    view = window.plan.viewport()
    QTest.mouseMove(view, start)
    QTest.mousePress(view, LEFT, held, start)
    QTest.mouseMove(view, start + (end - start) / 2)
    QTest.mouseMove(view, end)
    QTest.mouseRelease(view, LEFT, held, end)
    settle()


def key(window: MainWindow, which: Qt.Key, held: Qt.KeyboardModifier = PLAIN) -> None:
    window.plan.setFocus()
    QTest.keyClick(window.plan, which, held)
    settle()


def do(window: MainWindow, command: str) -> None:
    action = window.actions_by_id[command]
    assert action.isEnabled()
    action.trigger()
    settle()


def type_in_plan(window: MainWindow, text: str) -> None:
    QTest.keyClicks(window.plan, text)
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    settle()


def slope(window: MainWindow, edge: int) -> float | None:
    return window.session.project.section("s1").rings[0].edges[edge - 1].profile[0].slope


def click_value(window: MainWindow, target: object, *, add: bool = False) -> None:
    """Click the value that stands in the plan for an edge or corner."""
    window.plan.viewport().repaint()
    at = next(m for spot, m, _, _ in window.editing.placed.boxes if spot.target == target)
    click(window, at[0] / FT, at[1] / FT, add=add)
    settle()


def test_a_dormer_is_dropped_dragged_and_put_back(house: MainWindow) -> None:
    session, form = house.session, house.shape
    before = session.project
    do(house, "dormer")
    assert form.new_dormer.isVisible()
    enter(house, form.new_dormer.width_field, "6")
    enter(house, form.new_dormer.face, "2")
    click(house, 20, 3)
    (made,) = session.selection
    undone(house, before)
    assert isinstance(made, PartId)
    section = session.project.section(made.part)
    dormer = dormer_of(section)
    assert dormer is not None
    assert (dormer.kind, dormer.slope) == (DormerKind.GABLE, 0.5)
    assert dormer.width == pytest.approx(6 * FT)
    # its plate lies 2 ft above the roof, half as high over the eave as it is far from it
    assert section.eave_height == pytest.approx(2743.2 + 2 * FT + dormer.front[1] / 2)
    assert house.plan.tool is house.editing
    session.select([made])
    assert form.dormer.isVisible()
    # dragged to the right and up: it stays on the slope
    before = session.project
    x, y = (v / FT for v in dormer.front)
    drag(house, pixel(house, x, y + 1), pixel(house, x + 8, y + 2), SHIFT)
    undone(house, before)
    moved = dormer_of(session.project.section(made.part))
    assert moved is not None
    assert moved.front[0] / FT == pytest.approx(x + 8, abs=0.2)
    plate = 2743.2 + 2 * FT + moved.front[1] / 2
    assert session.project.section(made.part).eave_height == pytest.approx(plate)
    # a corner of its front sets the width, from the other corner
    right = section_corner(house, made.part, 1)
    before_left = section_corner(house, made.part, 0)
    drag(house, pixel(house, *right), pixel(house, right[0] + 1, right[1]))
    wide = dormer_of(session.project.section(made.part))
    assert wide is not None
    assert wide.width / FT == pytest.approx(7, abs=0.2)
    assert section_corner(house, made.part, 0) == pytest.approx(before_left)
    press(house, form.dormer.kind.buttons[DormerKind.HIP])
    enter(house, form.dormer.pitch, "4/12")
    after = dormer_of(session.project.section(made.part))
    assert after is not None
    assert after.kind is DormerKind.HIP
    assert after.slope == pytest.approx(4 / 12)
    enter(house, form.dormer.face, "9")
    assert "come out on the other side" in error(house)
    # the roof below changes: a problem with a mend
    session.select([SOUTH])
    enter(house, form.edges.pitch, "7/12")
    (doubt,) = (p for p in session.results.problems if "has changed" in p.sentence)
    house.mend_problem(doubt)
    assert not any("has changed" in p.sentence for p in session.results.problems)


def section_corner(window: MainWindow, part: str, corner: int) -> tuple[float, float]:
    x, y = window.session.project.section(part).rings[0].corners[corner]
    return x / FT, y / FT


def test_a_ready_made_body_follows_turns_and_reaches_the_roof(house: MainWindow) -> None:
    session, tool = house.session, house.tools["ready"]
    before = session.project
    do(house, "ready")
    assert house.shape.ready.isVisible()
    at = pixel(house, 20, -8)
    QTest.mouseMove(house.plan.viewport(), at)
    key(house, Qt.Key.Key_R)
    type_in_plan(house, "20 x 16")
    ghost = tool.overlay().line
    xs = [x for x, _ in ghost]
    assert max(xs) - min(xs) == pytest.approx(16 * FT)  # a quarter turned
    click(house, 20, -8)
    (made,) = session.selection
    undone(house, before)
    assert isinstance(made, PartId)
    wing = session.project.section(made.part)
    # its end lay against the house, so it goes on into its roof
    assert wing.back
    assert max(y for _, y in wing.rings[0].corners) > 5 * FT
    assert [e.kind for e in session.results.surface.edges].count(EdgeKind.VALLEY) == 2
    # a porch lies against the wall that it is near
    do(house, "ready")
    press(house, house.shape.ready.kind.buttons[StartKind.PORCH])
    enter(house, house.shape.ready.overhang, "12")
    click(house, 20, 28)
    (porch,) = session.selection
    assert isinstance(porch, PartId)
    ring = session.project.section(porch.part).rings[0]
    assert [y for _, y in ring.corners[2:]] == pytest.approx([24 * FT] * 2)
    assert session.project.section(porch.part).overhang == pytest.approx(12 * IN)
    do(house, "ready")
    enter(house, house.shape.ready.wide, "0")
    assert "more than 0" in error(house)
    key(house, Qt.Key.Key_Escape)
    assert house.plan.tool is house.editing


def test_pitches_are_typed_in_the_plan_and_stepped(house: MainWindow) -> None:
    session = house.session
    before = session.project
    click_value(house, SOUTH)
    assert session.selection == {SOUTH}
    type_in_plan(house, "8")
    undone(house, before)
    assert slope(house, 1) == pytest.approx(8 / 12)
    # both eaves differ; P takes both
    session.select([SOUTH, NORTH])
    assert house.shape.edges.pitch.text() == ""
    assert house.shape.edges.pitch.placeholderText() == "different"
    do(house, "set_pitch")
    QTest.keyClicks(house.plan, "9/1")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    error(house)
    assert house.editing.typed == "9/1"  # nothing typed is lost
    type_in_plan(house, "2")
    assert slope(house, 1) == slope(house, 3) == pytest.approx(9 / 12)
    # a figure alone begins it too, and a word makes a gable
    session.select([SOUTH])
    type_in_plan(house, "5/12")
    assert slope(house, 1) == pytest.approx(5 / 12)
    click_value(house, EAST)
    type_in_plan(house, "6/12")
    assert slope(house, 2) == pytest.approx(0.5)
    click_value(house, EAST)
    type_in_plan(house, "gable")
    assert slope(house, 2) is None
    # + and - step all that is selected; steps in a row are one
    session.select([SOUTH, EAST, NORTH])
    before = session.project
    for _ in range(3):
        do(house, "steeper")
    do(house, "flatter")
    assert slope(house, 1) == pytest.approx(7 / 12)
    assert slope(house, 3) == pytest.approx(11 / 12)
    assert slope(house, 2) is None
    undo(house)
    assert session.project is before


def test_choices_for_an_edge(house: MainWindow) -> None:
    session, form = house.session, house.shape.edges

    def profile(edge: int) -> tuple[Step, ...]:
        return session.project.section("s1").rings[0].edges[edge - 1].profile

    session.select([SOUTH, NORTH])
    before = session.project
    press(house, form.shape.buttons[EdgeShape.GAMBREL])
    undone(house, before)
    assert form.shape.buttons[EdgeShape.GAMBREL].isChecked()
    enter(house, form.break_height, "6")
    enter(house, form.lower_pitch, "18/12")
    enter(house, form.pitch, "5/12")
    for edge in (1, 3):
        low, high = profile(edge)
        assert low.slope == 1.5
        assert high.slope == pytest.approx(5 / 12)
        assert high.height == pytest.approx(6 * FT)
    enter(house, form.lower_pitch, "4/12")
    assert "steeper" in error(house)
    session.select([EAST])
    press(house, form.shape.buttons[EdgeShape.CLIPPED])
    assert profile(2) == (Step(0.0, None), Step(1524.0, 0.5))
    assert not form.lower_pitch.isVisible()
    # edges that differ have no choice pressed, and say so
    session.select([SOUTH, EAST])
    assert not any(b.isChecked() for b in form.shape.buttons.values())
    assert not form.break_height.isVisible()
    assert form.pitch.placeholderText() == "different"
    press(house, form.shape.buttons[EdgeShape.EAVE])
    assert [len(profile(k)) for k in (1, 2)] == [1, 1]


def test_hiding_hides_and_counts_all_the_same(house: MainWindow) -> None:
    session, tree = house.session, house.shape.parts
    area = sum(p.true_area for p in session.results.surface.planes)
    before = session.project
    item = tree.item("s1")
    tree.tree.scrollToItem(item)
    at = tree.tree.visualRect(tree.tree.indexFromItem(item, 3)).center()
    QTest.mouseClick(tree.tree.viewport(), LEFT, PLAIN, at)
    settle()
    assert not session.project.section("s1").visible
    assert not len(house.view3d.scene.triangles)
    assert sum(p.true_area for p in session.results.surface.planes) == area
    undone(house, before)
    session.select(())
    click(house, 20, 5)
    assert session.selection == frozenset()
    click_row(tree.tree, tree.item("s1"))
    do(house, "show_hide")
    assert session.project.section("s1").visible
    assert len(house.view3d.scene.triangles)
    assert tree.item("s1").text(1) == "9'-0\""


def test_a_drawn_plane_in_plan(porch: MainWindow) -> None:
    """The porch reaches from (10, -8) to (30, 0) and falls to the south at 3/12."""
    session, form = porch.session, porch.shape.plane
    click_part(porch, "p2")
    plane = session.project.plane("p2")
    arrow = arrow_of(session.results, plane, 1.0 / porch.plan.scale_now())
    assert arrow is not None
    foot, tip, _ = arrow
    before = session.project
    start = porch.plan.to_pixel(tip).toPoint()
    middle = porch.plan.to_pixel(foot).toPoint()
    drag(porch, start, middle + QPoint(60, 4))
    undone(porch, before)
    lies = session.project.plane("p2").lies
    assert isinstance(lies, BySlope)
    assert (lies.bearing, lies.slope) == (90.0, 0.25)  # square to a side, though 4 pixels off
    undo(porch)
    # a corner is dragged; the plane stays the same
    before = session.project
    drag(porch, pixel(porch, 30, -8), pixel(porch, 33, -10), SHIFT)
    undone(porch, before)
    moved = session.project.plane("p2")
    assert moved.corners[1][0] / FT == pytest.approx(33, abs=0.2)
    assert isinstance(moved.lies, BySlope)
    assert moved.lies.bearing == 180.0
    undo(porch)
    # three heights, typed at its corners
    choose(porch, form.way, "Three heights")
    settle()
    click_value(porch, CornerHeight("p2", 2))
    type_in_plan(porch, "9")
    lies = session.project.plane("p2").lies
    assert isinstance(lies, ByHeights)
    assert any(z == pytest.approx(9 * FT) for _, _, z in lies.points)
    click_value(porch, CornerHeight("p2", 3))
    type_in_plan(porch, "nine")
    error(porch)


def test_a_plane_drawn_along_an_eave_shares_its_line(house: MainWindow) -> None:
    do(house, "plane")
    for x, y in ((0, 0), (0, -8), (40, -8), (40, 0), (0, 0)):
        click(house, x, y)
    (plane,) = house.session.project.planes()
    assert isinstance(plane.lies, ByEdge)
    assert plane.lies.section == "s1"


def test_openings_are_dragged_and_turn_with_the_slope(house: MainWindow) -> None:
    session = house.session
    session.select([EAST])
    type_in_plan(house, "6/12")
    do(house, "opening")
    type_in_plan(house, "30 by 40")
    click(house, 10, 6)
    key(house, Qt.Key.Key_Escape)
    (opening,) = session.project.openings()
    box = box_of(opening.corners)
    assert (box.width, box.depth, box.turn) == pytest.approx((30 * IN, 40 * IN, 0.0))
    before = session.project
    drag(house, pixel(house, 10, 6), pixel(house, 37, 12))
    undone(house, before)
    box = box_of(session.project.openings()[0].corners)
    assert box.turn == pytest.approx(90.0)
    assert box.middle[0] / FT == pytest.approx(37, abs=0.2)
    enter(house, house.shape.opening.turn, "30")
    press(house, house.shape.opening.align)
    assert box_of(session.project.openings()[0].corners).turn == pytest.approx(90.0)
    # a click without a drag selects it and moves nothing
    before = session.project
    click(house, 37, 12)
    assert session.selection == {PartId(opening.id)}
    assert session.project is before
