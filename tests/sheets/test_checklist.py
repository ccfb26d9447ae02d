"""The crew's check list: its order, and this job's numbers in it."""

from __future__ import annotations

import math

import pytest

from roofmodel.document import Project, edits
from roofmodel.document.changes import changed
from roofmodel.document.cover_edits import add_system, cover_job
from roofmodel.document.layout_edits import vent_ridges
from roofmodel.document.types import Units
from roofmodel.document.work_edits import set_old_roof
from roofmodel.results import results_of
from roofmodel.sheets.checklist import CheckList, crew_checklist
from roofmodel.units import format_length
from roofmodel_io.defaults import built_in_systems, default_project

FT = 304.8


def gable(slope: float = 0.5) -> Project:
    """40 by 24 ft with gable ends east and west."""
    corners = [(0.0, 0.0), (40 * FT, 0.0), (40 * FT, 24 * FT), (0.0, 24 * FT)]
    project, section = edits.new_section(default_project("Fern Hill"), corners)
    project = edits.set_slope(project, section, ["e1", "e3"], slope)
    return edits.set_slope(project, section, ["e2", "e4"], None)


def checks_of(project: Project) -> CheckList:
    return crew_checklist(results_of(project))


def titles(checks: CheckList) -> list[str]:
    return [s.title for s in checks.steps]


def points(checks: CheckList, title: str) -> str:
    (step,) = [s for s in checks.steps if s.title == title]
    return "\n".join(step.points)


def test_steps_of_a_new_roof_come_in_the_order_of_the_work() -> None:
    assert titles(checks_of(gable())) == [
        "Before anyone goes up",
        "Goods on site",
        "Deck",
        "Underlayment",
        "Eave trim",
        "Panels",
        "Rakes",
        "Ridges and hips",
        "Ends closed",
        "Before leaving",
    ]


def test_tear_off_says_what_comes_down() -> None:
    project = set_old_roof(gable(), over="tear-off", layers=2, deck_share=0.1)
    results = results_of(project)
    checks = crew_checklist(results)
    assert titles(checks)[2:5] == ["Tear-off", "Old fasteners", "Deck"]
    by_item = {q.item: q for q in results.take_off.quantities}
    said = points(checks, "Tear-off")
    assert f"Trailer loads: {by_item['Trailer loads'].quantity:.0f}." in said
    pulled = by_item["Old fasteners pulled or driven flat"].quantity
    assert f"{pulled:.0f}" in points(checks, "Old fasteners")
    sheets = by_item["Deck to replace, allowance"].packs
    assert f"{sheets} × sheet" in points(checks, "Deck")
    assert any("asbestos" in c for c in checks.cautions)


def test_re_cover_leaves_the_old_roof_below_battens() -> None:
    checks = checks_of(set_old_roof(gable(), over="re-cover"))
    assert "Re-cover on battens" in titles(checks)
    assert "Tear-off" not in titles(checks)
    assert "Deck" not in titles(checks)
    assert "attens" in points(checks, "Re-cover on battens")


def test_ridge_vent_only_where_the_ridge_is_vented() -> None:
    project = gable()
    assert "Ridge vent" not in titles(checks_of(project))
    planes = [str(p.id) for p in results_of(project).surface.planes]
    vented = vent_ridges(project, planes, True)
    steps = titles(checks_of(vented))
    assert steps.index("Ridge vent") == steps.index("Ridges and hips") - 1


@pytest.mark.parametrize("system", ["ribbed_panel", "standing_seam"])
def test_numbers_are_the_take_offs(system: str) -> None:
    project = gable()
    for known in built_in_systems()[1:]:
        project = add_system(project, known)
    results = results_of(cover_job(project, system))
    take_off, units = results.take_off, results.project.units
    checks = crew_checklist(results)
    for laying in take_off.layings:
        assert f"{laying.plane_name}: {len(laying.panels)} panels" in points(checks, "Panels")
    for q in take_off.quantities:
        if q.group == "Fasteners of each plane":
            assert f" {q.quantity:.0f}" in points(checks, "Panels")
        if q.packs:
            assert f"{q.packs} × {q.pack}" in points(checks, "Goods on site")
    part = "seam rake trim" if system == "standing_seam" else "rake trim"
    runs = [t for t in take_off.trim if t.kind == "rake" and t.part == part]
    length = format_length(math.fsum(t.length for t in runs), units)
    pieces = sum(t.pieces for t in runs)
    rakes = points(checks, "Rakes")
    assert f"{part.capitalize()} on 4 runs: {length} in {pieces} pieces" in rakes
    assert "laps 0'-0\"" not in rakes  # cleats stand end to end


@pytest.mark.parametrize(
    ("slope", "words"),
    [(0.25, "warning line"), (0.5, "above 4/12"), (0.75, "staging")],
)
def test_cautions_go_by_the_steepest_plane(slope: float, words: str) -> None:
    cautions = checks_of(gable(slope)).cautions
    assert sum(words in c for c in cautions) == 1
    assert not any("asbestos" in c for c in cautions)


def test_metric_jobs_read_in_metres() -> None:
    checks = checks_of(changed(gable(), units=Units("metric")))
    text = "\n".join([*checks.cautions, *(p for s in checks.steps for p in s.points)])
    assert "1.8 m" in text
    assert "6 ft" not in text
    assert "'-" not in text
