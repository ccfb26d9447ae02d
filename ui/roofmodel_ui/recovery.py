"""Unsaved work outlives the program: a working copy a few seconds old at most, and the question
at the next start. Also the hold on the project's file, by which two windows notice each other."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QObject, QStandardPaths, QTimer, Signal

from roofmodel.document import Project
from roofmodel.document.begun import Begun
from roofmodel.errors import RoofmodelError
from roofmodel_io.file_lock import BEAT_S, FileLock, Owner, lock_of, take
from roofmodel_io.working_copy import FileMark, Leftover, WorkingCopy, leftovers, mark_of
from roofmodel_ui.session import Session

COPY_S = 1.0
"""How long after the first change that is not copied yet the copy is written: well below 5 s."""
AGAIN_S = 4.0
"""When it is tried again after it failed."""


def data_folder() -> Path:
    """The folder of the user's that holds what the program keeps."""
    kind = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(kind))


def spare_folder() -> Path:
    """Where temporary files go."""
    return Path(tempfile.gettempdir())


def unsaved_folders() -> tuple[Path, ...]:
    """Where unsaved work is kept: in the user's data; where that cannot be written, among the
    temporary files."""
    import hashlib  # late: a new project has no unsaved work

    mark = hashlib.sha256(str(data_folder()).encode("utf-8", "replace")).hexdigest()[:12]
    spare = spare_folder() / f"roofmodel unsaved {mark}"
    return data_folder() / "unsaved", spare


def left_behind() -> list[Leftover]:
    """Unsaved work of windows that ended without closing, the newest first."""
    return leftovers(unsaved_folders())


class _Work(NamedTuple):
    """What is to be copied aside: documents never change, so it is handed over as it is."""

    project: Project
    pictures: dict[str, bytes]
    path: Path | None
    edition: int
    mark: FileMark | None
    begun: tuple[Begun, ...]


class Keeper(QObject):
    """Writes the working copy of one window; `begun` says what is being drawn in it.

    A thread of its own waits and writes: timers of the window's would stand still while
    something long, such as the 3D view's start, holds the window up.
    """

    _written = Signal(str)

    def __init__(
        self, session: Session, hold: Hold, begun: Callable[[], tuple[Begun, ...]],
        parent: QObject | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.session, self.hold, self.begun = session, hold, begun
        self._begun: tuple[Begun, ...] = ()
        self._news = threading.Condition()
        self._work: _Work | None = None
        self._closed = False
        self._thread: threading.Thread | None = None
        self.failed = False
        self._written.connect(self._after)

    @cached_property
    def copy(self) -> WorkingCopy:
        """Where the work is copied to, from the first change on."""
        return WorkingCopy(unsaved_folders())

    def changed(self) -> None:
        """The project changed, or what is being drawn."""
        session, self._begun = self.session, self.begun()
        if session.is_saved() and not self._begun:
            self.drop()  # after undo or redo too: what was copied aside is out of date
            return
        work = _Work(
            session.project, session.used_pictures(), session.path, self.copy.edition,
            self.hold.mark, self._begun,
        )  # fmt: skip
        with self._news:
            self._work = work
            self._news.notify()
        if self._thread is None:
            self._thread = threading.Thread(target=self._keep, daemon=True)
            self._thread.start()

    def look(self) -> None:
        """A tool did something: what is being drawn is copied aside if it changed."""
        if self.begun() != self._begun:
            self.changed()

    def write_now(self) -> bool:
        """Write at once, and wait for it; whether it worked."""
        session = self.session
        try:
            self.copy.write(
                session.project, session.used_pictures(), session.path, mark=self.hold.mark,
                begun=self.begun(),
            )  # fmt: skip
        except RoofmodelError as error:
            self._after(str(error))
            self.changed()
            return False
        self._after("")
        return True

    def drop(self) -> None:
        """The work is saved or given up."""
        with self._news:
            self._work = None
        self.copy.drop()

    def close(self) -> None:
        """The window closes, and nothing is to be kept."""
        with self._news:
            self._work, self._closed = None, True
            self._news.notify()
        self.copy.close()

    def _keep(self) -> None:
        """The thread: a moment after a change, write what there is by then."""
        wait = COPY_S
        while True:
            with self._news:
                self._news.wait_for(lambda: self._closed or self._work is not None)
                self._news.wait_for(lambda: self._closed, wait)
                if self._closed:
                    return
                work, self._work = self._work, None
            if work is None:  # saved meanwhile
                continue
            failure = self._write(work)
            wait = AGAIN_S if failure else COPY_S
            with self._news:
                if failure and self._work is None and work.edition == self.copy.edition:
                    self._work = work
            try:
                self._written.emit(failure)
            except RuntimeError:
                return  # the window is gone

    def _write(self, work: _Work) -> str:
        try:
            self.copy.write(*work)
        except RoofmodelError as error:
            return str(error)
        except Exception as error:  # the thread must go on, whatever happens
            return f"{type(error).__name__}."
        return ""

    def _after(self, failure: str) -> None:
        if failure and not self.failed:
            self.session.message.emit(
                f"Unsaved work could not be copied aside: {failure} Save the project; the"
                " copy is tried again meanwhile.",
                True,
            )
        self.failed = bool(failure)


class Hold(QObject):
    """The hold on the file of the window's project, and what the file was like when it was last
    read or written here."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lock: FileLock | None = None
        self._path: Path | None = None
        self.mark: FileMark | None = None
        """What the file was like when it was last read or written here."""
        self._beat = QTimer(self, interval=int(BEAT_S * 1000))
        self._beat.timeout.connect(self._say_alive)
        self._beat.start()

    def try_for(self, path: Path) -> FileLock | Owner | None:
        """The lock of a file, its owner if another window has it, None if it is held here or
        cannot be."""
        if self._path is not None and lock_of(self._path) == lock_of(path):
            return None
        return take(lock_of(path))

    def keep(self, path: Path | None, lock: FileLock | None = None) -> None:
        """From now on the project is in this file (None: in none)."""
        same = path is not None and self._path is not None and lock_of(path) == lock_of(self._path)
        if not same:
            if self._lock is not None:
                self._lock.release()
            self._lock = lock
        self._path, self.mark = path, mark_of(path)

    def changed_elsewhere(self) -> bool:
        """Whether somebody else wrote the file since."""
        now = mark_of(self._path)
        return now is not None and now != self.mark

    def _say_alive(self) -> None:
        if self._lock is not None:
            self._lock.beat()


def when(seconds: float) -> str:
    """A moment as people say it: "today at 14:02"."""
    moment, now = datetime.fromtimestamp(seconds), datetime.now()
    days = (now.date() - moment.date()).days
    day = {0: "today", 1: "yesterday"}.get(days, f"on {moment:%B} {moment.day}, {moment.year}")
    return f"{day} at {moment:%H:%M}"
