"""Unsaved work: copied aside, offered at the next start, kept on full disks; files that two
windows have open."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QMessageBox
from pytestqt.qtbot import QtBot

from roofmodel.document import Job
from roofmodel.document.edits import set_job
from roofmodel_io.project_file import read_project, write_project
from roofmodel_io.working_copy import WorkingCopy
from roofmodel_ui import recovery
from roofmodel_ui.recovery import left_behind, unsaved_folders
from roofmodel_ui.recovery_dialog import RecoveryDialog, words_of
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, click, error


def answered(press: Callable[[QDialog], None]) -> list[str]:
    """As soon as a dialog is open, use it; what it says is put into the list."""
    said: list[str] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QDialog):
            QTimer.singleShot(20, look)
            return
        said.append(dialog.text() if isinstance(dialog, QMessageBox) else dialog.windowTitle())
        press(dialog)

    QTimer.singleShot(20, look)
    return said


def button(words: str) -> Callable[[QDialog], None]:
    """Presses the button with these words."""

    def press(dialog: QDialog) -> None:
        assert isinstance(dialog, QMessageBox)
        (found,) = (b for b in dialog.buttons() if b.text().replace("&", "") == words)
        QTest.mouseClick(found, LEFT)

    return press


def as_if_killed(window: MainWindow) -> None:
    """The locks go as they do when a process is killed; what is on the disk stays."""
    copy = window.files.keeper.copy
    for lock in copy._locks.values():
        assert lock is not None
        assert lock._stream is not None
        lock._stream.close()
        lock._stream = None
    copy._locks.clear()


def test_work_is_copied_within_five_seconds_and_gone_when_saved(
    house: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    copy = house.files.keeper.copy
    qtbot.waitUntil(lambda: bool(copy.folders()), timeout=5000)
    (folder,) = copy.folders()
    qtbot.waitUntil((folder / "copy.roof").exists, timeout=2000)
    assert left_behind() == []  # it is ours, and we live
    assert house.files.save_path(tmp_path / "a.roof")
    assert not (folder / "copy.roof").exists()
    house.session.edit("Set job", set_job(house.session.project, Job("Other")))
    house.files.keeper.write_now()
    assert (folder / "copy.roof").exists()
    house.session.undo_stack.setClean()
    house.close()
    assert not folder.exists()


def test_unsaved_work_is_offered_and_goes_on_where_it_was(
    house: MainWindow, tmp_path: Path
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    saved = house.session.project
    house.session.edit("Set job", set_job(saved, Job("Later")))
    made = house.session.project
    assert house.files.keeper.write_now()
    as_if_killed(house)
    house.files.keeper.copy = WorkingCopy(unsaved_folders())
    house.session.undo_stack.setClean()
    house.files.new()

    def go_on(dialog: QDialog) -> None:
        assert isinstance(dialog, RecoveryDialog)
        assert dialog.rows.item(0).text().startswith("Later · 1 part\ntoday at ")
        assert dialog.rows.item(0).text().endswith(", changes to a.roof")
        QTest.mouseClick(dialog.go_on, LEFT)

    assert not answered(go_on)
    house.files.offer_copies()
    assert house.session.project == made
    assert house.session.path == file
    assert not house.session.is_saved()
    assert read_project(file).project == saved
    assert left_behind() == []  # what was left is ours now, in a copy of its own
    assert house.files.save_path(file)
    assert read_project(file).project == made


def test_unsaved_work_can_wait_or_be_thrown_away(house: MainWindow) -> None:
    assert house.files.keeper.write_now()
    as_if_killed(house)
    house.files.keeper.copy = WorkingCopy(unsaved_folders())

    def later(dialog: QDialog) -> None:
        assert isinstance(dialog, RecoveryDialog)
        QTest.mouseClick(dialog.later, LEFT)

    answered(later)
    house.files.offer_copies()
    waiting = left_behind()
    assert len(waiting) == 1
    waiting[0].release()

    def throw(dialog: QDialog) -> None:
        assert isinstance(dialog, RecoveryDialog)
        answered(button("Throw away"))
        QTest.mouseClick(dialog.throw, LEFT)

    answered(throw)
    house.files.offer_copies()
    assert left_behind() == []


def test_full_disk_is_said_once_and_tried_again(
    house: MainWindow, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    sentences: list[str] = []
    house.session.message.connect(lambda text, _: sentences.append(text))
    monkeypatch.setattr(recovery, "AGAIN_S", 0.05)
    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", full)
        assert not house.files.keeper.write_now()
        assert "no space left" in error(house)
        qtbot.wait(200)
        assert not house.files.save_path(unsaved_folders()[0] / "a.roof")
        assert not house.session.is_saved()
    qtbot.waitUntil(lambda: not house.files.keeper.failed, timeout=5000)
    (folder, *_) = house.files.keeper.copy.folders()
    assert (folder / "copy.roof").exists()
    assert sum("copied aside" in s for s in sentences) == 1


def test_file_open_in_another_window_is_opened_as_a_copy(
    house: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    other = MainWindow(house.session.project)
    qtbot.addWidget(other, before_close_func=lambda w: w.session.undo_stack.setClean())
    said = answered(button("Cancel"))
    assert not other.files.open_path(file)
    assert said[0].startswith("a.roof is open in another window since today at ")
    answered(button("Open a copy"))
    assert other.files.open_path(file)
    assert other.session.path is None
    assert other.session.project == house.session.project
    assert not other.session.is_saved()
    assert not other.files.save_path(file)
    assert read_project(file).project == house.session.project
    house.session.undo_stack.setClean()
    house.files.new()  # lets go of the file
    assert other.files.save_path(file)


def test_file_changed_by_another_program_is_not_overwritten_unasked(
    house: MainWindow, tmp_path: Path
) -> None:
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    theirs = set_job(house.session.project, Job("A longer name than before"))
    write_project(file, theirs, {})
    house.session.edit("Set job", set_job(house.session.project, Job("Ours")))
    said = answered(button("Cancel"))
    assert not house.files.save_path(file)
    assert "changed by another program" in said[0]
    assert read_project(file).project == theirs
    answered(button("Replace it"))
    assert house.files.save_path(file)
    assert read_project(file).project == house.session.project


@pytest.mark.skipif(sys.platform == "win32", reason="needs a virtual display of its own")
def test_killed_while_it_edits_and_saves() -> None:
    """Two of the 50 kills of scripts/kill_test.py."""
    script = Path(__file__).resolve().parents[2] / "scripts" / "kill_test.py"
    done = subprocess.run(
        [sys.executable, str(script), "--kills", "2", "--seed", "11"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "nothing older than 5 s was lost" in done.stdout


def test_the_list_says_which_work_it_is(house: MainWindow) -> None:
    job = Job("New job", place="12 Mill Road")
    house.session.edit("Set job", set_job(house.session.project, job))
    house.files.keeper.write_now()
    as_if_killed(house)
    (left,) = left_behind()
    assert words_of(left).startswith("New job · 12 Mill Road · 1 part\ntoday at ")
    assert words_of(replace(left, place="", parts=None)).startswith("New job\ntoday")
    assert words_of(replace(left, parts=0)).startswith("New job · 12 Mill Road · no parts\n")
    left.release()


def test_an_outline_that_was_being_drawn_is_drawn_on_after_a_crash(
    house: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    """Everything is saved but for the begun outline; the last corner was typed, and the next
    window goes on with it where it stopped."""
    file = tmp_path / "a.roof"
    assert house.files.save_path(file)
    assert left_behind() == []
    house.use_tool("outline")
    for x, y in ((60, 0), (80, 0)):
        click(house, x, y)
    QTest.keyClicks(house.plan, "20 N")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    corners = house.tools["outline"].kept()
    assert len(corners) == 3
    copy = house.files.keeper.copy
    qtbot.waitUntil(lambda: bool(copy.folders()), timeout=5000)
    qtbot.waitUntil((copy.folders()[0] / "begun.json").exists, timeout=5000)
    as_if_killed(house)
    house.files.keeper.copy = WorkingCopy(unsaved_folders())
    house.tools["outline"].cancel()  # as another window: there is nothing to ask about
    house.files.new()
    (left,) = left_behind()
    assert words_of(left).splitlines()[0].endswith(" · 1 part · unfinished outline")
    assert house.files.go_on_with(left)
    assert house.plan.tool is house.tools["outline"]
    assert house.tools["outline"].kept() == corners
    assert house.notice.label.text() == "The outline goes on where it stopped."
    assert left_behind() == []  # the outline is in a copy of our own
    QTest.keyClicks(house.plan, "20 W")
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    QTest.keyClick(house.plan, Qt.Key.Key_Return)
    made = house.session.project.sections()[-1].rings[0].corners
    assert sorted((round(x / FT), round(y / FT)) for x, y in made) == [
        (60, 0), (60, 20), (80, 0), (80, 20),
    ]  # fmt: skip
    assert house.session.path == file
    assert house.files.keeper.write_now()
    (folder,) = house.files.keeper.copy.folders()
    assert not (folder / "begun.json").exists()


def test_the_copy_of_a_saved_project_goes_with_the_outline_that_was_being_drawn(
    house: MainWindow, tmp_path: Path
) -> None:
    assert house.files.save_path(tmp_path / "a.roof")
    house.use_tool("plane")
    click(house, 60, 0)
    assert house.files.keeper.write_now()
    (folder,) = house.files.keeper.copy.folders()
    assert (folder / "begun.json").exists()
    assert house.files.save_path(tmp_path / "a.roof")  # saving is no end of it
    assert house.files.keeper.write_now()
    assert (folder / "begun.json").exists()
    QTest.keyClick(house.plan, Qt.Key.Key_Backspace)
    assert not (folder / "begun.json").exists()
    assert not (folder / "copy.roof").exists()
