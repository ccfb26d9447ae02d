"""Opens the window: the application, its theme, and the last line of defence against errors."""

from __future__ import annotations

import gc
import logging
import sys
import threading
from contextlib import suppress
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QTimer
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from roofmodel.errors import RoofmodelError
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import read_project
from roofmodel_ui import recovery, theme
from roofmodel_ui.first import bare_application
from roofmodel_ui.window import MainWindow

GIVE_UP_MS = 90_000
SETTLE_MS = 400
LOG_BYTES = 1_000_000


def application(*, dressed: bool = True) -> QApplication:
    """The one application, made if there is none, in the program's dress.

    With `dressed` false the dress is left to `theme.apply`, once all widgets are there: to dress
    them one by one as they are put together takes three times as long.
    """
    app = bare_application()
    if dressed:
        theme.apply(app)
    return app


def make_window() -> MainWindow:
    """The window with an empty project, not shown yet."""
    app = application(dressed=False)
    window = MainWindow(default_project())
    theme.apply(app)
    catch_errors(window)
    # what is there now stays: the collector need not look at it again with every edit
    gc.freeze()
    gc.enable()
    return window


def open_window(
    path: Path | None, screenshot: Path | None = None, frame: QWidget | None = None
) -> int:
    """Open the window, with a project if named, and run until it is closed; the exit code.

    `frame` is closed when the window is there. With `screenshot`, wait for the 3D view to draw,
    save the whole window as a picture, close. A project that cannot be read raises its
    RoofmodelError before any window shows.
    """
    opened = read_project(path) if path is not None else None
    app = application(dressed=False)
    window = make_window()
    if opened is not None and screenshot is not None:
        window.session.open(opened.project, path, opened.pictures)
        window.after_open()
    window.show()
    if frame is not None:
        app.processEvents()
        frame.close()
    if screenshot is not None:
        return _photograph(app, window, screenshot)
    if path is not None:
        window.files.open_path(path)
    window.slices.first(window.files.offer_copies)
    return app.exec()


def catch_errors(window: MainWindow) -> None:
    """From now on an error that nothing else catches becomes a sentence in the window."""
    log = _log()

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            window.close()
            return
        if isinstance(error, RoofmodelError):
            sentence = str(error)
        else:
            log.error("not foreseen", exc_info=(kind, error, trace))
            sentence = (
                "That did not work, for a reason the program did not foresee"
                f" ({kind.__name__}). Your project is as it was before."
            )
        window.session.cancel_preview()
        window.session.message.emit(sentence, True)

    def in_thread(args: threading.ExceptHookArgs) -> None:
        log.error(
            "not foreseen, in a thread",
            exc_info=(args.exc_type, args.exc_value or args.exc_type(), args.exc_traceback),
        )

    sys.excepthook = hook
    threading.excepthook = in_thread


def log_file() -> Path:
    """Where errors that nobody foresaw are written down."""
    return recovery.data_folder() / "errors.log"


def _log() -> logging.Logger:
    """The log of errors, kept small; without it where the folder cannot be written."""
    log = logging.getLogger("roofmodel")
    log.propagate = False
    for old in list(log.handlers):
        log.removeHandler(old)
        old.close()
    log.addHandler(logging.NullHandler())
    with suppress(OSError):
        log_file().parent.mkdir(parents=True, exist_ok=True)
        if log_file().exists() and log_file().stat().st_size > LOG_BYTES:
            log_file().replace(log_file().with_suffix(".old.log"))
        handler = logging.FileHandler(log_file(), encoding="utf-8", delay=True)
        handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
        log.addHandler(handler)
    return log


def grab(window: MainWindow) -> QImage:
    """A picture of the whole window."""
    return window.grab().toImage()


def _photograph(app: QApplication, window: MainWindow, path: Path) -> int:
    result = 1

    def take() -> None:
        nonlocal result
        window.plan.zoom_to_fit()
        app.processEvents()
        if grab(window).save(str(path)):
            result = 0
        else:
            sys.stderr.write(f"The picture could not be written to {path}.\n")
        window.close()
        app.quit()

    window.view3d.drawn.connect(lambda: QTimer.singleShot(SETTLE_MS, take))
    QTimer.singleShot(GIVE_UP_MS, app.quit)
    app.exec()
    return result
