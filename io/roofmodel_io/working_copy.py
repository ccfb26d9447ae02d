"""Unsaved work, kept beside the program's settings so that nothing ends it but its owner.

Every window has a folder of its own::

    <root>/<name of the folder>/
        in use              locked while the window lives (roofmodel_io.file_lock)
        about.json          where the project is saved, if it is, what that file was like when
                            it was last read or written, and the project's name
        copy.roof           the project; in the place of each picture stands its fingerprint
        pictures/<fingerprint>
        begun.json          what is being drawn and no project holds yet, if anything is

Pictures are large and never change, so each is written once; `copy.roof` is small and replaced
whole by every write. A folder with a copy whose lock nobody holds is left from a program that
ended without closing: `leftovers` finds those, and the next start offers them.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import shutil
import stat
import sys
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

import msgspec

from roofmodel.document import Project
from roofmodel.document.begun import Begun
from roofmodel.errors import FileError, NotAProject, RoofmodelError
from roofmodel_io.atomic import make_folder, read_whole, write_whole
from roofmodel_io.file_lock import FileLock, take
from roofmodel_io.project_file import Opened, decode_project, encode_project

_LOCK, _ABOUT, _COPY, _PICTURES = "in use", "about.json", "copy.roof", "pictures"
_BEGUN: Final = "begun.json"
_SMALL: Final = 64 * 2**20
_PICTURE_LIMIT: Final = 256 * 2**20


class FileMark(NamedTuple):
    """What a file was like: when it was changed (nanoseconds of the epoch), its size in bytes."""

    changed: int
    size: int


def mark_of(path: Path | None) -> FileMark | None:
    """What a file is like now; None if there is none."""
    try:
        facts = None if path is None else path.stat()
    except (OSError, ValueError):
        return None
    return None if facts is None else FileMark(facts.st_mtime_ns, facts.st_size)


class WorkingCopy:
    """The unsaved work of one window. `write` may be called from any thread.

    `roots` are folders to keep it in, the best first: where one cannot be written the next is
    tried, so that a full disk or a folder that became read-only loses nothing.
    """

    def __init__(self, roots: Sequence[Path]) -> None:
        self._roots = tuple(roots)
        self._name = f"{time.strftime('%Y%m%d-%H%M%S')}-{os.urandom(4).hex()}"
        self._guard = threading.Lock()
        self._edition = 0
        self._locks: dict[Path, FileLock | None] = {}
        self._about: dict[Path, bytes] = {}
        self._begun: dict[Path, bytes] = {}
        self._prints: dict[str, tuple[bytes, str]] = {}

    @property
    def edition(self) -> int:
        """Number that a `write` must bring: it is out of date after the next `drop`."""
        return self._edition

    def folders(self) -> tuple[Path, ...]:
        """Folders that were made for this window."""
        return tuple(self._locks)

    def write(
        self,
        project: Project,
        pictures: Mapping[str, bytes],
        saved_as: Path | None,
        edition: int | None = None,
        mark: FileMark | None = None,
        begun: Sequence[Begun] = (),
    ) -> bool:
        """Put the project in place of the last copy; False if it was dropped meanwhile.

        `mark` is what the file `saved_as` was like when it was last read or written here, `begun`
        what is being drawn.
        FileError, in one sentence, if none of the folders can be written; the last copy stays.
        """
        with self._guard:
            if edition is not None and edition != self._edition:
                return False
            reasons: list[FileError] = []
            for root in self._roots:
                folder = root / self._name
                try:
                    _make_private(root)
                    self._write_in(folder, project, pictures, saved_as, mark)
                    self._write_begun(folder, begun)
                except FileError as error:
                    reasons.append(error)
                    continue
                for other in self._locks:
                    if other != folder:
                        _remove_copy(other)  # older than the one just written
                return True
            raise reasons[0] if reasons else FileError("There is no folder for unsaved work.")

    def drop(self) -> None:
        """The work is saved or given up: no copy is left, and writes on their way are void."""
        with self._guard:
            self._edition += 1
            for folder in self._locks:
                _remove_copy(folder)

    def close(self) -> None:
        """Drop the copy, and all that was made for it."""
        self.drop()
        with self._guard:
            for folder, lock in self._locks.items():
                if lock is not None:
                    lock.release()
                shutil.rmtree(folder, ignore_errors=True)
            self._locks.clear()

    def _write_in(
        self,
        folder: Path,
        project: Project,
        pictures: Mapping[str, bytes],
        saved_as: Path | None,
        mark: FileMark | None,
    ) -> None:
        make_folder(folder / _PICTURES)
        if self._locks.get(folder) is None:
            lock = take(folder / _LOCK)
            self._locks[folder] = lock if isinstance(lock, FileLock) else None
        prints: dict[str, bytes] = {}
        for name, data in pictures.items():
            known = self._prints.get(name)
            if known is None or known[0] is not data:
                known = self._prints[name] = (data, _print_of(data))
            place = folder / _PICTURES / known[1]
            if not _has_size(place, len(data)):
                write_whole(place, data)
            prints[name] = known[1].encode()
        about = json.dumps(
            {
                "path": None if saved_as is None else str(saved_as),
                "mark": mark,
                "name": project.job.name,
                "place": project.job.place,
                "parts": _parts_of(project),
            }
        ).encode("utf-8", "replace")
        if self._about.get(folder) != about or not (folder / _ABOUT).exists():
            write_whole(folder / _ABOUT, about)
            self._about[folder] = about
        write_whole(folder / _COPY, encode_project(project, prints))

    def _write_begun(self, folder: Path, begun: Sequence[Begun]) -> None:
        # After the copy: a ring that has just become a part is rather there twice than not.
        place = folder / _BEGUN
        if not begun:
            with contextlib.suppress(OSError):
                place.unlink(missing_ok=True)
            return
        data = msgspec.json.encode(begun)
        if self._begun.get(folder) != data or not place.exists():
            write_whole(place, data)
            self._begun[folder] = data


@dataclass(frozen=True, slots=True)
class Leftover:
    """Work that a program left when it ended without closing: what it is called, where it was
    saved before (if it was), when the copy was written (seconds of the epoch), the place of the
    job, how many parts it has, and what the file was like when that window last read or wrote it
    (None each if that is not known); and what was being drawn. Nobody else is offered it until
    `release` or `remove`."""

    folder: Path
    name: str
    saved_as: Path | None
    written: float
    lock: FileLock
    place: str = ""
    parts: int | None = None
    mark: FileMark | None = None
    begun: tuple[Begun, ...] = ()

    def read(self) -> Opened:
        """The project and its pictures; FileError or NotAProject in one sentence."""
        opened = decode_project(read_whole(self.folder / _COPY, _SMALL), self.name)
        pictures: dict[str, bytes] = {}
        for name, mark in opened.pictures.items():
            data = read_whole(self.folder / _PICTURES / mark.decode("ascii"), _PICTURE_LIMIT)
            if _print_of(data).encode() != mark:
                raise NotAProject(f"The picture '{name}' of the unsaved work is damaged.")
            pictures[name] = data
        return Opened(opened.project, pictures)

    def is_older_than_saved(self) -> bool:
        """Whether the project's file was saved after the copy was written."""
        try:
            return self.saved_as is not None and self.saved_as.stat().st_mtime > self.written
        except (OSError, ValueError):
            return False

    def release(self) -> None:
        """Leave it for a later start."""
        self.lock.release()

    def remove(self) -> None:
        """Throw it away."""
        _remove_copy(self.folder)
        self.lock.release()
        shutil.rmtree(self.folder, ignore_errors=True)


def leftovers(roots: Sequence[Path]) -> list[Leftover]:
    """Unsaved work that nobody has open, the newest first; folders without any are removed."""
    found: list[Leftover] = []
    for folder in (f for root in roots for f in _folders_in(root)):
        lock = take(folder / _LOCK)
        if not isinstance(lock, FileLock):
            continue
        try:
            written = (folder / _COPY).stat().st_mtime
        except OSError:
            lock.release()
            shutil.rmtree(folder, ignore_errors=True)
            continue
        about = _about(folder)
        found.append(
            Leftover(
                folder, about.name, about.saved_as, written, lock,
                about.place, about.parts, about.mark, _begun_in(folder),
            )
        )  # fmt: skip
    return sorted(found, key=lambda left: left.written, reverse=True)


class _About(NamedTuple):
    name: str = "Unsaved work"
    saved_as: Path | None = None
    place: str = ""
    parts: int | None = None
    mark: FileMark | None = None


def _about(folder: Path) -> _About:
    """What is known of a copy; what is damaged or, from older builds, missing is left open."""
    try:
        content = json.loads(read_whole(folder / _ABOUT, _SMALL))
    except (RoofmodelError, ValueError, RecursionError):
        return _About()
    if not isinstance(content, dict):
        return _About()
    name, place = _text(content.get("name")), _text(content.get("place"))
    path, parts, mark = content.get("path"), content.get("parts"), None
    match content.get("mark"):
        case [int(changed), int(size)]:
            mark = FileMark(changed, size)
    # A path may hold bytes that are no text: the system gives those back as it needs them.
    saved_as = Path(path) if isinstance(path, str) and path and "\0" not in path else None
    return _About(
        name or _About().name,
        saved_as,
        place or "",
        parts if type(parts) is int and parts >= 0 else None,
        None if saved_as is None else mark,
    )


def _begun_in(folder: Path) -> tuple[Begun, ...]:
    """What was being drawn; nothing where that is damaged or, as mostly, there was nothing."""
    try:
        data = read_whole(folder / _BEGUN, _SMALL) if (folder / _BEGUN).exists() else b"[]"
        begun = msgspec.json.decode(data, type=tuple[Begun, ...])
    except (RoofmodelError, msgspec.MsgspecError, RecursionError, OSError, ValueError):
        return ()
    finite = (b for b in begun if all(math.isfinite(x) for c in b.corners for x in c))
    return tuple(b for b in finite if b.corners)


def _text(value: object) -> str | None:
    """Text that can be shown, in one line; None if it is none."""
    if not isinstance(value, str):
        return None
    shown = value.encode("utf-8", "replace").decode("utf-8")
    return " ".join("".join(c if c.isprintable() else " " for c in shown).split())


def _make_private(root: Path) -> None:
    """Make the folder of all unsaved work, for nobody else to read; FileError otherwise."""
    make_folder(root.parent)
    with contextlib.suppress(OSError):  # `make_folder` says what is in the way
        root.mkdir(mode=0o700)
    make_folder(root)
    if not _is_ours(root):
        raise FileError(f"The folder '{root}' belongs to somebody else; it is not used.")
    with contextlib.suppress(OSError):  # a disk that knows no owners
        if root.stat().st_mode & 0o077:
            root.chmod(0o700)


def _is_ours(root: Path) -> bool:
    """Whether nobody else can have made the folder: among temporary files, anybody could."""
    if sys.platform == "win32":  # there, temporary files are each user's own
        return True
    try:
        if not root.parent.stat().st_mode & stat.S_IWOTH:
            return True
        facts = root.lstat()
    except OSError:
        return False
    return stat.S_ISDIR(facts.st_mode) and facts.st_uid == os.getuid()


def _parts_of(project: Project) -> int:
    """How many sections, drawn planes and openings there are."""
    return sum(len(b.part_ids()) for b in project.buildings)


def _folders_in(root: Path) -> list[Path]:
    try:
        return sorted(f for f in root.iterdir() if f.is_dir()) if _is_ours(root) else []
    except OSError:
        return []


def _remove_copy(folder: Path) -> None:
    # The copy first: pictures without it are nothing, it without pictures is damaged.
    with contextlib.suppress(OSError):
        (folder / _COPY).unlink(missing_ok=True)
        (folder / _BEGUN).unlink(missing_ok=True)


def _has_size(path: Path, size: int) -> bool:
    try:
        return path.stat().st_size == size
    except OSError:
        return False


def _print_of(data: bytes) -> str:
    """What tells apart what is in a file."""
    import hashlib  # late: nothing is copied when the program starts

    return hashlib.sha256(data).hexdigest()
