"""Everything the window does with files: open, save, pictures, exports, the working copy."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QRunnable, QStandardPaths, QThreadPool, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox

from roofmodel.document import Project, Underlay
from roofmodel.document.cover_edits import add_system
from roofmodel.document.edits import add_underlay
from roofmodel.errors import FileError, RoofmodelError
from roofmodel_io.defaults import default_project
from roofmodel_io.dxf_plan import write_plan_dxf
from roofmodel_io.pictures import read_picture
from roofmodel_io.project_file import read_project, write_project
from roofmodel_io.systems_toml import read_system
from roofmodel_io.takeoff_json import write_takeoff_json
from roofmodel_io.takeoff_tables import write_takeoff_csv, write_takeoff_xlsx

if TYPE_CHECKING:
    from roofmodel_ui.window import MainWindow

PROJECT_FILTER = "Roof projects (*.roof)"
SYSTEM_FILTER = "Roofing systems (*.toml)"
PICTURE_FILTER = "Pictures (*.png *.jpg *.jpeg)"
AUTOSAVE_MS = 3000
FIRST_WIDTH_MM = 30_000.0
"""A picture without a scale is shown this wide, about the size of a house."""


def working_copy() -> Path:
    """Where unsaved work is kept."""
    kind = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(kind)) / "unsaved work.roof"


class Files(QObject):
    """File commands of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self._autosave = QTimer(self, interval=AUTOSAVE_MS, singleShot=True)
        self._autosave.timeout.connect(self._write_copy)
        # Not project_changed: while a command runs, Qt does not count the project as changed yet.
        self.session.undo_stack.indexChanged.connect(self._changed)

    def new(self) -> None:
        """Start a new project."""
        if self.may_leave():
            self.session.open(default_project(), None)
            self.window.after_open()

    def open(self) -> None:
        """Ask for a project and open it."""
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(self.window, "Open", "", PROJECT_FILTER)
        if name:
            self.open_path(Path(name))

    def open_path(self, path: Path) -> bool:
        """Open a project; if it cannot be, say why and keep what is there."""

        def read() -> None:
            opened = read_project(path)
            self.session.open(opened.project, path, opened.pictures)

        done = self._say(read)
        if done:
            self.window.after_open()
        return done

    def save(self) -> bool:
        """Save where the project came from, or ask."""
        return self.save_as() if self.session.path is None else self.save_path(self.session.path)

    def save_as(self) -> bool:
        """Ask where to save."""
        name = self._ask_where("Save as", self._file_name(".roof"), PROJECT_FILTER, ".roof")
        return name is not None and self.save_path(name)

    def save_path(self, path: Path) -> bool:
        """Save to a path; whether it worked."""
        session = self.session
        if not self._say(lambda: write_project(path, session.project, self._used_pictures())):
            return False
        session.path = path
        session.undo_stack.setClean()
        self.drop_copy()
        session.message.emit(f"Saved as {path.name}.", False)
        self.window.refresh()
        return True

    def load_picture(self) -> None:
        """Ask for a picture and put it under the plan."""
        name, _ = QFileDialog.getOpenFileName(self.window, "Load picture", "", PICTURE_FILTER)
        if name:
            self.load_picture_path(Path(name))

    def load_picture_path(self, path: Path) -> bool:
        """Put a picture under the plan, centred, at a first guess of its scale."""

        def load() -> None:
            data, size = read_picture(path)
            file = self._free_name(path.name, data)
            ids = {u.id for u in self.session.project.underlays}
            number = next(n for n in range(1, len(ids) + 2) if f"u{n}" not in ids)
            scale = FIRST_WIDTH_MM / size.width
            underlay = Underlay(
                f"u{number}", file, size.width, size.height, scale,
                (-FIRST_WIDTH_MM / 2, size.height * scale / 2),
            )  # fmt: skip
            self.session.pictures[file] = data
            self.session.edit("Load picture", add_underlay(self.session.project, underlay))

        done = self._say(load)
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
            system = read_system(path)
            self.session.edit("Add roofing system", add_system(self.session.project, system))

        return self._say(add)

    def export_dxf(self) -> None:
        """Ask where, and write the roof plan."""
        self._export("Roof plan", ".dxf", "DXF drawings (*.dxf)", write_plan_dxf)

    def export_quantities(self) -> None:
        """Ask where, and write the take-off as data."""
        self._export("Quantities", ".json", "JSON (*.json)", write_takeoff_json)

    def export_csv(self) -> None:
        """Ask where, and write the quantities for a spreadsheet."""
        self._export("Quantities", ".csv", "CSV tables (*.csv)", write_takeoff_csv)

    def export_xlsx(self) -> None:
        """Ask where, and write the whole take-off as a workbook."""
        self._export("Take-off", ".xlsx", "XLSX workbooks (*.xlsx)", write_takeoff_xlsx)

    def export_picture(self) -> None:
        """Ask where, and write the 3D picture as it would come from the command line."""
        from roofmodel_ui.view3d.drawing import save_picture

        self._export("3D picture", ".png", "PNG pictures (*.png)", save_picture)

    def may_leave(self) -> bool:
        """Ask what to do with unsaved work; False keeps the project open."""
        if self.session.is_saved():
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self.window, "Unsaved changes", "Save the changes to this project first?",
            buttons.Save | buttons.Discard | buttons.Cancel, buttons.Save,
        )  # fmt: skip
        if answer == buttons.Save:
            return self.save()
        if answer == buttons.Discard:
            self.drop_copy()
            return True
        return False

    def offer_copy(self) -> None:
        """If work was left unsaved the last time, offer to go on with it."""
        copy = working_copy()
        if not copy.exists():
            return
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self.window, "Unsaved work",
            "The program ended with unsaved work the last time. Go on with it?",
            buttons.Yes | buttons.No, buttons.Yes,
        )  # fmt: skip
        if answer == buttons.Yes and self.open_path(copy):
            self.session.path = None
            self.session.undo_stack.resetClean()
            self.window.refresh()
        elif answer == buttons.No:
            self.drop_copy()

    def drop_copy(self) -> None:
        """The working copy is no longer needed."""
        self._autosave.stop()
        _WRITING.acquire()
        try:
            working_copy().unlink(missing_ok=True)
        except OSError as error:
            self.session.message.emit(
                f"The copy of unsaved work could not be removed: {error.strerror}.", True
            )
        finally:
            _WRITING.release()

    def _changed(self) -> None:
        if self.session.is_saved():
            self._autosave.stop()
        elif not self._autosave.isActive():
            # Not started anew by every change, so that it is never later than this.
            self._autosave.start()

    def _write_copy(self) -> None:
        job = _CopyJob(working_copy(), self.session.project, self._used_pictures())
        job.signals.failed.connect(self._copy_failed)
        QThreadPool.globalInstance().start(job)

    def _copy_failed(self, sentence: str) -> None:
        self.session.message.emit(sentence, True)

    def _used_pictures(self) -> dict[str, bytes]:
        files = {u.file for u in self.session.project.underlays}
        return {n: d for n, d in self.session.pictures.items() if n in files}

    def _free_name(self, name: str, data: bytes) -> str:
        stem, suffix = Path(name).stem, Path(name).suffix
        n, free = 1, name
        while free in self.session.pictures and self.session.pictures[free] != data:
            n += 1
            free = f"{stem} {n}{suffix}"
        return free

    def _export(self, title: str, suffix: str, kinds: str, write: Callable[..., object]) -> None:
        path = self._ask_where(title, self._file_name(suffix), kinds, suffix)
        if path is None:
            return
        # Exports take Results and a path, in the order each module found natural.
        results = self.session.results
        first, second = (results, path) if suffix == ".png" else (path, results)
        if self._say(lambda: write(first, second)):
            self.session.message.emit(f"Written to {path.name}.", False)

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
        folder = self.session.path.parent if self.session.path else Path()
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


_WRITING = threading.Lock()


class _CopySignals(QObject):
    failed = Signal(str)


class _CopyJob(QRunnable):
    """Writes the working copy outside the window's thread; documents never change, so as it is."""

    def __init__(self, path: Path, project: Project, pictures: dict[str, bytes]) -> None:
        super().__init__()
        self.signals = _CopySignals()
        self._path, self._project, self._pictures = path, project, pictures

    def run(self) -> None:
        with _WRITING:
            try:
                self._path.parent.mkdir(parents=True, exist_ok=True)
                write_project(self._path, self._project, self._pictures)
            except (FileError, OSError) as error:
                self.signals.failed.emit(f"The copy of unsaved work could not be written: {error}")
