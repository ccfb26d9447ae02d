"""Roofing systems in the Cover stage: used everywhere, loaded, changed, saved; real presses."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from roofmodel.document import NOT_IN_JOB
from roofmodel.document.cover_edits import put_system
from roofmodel.document.part_edits import new_building
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.systems_toml import read_system
from roofmodel_ui.panels.fields import Field
from roofmodel_ui.panels.system_form import SystemForm
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, IN, choose, enter, error, press, settle, shown, undone


@pytest.fixture
def cover(house: MainWindow) -> MainWindow:
    house.show_stage("Cover")
    settle()
    return house


def form_of(window: MainWindow) -> SystemForm:
    return window.cover.systems


def add_seams(window: MainWindow) -> RoofingSystem:
    """The second built-in system, by the menu."""
    action = form_of(window).menu.actions()[0]
    assert "seam" in action.text()
    action.trigger()
    return window.session.project.more_systems[-1]


def answer(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    """Whatever is asked for a file gets this one."""
    for name in ("getOpenFileName", "getSaveFileName"):
        monkeypatch.setattr(QFileDialog, name, lambda *a, **k: (str(path), ""))


def test_a_built_in_system_is_added_and_used_everywhere(cover: MainWindow) -> None:
    form, session = form_of(cover), cover.session
    first = session.project.system
    assert not form.remove.isEnabled()
    assert not form.everywhere.isEnabled()
    seams = add_seams(cover)
    assert form.system.currentText() == seams.name  # the new one is shown
    assert form.menu.actions()[0].text() == "From a file …"
    before = session.project
    press(cover, form.everywhere)
    assert session.project.systems() == (seams, first)
    assert {x.system for x in session.results.take_off.layings} == {seams.id}
    # 40 ft of 16 in: 30 pans on each plane, a seam at each of their sides
    assert cover.view3d.ribs.ribs.count == (31, 31)
    assert not form.everywhere.isEnabled()
    undone(cover, before)
    choose(cover, form.system, first.name)
    press(cover, form.remove)
    assert session.project.systems() == (seams,)


def test_a_built_in_system_is_chosen_where_it_covers(cover: MainWindow) -> None:
    session = cover.session
    (house,) = session.project.buildings
    choice = cover.cover.buildings.buildings[house.id]
    before = session.project
    choose(cover, choice, next(s.name for s in built_in_systems() if "seam" in s.name))
    (seams,) = session.project.more_systems
    assert session.project.buildings[0].covering == seams.id
    undone(cover, before)  # the system and its covering are one step
    cover.actions_by_id["undo"].trigger()
    plane = session.results.surface.planes[0]
    session.select((plane.id,))
    settle()
    choose(cover, cover.cover.layouts.plane, seams.name)
    assert session.project.plane_coverings[0].covering == seams.id
    assert session.project.more_systems == (seams,)
    undone(cover, before)


def test_what_is_out_of_the_job_stays_out(cover: MainWindow) -> None:
    session = cover.session
    project, garage = new_building(session.project, "Garage")
    session.edit("Add building", project)
    settle()
    choose(cover, cover.cover.buildings.buildings[garage], "Not in this job")
    add_seams(cover)
    press(cover, form_of(cover).everywhere)
    assert [b.covering for b in session.project.buildings] == ["", NOT_IN_JOB]


def test_commonest_values_are_typed_and_undone(cover: MainWindow) -> None:
    form, session = form_of(cover), cover.session
    add_seams(cover)
    form.more.button.click()
    settle()
    assert "from 1'-0\" to 1'-6\" wide" in form._widths.text()
    ridge = EdgeKind.RIDGE
    told: list[tuple[Field, str, Callable[[RoofingSystem], object], object]] = [
        (form.coverage, "12", lambda s: round(s.coverage / IN, 6), 12),
        (form.longest, "40 ft", lambda s: s.panel.longest, 40 * FT),
        (form.eave, "1", lambda s: s.shifts[EdgeKind.EAVE], IN),
        (form.shifts[ridge, False], "2", lambda s: s.shifts[ridge], -2 * IN),
        (form.shifts[ridge, True], "2 1/2", lambda s: s.vented_shifts[ridge], -2.5 * IN),
        (form.rules["end_lap"], "5", lambda s: s.panel.end_lap, 5 * IN),
        (form.name, "Seams, narrow", lambda s: s.name, "Seams, narrow"),
    ]
    for field, typed, value, wanted in told:
        before = session.project
        enter(cover, field, typed)
        (own,) = session.project.more_systems
        assert value(own) == wanted, field.accessibleName()
        undone(cover, before)
    enter(cover, form.longest, "")
    assert session.project.more_systems[0].panel.longest is None
    assert form.longest.placeholderText() == "any length"


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("coverage", "20", "made from 1'-0\" to 1'-6\" wide"),
        ("coverage", "wide", "wide"),
        ("longest", "10", "longest panel"),
        ("name", "  ", "needs a name"),
        ("lap_leg", "30", "lap leg"),
        ("eave", "50", "within 1000 mm"),
    ],
)
def test_a_value_that_cannot_be_is_refused(
    cover: MainWindow, name: str, typed: str, words: str
) -> None:
    add_seams(cover)
    before = cover.session.project
    field = getattr(form_of(cover), name)
    old = field.text()
    enter(cover, field, typed)
    assert words in error(cover)
    assert cover.session.project is before
    assert field.text() == old


def test_a_system_is_saved_changed_and_loaded_again(
    cover: MainWindow, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    session, form = cover.session, form_of(cover)
    answer(monkeypatch, tmp_path / "own")
    press(cover, form.file)
    file = tmp_path / "own.toml"
    assert read_system(file) == session.project.system
    assert cover.notice.label.text() == "Written to own.toml."
    text = file.read_text("utf-8").replace("coverage = 36.0", "coverage = 30.0")
    file.write_text(text, "utf-8")
    answer(monkeypatch, file)
    before = session.project
    cover.actions_by_id["load_system"].trigger()
    assert session.project.system.coverage == pytest.approx(30 * IN)
    assert session.undo_stack.undoText() == "Replace roofing system"
    assert "was replaced" in cover.notice.label.text()
    assert form.coverage.text() == "2'-6\""
    undone(cover, before)
    before = session.project
    cover.actions_by_id["load_system"].trigger()
    assert "already" in error(cover)  # the very same one
    file.write_text(text.replace("coverage = 30.0", "coverage = 'wide'"), "utf-8")
    cover.actions_by_id["load_system"].trigger()
    assert error(cover).startswith("own.toml: the key 'panel.coverage' is wrong;")
    answer(monkeypatch, tmp_path / "no folder" / "own.toml")
    cover.actions_by_id["save_system"].trigger()
    assert "own.toml" in error(cover)
    assert session.project is before


def test_a_system_of_another_id_comes_beside_it(
    cover: MainWindow, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    answer(monkeypatch, tmp_path / "wide.toml")
    cover.actions_by_id["save_system"].trigger()
    file = tmp_path / "wide.toml"
    text = file.read_text("utf-8").replace('id = "ribbed_panel"', 'id = "wide"')
    file.write_text(text, "utf-8")
    cover.actions_by_id["load_system"].trigger()
    assert [s.id for s in cover.session.project.systems()] == ["ribbed_panel", "wide"]
    assert form_of(cover).current(cover.session.project).id == "wide"


def test_fields_have_names_and_tips(cover: MainWindow) -> None:
    form = form_of(cover)
    for button in (form.add, form.remove, form.everywhere, form.file, form.more.button):
        assert button.text()
        assert button.toolTip().endswith(".")
    names = [f.accessibleName() for f in (form.coverage, form.longest, *form.shifts.values())]
    assert all(names)
    assert len(set(names)) == len(names)
    shown(cover, form.coverage)
    assert put_system(cover.session.project, form.current(cover.session.project))
