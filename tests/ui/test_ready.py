"""Ready-made bodies in the real window: eaves by kind, porches against the house, new projects;
and the values that stand beside dormers."""

from __future__ import annotations

import pytest

from roofmodel.document.dormers import Dormer, DormerKind, dormer_of
from roofmodel.document.starts import StartKind
from roofmodel.surface.reach import drop_dormer
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project
from roofmodel_ui.plan.spots import spots_of
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.tools.base import PlanEvent
from roofmodel_ui.tools.ready import ReadyTool
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, click, enter, press, settle


def begin(window: MainWindow, kind: StartKind) -> ReadyTool:
    window.use_tool("ready")
    settle()
    press(window, window.shape.ready.kind.buttons[kind])
    tool = window.tools["ready"]
    assert isinstance(tool, ReadyTool)
    return tool


def test_each_kind_has_its_usual_eave(window: MainWindow) -> None:
    tool = begin(window, StartKind.PORCH)
    assert tool.draft.eave == pytest.approx(8 * FT)
    begin(window, StartKind.HIP)
    assert tool.draft.eave == pytest.approx(9 * FT)
    # typed, it stays with all but the porch, which has its own
    enter(window, window.shape.ready.eave, "10")
    begin(window, StartKind.GAMBREL)
    assert tool.draft.eave == pytest.approx(10 * FT)
    begin(window, StartKind.PORCH)
    assert tool.draft.eave == pytest.approx(8 * FT)
    begin(window, StartKind.GABLE)
    assert tool.draft.eave == pytest.approx(10 * FT)
    enter(window, window.shape.ready.eave, "")
    assert tool.draft.eave == pytest.approx(9 * FT)
    enter(window, window.shape.ready.eave, "12")
    enter(window, window.shape.ready.wide, "50")
    window.session.open(default_project(), None)
    assert tool.draft.eave == pytest.approx(9 * FT)
    assert tool.draft.width == pytest.approx(40 * FT)


def test_a_porch_meets_the_eave_of_the_house(house: MainWindow) -> None:
    session = house.session
    begin(house, StartKind.PORCH)
    click(house, 20, -4)
    (made,) = session.selection
    assert isinstance(made, PartId)
    porch = session.project.section(made.part)
    assert porch.name == "Porch"
    assert porch.eave_height == pytest.approx(7 * FT)
    assert "meets the eave of Main house" in house.notice.label.text()
    found = [e.kind for e in session.results.surface.edges]
    assert EdgeKind.PITCH_TRANSITION in found
    assert EdgeKind.HIGH_EAVE not in found
    assert porch.back
    house.actions_by_id["reach"].trigger()
    assert house.notice.property("error") != "true"
    # a typed eave is left as it is
    tool = begin(house, StartKind.PORCH)
    enter(house, house.shape.ready.eave, "6")
    click(house, 20, 28)
    (made,) = session.selection
    assert isinstance(made, PartId)
    second = session.project.section(made.part)
    assert second.name == "Porch 2"
    assert second.eave_height == pytest.approx(6 * FT)
    assert tool.own_eave == pytest.approx(6 * FT)


def test_a_porch_too_deep_is_refused(house: MainWindow) -> None:
    before = house.session.project
    begin(house, StartKind.PORCH)
    enter(house, house.shape.ready.deep, "60")
    click(house, 20, -1)
    assert house.session.project is before
    assert "Make it less deep" in house.notice.label.text()


def test_a_small_dormer_has_no_values_over_it(house: MainWindow) -> None:
    """6 ft wide, it has room for its pitches at half an inch a pixel, and none at 2 inches."""
    session = house.session
    dormer = Dormer(DormerKind.GABLE, (20 * FT, 3 * FT), 0.0, 6 * FT, 0.5, 2 * FT)
    made = drop_dormer(session.project, dormer)
    session.edit("Add dormer", made[0])
    for inches, some in ((0.5, True), (2, False)):
        spots = spots_of(session.results, frozenset(), inches * 25.4)
        targets = {s.target.section for s in spots if isinstance(s.target, OutlineEdgeId)}
        assert (made[1] in targets) is some
        assert "s1" in targets


def test_a_pitch_of_a_dormer_drags_the_dormer(house: MainWindow) -> None:
    session, tool = house.session, house.editing
    dormer = Dormer(DormerKind.GABLE, (20 * FT, 3 * FT), 0.0, 6 * FT, 0.5, 2 * FT)
    project, made = drop_dormer(session.project, dormer)
    session.edit("Add dormer", project)
    settle()
    spots = spots_of(session.results, frozenset(), 1.0)
    spot = next(s for s in spots if getattr(s.target, "section", "") == made)
    at = (10 * FT, 15 * FT)  # wherever its words found room
    tool.placed.boxes[:] = [(spot, at, 500.0, 300.0)]
    snap = 100.0
    tool.press(PlanEvent(at, snap, free=True))
    tool.move(PlanEvent((at[0] + 2 * FT, at[1]), snap, free=True))
    tool.release(PlanEvent((at[0] + 2 * FT, at[1]), snap, free=True))
    moved = dormer_of(session.project.section(made))
    assert moved is not None
    assert moved.front == pytest.approx((22 * FT, 3 * FT))
    assert not tool.busy()
