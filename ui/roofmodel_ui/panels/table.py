"""A table whose rows stand for things on the roof: what the panels with tables share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


INSET_PX: Final = 16
"""What headings and words keep clear of the panel's sides."""


class Rows(QTreeWidget):
    """Rows to choose from and to copy: `copy_wanted` by the usual keys, `left` by Escape."""

    copy_wanted = Signal()
    left = Signal()

    def __init__(self, name: str, columns: Sequence[str]) -> None:
        super().__init__()
        self.setColumnCount(len(columns))
        self.setHeaderLabels(list(columns))
        self.setAccessibleName(name)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setUniformRowHeights(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_wanted.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def enter(self) -> None:
        """Take the keys: go to the first row that can be chosen, if none is."""
        self.setFocus(Qt.FocusReason.TabFocusReason)
        first = self.topLevelItem(0)
        if first is not None and not first.flags() & Qt.ItemFlag.ItemIsSelectable:
            first = first.child(0)
        if first is not None and not self.selectedItems():
            self.setCurrentItem(first)


def table_of(name: str, columns: Sequence[str], stretched: int, right: Iterable[int]) -> Rows:
    """An empty table; `stretched` is the column that takes the room there is, `right` those
    that hold numbers."""
    table = Rows(name, columns)
    header = table.header()
    header.setStretchLastSection(False)
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(stretched, QHeaderView.ResizeMode.Stretch)
    for column in right:
        table.headerItem().setTextAlignment(column, RIGHT)
    return table


def inset(widget: QWidget, above: int, below: int) -> QVBoxLayout:
    """A widget with room about it. Not its own margins: those of a label go when the style sheet
    dresses it anew."""
    layout = QVBoxLayout()
    layout.setContentsMargins(INSET_PX, above, INSET_PX, below)
    layout.addWidget(widget)
    return layout


def mark_rows(table: QTreeWidget, marks: Iterable[tuple[QTreeWidgetItem, bool]]) -> None:
    """Select the rows that are marked and no others, and bring the first of them into sight."""
    first: QTreeWidgetItem | None = None
    for row, mark in marks:
        if row.isSelected() != mark:
            row.setSelected(mark)
        if mark:
            first = first or row
    if first is not None:
        table.scrollToItem(first)


def bold_of(widget: QWidget) -> QFont:
    """The widget's font, bold."""
    font = QFont(widget.font())
    font.setBold(True)
    return font
