"""The table of lines: its columns and keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTreeView

from roofmodel_ui.panels.line_model import LineModel
from roofmodel_ui.panels.lines import (
    BUILDING,
    COLUMNS,
    COVERING,
    ITEM,
    PACKS,
    QUANTITY,
    UNIT,
    Line,
)

PADDING_PX: Final = 18
WIDEST_NAME_PX: Final = 150
"""Names of packs, coverings and buildings take no more; their tips have them whole."""
NAMED: Final = (PACKS, COVERING, BUILDING)


class LinesView(QTreeView):
    """The table itself: `copy_wanted` by the usual keys, `left` by Escape."""

    copy_wanted = Signal()
    left = Signal()

    def __init__(self, model: LineModel) -> None:
        super().__init__()
        self.setModel(model)
        self._model = model
        self.setAccessibleName("Quantities")
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setUniformRowHeights(True)
        self.setIndentation(12)
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # lengths at the end tell items apart
        header = self.header()
        header.setStretchLastSection(False)
        header.setSectionsMovable(False)
        header.setMinimumSectionSize(40)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setSectionResizeMode(ITEM, QHeaderView.ResizeMode.Stretch)
        header.setSectionsClickable(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_wanted.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def fit_columns(self, lines: Sequence[Line], shown: set[int], *, anew: bool) -> None:
        """Show these columns beside the items, each as wide as it needs. Not `anew`: numbers
        that grew get more room, all else stays as it is."""
        if not anew:
            wide = self._room(lines, QUANTITY)
            if wide > self.columnWidth(QUANTITY):
                self.setColumnWidth(QUANTITY, wide)
            return
        for column in range(QUANTITY, len(COLUMNS)):
            self.setColumnHidden(column, column not in shown)
            wide = self._room(lines, column)
            self.setColumnWidth(column, min(wide, WIDEST_NAME_PX) if column in NAMED else wide)

    def _room(self, lines: Sequence[Line], column: int) -> int:
        """What a column takes, pixels; only the texts with the most letters are measured."""
        if self._model.compact and column == QUANTITY:
            texts = {" ".join(line.cells[QUANTITY : UNIT + 1]) for line in lines}
        else:
            texts = {line.cells[column] for line in lines}
        if column in (QUANTITY, UNIT):
            texts |= {g.total[column - QUANTITY] for g in self._model.groups}
        texts.add(COLUMNS[column])
        most, metrics = max(map(len, texts)), QFontMetrics(self.font())
        return max(metrics.horizontalAdvance(t) for t in texts if len(t) >= most - 2) + PADDING_PX
