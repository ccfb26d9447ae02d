"""A table whose rows stand for things on the roof: what the panels with tables share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel_ui.panels.fields import heading

RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def table_of(
    name: str, columns: Sequence[str], stretched: int, right: Iterable[int]
) -> QTreeWidget:
    """An empty table; `stretched` is the column that takes the room there is, `right` those
    that hold numbers."""
    table = QTreeWidget()
    table.setColumnCount(len(columns))
    table.setHeaderLabels(list(columns))
    table.setAccessibleName(name)
    table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
    table.setUniformRowHeights(True)
    header = table.header()
    header.setStretchLastSection(False)
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(stretched, QHeaderView.ResizeMode.Stretch)
    for column in right:
        table.headerItem().setTextAlignment(column, RIGHT)
    return table


def titled(panel: QWidget, title: str, *widgets: QWidget) -> None:
    """Lay a panel out as a title over its table, and what belongs below."""
    label = heading(title)
    label.setContentsMargins(16, 10, 16, 6)
    layout = QVBoxLayout(panel)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(0)
    layout.addWidget(label)
    for place, widget in enumerate(widgets):
        layout.addWidget(widget, 1 if place == 0 else 0)


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
