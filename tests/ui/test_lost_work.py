"""Ways in which work was lost once: names of pictures, questions that are cancelled, files that
are newer than recovered work, outlines not closed yet."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from roofmodel.document import Job
from roofmodel.document.edits import set_job
from roofmodel_io.project_file import _is_plain_name, read_project, write_project
from roofmodel_io.working_copy import WorkingCopy
from roofmodel_ui.recovery import left_behind, unsaved_folders
from roofmodel_ui.underlay_files import clean_name
from roofmodel_ui.window import MainWindow
from tests.io.underlays.files import png
from tests.ui.hands import click, error, undo
from tests.ui.test_recovery import answered, as_if_killed, button

BUTTONS = QMessageBox.StandardButton


def copies() -> list[Path]:
    """The working copies on the disk."""
    return [f for root in unsaved_folders() for f in root.rglob("copy.roof")]


def change(window: MainWindow, name: str) -> None:
    window.session.edit("Set job", set_job(window.session.project, Job(name)))


@pytest.mark.parametrize(
    ("name", "clean"),
    [
        ("from above (2) - west_1.png", "from above (2) - west_1.png"),
        ("plan 10:30.png", "plan 10_30.png"),
        ("a*b.PNG", "a_b.PNG"),
        ("what?.png", "what_.png"),
        ('a\\b|c<d>"e".tif', "a_b_c_d__e_.tif"),
        ("line\nbreak\x00.png", "line_break_.png"),
        ("caf\u00e9.png", "caf\u00e9.png"),
        ("cafe\u0301.png", "caf\u00e9.png"),
        ("bad\udcff.png", "bad_.png"),
        ("x" * 210 + ".png", "x" * 100 + ".png"),
        ("a." + "x" * 210, "a." + "x" * 98),
        ("...png", "png"),
        ("trail .png", "trail.png"),
        ("a. . ", "a"),
        ("...", "picture"),
        ("", "picture"),
    ],
)
def test_names_of_pictures_are_made_fit_for_the_project_file(name: str, clean: str) -> None:
    assert clean_name(name) == clean
    assert _is_plain_name(clean)
    assert clean_name(clean) == clean


@pytest.mark.skipif(os.name == "nt", reason="such names cannot be there")
def test_pictures_of_any_name_can_be_saved_and_copied_aside(
    house: MainWindow, tmp_path: Path
) -> None:
    names = ("plan 10:30.png", "plan 10*30.png", "bad\udcff.png", "x" * 210 + ".png")
    for k, name in enumerate(names):
        try:
            (tmp_path / name).write_bytes(png(40 + k, 40))
        except OSError:  # not every disk takes bytes that are no text
            continue
        assert house.files.load_picture_path(tmp_path / name)
    files = [u.file for u in house.session.project.underlays]
    assert files[:2] == ["plan 10_30.png", "plan 10_30 2.png"]
    assert house.files.keeper.write_now()
    assert house.files.save_path(tmp_path / "a.roof")
    assert sorted(read_project(tmp_path / "a.roof").pictures) == sorted(files)


def test_copy_outlives_discard_until_another_project_is_open(
    house: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file, bad = tmp_path / "a.roof", tmp_path / "bad.roof"
    assert house.files.save_path(file)
    bad.write_bytes(b"x")
    change(house, "Later")
    made = house.session.project
    assert house.files.keeper.write_now()
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: BUTTONS.Discard)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a, **k: ("", ""))
    house.files.open()
    house.files.open_recent(bad)
    assert "bad.roof" in error(house)
    assert house.files.may_leave()  # as before a damaged file that is dropped
    assert not house.files.open_path(bad)
    assert house.session.project is made
    assert not house.session.is_saved()
    assert len(copies()) == 1
    house.files.open_recent(file)
    assert house.session.project.job.name != "Later"
    assert copies() == []


def test_copy_outlives_discard_when_a_file_open_elsewhere_is_left_alone(
    house: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    other = MainWindow(house.session.project)
    qtbot.addWidget(other, before_close_func=lambda w: w.session.undo_stack.setClean())
    change(other, "Other")
    assert other.files.keeper.write_now()
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: BUTTONS.Discard)
    said = answered(button("Cancel"))
    other.files.open_recent(file)
    assert said
    assert len(copies()) == 1


def recovered(house: MainWindow, file: Path) -> None:
    """Unsaved changes to a file are taken up again, after their program was killed."""
    assert house.files.keeper.write_now()
    as_if_killed(house)
    house.files.keeper.copy = WorkingCopy(unsaved_folders())
    house.session.undo_stack.setClean()
    house.files.new()
    (left,) = left_behind()
    assert left.saved_as == file
    assert house.files.go_on_with(left)


@pytest.mark.parametrize("ahead", [-3600, 3600])
def test_recovered_work_does_not_replace_another_file_unasked(
    house: MainWindow, tmp_path: Path, ahead: int
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    theirs = set_job(house.session.project, Job("Theirs, a longer name"))
    change(house, "Ours")
    write_project(file, theirs, {})
    moment = file.stat().st_mtime + ahead  # clocks differ: not only a later file is another
    os.utime(file, (moment, moment))
    recovered(house, file)
    recovered(house, file)  # and once more: it is still another file
    said = answered(button("Cancel"))
    assert not house.files.save_path(file)
    assert "Replace it" in said[0]
    assert read_project(file).project == theirs
    answered(button("Replace it"))
    assert house.files.save_path(file)
    assert read_project(file).project.job.name == "Ours"


def test_recovered_work_is_saved_unasked_where_the_file_is_as_it_was(
    house: MainWindow, tmp_path: Path
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    change(house, "Ours")
    recovered(house, file)
    assert house.files.save_path(file)
    assert read_project(file).project.job.name == "Ours"


def test_copy_goes_when_undo_or_redo_lead_back_to_what_is_saved(
    house: MainWindow, tmp_path: Path
) -> None:
    assert house.files.save_path(tmp_path / "a.roof")
    undo(house)
    assert house.files.keeper.write_now()
    assert len(copies()) == 1
    house.actions_by_id["redo"].trigger()
    assert house.session.is_saved()
    assert copies() == []
    change(house, "Later")
    assert house.files.keeper.write_now()
    assert len(copies()) == 1
    undo(house)
    assert house.session.is_saved()
    assert copies() == []


def test_begun_outline_is_not_closed_away_unasked(window: MainWindow) -> None:
    window.use_tool("outline")
    for x, y in ((0, 0), (10, 0), (10, 10)):
        click(window, x, y)
    said = answered(button("Cancel"))
    assert not window.close()
    assert len(said) == 1
    assert "the unfinished outline" in said[0]
    window.use_tool("select")  # it is kept, so it is asked about as well
    answered(button("Cancel"))
    assert not window.close()
    assert len(window.tools["outline"].kept()) == 3
    answered(button("Give it up"))
    window.files.new()
    assert not window.tools["outline"].kept()
    assert window.files.may_leave()  # nothing is begun: nothing is asked


def test_begun_outline_and_unsaved_changes_are_one_question(
    house: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.use_tool("plane")
    click(house, 50, 0)
    said: list[str] = []

    def question(_parent: object, _title: str, sentence: str, *_: object) -> BUTTONS:
        said.append(sentence)
        return BUTTONS.Cancel

    monkeypatch.setattr(QMessageBox, "question", question)
    assert not house.close()
    assert len(said) == 1
    assert "the unfinished plane" in said[0]
    assert len(house.tools["plane"].kept()) == 1
