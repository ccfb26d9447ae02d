"""A part of a panel that is folded away until it is wanted."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton, QVBoxLayout, QWidget


class Fold(QWidget):
    """A line to press, and under it what it unfolds."""

    def __init__(self, title: str, content: QWidget, tip: str) -> None:
        super().__init__()
        self.content = content
        self.button = QToolButton()
        self.button.setText(title)
        self.button.setToolTip(tip)
        self.button.setAutoRaise(True)
        self.button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.button.clicked.connect(lambda: self._unfold(self.content.isHidden()))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(content)
        self._unfold(False)

    def _unfold(self, on: bool) -> None:
        way = Qt.ArrowType.DownArrow if on else Qt.ArrowType.RightArrow
        self.button.setArrowType(way)
        self.content.setVisible(on)
