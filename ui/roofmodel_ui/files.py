"""Everything the window does with files: open, save, pictures, exports, unsaved work."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from roofmodel.document.begun import Begun
from roofmodel.errors import RoofmodelError
from roofmodel_io.defaults import default_project
from roofmodel_io.file_lock import Owner
from roofmodel_io.project_file import read_project, write_project
from roofmodel_io.systems_toml import read_system
from roofmodel_io.working_copy import Leftover
from roofmodel_ui import recent
from roofmodel_ui.recovery import Hold, Keeper, left_behind, when
from roofmodel_ui.system_files import SYSTEM_FILTER, take_system

if TYPE_CHECKING:
    from roofmodel_ui.export_tasks import Kind
    from roofmodel_ui.exporting import Exporting
    from roofmodel_ui.tools.trace import TraceTool
    from roofmodel_ui.underlay_files import UnderlayFiles
    from roofmodel_ui.window import MainWindow

PROJECT_FILTER = "Roof projects (*.roof)"
ROOM_MM = 20_000.0
"""How much of the plan is shown at least around what is to be drawn on."""


class Files(QObject):
    """File commands of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self._underlays: UnderlayFiles | None = None
        self._exports: Exporting | None = None
        self.hold = Hold(self)
        self.keeper = Keeper(self.session, self.hold, self._begun_rings, self)
        # Not project_changed: while a command runs, Qt does not count the project as changed yet.
        self.session.undo_stack.indexChanged.connect(self.keeper.changed)

    @property
    def underlays(self) -> UnderlayFiles:
        """What reads and draws pictures, plans and drawings; made with the first of them."""
        if self._underlays is None:
            # all that reads pictures comes with it
            from roofmodel_ui.underlay_files import UnderlayFiles

            self._underlays = UnderlayFiles(self.window)
        return self._underlays

    @property
    def exports(self) -> Exporting:
        """What writes tables and drawings in the background; made with the first of them."""
        if self._exports is None:
            from roofmodel_ui.exporting import Exporting

            self._exports = Exporting(self.session, self)
            self._exports.changed.connect(self._say_writing)
        return self._exports

    def _say_writing(self) -> None:
        """What is being written, until it is."""
        if names := ", ".join(self.exports.writing):
            self.window.notice.say(f"Writing {names} …", False, ("Cancel", self.exports.cancel))

    def new(self) -> None:
        """Start a new project."""
        if self.may_leave():
            self.hold.keep(None)
            self.session.open(default_project(), None)
            self._opened()

    def open(self) -> None:
        """Ask for a project and open it."""
        if not self.may_leave():
            return
        start = str(recent.folder())
        name, _ = QFileDialog.getOpenFileName(self.window, "Open", start, PROJECT_FILTER)
        if name:
            self.open_path(Path(name))

    def open_recent(self, path: Path) -> None:
        """Open a file of the menu of recent files."""
        if self.may_leave() and not self.open_path(path) and not path.exists():
            recent.forget(path)

    def open_path(self, path: Path) -> bool:
        """Open a project; if it cannot be, say why and keep what is there.

        What another window has open is opened as a copy, if that is wanted.
        """
        lock = self.hold.try_for(path) if path.is_file() else None
        if isinstance(lock, Owner):
            return self._open_copy(path, lock)

        def read() -> None:
            opened = read_project(path)
            self.session.open(opened.project, path, opened.pictures)

        if not self._say(read):
            if lock is not None:
                lock.release()
            return False
        self.hold.keep(path, lock)
        recent.remember(path)
        self._opened()
        return True

    def _open_copy(self, path: Path, owner: Owner) -> bool:
        where = "in another window" if owner.is_here() else f"on the computer '{owner.computer}'"
        if not ask(
            self.window, "Open already",
            f"{path.name} is open {where} since {when(owner.since)}. Open a copy of it, to be"
            " saved under another name?", "Open a copy",
        ):  # fmt: skip
            return False

        def read() -> None:
            opened = read_project(path)
            self.session.open(opened.project, None, opened.pictures)

        if not self._say(read):
            return False
        self.hold.keep(None)
        self._opened(saved=False)
        return True

    def _opened(self, *, saved: bool = True) -> None:
        """Another project is open: only now is what was given up for it really gone."""
        self.keeper.drop()
        for tool in self._begun():
            tool.cancel()
        if not saved:
            self.session.undo_stack.resetClean()
        self.window.after_open()

    def save(self) -> bool:
        """Save where the project came from, or ask."""
        return self.save_as() if self.session.path is None else self.save_path(self.session.path)

    def save_as(self) -> bool:
        """Ask where to save."""
        name = self._ask_where("Save as", self._file_name(".roof"), PROJECT_FILTER, ".roof")
        return name is not None and self.save_path(name)

    def save_path(self, path: Path) -> bool:
        """Save to a path; whether it worked. Whatever fails, unsaved work stays copied aside."""
        session = self.session
        lock = self.hold.try_for(path)
        if isinstance(lock, Owner):
            session.message.emit(
                f"{path.name} is open in another window; save under another name.", True
            )
            return False
        if (
            session.path == path
            and self.hold.changed_elsewhere()
            and not self._may_overwrite(path)
        ):
            return False
        if not self._say(lambda: write_project(path, session.project, session.used_pictures())):
            if lock is not None:
                lock.release()
            self.keeper.changed()
            return False
        session.path = path
        self.hold.keep(path, lock)
        session.undo_stack.setClean()
        self.keeper.changed()
        recent.remember(path)
        session.message.emit(f"Saved as {path.name}.", False)
        self.window.refresh()
        return True

    def _may_overwrite(self, path: Path) -> bool:
        return ask(
            self.window, "The file was changed",
            f"{path.name} was changed by another program or in another window since this work on"
            " it was begun. Replace it by what is in this window?", "Replace it",
        )  # fmt: skip

    def load_picture(self) -> None:
        """Ask for a picture, a plan or a drawing and put it under the roof."""
        self.underlays.ask()

    def load_picture_path(self, path: Path) -> bool:
        """Put a picture, a plan or a drawing under the roof; whether it could be read."""
        done = self.underlays.load_path(path)
        if done:
            self.window.after_picture()
        return done

    def add_system(self) -> None:
        """Ask for the file of a roofing system and add it to the job."""
        name, _ = QFileDialog.getOpenFileName(self.window, "Roofing system", "", SYSTEM_FILTER)
        if name:
            self.add_system_path(Path(name))

    def add_system_path(self, path: Path) -> bool:
        """Add the roofing system in a file to the job."""

        def add() -> None:
            take_system(self.session, read_system(path))

        return self._say(add)

    def export_dxf(self) -> None:
        """Ask where, and write the roof plan."""
        self._export("Roof plan", "dxf", "DXF drawings (*.dxf)")

    def export_field(self) -> None:
        """Ask where, and write the sheet of what to measure on the house."""
        path = self._ask_where(
            "Field sheet", self._file_name(".pdf"), "PDF documents (*.pdf)", ".pdf"
        )
        if path is not None:
            self.window.show_stage("Count")
            self.window.side.count.show_list("How sure")
            self.window.side.count.money.sure.write_field_sheet(path)

    def export_quantities(self) -> None:
        """Ask where, and write the take-off as data."""
        self._export("Quantities", "json", "JSON (*.json)")

    def export_csv(self) -> None:
        """Ask where, and write the quantities for a spreadsheet."""
        self._export("Quantities", "csv", "CSV tables (*.csv)")

    def export_xlsx(self) -> None:
        """Ask where, and write the whole take-off as a workbook."""
        self._export("Take-off", "xlsx", "XLSX workbooks (*.xlsx)")

    def export_picture(self) -> None:
        """Ask where, and write the 3D picture as it would come from the command line."""
        self._export("3D picture", "png", "PNG pictures (*.png)")

    def may_leave(self) -> bool:
        """Ask what to do with unsaved work; False keeps the project open.

        The working copy stays until another project is open or the window closes: what comes
        next may be cancelled yet.
        """
        begun = " and ".join(f"the unfinished {tool.thing}" for tool in self._begun())
        if self.session.is_saved():
            return not begun or ask(
                self.window, "Unfinished drawing",
                f"What was begun is not part of the project yet and would be lost: {begun}."
                " Give it up?", "Give it up",
            )  # fmt: skip
        sentence = "Save the changes to this project first?"
        if begun:
            sentence += f" What is not part of it yet is lost either way: {begun}."
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self.window, "Unsaved changes", sentence,
            buttons.Save | buttons.Discard | buttons.Cancel, buttons.Save,
        )  # fmt: skip
        return self.save() if answer == buttons.Save else answer == buttons.Discard

    def _begun(self) -> list[TraceTool]:
        """The tools with something begun that they keep, which no project holds yet."""
        kept = [tool for tool in self.window.tools.made() if tool.kept()]
        if not kept:
            return []
        from roofmodel_ui.tools.trace import TraceTool  # late, as the tools are

        return [tool for tool in kept if isinstance(tool, TraceTool)]

    def _begun_rings(self) -> tuple[Begun, ...]:
        return tuple(tool.begun_ring() for tool in self._begun())

    def _draw_on(self, begun: Sequence[Begun]) -> None:
        """Have the tools go on with what was being drawn."""
        from roofmodel_ui.tools.trace import TraceTool

        for ring in begun:
            tool = self.window.tools.get(ring.thing)
            if isinstance(tool, TraceTool):
                tool.draw_on(ring)

    def offer_copies(self) -> None:
        """If work was left unsaved by a window that ended without closing, offer to go on."""
        if left := left_behind():
            from roofmodel_ui.recovery_dialog import offer  # late, as `ask` is

            offer(self, left)

    def left_behind(self) -> list[Leftover]:
        """Unsaved work that nobody has open, the newest first."""
        return left_behind()

    def go_on_with(self, left: Leftover) -> bool:
        """Take up unsaved work; it is copied aside anew before what was left goes away."""
        path = left.saved_as
        lock = None if path is None else self.hold.try_for(path)
        if isinstance(lock, Owner):
            path = lock = None  # open in another window: to be saved under another name

        def read() -> None:
            opened = left.read()
            self.session.open(opened.project, path, opened.pictures)

        if not self._say(read):
            left.release()
            if lock is not None:
                lock.release()
            return False
        self.hold.keep(path, lock)
        if left.mark is not None or left.is_older_than_saved():
            self.hold.mark = left.mark  # the work began with the file as it was then
        self.session.undo_stack.resetClean()
        self._draw_on(left.begun)
        if self.keeper.write_now():
            left.remove()
        self.window.after_open()
        if begun := self._begun():
            self.window.use_tool(begun[0].thing)
            self.window.plan.show_places(begun[0].corners, ROOM_MM)
            sentence = f"The {begun[0].thing} goes on where it stopped."
            self.session.message.emit(sentence, False)
        return True

    def close(self) -> None:
        """The window closes; nothing is unsaved any more."""
        self.keeper.close()
        self.hold.keep(None)
        if self._exports is not None:
            self._exports.finish()
        self.session.planning.shut_down()
        self.window.side.shut_down()
        if self._underlays is not None:
            self._underlays.supply.shut_down()

    def _export(self, title: str, kind: Kind, kinds: str) -> None:
        path = self._ask_where(title, self._file_name(f".{kind}"), kinds, f".{kind}")
        if path is None:
            return
        if kind in ("dxf", "png"):
            self.exports.write(path, kind)
        else:
            # no estimate leaves the program: what to cut from which length is worked out first
            self.session.planning.then(path.name, lambda: self.exports.write(path, kind))

    def _ask_where(self, title: str, name: str, kinds: str, suffix: str) -> Path | None:
        chosen, _ = QFileDialog.getSaveFileName(self.window, title, name, kinds)
        if not chosen:
            return None
        path = Path(chosen)
        if path.name.lower().endswith(suffix):
            return path
        # Added, not put in place of another: "house 1.2" has no suffix.
        path = path.with_name(path.name + suffix)
        return path if not path.exists() or self._may_replace(path) else None

    def _may_replace(self, path: Path) -> bool:
        """Ask, since the dialog asked about the name as it was typed."""
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self.window, "Replace the file?", f"{path.name} exists already. Replace it?",
            buttons.Yes | buttons.No, buttons.No,
        )  # fmt: skip
        return answer == buttons.Yes

    def _file_name(self, suffix: str) -> str:
        folder = self.session.path.parent if self.session.path else recent.folder()
        stem = self.session.path.stem if self.session.path else self.session.project.job.name
        clean = "".join(c for c in stem if c not in '/\\:*?"<>|').strip() or "roof"
        return str(folder / f"{clean}{suffix}")

    def _say(self, work: Callable[[], object]) -> bool:
        try:
            work()
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return False
        return True


def ask(parent: QWidget, title: str, sentence: str, yes: str) -> bool:
    """Ask one question; whether the answer is `yes`, and not to leave all as it is."""
    from roofmodel_ui.recovery_dialog import ask  # late: a window that opens asks nothing

    return ask(parent, title, sentence, yes)
