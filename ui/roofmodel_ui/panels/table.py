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


INSET_PX: Final = 16
"""What headings and words keep clear of the panel's sides."""


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
    layout = QVBoxLayout(panel)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(0)
    layout.addLayout(_inset(heading(title), 10, 6))
    for place, widget in enumerate(widgets):
        if place == 0:
            layout.addWidget(widget, 1)
        else:
            layout.addLayout(_inset(widget, 6, 8))


def _inset(widget: QWidget, above: int, below: int) -> QVBoxLayout:
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
