"""Openings: placed by a click, changed by their form, selected anywhere; in the real window."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document.boxes import box_of
from roofmodel.systems import EdgeKind
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, IN, choose, click, click_part, enter, error, press, undone


def test_an_opening_is_placed_and_changed(house: MainWindow) -> None:
    session, form, new = house.session, house.shape.opening, house.shape.new_opening
    press(house, house.shape.parts.buttons["opening"])
    choose(house, new.kind, "Skylight")
    enter(house, new.wide, "30")
    enter(house, new.deep, "48")
    at = house.plan.to_pixel((20 * FT, 6 * FT)).toPoint()
    QTest.mouseMove(house.plan.viewport(), at)
    ghost = house.tools["opening"].overlay().line
    assert len(ghost) == 5
    assert math.dist(ghost[0], ghost[1]) == pytest.approx(30 * IN)
    before = session.project
    click(house, 20, 6)
    (opening,) = session.project.openings()
    assert opening.kind == "skylight"
    box = box_of(opening.corners)
    assert (box.width, box.depth, box.turn) == pytest.approx((30 * IN, 48 * IN, 0.0))
    assert session.selection == {PartId(opening.id)}
    QTest.keyClick(house.plan, Qt.Key.Key_Escape)
    assert house.plan.tool is house.tools["select"]
    assert form.isVisible()
    undone(house, before)
    click_part(house, opening.id)
    kinds = {e.kind for e in session.results.surface.edges}
    assert {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE} <= kinds
    choose(house, form.kind, "Chimney")
    for field, text in (
        (form.name, "Stack"), (form.wide, "36"), (form.deep, "24"), (form.turn, "90"),
        (form.east, "12"), (form.north, "18"), (form.stands_out, "40"),
    ):  # fmt: skip
        enter(house, field, text)
    before = session.project
    press(house, form.saddle)
    undone(house, before)
    enter(house, form.saddle_pitch, "8/12")
    changed = session.project.opening(opening.id)
    assert (changed.name, changed.kind, changed.saddle) == ("Stack", "chimney", True)
    assert changed.saddle_slope == pytest.approx(8 / 12)
    assert changed.height == pytest.approx(40 * IN)
    box = box_of(changed.corners)
    assert box.middle == pytest.approx((12 * FT, 18 * FT))
    assert (box.width, box.depth, box.turn) == pytest.approx((36 * IN, 24 * IN, 90.0))
    enter(house, form.saddle_pitch, "")
    assert session.project.opening(opening.id).saddle_slope is None
    enter(house, form.turn, "left")
    assert "left" in error(house)


def test_a_double_click_places_one_opening(house: MainWindow) -> None:
    press(house, house.shape.parts.buttons["opening"])
    click(house, 20, 6)
    click(house, 20, 6)
    click(house, 30, 6)
    openings = house.session.project.openings()
    assert [o.name for o in openings] == ["Chimney 1", "Chimney 2"]
    # on a south slope the width lies from west to east, on a north slope too
    assert [box_of(o.corners).turn for o in openings] == [0.0, 0.0]
    assert openings[0].saddle


def test_openings_and_planes_beside_the_roof_can_be_selected(porch: MainWindow) -> None:
    session = porch.session
    porch.plan.show_places([(-12 * FT, -12 * FT), (40 * FT, 24 * FT)], 4000.0)
    press(porch, porch.shape.parts.buttons["opening"])
    click(porch, -8, -8)
    QTest.keyClick(porch.plan, Qt.Key.Key_Escape)
    (opening,) = session.project.openings()
    session.select(())
    click(porch, -8, -8)
    assert session.selection == {PartId(opening.id)}
    assert any(p.section == opening.id for p in session.results.problems)
    # a wall line, too: it stands for the edge whose overhang gives it
    click_part(porch, "s1")
    enter(porch, porch.shape.section.overhang, "36")
    session.select(())
    click(porch, 3, 6)
    assert session.selection == {OutlineEdgeId("s1", "e4")}
