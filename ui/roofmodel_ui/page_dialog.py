"""Ask which page of a PDF to trace, with a small picture of each."""

from __future__ import annotations

import threading
from contextlib import suppress

from PySide6.QtCore import QObject, QSize, Qt, QThreadPool, Signal
from PySide6.QtGui import QColor, QIcon, QImage, QPainter, QPixmap
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel.errors import FileError
from roofmodel_io.underlays.pages import Page
from roofmodel_io.underlays.reading import Found
from roofmodel_ui import theme
from roofmodel_ui.underlay_supply import Task, image_of

ICON_PX = 220
MOST_SHOWN = 300
"""Pages with a small picture; further ones are listed by number."""


class _Pictures(QObject):
    made = Signal(int, QImage)


class PageDialog(QDialog):
    """All pages of a PDF; a double click or Enter takes one."""

    def __init__(self, parent: QWidget, found: Found) -> None:
        super().__init__(parent)
        self.setWindowTitle("Which page?")
        self.resize(780, 560)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        title = QLabel(f"{found.name} has {len(found.pages)} pages. Which one is it?")
        title.setProperty("class", "heading")
        title.setWordWrap(True)
        column.addWidget(title)
        self.list = QListWidget()
        self.list.setAccessibleName("Pages")
        self.list.setViewMode(QListWidget.ViewMode.IconMode)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.setMovement(QListWidget.Movement.Static)
        self.list.setIconSize(QSize(ICON_PX, ICON_PX))
        self.list.setSpacing(10)
        for number, (width, height) in enumerate(found.pages, 1):
            words = f"Page {number}\n{width / 72:.3g} × {height / 72:.3g} in"
            item = QListWidgetItem(_framed(None), words)
            item.setTextAlignment(Qt.AlignmentFlag.AlignHCenter)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.list.itemActivated.connect(lambda _: self.accept())
        column.addWidget(self.list, 1)
        kinds = QDialogButtonBox.StandardButton
        buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel)
        buttons.button(kinds.Ok).setText("Take this page")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self._pictures = _Pictures(self)
        self._pictures.made.connect(self._show)
        self._over = threading.Event()
        self.finished.connect(lambda _: self._over.set())
        pictures, over = self._pictures, self._over
        QThreadPool.globalInstance().start(Task(lambda: _draw_all(found, pictures, over)))

    def _show(self, number: int, image: QImage) -> None:
        mode = Qt.AspectRatioMode.KeepAspectRatio
        smooth = Qt.TransformationMode.SmoothTransformation
        small = image.scaled(ICON_PX - 2, ICON_PX - 2, mode, smooth)
        self.list.item(number).setIcon(_framed(small))


def _framed(image: QImage | None) -> QIcon:
    """The picture of a page in the middle of a square, with a line around it: paper is white."""
    square = QPixmap(ICON_PX, ICON_PX)
    square.fill(Qt.GlobalColor.transparent)
    if image is not None:
        x, y = (ICON_PX - image.width()) // 2, (ICON_PX - image.height()) // 2
        painter = QPainter(square)
        painter.drawImage(x, y, image)
        painter.setPen(QColor(theme.QUIET))
        painter.drawRect(x, y, image.width() - 1, image.height() - 1)
        painter.end()
    return QIcon(square)


def _draw_all(found: Found, pictures: _Pictures, over: threading.Event) -> None:
    for number in range(min(len(found.pages), MOST_SHOWN)):
        try:
            page = Page(found.data, found.name, number)
            image = image_of(page, page.coarsest, 0, 0)
        except FileError:
            continue  # said when the page is chosen
        if over.is_set():
            return
        with suppress(RuntimeError):  # the dialog is gone
            pictures.made.emit(number, image)


def ask_page(parent: QWidget, found: Found) -> int | None:
    """The page chosen, counted from 0; None if the user gives up."""
    dialog = PageDialog(parent, found)
    try:
        if dialog.exec() != QDialog.DialogCode.Accepted:
            return None
        return dialog.list.currentRow()
    finally:
        dialog.deleteLater()
