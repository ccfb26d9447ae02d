"""Loading what lies under the plan: the dialogs, and the work off the window's thread."""

from __future__ import annotations

import threading
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeVar

from PySide6.QtCore import QEventLoop, QObject, QRunnable, Qt, QThreadPool, QTimer
from PySide6.QtWidgets import QFileDialog, QInputDialog, QProgressDialog, QWidget

from roofmodel.document.underlay_edits import new_underlay
from roofmodel.errors import RoofmodelError
from roofmodel_io.underlays.reading import Found, read_underlay
from roofmodel_ui.page_dialog import ask_page
from roofmodel_ui.tools.snaps import snapping_of
from roofmodel_ui.underlay_supply import UnderlaySupply

if TYPE_CHECKING:
    from roofmodel_ui.window import MainWindow

UNDERLAY_FILTER = (
    "Pictures, plans and drawings (*.png *.jpg *.jpeg *.tif *.tiff *.pdf *.dxf);;All files (*)"
)
FOOT_MM = 304.8
_WORLD_UNITS = {"Feet": FOOT_MM, "Metres": 1000.0}
_DRAWING_UNITS = {"Inches": 25.4, "Feet": FOOT_MM, "Millimetres": 1.0, "Metres": 1000.0}
AT_ONCE_S = 0.05
"""Reading that takes no longer than this is waited for; else the window goes on."""

NAME_LENGTH, SUFFIX_LENGTH = 100, 8
"""Characters that are kept of the name of a file, and of what follows its last dot."""

_T = TypeVar("_T")


class UnderlayFiles(QObject):
    """Loads files to trace into the session of a window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session = window, window.session
        self.supply = UnderlaySupply(window.session)
        # The plan draws again when there is more to draw; drawing snaps to the lines below.
        self.supply.arrived.connect(window.plan.viewport().update)
        snapping_of(window.session).underlay = self.supply.segments

    def ask(self) -> None:
        """Ask for a file and put it under the plan."""
        name, _ = QFileDialog.getOpenFileName(
            self.window, "Load picture or plan", "", UNDERLAY_FILTER
        )
        if name:
            self.window.files.load_picture_path(Path(name))

    def load_path(self, path: Path) -> bool:
        """Put a picture, a page or a drawing under the plan; whether it was.

        What is read is read to its end first: if it cannot be, one sentence says why and the
        project stays as it is.
        """
        try:
            found = run_apart(
                self.window, f"Reading {path.name} …", lambda go_on: read_underlay(path, go_on)
            )
            if found is None:
                return False
            page = 0
            if len(found.pages) > 1:
                chosen = ask_page(self.window, found)
                if chosen is None:
                    return False
                page = chosen
            if found.unit_missing:
                unit = ask_unit(self.window, found)
                if unit is None:
                    return False
                found = found.with_unit(unit)
            self._take(found, page)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return False
        return True

    def _take(self, found: Found, page: int) -> None:
        file = self._free_name(found.name, found.data)
        project, _ = new_underlay(self.session.project, found.underlay(file, page))
        underlay = project.underlays[-1]
        self.session.pictures[file] = self.session.pictures.get(file, found.data)
        self.supply.put(found, underlay)
        words = {"picture": "picture", "page": "plan", "drawing": "drawing"}[found.kind]
        self.session.edit(f"Load {words}", project)
        if found.remarks:
            self.session.message.emit(" ".join(found.remarks), False)

    def _free_name(self, name: str, data: bytes) -> str:
        name = clean_name(name)
        stem, suffix = Path(name).stem, Path(name).suffix
        n, free = 1, name
        while free in self.session.pictures and self.session.pictures[free] != data:
            n += 1
            free = f"{stem} {n}{suffix}"
        return free


def clean_name(name: str) -> str:
    """A name that a project file takes for a picture, as near to `name` as can be."""
    whole = "".join(
        c if c in " -_.()" or unicodedata.category(c)[0] in "LMN" else "_"
        for c in unicodedata.normalize("NFC", name)
    )
    stem, dot, suffix = whole.strip(" .").rpartition(".")
    if not dot or not suffix.isalnum() or len(suffix) > SUFFIX_LENGTH:
        stem, dot, suffix = whole.strip(" ."), "", ""
    return (stem[:NAME_LENGTH].strip(" .") or "picture") + dot + suffix


def ask_unit(parent: QWidget, found: Found) -> float | None:
    """Ask in which unit the lengths of a file are; mm, or None if the user gives up."""
    units = _DRAWING_UNITS if found.kind == "drawing" else _WORLD_UNITS
    what = "drawing" if found.kind == "drawing" else "place of the picture"
    name, done = QInputDialog.getItem(
        parent, "Unit of length", f"The file does not say in which unit its {what} is given.\n"
        "If it comes out too large or too small, remove it and choose another.",
        list(units), 0, False,
    )  # fmt: skip
    return units[name] if done else None


class _Outcome(Generic[_T]):
    """What work came to, seen from both threads."""

    def __init__(self) -> None:
        self.share = 0.0
        self.stopped, self.over = threading.Event(), threading.Event()
        self.result: _T | None = None
        self.error: Exception | None = None

    def watch(self, share: float) -> bool:
        """Note how far the work is; whether it goes on."""
        self.share = share
        return not self.stopped.is_set()


class _Work(QRunnable):
    def __init__(
        self, outcome: _Outcome[_T], work: Callable[[Callable[[float], bool]], _T]
    ) -> None:
        super().__init__()
        self._outcome, self._work = outcome, work

    def run(self) -> None:
        try:
            self._outcome.result = self._work(self._outcome.watch)
        except Exception as error:
            # Raised again in the window's thread.
            self._outcome.error = error
        self._outcome.over.set()


def run_apart(
    parent: QWidget, words: str, work: Callable[[Callable[[float], bool]], _T]
) -> _T | None:
    """Do `work` in another thread and wait for it, with a dialog that can stop it.

    The window goes on being drawn. `work` gets a function to tell its share done, which says
    whether to go on. None if it was stopped; what it raises is raised here.
    """
    outcome: _Outcome[_T] = _Outcome()
    QThreadPool.globalInstance().start(_Work(outcome, work))
    if not outcome.over.wait(AT_ONCE_S):
        dialog = QProgressDialog(words, "Stop", 0, 100, parent)
        dialog.setWindowTitle("Reading")
        dialog.setWindowModality(Qt.WindowModality.WindowModal)
        dialog.setMinimumDuration(300)
        dialog.setAutoClose(False)
        dialog.setAutoReset(False)
        loop = QEventLoop()
        timer = QTimer(dialog, interval=30)

        def look() -> None:
            dialog.setValue(min(99, round(outcome.share * 100)))
            if outcome.over.is_set() or dialog.wasCanceled():
                loop.quit()

        timer.timeout.connect(look)
        timer.start()
        loop.exec()
        timer.stop()
        cancelled = dialog.wasCanceled() and not outcome.over.is_set()
        dialog.reset()
        dialog.deleteLater()
        if cancelled:
            outcome.stopped.set()
            return None
    if outcome.error is not None:
        raise outcome.error
    return outcome.result
