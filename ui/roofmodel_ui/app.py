"""Opens the window: the application, its theme, and the last line of defence against errors."""

from __future__ import annotations

import logging
import sys
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QRect, QTimer
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from roofmodel.errors import RoofmodelError
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import read_project
from roofmodel_ui import theme
from roofmodel_ui.files import working_copy
from roofmodel_ui.window import MainWindow

GIVE_UP_MS = 90_000
SETTLE_MS = 400


def application() -> QApplication:
    """The one application, made if there is none, in the program's dress."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("roofmodel")
    app.setOrganizationName("roofmodel")
    app.setApplicationDisplayName("Roofmodel")
    theme.apply(app)
    return app


def open_window(path: Path | None, screenshot: Path | None = None) -> int:
    """Open the window, with a project if named, and run until it is closed; the exit code.

    With `screenshot`, wait for the 3D view to draw, save the whole window as a picture, close.
    A project that cannot be read raises its RoofmodelError before any window shows.
    """
    opened = read_project(path) if path is not None else None
    app = application()
    window = MainWindow(default_project())
    catch_errors(window)
    if opened is not None:
        window.session.open(opened.project, path, opened.pictures)
        window.after_open()
    window.show()
    if screenshot is not None:
        return _photograph(app, window, screenshot)
    if opened is None and working_copy().exists():
        QTimer.singleShot(0, window.files.offer_copy)
    return app.exec()


def catch_errors(window: MainWindow) -> None:
    """From now on an error that nothing else catches becomes a sentence in the window."""
    log = logging.getLogger("roofmodel")

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            window.close()
            return
        log.debug("not foreseen", exc_info=(kind, error, trace))
        if isinstance(error, RoofmodelError):
            sentence = str(error)
        else:
            sentence = (
                "That did not work, for a reason the program did not foresee"
                f" ({kind.__name__}). Your project is as it was before."
            )
        window.session.cancel_preview()
        window.session.message.emit(sentence, True)

    sys.excepthook = hook


def grab(window: MainWindow) -> QImage:
    """A picture of the whole window. The 3D view is drawn apart: Qt cannot grab it."""
    image = window.grab().toImage()
    interactor = window.view3d.interactor
    if interactor is not None:
        pixels = interactor.screenshot(return_img=True)
        height, width, depth = pixels.shape
        data = pixels.tobytes()
        form = QImage.Format.Format_RGB888 if depth == 3 else QImage.Format.Format_RGBA8888
        scene = QImage(data, width, height, width * depth, form)
        corner = interactor.mapTo(window, interactor.rect().topLeft())
        painter = QPainter(image)
        painter.drawImage(QRect(corner, interactor.size()), scene)
        painter.end()
    return image


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
