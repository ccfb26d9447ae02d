"""The list of pieces that are not as they were released."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QHeaderView, QTreeWidget, QTreeWidgetItem

from roofmodel.document import Units
from roofmodel.document.releases import Difference
from roofmodel.sheets.shop_tables import difference_cells

_MOST_ROWS = 8
_ROW_PX = 24


class ChangesList(QTreeWidget):
    """One row per piece; it is as high as its rows, up to a few, then it scrolls."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Changed since the release")
        self.setHeaderLabels(["Piece", "Was", "Is now"])
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(True)
        header = self.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column in (1, 2):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self._shown: tuple[Sequence[Difference], Units] | None = None
        self.hide()

    def show_changes(self, found: Sequence[Difference], units: Units) -> None:
        """Show these differences, or nothing where there are none."""
        if self._shown == (found, units):
            return
        self._shown = (found, units)
        self.clear()
        for difference in found:
            mark, was, now = difference_cells(difference, units)
            row = QTreeWidgetItem([mark, was, now])
            for column, text in enumerate((mark, was, now)):
                row.setToolTip(column, text)
            self.addTopLevelItem(row)
        self.setVisible(bool(found))
        rows = min(len(found), _MOST_ROWS)
        self.setFixedHeight(rows * _ROW_PX + self.header().sizeHint().height() + 4)
