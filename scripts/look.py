"""Pictures of every state of the window, to be looked at: `look.py FOLDER [WORD …]`.

Each state is taken at two sizes, light and dark; words choose the states with one of them in
their names. `--quick` takes the small size in light and the large one in dark only. Run it under a
display, for example `xvfb-run -a -s "-screen 0 1920x1080x24"`.
"""

from __future__ import annotations

import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QEvent, QPoint, QSettings, QStandardPaths, Qt, QTimer
from PySide6.QtGui import QCursor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from roofmodel.document import Project
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import read_project
from roofmodel_ui import recovery
from roofmodel_ui.app import application
from roofmodel_ui.window import MainWindow
from tests.ui.estimator import Estimator

SAMPLES = Path(__file__).resolve().parent.parent / "sample_projects"
SIZES = ((1280, 800), (1920, 1080))
SCHEMES = ("light", "dark")
QUICK = (((1280, 800), "light"), ((1920, 1080), "dark"))
FT = 304.8


class Looker(Estimator):
    """Somebody who brings the window into a state and takes pictures of it."""

    def __init__(self, window: MainWindow, folder: Path, scratch: Path, quick: bool) -> None:
        super().__init__(window)
        self.folder, self.scratch = folder, scratch
        self.looks = QUICK if quick else [(size, scheme) for scheme in SCHEMES for size in SIZES]
        self.taken = 0

    def begin(self, project: Project | None = None, stage: str = "Place") -> None:
        """A window as it is after opening this project, or an empty one."""
        window = self.window
        window.session.open(project or default_project(), None)
        window.after_open()
        window.totals.list.hide()
        window.notice.hide()
        window.show_stage(stage)
        self.wait()

    def sample(self, name: str, stage: str = "Shape") -> None:
        """Open a sample project."""
        self.begin(read_project(SAMPLES / f"{name}.roof").project, stage)

    def wait(self, seconds: float = 0.15) -> None:
        """Let the window draw."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            QApplication.processEvents()
            # what was thrown away goes as it does when nobody holds up the program
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    def quiet(self, most: float = 20.0) -> None:
        """Wait until nothing is worked out in the background."""
        end = time.monotonic() + most
        while self.window.session.planning.state == "working" and time.monotonic() < end:
            self.wait(0.05)
        self.wait()

    def ft(self, x: float, y: float) -> tuple[float, float]:
        """A place in plan, mm, from feet."""
        return x * FT, y * FT

    def point(self, x: float, y: float) -> None:
        """Move the pointer over a place in plan, feet."""
        at = self.plan.to_pixel(self.ft(x, y)).toPoint()
        QTest.mouseMove(self.plan.viewport(), at + QPoint(3, 3))
        QTest.mouseMove(self.plan.viewport(), at)
        self.wait(0.1)

    def write(self, field: QLineEdit, text: str) -> None:
        """Type into a field without Enter."""
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        self.wait(0.05)

    def shot(
        self,
        name: str,
        *,
        fit: bool = True,
        before: Callable[[], object] | None = None,
    ) -> None:
        """Take the pictures; `fit` shows the whole roof first, `before` comes just before each."""
        window = self.window
        for (width, height), scheme in self.looks:
            window.actions_by_id[f"theme_{scheme}"].trigger()
            window.resize(width, height)
            QCursor.setPos(window.screen().geometry().bottomRight())
            self.wait(0.1)
            if fit:
                window.zoom_to_fit()
            if before is not None:
                before()
            self.wait(0.25)
            path = self.folder / f"{name}_{width}_{scheme}.png"
            screen = window.screen().grabWindow(0, 0, 0, width, height)
            if not screen.save(str(path)):
                raise OSError(f"{path} could not be written")
            self.taken += 1

    def over(self, name: str, ask: Callable[[], object]) -> None:
        """Take pictures of the dialog that `ask` opens and waits for, then close it."""
        failed: list[Exception] = []

        def look(tries: int = 100) -> None:
            dialog = QApplication.activeModalWidget()
            if dialog is None:
                if tries:
                    QTimer.singleShot(50, lambda: look(tries - 1))
                return
            try:
                self.wait(0.4)
                self.shot(name, fit=False, before=lambda: self._centre(dialog))
            except Exception as error:  # told after the dialog is gone
                failed.append(error)
            finally:
                dialog.reject() if isinstance(dialog, QDialog) else dialog.close()

        QTimer.singleShot(50, look)
        ask()
        if failed:
            raise failed[0]

    def beside(self, name: str, dialog: QDialog) -> None:
        """Take pictures of a dialog that stands over the window, then close it."""
        dialog.show()
        self.wait(0.4)
        self.shot(name, fit=False, before=lambda: self._centre(dialog))
        dialog.close()
        self.wait()

    def _centre(self, dialog: object) -> None:
        if isinstance(dialog, QDialog):
            dialog.move(self.window.geometry().center() - dialog.rect().center())


def take_all(looker: Looker, words: list[str]) -> list[str]:
    """Go through the states; the names of those that failed."""
    from scripts.look_later_states import LATER_STATES
    from scripts.look_states import STATES

    failed: list[str] = []
    for state in (*STATES, *LATER_STATES):
        name = state.__name__
        if words and not any(w in name for w in words):
            continue
        print(name, flush=True)
        try:
            looker.window.session.undo_stack.setClean()
            for tool in looker.window.tools.made():
                tool.cancel()
            state(looker)
        except Exception:
            traceback.print_exc()
            failed.append(name)
    return failed


def main(folder: Path, words: list[str], quick: bool) -> int:
    """Take all pictures into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    QStandardPaths.setTestModeEnabled(True)
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    failed: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        scratch = Path(place)
        QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, place)
        recovery.data_folder = lambda: scratch / "data"
        recovery.spare_folder = lambda: scratch / "spare"
        app = application()
        window = MainWindow(default_project())
        window.setWindowFlag(Qt.WindowType.FramelessWindowHint)
        window.move(0, 0)
        window.show()
        window.activateWindow()

        def go() -> None:
            looker = Looker(window, folder, scratch, quick)
            try:
                failed.extend(take_all(looker, words))
                print(f"{looker.taken} pictures")
            finally:
                window.session.undo_stack.setClean()
                for tool in window.tools.made():
                    tool.cancel()
                with suppress(RuntimeError):
                    window.close()
                app.quit()

        window.view3d.drawn.connect(
            lambda: QTimer.singleShot(300, go), Qt.ConnectionType.SingleShotConnection
        )
        app.exec()
    if failed:
        print(f"Failed: {', '.join(failed)}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    given = [a for a in sys.argv[1:] if a != "--quick"]
    if not given:
        sys.exit("look.py FOLDER [WORD …] [--quick]")
    sys.exit(main(Path(given[0]), given[1:], "--quick" in sys.argv))
