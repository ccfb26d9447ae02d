"""Unsaved work and locks: what is left by a process that was killed, full disks, two owners."""

from __future__ import annotations

import errno
import io
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import Job, Project, Underlay
from roofmodel.document.begun import Begun
from roofmodel.document.edits import set_job
from roofmodel.document.underlay_edits import new_underlay
from roofmodel.errors import FileError, NewerVersion
from roofmodel_io import file_lock, working_copy
from roofmodel_io.defaults import default_project
from roofmodel_io.file_lock import FileLock, Owner, lock_of, take
from roofmodel_io.working_copy import WorkingCopy, leftovers

ROOT = Path(__file__).resolve().parents[2]
KILLED = """
import sys, time
sys.path[:0] = {paths!r}
from pathlib import Path
from roofmodel_io.defaults import default_project
from roofmodel_io.file_lock import take
from roofmodel_io.working_copy import WorkingCopy
copy = WorkingCopy([Path({root!r})])
copy.write(default_project(), {{}}, Path("saved.roof"))
lock = take(Path({lock!r}))
print("ready", flush=True)
time.sleep(60)
"""


def with_picture(project: Project, data: bytes) -> tuple[Project, dict[str, bytes]]:
    return new_underlay(project, Underlay("u1", "a.png", 10, 10))[0], {"a.png": data}


def killed(root: Path, lock: Path) -> subprocess.Popen[str]:
    """A process that has written a copy, and holds a lock, and waits to be killed."""
    paths = [str(ROOT), str(ROOT / "io")]
    program = KILLED.format(paths=paths, root=str(root), lock=str(lock))
    process = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def test_work_of_a_killed_process_is_found_and_its_locks_are_stale(tmp_path: Path) -> None:
    root, lock = tmp_path / "unsaved", tmp_path / "lock"
    process = killed(root, lock)
    try:
        assert leftovers([root]) == []  # it lives: nobody else is offered its work
        owner = take(lock)
        assert isinstance(owner, Owner)
        assert owner.process == process.pid
        assert owner.is_here()
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        assert process.stdout is not None
        process.stdout.close()
    mine = take(lock)
    assert isinstance(mine, FileLock)
    mine.release()
    assert not lock.exists()
    (left,) = leftovers([root])
    assert left.read().project == default_project()
    assert left.saved_as == Path("saved.roof")
    assert leftovers([root]) == []  # claimed
    left.release()
    (left,) = leftovers([root])
    left.remove()
    assert list(root.iterdir()) == []


def test_pictures_are_written_once_and_come_back(tmp_path: Path) -> None:
    project, pictures = with_picture(default_project(), b"picture" * 1000)
    copy = WorkingCopy([tmp_path])
    copy.write(project, pictures, None)
    (folder,) = copy.folders()
    (stored,) = (folder / "pictures").iterdir()
    before = stored.stat().st_ino
    other = set_job(project, Job("Other"))
    copy.write(other, pictures, None)
    assert stored.stat().st_ino == before
    assert (folder / "copy.roof").stat().st_size < 10 * len(pictures["a.png"])
    ours = copy._locks[folder]
    assert ours is not None
    ours.release()  # as if the process had ended
    (left,) = leftovers([tmp_path])
    assert left.name == "Other"
    assert left.read() == (other, pictures)
    left.release()
    stored.write_bytes(b"damaged")
    (left,) = leftovers([tmp_path])
    with pytest.raises(FileError, match="damaged"):
        left.read()
    left.release()


def test_what_is_being_drawn_comes_back_unless_it_is_damaged(tmp_path: Path) -> None:
    rings = (
        Begun("outline", ((0.1, -2.0), (3000.0, 1e-7)), typed=True),
        Begun("plane", ((5.0, 6.0),)),
    )
    copy = WorkingCopy([tmp_path])
    copy.write(default_project(), {}, None, begun=rings)
    (folder,) = copy.folders()
    ours = copy._locks[folder]
    assert ours is not None
    ours.release()  # as if the process had ended
    for damage, found in ((None, rings), (b'[{"thing": 1}]', ()), (b"\xff", ()), (b"[[[", ())):
        if damage is not None:
            (folder / "begun.json").write_bytes(damage)
        (left,) = leftovers([tmp_path])
        assert left.begun == found
        assert left.read().project == default_project()
        left.release()
    copy.write(default_project(), {}, None)
    assert not (folder / "begun.json").exists()


def test_a_full_disk_keeps_the_last_copy_and_the_next_folder_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    copy = WorkingCopy([first, second])
    one, two = default_project(), set_job(default_project(), Job("Two"))
    copy.write(one, {}, None)
    full = {first}
    fsync = os.fsync

    def full_disk(handle: int) -> None:
        if any(f in Path(os.readlink(f"/proc/self/fd/{handle}")).parents for f in full):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        fsync(handle)

    monkeypatch.setattr(os, "fsync", full_disk)
    copy.write(two, {}, None)
    in_first, in_second = (root / copy._name for root in (first, second))
    assert (in_second / "copy.roof").exists()
    assert not (in_first / "copy.roof").exists()  # older than the other: it would mislead
    full.add(second)
    with pytest.raises(FileError, match="no space left"):
        copy.write(one, {}, None)
    assert (in_second / "copy.roof").exists()
    assert not [f for f in in_second.iterdir() if f.suffix == ".part"]
    full.clear()
    copy.write(one, {}, None)
    assert (in_first / "copy.roof").exists()
    assert not (in_second / "copy.roof").exists()
    copy.close()
    assert leftovers([first, second]) == []


def test_a_write_on_its_way_is_void_after_drop(tmp_path: Path) -> None:
    copy = WorkingCopy([tmp_path])
    edition = copy.edition
    copy.drop()
    assert not copy.write(default_project(), {}, None, edition)
    assert leftovers([tmp_path]) == []
    assert copy.write(default_project(), {}, None, copy.edition)
    copy.close()
    assert list(tmp_path.iterdir()) == []


def test_no_folder_can_be_made(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with pytest.raises(FileError, match="cannot be made"):
        WorkingCopy([blocked / "unsaved"]).write(default_project(), {}, None)
    assert leftovers([blocked, tmp_path / "none"]) == []


def test_saved_after_the_copy_is_known(tmp_path: Path) -> None:
    saved = tmp_path / "house.roof"
    copy = WorkingCopy([tmp_path / "unsaved"])
    copy.write(default_project(), {}, saved)
    for lock in copy._locks.values():
        assert lock is not None
        lock.release()
    (left,) = leftovers([tmp_path / "unsaved"])
    assert not left.is_older_than_saved()
    saved.write_text("later")
    os.utime(saved, (time.time() + 10, time.time() + 10))
    assert left.is_older_than_saved()
    left.remove()


def test_two_windows_on_one_file(tmp_path: Path) -> None:
    file = tmp_path / "house.roof"
    file.write_bytes(b"")
    link = tmp_path / "link.roof"
    link.symlink_to(file)
    place = lock_of(file)
    assert lock_of(link) == place
    lock = take(place)
    assert isinstance(lock, FileLock)
    lock.beat()
    assert isinstance(take(place), Owner)
    lock.release()
    lock.release()
    again = take(place)
    assert isinstance(again, FileLock)
    again.release()
    assert take(tmp_path / "no folder" / "lock") is None


def test_owner_on_another_computer_counts_until_it_is_silent(tmp_path: Path) -> None:
    place = tmp_path / "lock"
    place.write_text(json.dumps({"computer": "elsewhere", "process": 1, "since": 5.0}))
    owner = take(place)
    assert owner == Owner("elsewhere", 1, 5.0)
    long_ago = time.time() - file_lock.SILENT_S - 1
    os.utime(place, (long_ago, long_ago))
    lock = take(place)
    assert isinstance(lock, FileLock)
    lock.release()


def test_on_a_disk_without_locks_the_process_tells(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(_: object) -> bool:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(file_lock, "_grab", refuses)
    place = tmp_path / "lock"
    first = take(place)
    assert isinstance(first, FileLock)
    assert isinstance(take(place), Owner)
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    monkeypatch.setattr(os, "getpid", lambda: gone.pid)
    with place.open("a+b") as stream:
        file_lock._sign(stream)
    monkeypatch.setattr(os, "getpid", lambda: 1)
    second = take(place)
    assert isinstance(second, FileLock)
    second.release()
    first.release()


def test_unreadable_facts_about_a_copy_do_not_hide_it(tmp_path: Path) -> None:
    copy = WorkingCopy([tmp_path])
    copy.write(default_project(), {}, None)
    (folder,) = copy.folders()
    (folder / "about.json").write_text("[")
    lock = copy._locks[folder]
    assert lock is not None
    lock.release()
    (left,) = leftovers([tmp_path])
    assert (left.name, left.saved_as) == ("Unsaved work", None)
    assert left.read().project == default_project()
    left.remove()
    assert working_copy.leftovers([tmp_path]) == []


def test_work_of_another_build_is_told_from_damage_and_kept(tmp_path: Path) -> None:
    copy = WorkingCopy([tmp_path])
    project = default_project()
    copy.write(msgspec.structs.replace(project, job=Job("Barn", place="Mill Road")), {}, None)
    (folder,) = copy.folders()
    whole = (folder / "copy.roof").read_bytes()
    with zipfile.ZipFile(io.BytesIO(whole)) as box:
        text = box.read("project.json").decode().replace('"underlays"', '"overlays"')
    with zipfile.ZipFile(folder / "copy.roof", "w") as box:
        box.writestr("project.json", text)
    lock = copy._locks[folder]
    assert lock is not None
    lock.release()
    (left,) = leftovers([tmp_path])
    assert (left.name, left.place, left.parts) == ("Barn", "Mill Road", 0)
    with pytest.raises(NewerVersion, match="another version"):
        left.read()
    left.release()
    assert (folder / "copy.roof").exists()
    (left,) = leftovers([tmp_path])
    left.release()


@pytest.mark.parametrize(
    "facts",
    [
        {"path": "/a\0b.roof", "name": "Oak", "place": "Here", "parts": 2, "mark": [1, 2]},
        {"path": 5, "name": "Oak", "place": "Here", "parts": 2, "mark": "x"},
        {"path": "", "name": "Oak\n", "place": " Here", "parts": 2, "mark": [1]},
        {"name": "Oak", "place": "Here", "parts": 2},
    ],
)
def test_damaged_facts_cost_only_themselves(tmp_path: Path, facts: dict[str, object]) -> None:
    left = _left_with(tmp_path, json.dumps(facts))
    assert (left.name, left.place, left.parts) == ("Oak", "Here", 2)
    assert (left.saved_as, left.mark) == (None, None)
    assert not left.is_older_than_saved()
    left.remove()


@pytest.mark.parametrize(
    "text",
    ["null", "[]", "5", "[" * 100_000, '{"name": null, "path": null, "place": 7, "parts": "x"}',
     '{"name": "", "parts": true}', '{"parts": -1}'],
)  # fmt: skip
def test_facts_that_are_none_do_not_hide_the_copy(tmp_path: Path, text: str) -> None:
    left = _left_with(tmp_path, text)
    assert (left.name, left.place, left.parts) == ("Unsaved work", "", None)
    assert left.read().project == default_project()
    left.remove()


def _left_with(root: Path, about: str) -> working_copy.Leftover:
    """What is left of a program whose facts about its copy are these."""
    copy = WorkingCopy([root])
    copy.write(default_project(), {}, None)
    (folder,) = copy.folders()
    (folder / "about.json").write_text(about)
    lock = copy._locks[folder]
    assert lock is not None
    lock.release()
    (left,) = leftovers([root])
    return left


def test_the_copy_says_what_its_file_was_like(tmp_path: Path) -> None:
    file = tmp_path / "house.roof"
    file.write_bytes(b"123")
    mark = working_copy.mark_of(file)
    assert mark is not None
    assert mark.size == 3
    copy = WorkingCopy([tmp_path / "unsaved"])
    copy.write(default_project(), {}, file, mark=mark)
    for lock in copy._locks.values():
        assert lock is not None
        lock.release()
    (left,) = leftovers([tmp_path / "unsaved"])
    assert (left.saved_as, left.mark) == (file, mark)
    left.remove()


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such rights there")
def test_nobody_else_reads_unsaved_work_or_puts_some_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o1777)
    root = shared / "unsaved"
    copy = WorkingCopy([root])
    copy.write(default_project(), {}, None)
    assert root.stat().st_mode & 0o777 == 0o700
    root.chmod(0o755)  # as older builds made it
    copy.write(default_project(), {}, None)
    assert root.stat().st_mode & 0o777 == 0o700
    for lock in copy._locks.values():
        assert lock is not None
        lock.release()
    with monkeypatch.context() as somebody_else:
        somebody_else.setattr(os, "getuid", lambda: root.stat().st_uid + 1)
        assert leftovers([root]) == []
        with pytest.raises(FileError, match="belongs to somebody else"):
            WorkingCopy([root]).write(default_project(), {}, None)
    (left,) = leftovers([root])
    left.remove()
