"""A box to tick that can be seen in both schemes."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QCheckBox, QStyle, QStyleOptionButton

from roofmodel_ui import theme


class Tick(QCheckBox):
    """Yes or no; taken over as soon as it is pressed."""

    def __init__(self, text: str, take: Callable[[bool], None]) -> None:
        super().__init__(text)
        self.setAccessibleName(text)
        self._shown = False
        self._take = take
        self.clicked.connect(self._pressed)

    def show_value(self, on: bool) -> None:
        """Show what the document says."""
        self._shown = on
        self.setChecked(on)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        option = QStyleOptionButton()
        self.initStyleOption(option)
        part = QStyle.SubElement.SE_CheckBoxIndicator
        box = QRectF(self.style().subElementRect(part, option, self)).adjusted(
            0.5, 0.5, -1.5, -1.5
        )
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.ACCENT if self.hasFocus() else theme.FAINT), 1.0))
        painter.setBrush(QColor(theme.PAPER))
        painter.drawRoundedRect(box, 2.0, 2.0)
        if self.isChecked():
            painter.setPen(QPen(QColor(theme.ACCENT), 2.0))
            at = ((0.22, 0.52), (0.42, 0.74), (0.80, 0.26))
            spots = [QPointF(box.x() + x * box.width(), box.y() + y * box.height()) for x, y in at]
            painter.drawPolyline(QPolygonF(spots))
        painter.end()

    def _pressed(self, on: bool) -> None:
        self._take(on)
        self.setChecked(self._shown)  # what the document now holds
