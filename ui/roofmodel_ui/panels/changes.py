"""The list of what is not as it was released."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
)

from roofmodel.document import Units
from roofmodel.document.releases import Difference
from roofmodel.sheets.changed_since import ChangeRow, change_rows
from roofmodel.sheets.unbroken import unbroken

_MOST_PX = 280
_BESIDE_PX = 4
_BELOW_PX = 6

Index = QModelIndex | QPersistentModelIndex


def found_words(found: Sequence[Difference], revision: int) -> str:
    """How many pieces are not as they were released."""
    count = sum(d.kind != "moved" for d in found)
    if count == 0:
        return f"Every piece is cut as released in revision {revision}; some go elsewhere:"
    pieces = "1 piece is" if count == 1 else f"{count} pieces are"
    return f"{pieces} not as released in revision {revision}:"


class _Wrapped(QStyledItemDelegate):
    """Rows as high as their words need in columns as wide as they are."""

    def __init__(self, tree: QTreeWidget) -> None:
        super().__init__(tree)
        self._tree = tree

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        font = QFontMetrics(self._tree.font())
        width = self._tree.columnWidth(index.column()) - 2 * _BESIDE_PX
        flags = int(Qt.TextFlag.TextWordWrap)
        room = font.boundingRect(QRect(0, 0, max(width, 1), 10_000), flags, str(index.data()))
        return QSize(width, room.height() + _BELOW_PX)


class ChangesList(QTreeWidget):
    """One row for pieces that changed alike, as in the package, and one for all that only go to
    another place; it is as high as its rows, up to a few, then it scrolls."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Changed since the release")
        self.setHeaderLabels(["Pieces", "Was", "Is now"])
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(False)
        self.setWordWrap(True)
        self.setItemDelegate(_Wrapped(self))
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # where a word alone is too long
        header = self.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self._shown: tuple[Sequence[Difference], Units] | None = None
        self.hide()

    def show_changes(self, found: Sequence[Difference], units: Units) -> None:
        """Show these differences, or nothing where there are none."""
        if self._shown == (found, units):
            return
        self._shown = (found, units)
        self.clear()
        rows = change_rows([d for d in found if d.kind != "moved"], units)
        cells = [_cells(row) for row in rows]
        moved = sum(d.kind == "moved" for d in found)
        if moved:
            pieces = "1 piece" if moved == 1 else f"{moved} pieces"
            cells.append((pieces, "the same", "moved: for another place or mark"))
        for texts in cells:
            row = QTreeWidgetItem([_bound(text) for text in texts])
            for column, text in enumerate(texts):
                row.setToolTip(column, text)
            self.addTopLevelItem(row)
        self.setVisible(bool(cells))
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.doItemsLayout()  # words wrap elsewhere
            self._fit()

    def _fit(self) -> None:
        """As high as the rows are."""
        rows = (self.topLevelItem(k) for k in range(self.topLevelItemCount()))
        high = sum(self.visualItemRect(row).height() for row in rows if row is not None)
        head = self.header().sizeHint().height() + 2 * self.frameWidth()
        self.setFixedHeight(min(high, _MOST_PX) + head)


def _bound(text: str) -> str:
    """The same with blanks inside lengths at which no line breaks."""
    return " ".join(word.replace(" ", "\u00a0") for word in unbroken(text))


def _cells(row: ChangeRow) -> tuple[str, str, str]:
    """Which pieces, what they were, what they are."""
    marks = f"{row.count} × {row.marks}" if row.count > 1 else row.marks
    if row.where:
        marks += f", for {row.where}"
    return marks, row.was or "not there", row.now or "removed"
