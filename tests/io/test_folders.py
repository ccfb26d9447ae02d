"""Folders that are written whole or not at all, whatever ends the work and wherever."""

from __future__ import annotations

import errno
import os
import shutil
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from roofmodel.errors import FileError
from roofmodel_io.folders import (
    CONTENTS,
    FolderWriter,
    check_target,
    drop_staging,
    staging_of,
    stamp_of,
    write_folder,
    written_since,
)


def filler(**files: str) -> Callable[[FolderWriter], None]:
    def fill(writer: FolderWriter) -> None:
        for name, text in files.items():
            writer.put(f"{name}.txt", text.encode())

    return fill


def inside(folder: Path) -> dict[str, str]:
    return {p.name: p.read_text() for p in folder.iterdir() if p.name != CONTENTS}


@pytest.fixture
def package(tmp_path: Path) -> Path:
    out = tmp_path / "package"
    write_folder(out, filler(one="old"))
    return out


def failing_rename(part: str, error: BaseException) -> Any:
    """A rename that fails when it moves a folder whose name ends so."""
    real = os.replace

    def replace(source: Any, target: Any) -> None:
        if str(source).endswith(part):
            raise error
        real(source, target)

    return replace


@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "full"), KeyboardInterrupt()])
@pytest.mark.parametrize("part", ["package", ".part"])
def test_what_stops_either_rename_leaves_the_earlier_folder(
    package: Path, part: str, error: BaseException, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("roofmodel_io.folders.os.replace", failing_rename(part, error))
    settled: list[int] = []
    with pytest.raises((FileError, KeyboardInterrupt)):
        write_folder(package, filler(two="new"), settle=lambda: settled.append(1))
    assert not settled
    assert inside(package) == {"one.txt": "old"}
    assert [p.name for p in package.parent.iterdir()] == ["package"]


@pytest.mark.parametrize("error", [FileError("no"), KeyboardInterrupt(), OSError()])
def test_what_stops_the_last_step_puts_the_earlier_folder_back(
    package: Path, error: BaseException
) -> None:
    seen: list[dict[str, str]] = []

    def settle() -> None:
        seen.append(inside(package))  # the new one is whole and in its place by now
        raise error

    with pytest.raises(type(error)):
        write_folder(package, filler(two="new"), settle=settle)
    assert seen == [{"two.txt": "new"}]
    assert inside(package) == {"one.txt": "old"}
    with pytest.raises(type(error)):
        write_folder(package.parent / "deep" / "first", filler(two="new"),
                     settle=lambda: (_ for _ in ()).throw(error))  # fmt: skip
    assert [p.name for p in package.parent.iterdir()] == ["package"]


def test_a_full_disk_at_the_list_of_contents_comes_before_the_last_step(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == CONTENTS:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    settled: list[int] = []
    with pytest.raises(FileError, match="no space left"):
        write_folder(package, filler(two="new"), settle=lambda: settled.append(1))
    assert (settled, inside(package)) == ([], {"one.txt": "old"})


def test_stopped_while_the_earlier_folder_goes_the_new_one_stands(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(folder: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(shutil, "rmtree", stopped)
    done = write_folder(package, filler(two="new"), token="t")
    assert inside(package) == {"two.txt": "new"}
    assert done.left_over is not None
    assert inside(done.left_over) == {"one.txt": "old"}


def test_control_c_waits_for_the_last_step(package: Path) -> None:
    def settle() -> None:
        os.kill(os.getpid(), signal.SIGINT)

    before = signal.getsignal(signal.SIGINT)
    write_folder(package, filler(two="new"), settle=settle)
    assert inside(package) == {"two.txt": "new"}
    assert signal.getsignal(signal.SIGINT) is before


def test_a_writer_killed_between_the_renames_is_mended(package: Path) -> None:
    staging = staging_of(package, "t")
    old = staging.with_suffix(".old")
    os.rename(package, old)
    staging.mkdir()
    drop_staging(package, "t")
    assert inside(package) == {"one.txt": "old"}
    assert [p.name for p in package.parent.iterdir()] == ["package"]


def test_an_earlier_package_that_cannot_be_put_back_is_kept(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    staging = staging_of(package, "t")
    old = staging.with_suffix(".old")
    os.rename(package, old)
    staging.mkdir()

    def refused(source: object, target: object) -> None:
        raise PermissionError(errno.EACCES, "held by somebody")

    with monkeypatch.context() as held:
        held.setattr(os, "rename", refused)
        assert drop_staging(package, "t") == old
    assert inside(old) == {"one.txt": "old"}
    assert not staging.exists()
    # and the next time it is
    assert drop_staging(package, "t") is None
    assert inside(package) == {"one.txt": "old"}
    assert [p.name for p in package.parent.iterdir()] == ["package"]


def test_a_list_of_contents_of_somebody_else_is_not_ours(tmp_path: Path) -> None:
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    (theirs / "letter.txt").write_text("mine")
    for listed in ("letter.txt\ncontents.txt\n", ""):
        (theirs / CONTENTS).write_text(listed)
        with pytest.raises(FileError, match="holds other files"):
            write_folder(theirs, filler(one="new"))
    assert (theirs / "letter.txt").read_text() == "mine"


def test_a_file_that_was_changed_since_is_not_replaced(package: Path) -> None:
    check_target(package)
    (package / "one.txt").write_text("OLD")  # as long as before
    with pytest.raises(FileError, match=r"'one\.txt' in the folder .* is not as it was written"):
        write_folder(package, filler(two="new"))
    assert inside(package) == {"one.txt": "OLD"}
    (package / "one.txt").unlink()
    write_folder(package, filler(two="new"))
    assert inside(package) == {"two.txt": "new"}


def test_a_file_that_comes_meanwhile_is_seen(package: Path) -> None:
    def fill(writer: FolderWriter) -> None:
        writer.put("two.txt", b"new")
        (package / "letter.txt").write_text("mine")

    with pytest.raises(FileError, match=r"holds other files \('letter\.txt'\)"):
        write_folder(package, fill)
    assert inside(package) == {"one.txt": "old", "letter.txt": "mine"}


def test_a_link_is_written_into_what_it_leads_to(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    real.mkdir()
    link.symlink_to(real)
    for text in ("first", "second"):
        write_folder(link, filler(one=text))
        assert link.is_symlink()
        assert inside(real) == {"one.txt": text}
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link", "real"]


def test_a_link_to_nothing_is_refused_before_the_work(tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(tmp_path / "nowhere")
    for target in (link, link / "below"):
        with pytest.raises(FileError, match="is a link that leads to nothing"):
            write_folder(target, lambda writer: pytest.fail("the work has begun"))
    assert [p.name for p in tmp_path.iterdir()] == ["link"]


def test_what_was_put_in_place_is_known_from_the_folder_alone(tmp_path: Path) -> None:
    out = tmp_path / "package"
    assert stamp_of(out) is None
    assert written_since(out, None) == ()
    write_folder(out, filler(one="first", two="first"))
    assert sorted(written_since(out, None)) == [CONTENTS, "one.txt", "two.txt"]
    before = stamp_of(out)
    assert written_since(out, before) == ()
    os.utime(out / CONTENTS)  # as programs do that keep copies
    assert written_since(out, before) == ()
    write_folder(out, filler(one="second", two="first"))
    assert len(written_since(out, before)) == 3
    (out / "two.txt").unlink()
    with pytest.raises(FileError, match="is not whole"):
        written_since(out, before)
    (out / "one.txt").write_text("other")
    with pytest.raises(FileError, match="not as it was written"):
        written_since(out, before)
    # a folder of somebody else is none that was written
    other = tmp_path / "other"
    other.mkdir()
    assert written_since(other, None) == ()
