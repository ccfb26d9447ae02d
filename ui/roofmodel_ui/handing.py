"""What the window does for the shop: write its package, release revisions, tell what changed.

Both take longer than an edit may: a process of its own does them, one task at a time. Cancelling
ends it, and what it had begun beside the folder goes away with it.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, Protocol

import msgspec
from PySide6.QtCore import QCoreApplication, QDate, QObject, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from roofmodel.document import Project
from roofmodel.document.releases import Difference, ReleasedPiece, differences, released
from roofmodel_ui import recent
from roofmodel_ui.worker import Worker

if TYPE_CHECKING:
    from roofmodel_ui.session import Session
    from roofmodel_ui.shop_tasks import Answer, Package, Task, Told

WORKER: Final = ("-m", "roofmodel_ui.shop_worker")
State = Literal["idle", "comparing", "writing"]
_DIED: Final = "The process that works out the pieces ended by itself."


class Folders(Protocol):
    """What is known of a folder that a package goes to."""

    def stamp_of(self, target: Path) -> str | None:
        """What tells one writing of it from any other."""

    def written_since(self, target: Path, before: str | None) -> tuple[str, ...]:
        """Its files, if it was put in place since."""

    def drop_staging(self, target: Path, token: str) -> Path | None:
        """Take away what a writer that was ended had begun; where the earlier folder lies, if it
        could not be put back."""


class Handing(QObject):
    """`changed` when there is something else to say: `state`; `told`, how far the package is;
    `package`, what was written last; `found`, how the roof differs from the last release (None
    while that is not known); `why_not`, why the pieces of the project as it is are not known and
    not asked for again."""

    changed = Signal()

    def __init__(self, session: Session, folders: Folders) -> None:
        super().__init__(session)
        self._session, self._folders = session, folders
        self.state: State = "idle"
        self.told: Told | None = None
        self.package: Package | None = None
        self._known: tuple[Project, tuple[ReleasedPiece, ...]] | None = None
        self._asked: Project | None = None
        self._refused: tuple[Project, str] | None = None
        self._aside: Path | None = None
        self._wants_release = False
        self._wants_compare = False
        self._worker = Worker(self)
        self._worker.answered.connect(self._read)
        self._worker.failed.connect(self._failed)
        self._folder, self._token = Path(), ""
        self._before: str | None = None
        session.opened.connect(self._opened)
        if (app := QCoreApplication.instance()) is not None:
            app.aboutToQuit.connect(self.shut_down)

    @property
    def found(self) -> tuple[Difference, ...] | None:
        """How the roof differs from the last release; None while that is not known."""
        releases, pieces = self._session.project.releases, self._pieces()
        if not releases or pieces is None:
            return None
        return differences(releases[-1].pieces, pieces)

    @property
    def why_not(self) -> str:
        """Why there are no pieces of the project as it is, in a sentence; "" while nothing speaks
        against them."""
        from roofmodel_ui.shop_tasks import what_is_cut

        if self._refused is None:
            return ""
        project, why = self._refused
        return why if project == what_is_cut(self._session.project) else ""

    def compare(self) -> None:
        """Find out how the roof differs from the last release, if there is one. What could not be
        found out is not asked again before the project is another."""
        if not self._session.project.releases or self._pieces() is not None or self.why_not:
            return
        if self.state == "writing":
            self._wants_compare = True  # after that
        elif self._asked != self._session.project:
            self._ask_pieces()

    def release(self) -> None:
        """Number what is there now as a revision."""
        pieces = self._pieces()
        if pieces is None:
            why = self.why_not
            if why and why != _DIED:  # it would be refused again
                self._session.message.emit(f"Not released: {why}", True)
                return
            self._wants_release = True
            if self.state != "writing":
                self._ask_pieces()
            return
        self._wants_release = False
        if self.found == ():
            last = self._session.project.releases[-1]
            self._session.message.emit(
                f"Nothing has changed since revision {last.number} of {last.date}.", False
            )
            return
        today = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        self._known = None  # an edit is about to change what is known of
        if self._session.attempt("Release", lambda p: released(p, pieces, today)):
            number = self._session.project.releases[-1].number
            self._session.message.emit(
                f"Revision {number} of {today} is released: save the project to keep it.", False
            )
        self._known = (self._bare(), pieces)
        self.changed.emit()

    def ask_where(self, parent: QWidget) -> None:
        """Ask for a folder and write the package into one of its own there."""
        chosen = QFileDialog.getExistingDirectory(
            parent, "Where to put the folder for shop and crew", str(self._home())
        )
        if chosen:
            self.write(Path(chosen) / self.folder_name())

    def folder_name(self) -> str:
        """What the folder is called: with the revision, if what is there now was released, so
        that the package of an earlier one stays."""
        path, name = self._session.path, self._session.project.job.name
        stem = path.stem if path is not None else name
        clean = "".join(c for c in stem if c not in '/\\:*?"<>|').strip(" .") or "roof"
        releases = self._session.project.releases
        revision = f", revision {releases[-1].number}" if self.found == () else ""
        return f"{clean} for shop and crew{revision}"

    def write(self, folder: Path) -> None:
        """Write the package into a folder, whole or not at all."""
        from roofmodel_ui.shop_tasks import PackageTask

        self._end_process()
        self._folder, self._token = folder, os.urandom(4).hex()
        self._before = self._folders.stamp_of(folder)
        self.told = self.package = None
        self._ask("writing", PackageTask(self._bare(), str(folder), self._token))

    def cancel(self) -> None:
        """Leave the package unwritten."""
        if self.state != "writing":
            return
        self._end_process()
        self._enter("idle")
        said = "Cancelled: nothing was written.", False
        if self._aside is not None:
            said = f"Cancelled, but {self._where_aside()}.", True
        self._session.message.emit(*self._in_place("Too late to cancel:") or said)
        self._go_on()

    def shut_down(self) -> None:
        """The window closes."""
        self._end_process()
        self.state = "idle"

    def _opened(self) -> None:
        """Another project: what is known is about the one before."""
        if self.state == "comparing":
            self._end_process()
            self.state = "idle"
        self.package = None
        self._known = self._asked = self._refused = None
        self._wants_release = self._wants_compare = False
        self.changed.emit()

    def _home(self) -> Path:
        path = self._session.path
        return path.parent if path is not None else recent.folder()

    def _bare(self) -> Project:
        """The project without what changes no piece."""
        from roofmodel_ui.shop_tasks import without_pictures

        return without_pictures(self._session.project)

    def _pieces(self) -> tuple[ReleasedPiece, ...] | None:
        """The pieces of the project as it is, if they are known."""
        from roofmodel_ui.shop_tasks import what_is_cut

        if self._known is None:
            return None
        project, pieces = self._known
        now = self._session.project
        same = project == now or what_is_cut(project) == what_is_cut(now)
        return pieces if same else None

    def _ask_pieces(self) -> None:
        from roofmodel_ui.shop_tasks import PiecesTask

        self._end_process()
        self._ask("comparing", PiecesTask(self._bare()))

    def _ask(self, state: State, task: Task) -> None:
        self._asked = self._session.project
        self._worker.send(WORKER, task)
        self._enter(state)

    def _enter(self, state: State) -> None:
        self.state = state
        if state == "idle":
            self._asked = None
        self.changed.emit()

    def _read(self, line: bytes) -> None:
        from roofmodel_ui.shop_tasks import Answer

        self._take(msgspec.json.decode(line, type=Answer))

    def _take(self, answer: Answer) -> None:
        from roofmodel_ui.shop_tasks import Package, Pieces, Refused, Told

        if isinstance(answer, Told):
            self.told = answer
            self.changed.emit()
            return
        if isinstance(answer, Pieces):
            asked = self._asked
            if asked is not None:
                self._known = (asked, answer.pieces)
        elif isinstance(answer, Package):
            self.package = answer
            name = Path(answer.folder).name
            self._session.message.emit(f"Written to the folder '{name}'.", False)
        elif isinstance(answer, Refused) and self.state == "comparing":
            self._no_pieces(answer.sentence)
        elif isinstance(answer, Refused):
            self._session.message.emit(answer.sentence, True)
        self._enter("idle")
        self._go_on()

    def _go_on(self) -> None:
        """What was wanted while something else was done."""
        if self._wants_release:
            self.release()
        elif self._wants_compare:
            self._wants_compare = False
            self.compare()

    def _no_pieces(self, why: str) -> None:
        """Keep for which project there are none, and why. It is only said aloud to who waits."""
        from roofmodel_ui.shop_tasks import what_is_cut

        if self._asked is not None:
            self._refused = what_is_cut(self._asked), why
        if self._wants_release:
            again = " Try again." if why == _DIED else ""
            self._session.message.emit(f"Not released: {why}{again}", True)
        self._wants_release = False

    def _failed(self) -> None:
        """No process can be had, or it ended by itself."""
        state = self.state
        if state == "comparing":
            self._no_pieces(_DIED)
        self._end_process()
        self._enter("idle")
        if state == "writing":
            name = self._folder.name
            is_left = self._before is not None and self._folder.is_dir()
            kept = f"the folder '{name}' is as it was" if is_left else "nothing was"
            if self._aside is not None:
                kept = self._where_aside()
            said = f"The package could not be written, and {kept}: try again.", True
            self._session.message.emit(
                *self._in_place("The process that wrote the package was stopped, but") or said
            )
            self._go_on()

    def _where_aside(self) -> str:
        """Where the earlier folder lies that could not be put back."""
        name = self._aside.name if self._aside is not None else ""
        return f"the folder of before could not be put back and lies in '{name}' beside it"

    def _in_place(self, begins: str) -> tuple[str, bool] | None:
        """What is to be said where a process that was ended had put the package in its place
        before it could tell, and whether it is bad news; None where it had not."""
        from roofmodel.errors import FileError

        name = self._folder.name
        try:
            count = len(self._folders.written_since(self._folder, self._before))
        except FileError:
            return f"The folder '{name}' is not whole: write the package to another.", True
        if not count:
            return None
        return f"{begins} all {count} files of it are in the folder '{name}'.", False

    def _end_process(self) -> None:
        self._worker.end()
        self._asked = None
        if self._token:
            self._aside = self._folders.drop_staging(self._folder, self._token)
            self._token = ""
