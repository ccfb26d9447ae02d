"""Coverings, more roofing systems, and problems that are gone to and mended, in the window."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog

from roofmodel.document import NOT_IN_JOB, OTHER, Mend, PlaneCovering, Problem
from roofmodel.document.edits import new_section, set_eave_height
from roofmodel.document.part_edits import new_building
from roofmodel_ui.selection import OutlineEdgeId, PartId
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, IN, LEFT, choose, click, enter, error, press, settle

HOUSE = tuple((x * FT, y * FT) for x, y in ((0, 0), (40, 0), (40, 24), (0, 24)))
SHED = tuple((x * FT, y * FT) for x, y in ((50, 0), (60, 0), (60, 10), (50, 10)))


@pytest.fixture
def job(window: MainWindow) -> MainWindow:
    """A house s1 in b1 and a shed s3 in b2, in the Cover stage."""
    project, _ = new_section(window.session.project, HOUSE)
    project, shed = new_building(project, "Shed")
    project, _ = new_section(project, SHED, building=shed)
    window.session.edit("Draw outline", project)
    window.show_stage("Cover")
    window.zoom_to_fit()
    settle()
    return window


@pytest.fixture
def system_file(tmp_path: Path) -> Path:
    folder = files("roofmodel_io") / "data" / "systems"
    text = (folder / "ribbed_panel.toml").read_text("utf-8")
    lines = [
        'id = "seam"' if line.startswith("id =") else
        'name = "Seam panel"' if line.startswith("name =") else line
        for line in text.splitlines()
    ]  # fmt: skip
    path = tmp_path / "seam.toml"
    path.write_text("\n".join(lines), "utf-8")
    return path


def add_from_file(window: MainWindow, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a, **k: (str(path), ""))
    next(a for a in window.cover.systems.menu.actions() if a.text() == "From a file …").trigger()


def test_buildings_and_planes_are_covered(job: MainWindow) -> None:
    session, form = job.session, job.cover
    shed = session.project.buildings[1].id
    before = session.project
    choose(job, form.buildings.buildings[shed], "Not in this job")
    assert session.project.buildings[1].covering == NOT_IN_JOB
    job.actions_by_id["undo"].trigger()
    assert session.project is before
    job.actions_by_id["redo"].trigger()
    assert not form.layouts.plane.isVisible()
    click(job, 20, 4)
    (plane,) = session.selection
    assert form.layouts.plane.currentText() == "As its building (House)"
    choose(job, form.layouts.plane, "Other")
    assert session.project.plane_coverings == (PlaneCovering(str(plane), OTHER),)
    click(job, 20, 20, add=True)
    choose(job, form.layouts.plane, "Not in this job")
    assert {c.covering for c in session.project.plane_coverings} == {NOT_IN_JOB}
    assert len(session.project.plane_coverings) == 2
    choose(job, form.layouts.plane, "As its building (House)")
    assert not session.project.plane_coverings
    session.select([PartId("s1")])
    choose(job, form.layouts.plane, "Other")
    assert len(session.project.plane_coverings) == 4


def test_a_second_system_comes_from_a_file(
    job: MainWindow, system_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session, cover = job.session, job.cover
    first = session.project.system
    add_from_file(job, system_file, monkeypatch)
    assert [s.id for s in session.project.systems()] == [first.id, "seam"]
    choose(job, cover.systems.system, "Seam panel")
    enter(job, cover.systems.coverage, "16")
    assert session.project.systems()[1].coverage == pytest.approx(16 * IN)
    assert session.project.system is first
    shed = session.project.buildings[1].id
    choose(job, cover.buildings.buildings[shed], "Seam panel")
    press(job, cover.systems.remove)
    assert "Shed is covered with Seam panel" in error(job)
    choose(job, cover.buildings.buildings[shed], first.name)
    assert session.project.buildings[1].covering == ""
    before = session.project
    press(job, cover.systems.remove)
    assert session.project.systems() == (first,)
    assert not cover.systems.remove.isEnabled()
    job.actions_by_id["undo"].trigger()
    assert session.project is before


def test_a_system_that_is_there_or_none_is_refused(
    job: MainWindow, system_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_from_file(job, system_file, monkeypatch)
    before = job.session.project
    add_from_file(job, system_file, monkeypatch)
    assert "already" in error(job)
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("id = 5", "utf-8")
    add_from_file(job, wrong, monkeypatch)
    assert "wrong.toml" in error(job)
    assert job.session.project is before


def test_built_in_systems_are_offered_once(job: MainWindow) -> None:
    words = [a.text() for a in job.cover.systems.menu.actions()]
    assert job.session.project.system.name not in words
    assert words[-1] == "From a file …"


def test_a_problem_is_gone_to_and_mended(job: MainWindow) -> None:
    session, totals = job.session, job.totals
    raise_it = Mend("Raise the shed", lambda p: set_eave_height(p, "s3", 3000.0))
    problems = [
        Problem("The shed is low.", False, "s3", ((55 * FT, 0.0),), raise_it),
        Problem("Something is doubtful."),
        Problem("The house is large.", False, "s1"),
    ]
    session._results = replace(session.results, problems=tuple(problems))
    session.result_changed.emit()
    QTest.mouseClick(totals.problems, LEFT)
    settle()
    first, second, third = totals.list.rows
    assert [r.label.text() for r in totals.list.rows] == [p.sentence for p in problems]
    assert not second.go_to
    QTest.mouseClick(third.go_to[0], LEFT)
    assert session.selection == {PartId("s1")}
    QTest.mouseClick(first.go_to[0], LEFT)
    assert totals.list.isVisible()
    (edge,) = session.selection
    assert edge == OutlineEdgeId("s3", "e1") or str(edge).startswith("s3")
    mend = first.mend
    assert mend is not None
    assert mend.text() == "Raise the shed"
    before = session.project
    QTest.mouseClick(mend, LEFT)
    assert session.project.section("s3").eave_height == 3000.0
    assert session.undo_stack.undoText() == "Raise the shed"
    job.actions_by_id["undo"].trigger()
    assert session.project is before
