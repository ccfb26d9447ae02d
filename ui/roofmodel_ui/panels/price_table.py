"""The table of a price: rows in groups, whose prices are typed in place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QFontMetrics, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidgetItem,
    QWidget,
)

from roofmodel.price.money import shown
from roofmodel_ui import theme
from roofmodel_ui.panels.price_lines import (
    AMOUNT,
    COLUMNS,
    GROUPS,
    ITEM,
    PRICE,
    RATE,
    UNIT,
    PriceRow,
    total,
)
from roofmodel_ui.panels.table import RIGHT, Rows, bold_of

Index = QModelIndex | QPersistentModelIndex
NUMBERS: Final = (AMOUNT, RATE, PRICE)
PADDING_PX: Final = 22


class PriceTable(Rows):
    """`typed` with a row, a column and the text when something was typed into a cell."""

    typed = Signal(object, int, str)

    def __init__(self) -> None:
        super().__init__("Price, line by line", COLUMNS)
        self.rows: list[PriceRow] = []
        self._items: list[QTreeWidgetItem] = []
        self._groups: dict[str, QTreeWidgetItem] = {}
        self._folded: set[str] = set()
        self.cells = _Cells(self)
        self.setItemDelegate(self.cells)
        self.setIndentation(12)
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.DoubleClicked | triggers.EditKeyPressed)
        header = self.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setSectionResizeMode(ITEM, QHeaderView.ResizeMode.Stretch)
        for column in NUMBERS:
            self.headerItem().setTextAlignment(column, RIGHT)
        self.itemCollapsed.connect(lambda item: self._folded.add(item.text(ITEM)))
        self.itemExpanded.connect(lambda item: self._folded.discard(item.text(ITEM)))

    def show_rows(self, rows: Sequence[PriceRow], currency: str) -> None:
        """Show these rows; where they are the ones there were, only their cells change, so that
        what is being typed stays."""
        same = [r.key for r in rows] == [r.key for r in self.rows]
        if same:
            self.rows = list(rows)
        else:
            begun = self.cells.begun()
            self.cells.close()  # Qt would commit it to a row that is gone
            self.rows = list(rows)
            chosen = {self._key(item) for item in self.selectedItems()}
            self.blockSignals(True)
            self._rebuild(chosen)
            self.blockSignals(False)
            if begun is not None:
                self._go_on(*begun)
        self._fill(currency)

    def chosen(self) -> list[PriceRow]:
        """The rows that are chosen, from above."""
        pairs = zip(self.rows, self._items, strict=True)
        return [row for row, item in pairs if item.isSelected()]

    def row_of(self, index: Index) -> PriceRow | None:
        """The row at an index; None for a group."""
        if not index.parent().isValid():
            return None
        number = index.sibling(index.row(), ITEM).data(Qt.ItemDataRole.UserRole)
        return self.rows[int(number)]

    def item(self, row: PriceRow) -> QTreeWidgetItem:
        """The item of a row."""
        return self._items[[r.key for r in self.rows].index(row.key)]

    def edit_row(self, row: PriceRow, column: int = RATE) -> None:
        """Begin to type into a cell, if the row is still there."""
        if row.key not in [r.key for r in self.rows]:
            return
        item = self.item(row)
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.scrollToItem(item)
        self.setCurrentItem(item, column)
        self.editItem(item, column)

    def enter(self) -> None:
        """Take the keys: go to the first row, if none is chosen."""
        self.setFocus(Qt.FocusReason.TabFocusReason)
        if self._items and not self.selectedItems():
            self.setCurrentItem(self._items[0])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        keys = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2)
        begun = self.state() == QAbstractItemView.State.EditingState
        wanted = event.key() in keys and not begun  # Enter in an editor comes here as well
        row = self.row_of(self.currentIndex()) if wanted else None
        if row is not None:
            column = self.currentColumn()
            self.edit_row(row, column if column in row.typed else RATE)
            event.accept()
            return
        super().keyPressEvent(event)

    def _key(self, item: QTreeWidgetItem) -> object:
        return item.data(PRICE, Qt.ItemDataRole.UserRole)

    def _rebuild(self, chosen: set[object]) -> None:
        self.setCurrentIndex(QModelIndex())
        self.clear()
        self._items, self._groups = [], {}
        bold = bold_of(self)
        for number, row in enumerate(self.rows):
            group = self._groups.get(row.line.group)
            if group is None:
                group = QTreeWidgetItem([row.line.group])
                group.setFlags(Qt.ItemFlag.ItemIsEnabled)
                for column in range(len(COLUMNS)):
                    group.setFont(column, bold)
                group.setTextAlignment(PRICE, RIGHT)
                self._groups[row.line.group] = group
                self.addTopLevelItem(group)
            item = QTreeWidgetItem()
            item.setData(ITEM, Qt.ItemDataRole.UserRole, number)
            item.setData(PRICE, Qt.ItemDataRole.UserRole, _words_of(row))
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsEditable)
            for column in NUMBERS:
                item.setTextAlignment(column, RIGHT)
            group.addChild(item)
            self._items.append(item)
        for title, group in self._groups.items():
            group.setExpanded(title not in self._folded)
        for item in self._items:
            item.setSelected(self._key(item) in chosen)

    def _fill(self, currency: str) -> None:
        self.blockSignals(True)
        self.headerItem().setText(RATE, f"Price of one ({currency})")
        self.headerItem().setText(PRICE, f"Price ({currency})")
        for title in GROUPS:
            own = [r for r in self.rows if r.line.group == title]
            if own:
                self._groups[title].setText(PRICE, shown(total(own)))
                missing = sum(r.is_missing for r in own)
                words = "" if not missing else "not complete"
                self._groups[title].setText(RATE, words)
                self._groups[title].setTextAlignment(RATE, RIGHT)
                self._groups[title].setForeground(RATE, QBrush(QColor(theme.ERROR_INK)))
        for row, item in zip(self.rows, self._items, strict=True):
            for column, text in enumerate(row.cells):
                item.setText(column, text)
                tip = "\n".join(part for part in (text, row.tips.get(column, "")) if part)
                item.setToolTip(column, tip)
            _mark(item, row.is_missing)
        self.blockSignals(False)
        self._fit()

    def _fit(self) -> None:
        self.ensurePolished()
        plain, bold = self.fontMetrics(), QFontMetrics(bold_of(self))
        for column in (AMOUNT, UNIT, RATE, PRICE):
            texts = {r.cells[column] for r in self.rows} | {self.headerItem().text(column)}
            wide = max(map(plain.horizontalAdvance, texts))
            if column == PRICE:
                wide = max(
                    [wide, *(bold.horizontalAdvance(g.text(PRICE)) for g in self._groups.values())]
                )
            self.setColumnWidth(column, wide + PADDING_PX)

    def type_again(self, row: PriceRow, column: int, text: str) -> None:
        """Show what was refused again, to be mended. It is not taken over as it is: leaving the
        cell would refuse it, and show it, without end."""
        self._go_on(_words_of(row), column, text, fresh=False)

    def _go_on(self, key: object, column: int, text: str, *, fresh: bool = True) -> None:
        for row, item in zip(self.rows, self._items, strict=True):
            if self._key(item) == key:
                self.edit_row(row, column)
                self.cells.put(text, fresh=fresh)
                return


def _words_of(row: PriceRow) -> str:
    """What tells a row's item apart."""
    return "\n".join(map(str, row.key))


def _mark(item: QTreeWidgetItem, missing: bool) -> None:
    """What has no price stands out by ground, weight and words."""
    none = QBrush()
    for column in range(len(COLUMNS)):
        item.setBackground(column, QBrush(QColor(theme.ERROR_GROUND)) if missing else none)
        item.setForeground(column, QBrush(QColor(theme.ERROR_INK)) if missing else none)
    font = item.font(RATE)
    font.setBold(missing)
    item.setFont(RATE, font)


class _Cells(QStyledItemDelegate):
    """Editors for the cells that can be typed into."""

    def __init__(self, table: PriceTable) -> None:
        super().__init__(table)
        self._table = table
        self._open: tuple[QLineEdit, object, int] | None = None

    def begun(self) -> tuple[object, int, str] | None:
        """The row, the column and the text of what is being typed."""
        if self._open is None or not self._open[0].isModified():
            return None
        return self._open[1], self._open[2], self._open[0].text()

    def close(self) -> None:
        """Close the editor that is open; nothing is taken over."""
        if self._open is not None:
            editor, _, _ = self._open
            editor.setModified(False)
            self._table.closeEditor(editor, QStyledItemDelegate.EndEditHint.NoHint)
            self._open = None

    def put(self, text: str, *, fresh: bool) -> None:
        """Put a text into the editor that is open; one that is not `fresh` is not taken over."""
        if self._open is not None:
            self._open[0].setText(text)
            self._open[0].setModified(fresh)

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        row = self._table.row_of(index)
        if row is None or index.column() not in row.typed:
            return None  # type: ignore[return-value]
        editor = QLineEdit(parent)
        editor.setAccessibleName(f"{COLUMNS[index.column()]}: {row.line.item}")
        editor.setAlignment(RIGHT)
        editor.setStyleSheet("padding: 0 3px; border-radius: 0;")
        key = index.sibling(index.row(), PRICE).data(Qt.ItemDataRole.UserRole)
        self._open = (editor, key, index.column())
        editor.destroyed.connect(lambda: self._closed(editor))
        return editor

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        row = self._table.row_of(index)
        # Once: whatever changes below it, what is typed stays.
        if row is not None and isinstance(editor, QLineEdit) and not editor.property("begun"):
            editor.setProperty("begun", True)
            editor.setText(row.typed[index.column()])
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        row = self._table.row_of(index)
        if row is None or not isinstance(editor, QLineEdit) or not editor.isModified():
            return
        text = editor.text()
        editor.setModified(False)
        if text.strip() != row.typed[index.column()]:
            self._table.typed.emit(row, index.column(), text)

    def _closed(self, editor: object) -> None:
        if self._open is not None and self._open[0] is editor:
            self._open = None
