"""Sections, drawn planes, openings and buildings by their forms, in the real window."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document import ByEdge, ByHeights, BySlope
from roofmodel.document.edits import new_section, set_eave_height
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.systems import EdgeKind
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.window import MainWindow
from tests.ui.hands import (
    FT,
    IN,
    LEFT,
    choose,
    click,
    click_part,
    enter,
    error,
    press,
    settle,
    shown,
    undo,
    undone,
)


def trace(window: MainWindow, *corners: tuple[float, float]) -> None:
    for corner in (*corners, corners[0]):
        click(window, *corner)


def test_tree_and_plan_select_each_other(porch: MainWindow) -> None:
    session, tree = porch.session, porch.shape.parts
    assert tree.rows() == [
        ("House", ""), ("Main house", "section"), ("Porch", "drawn plane"),
    ]  # fmt: skip
    click_part(porch, "p2")
    assert session.selection == {PartId("p2")}
    assert porch.shape.plane.isVisible()
    assert not porch.shape.section.isVisible()
    click(porch, 20, 5)
    (plane,) = session.selection
    assert isinstance(plane, PlaneId)
    assert tree.item("s1").isSelected()
    assert not tree.item("p2").isSelected()
    # the marked row, clicked, stands for the section as a whole
    click_part(porch, "s1")
    assert session.selection == {PartId("s1")}
    assert porch.shape.section.isVisible()
    click_part(porch, "p2", add=True)
    assert session.selection == {PartId("s1"), PartId("p2")}
    click_part(porch, "b1")
    assert session.selection == {PartId("b1")}
    assert porch.shape.building.isVisible()


def test_a_whole_part_stands_out_in_3d(porch: MainWindow) -> None:
    view = porch.view3d
    click_part(porch, "p2")
    assert view._actors is not None
    colors = view._actors.planes.poly.cell_data["color"]
    scene = view.scene
    chosen = {p for p in scene.planes if p.section == "p2"}
    assert chosen
    by_plane = {
        scene.planes[int(k)]: tuple(colors[row]) for row, k in enumerate(scene.triangle_plane)
    }
    marked = {by_plane[p] for p in chosen}
    assert marked.isdisjoint(by_plane[p] for p in scene.planes if p not in chosen)


def test_the_form_of_a_section(house: MainWindow) -> None:
    session, form = house.session, house.shape.section

    def section() -> object:
        return session.project.sections()[0]

    click_part(house, "s1")
    before = session.project
    enter(house, form.name, "Hall")
    undone(house, before)
    enter(house, form.eave, "10")
    enter(house, form.overhang, "18")
    enter(house, form.deck, "4")
    choose(house, form.line, "Wall line")
    before = session.project
    choose(house, form.level, "Wall plates")
    undone(house, before)
    before = session.project
    press(house, form.open_below)
    undone(house, before)
    made = session.project.sections()[0]
    assert (made.name, made.line, made.level, made.open_below) == ("Hall", "wall", "plates", True)
    assert made.eave_height == pytest.approx(10 * FT)
    assert made.overhang == pytest.approx(18 * IN)
    assert made.deck_height == pytest.approx(4 * FT)
    assert form._eave_label.text() == "Plate height"
    enter(house, form.deck, "")
    assert session.project.sections()[0].deck_height is None
    enter(house, form.overhang, "97")
    assert "overhang" in error(house)
    assert form.overhang.text() == "1'-6\""


def test_overhangs_are_matched(house: MainWindow) -> None:
    """12 in at 6/12 drop as far as 6 in at 12/12."""
    session = house.session
    click(house, 20, 24)
    enter(house, house.shape.edges.pitch, "12/12")
    press(house, house.shape.whole)
    assert session.selection == {PartId("s1")}
    enter(house, house.shape.section.overhang, "12")
    before = session.project
    press(house, house.shape.section.match)
    edges = session.project.sections()[0].rings[0].edges
    assert [e.overhang for e in edges] == pytest.approx([12 * IN, None, 6 * IN, None])
    undone(house, before)


def test_an_edge_gets_the_overhang_of_its_section_again(house: MainWindow) -> None:
    click(house, 20, 0)
    enter(house, house.shape.edges.overhang, "9")
    edges = house.session.project.sections()[0].rings[0].edges
    assert edges[0].overhang == pytest.approx(9 * IN)
    enter(house, house.shape.edges.overhang, "")
    edges = house.session.project.sections()[0].rings[0].edges
    assert edges[0].overhang is None


def test_the_topmost_plane_is_picked(porch: MainWindow) -> None:
    """A section 10 ft higher over half of the house: what is hidden cannot be clicked."""
    upper = tuple((x * FT, y * FT) for x, y in ((0, 2), (16, 2), (16, 22), (0, 22)))
    project, section = new_section(porch.session.project, upper, "Upper")
    project = set_eave_height(project, section, 2743.2 + 10 * FT)
    porch.session.edit("Draw outline", project)
    settle()
    for x, part in ((8, section), (30, "s1")):
        click(porch, x, 7)
        (plane,) = porch.session.selection
        assert isinstance(plane, PlaneId)
        assert plane.section == part


def test_a_section_is_added_to_the_building_selected(house: MainWindow) -> None:
    press(house, house.shape.parts.buttons["add_building"])
    (selected,) = house.session.selection
    assert selected == PartId("b2")
    enter(house, house.shape.building.name, "Garage")
    press(house, house.shape.parts.buttons["outline"])
    trace(house, (46, 0), (58, 0), (58, 20), (46, 20))
    (edge,) = house.session.selection
    assert isinstance(edge, OutlineEdgeId)
    project = house.session.project
    assert project.building_of(edge.section).name == "Garage"
    assert house.shape.parts.item(edge.section).isSelected()
    undo(house)
    assert len(house.session.project.sections()) == 1


def test_a_plane_is_drawn_and_lies_as_its_form_says(house: MainWindow) -> None:
    session, form = house.session, house.shape.plane
    house.plan.show_places([(0.0, -10 * FT), (40 * FT, 24 * FT)], 4000.0)
    press(house, house.shape.parts.buttons["plane"])
    trace(house, (10, -8), (30, -8), (30, -3), (10, -3))  # clear of what is snapped to
    assert session.selection == {PartId("p2")}
    (drawn,) = session.project.planes()
    assert isinstance(drawn.lies, BySlope)
    # it rises from its first edge, the south one, to the north
    assert (drawn.lies.bearing, drawn.lies.slope) == (180.0, 0.25)
    assert drawn.lies.through[2] == pytest.approx(session.project.sections()[0].eave_height)
    enter(house, form.pitch, "2/12")
    enter(house, form.bearing, "south-east")
    choose(house, form.at, "Corner 3")
    enter(house, form.at_height, "7'")
    lies = session.project.plane("p2").lies
    assert isinstance(lies, BySlope)
    assert lies.through == pytest.approx((*drawn.corners[2], 7 * FT))
    assert (lies.bearing, lies.slope) == pytest.approx((135.0, 2 / 12))
    before = session.project
    choose(house, form.way, "Three heights")
    undone(house, before)
    enter(house, form.heights[0], "8'")
    known = session.project.plane("p2").lies
    assert isinstance(known, ByHeights)
    assert known.points[0][2] == pytest.approx(8 * FT)
    enter(house, form.overhang, "6")
    press(house, form.open_below)
    enter(house, form.name, "Porch")
    plane = session.project.plane("p2")
    assert (plane.name, plane.open_below) == ("Porch", True)
    assert plane.overhang == pytest.approx(6 * IN)
    assert ("Porch", "drawn plane") in house.shape.parts.rows()


def test_a_plane_is_tied_to_an_edge(porch: MainWindow) -> None:
    session, form = porch.session, porch.shape.plane
    click_part(porch, "p2")
    choose(porch, form.way, "Tied to a roof edge")
    lies = session.project.plane("p2").lies
    assert isinstance(lies, ByEdge)
    assert form.edge.currentText() == "Main house: Eave 1"
    assert form.sense.currentText() == "Falls away from it"
    enter(porch, form.tied_pitch, "1/12")
    lies = session.project.plane("p2").lies
    assert isinstance(lies, ByEdge)
    assert lies.slope == pytest.approx(-1 / 12)
    (roof,) = [p for p in session.results.surface.planes if p.id.section == "p2"]
    # 8 ft out from the eave it is 8 in lower
    eave = session.project.sections()[0].eave_height
    assert roof.outline[:, 2].min() == pytest.approx(eave - 8 * IN)
    assert roof.bearing == pytest.approx(180.0)
    choose(porch, form.sense, "Rises from it")
    lies = session.project.plane("p2").lies
    assert isinstance(lies, ByEdge)
    assert lies.slope == pytest.approx(1 / 12)


def test_a_plane_drawn_with_an_edge_selected_is_tied_to_it(house: MainWindow) -> None:
    click(house, 20, 0)
    (edge,) = house.session.selection
    assert isinstance(edge, EdgeId)
    house.plan.show_places([(0.0, -10 * FT), (40 * FT, 24 * FT)], 4000.0)
    press(house, house.shape.parts.buttons["plane"])
    trace(house, (10, -8), (30, -8), (30, -1), (10, -1))
    lies = house.session.project.plane("p2").lies
    assert lies == ByEdge("s1", str(edge), -0.25)


def test_directions_that_are_none_are_refused(porch: MainWindow) -> None:
    click_part(porch, "p2")
    before = porch.session.project
    enter(porch, porch.shape.plane.bearing, "upwards")
    assert "upwards" in error(porch)
    enter(porch, porch.shape.plane.pitch, "steep")
    assert "steep" in error(porch)
    assert porch.session.project is before
    assert porch.shape.plane.bearing.text() == "180° south"


def test_remove_and_move_to_building(porch: MainWindow) -> None:
    session, parts = porch.session, porch.shape.parts
    assert not parts.mover.isEnabled()
    press(porch, parts.buttons["add_building"])
    assert not parts.mover.isEnabled()
    click_part(porch, "p2")
    shown(porch, parts.mover)
    target = next(a for a in parts.menu.actions() if a.text() == "Building 1")
    before = session.project
    target.trigger()
    assert session.project.building_of("p2").id == "b3"
    undone(porch, before)
    assert session.selection == {PartId("p2")}
    before = session.project
    press(porch, parts.buttons["remove"])
    assert not session.project.planes()
    undone(porch, before)
    undo(porch)
    click_part(porch, "b3")
    porch.activateWindow()
    assert QTest.qWaitForWindowActive(porch)
    porch.plan.setFocus()
    QTest.keyClick(porch.plan, Qt.Key.Key_Delete)
    settle()
    assert [b.id for b in session.project.buildings] == ["b1"]
    click_part(porch, "b1")
    before = session.project
    porch.actions_by_id["remove"].trigger()
    assert "only building" in error(porch)
    assert session.project is before


def test_a_building_selected_goes_with_its_parts(porch: MainWindow) -> None:
    session = porch.session
    press(porch, porch.shape.parts.buttons["add_building"])
    click_part(porch, "b1")
    before = session.project
    QTest.mouseClick(porch.shape.parts.buttons["remove"], LEFT)
    assert not session.project.sections()
    assert session.undo_stack.undoText() == "Remove building"
    undone(porch, before)


def test_the_kind_of_an_edge_by_hand(house: MainWindow) -> None:
    session, form = house.session, house.shape.edges
    click(house, 20, 12)
    (edge,) = session.selection
    assert isinstance(edge, EdgeId)
    assert form.kind.currentText() == "found: ridge"
    before = session.project
    choose(house, form.kind, "Hip")
    assert session.results.surface.edge(edge).kind is EdgeKind.HIP
    assert form.kind.currentText() == "Hip"
    assert form.kind.itemText(0) == "found: ridge"
    assert session.selection == {edge}
    undone(house, before)
    choose(house, form.kind, "found: ridge")
    assert session.results.surface.edge(edge).kind is EdgeKind.RIDGE
    assert not session.project.edge_overrides
