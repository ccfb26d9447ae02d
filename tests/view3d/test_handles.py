"""Dragged heights against closed forms: rise over run from a line that stays where it is."""

from __future__ import annotations

import pytest

from roofmodel.document import Project, Step, Units
from roofmodel.document.edits import (
    new_section,
    set_level,
    set_line,
    set_overhang,
    set_profile,
    set_slope,
    set_units,
)
from roofmodel.results import Results, results_of
from roofmodel.surface import RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.view3d.handles import Handle, dragged, handles, reading

FT = 304.8
EAVE = 2743.2
BOX = [(0.0, 0.0), (40 * FT, 0.0), (40 * FT, 24 * FT), (0.0, 24 * FT)]


def gable() -> Project:
    """40 x 24 ft, 6/12, gables at both ends: the ridge 12 ft in and 6 ft above the eaves."""
    project, section = new_section(default_project(), BOX)
    return set_slope(project, section, ["e2", "e4"], None)


def ridge_of(results: Results) -> RoofEdge:
    return next(e for e in results.surface.edges if e.kind is EdgeKind.RIDGE)


def only(results: Results, *chosen: object) -> Handle:
    (handle,) = handles(results, chosen)  # type: ignore[arg-type]
    return handle


def slopes(project: Project) -> list[float | None]:
    return [e.profile[0].slope for e in project.sections()[0].rings[0].edges]


def test_a_ridge_lifted_by_2_ft_is_an_8_in_12() -> None:
    project = gable()
    results = results_of(project)
    handle = only(results, ridge_of(results).id)
    assert handle.place == pytest.approx((20 * FT, 12 * FT, EAVE + 6 * FT))
    after = dragged(project, handle, EAVE + 8 * FT)
    assert slopes(after) == [pytest.approx(8 / 12), None, pytest.approx(8 / 12), None]
    assert ridge_of(results_of(after)).start[2] == pytest.approx(EAVE + 8 * FT)
    assert reading(after, handle) == "Pitch 8/12"
    assert handle.words == "Set pitch"
    # in quarters of an inch, or finely
    between = EAVE + 7.11 * FT
    assert slopes(dragged(project, handle, between))[0] == pytest.approx(7.0 / 12)
    assert slopes(dragged(project, handle, between, free=True))[0] == pytest.approx(7.11 / 12)
    # never below the eave
    assert (slopes(dragged(project, handle, 0.0))[0] or 0.0) > 0.0


@pytest.mark.parametrize("level", ["fascias", "plates"])
def test_overhangs_do_not_matter_to_where_the_ridge_goes(level: str) -> None:
    project = set_overhang(set_line(gable(), "s1", "wall"), "s1", None, 2 * FT)
    project = set_level(project, "s1", level)  # type: ignore[arg-type]
    results = results_of(project)
    ridge = ridge_of(results)
    after = dragged(project, only(results, ridge.id), ridge.start[2] + 500.0, free=True)
    moved = ridge_of(results_of(after))
    # a hundredth of an inch in 12 over 14 ft of run is 3.6 mm
    assert moved.start[2] == pytest.approx(ridge.start[2] + 500.0, abs=2.0)


def test_unlike_pitches_still_meet_where_the_hand_is() -> None:
    project = set_slope(gable(), "s1", ["e1"], 0.75)
    results = results_of(project)
    ridge = ridge_of(results)
    after = dragged(project, only(results, ridge.id), EAVE + 10 * FT)
    moved = ridge_of(results_of(after))
    assert moved.start[1] == pytest.approx(ridge.start[1])


def test_an_eave_a_rake_or_a_plane_alone() -> None:
    project = gable()
    results = results_of(project)
    eave = next(e for e in results.surface.edges if e.kind is EdgeKind.EAVE)
    rake = next(e for e in results.surface.edges if e.kind is EdgeKind.RAKE)
    plane = results.surface.plane(eave.planes[0])
    outline = OutlineEdgeId("s1", plane.id.edge)
    for chosen in (eave.id, plane.id, outline):
        handle = only(results, chosen)
        assert handle.place == pytest.approx((20 * FT, 12 * FT, EAVE + 6 * FT))
        after = dragged(project, handle, EAVE + 9 * FT)
        assert sorted(s for s in slopes(after) if s) == pytest.approx([6 / 12, 9 / 12])
    assert handles(results, [rake.id]) == []  # a gable end has no pitch
    assert handles(results, []) == []


def test_the_upper_step_of_a_gambrel_turns_about_its_break() -> None:
    # 2 ft in at 24/12 is 4 ft up, then 10 ft at 4/12: the ridge is 7 1/3 ft above the eaves.
    steps = [Step(0.0, 2.0), Step(4 * FT, 4 / 12)]
    project = set_profile(gable(), "s1", ["e1", "e3"], steps)
    results = results_of(project)
    ridge = ridge_of(results)
    assert ridge.start[2] == pytest.approx(EAVE + (4 + 10 / 3) * FT)
    after = dragged(project, only(results, ridge.id), EAVE + 9 * FT)
    profile = after.sections()[0].rings[0].edges[0].profile
    assert profile[0] == steps[0]
    assert profile[1].slope == pytest.approx(6 / 12)  # 5 ft up in 10 ft


def test_the_eave_of_a_section() -> None:
    project = gable()
    results = results_of(project)
    found = handles(results, [PartId("s1")])
    assert {h.kind for h in found} == {"eave"}
    assert found[0].place == pytest.approx((20 * FT, 0.0, EAVE)) or found[0].place[2] == EAVE
    assert found[0].words == "Set eave height"
    after = dragged(project, found[0], 10.04 * FT)
    height = after.section("s1").eave_height
    assert height / 25.4 == pytest.approx(round(height / 25.4))
    assert height == pytest.approx(10 * FT)
    assert reading(after, found[0]) == "Eave height 10'-0\""
    metric = set_units(project, Units("metric"))
    assert dragged(metric, found[0], 3004.4).section("s1").eave_height == pytest.approx(3000.0)
    exact = dragged(metric, found[0], 3004.4, free=True)
    assert exact.section("s1").eave_height == pytest.approx(3004.0)
    assert handles(results, [PartId("b1")]) == []
