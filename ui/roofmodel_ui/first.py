"""The window's frame, shown at once: it stands where the window will stand until that is ready.

Putting the real window together takes longer than a person likes to look at nothing. This imports
nothing but Qt, so that it is there before the model is.
"""

from __future__ import annotations

import sys

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget

from roofmodel_ui import settings, theme

_STRIP, _RAIL, _SIDE, _LINE = 56, 124, 330, 30
"""Heights and widths of what the window has at its sides, pixels."""


def bare_application() -> QApplication:
    """The one application, made if there is none, with its name and colours but undressed."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("roofmodel")
    app.setOrganizationName("roofmodel")
    app.setApplicationDisplayName("Roofmodel")
    theme.use(theme.wanted(app, settings.THEME.get()))
    return app


class Frame(QWidget):
    """The ground of the window, its panels empty."""

    def __init__(self) -> None:
        super().__init__()
        self.setWindowTitle("Roofmodel")
        self.setAccessibleName("Roofmodel is starting")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(1280, 800)
        kept = settings.GEOMETRY.get()
        if not kept.isEmpty():
            self.restoreGeometry(kept)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Strip, rail, plan, 3D and panel as plain grounds."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.GROUND))
        inner = self.rect().adjusted(_RAIL, _STRIP, -_SIDE, -_LINE)
        painter.fillRect(inner, QColor(theme.PAPER))
        painter.fillRect(
            QRect(inner.right() + 1, inner.top(), _SIDE, inner.height()), QColor(theme.PAPER)
        )
        painter.setPen(QColor(theme.QUIET))
        painter.drawText(inner, Qt.AlignmentFlag.AlignCenter, "Starting …")


def show_frame() -> Frame:
    """Show the frame now, painted; close it when the window is there."""
    app = bare_application()
    frame = Frame()
    frame.show()
    app.processEvents()
    return frame
