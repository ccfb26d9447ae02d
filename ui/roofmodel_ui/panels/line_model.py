"""The lines of the take-off as a model of two levels for Qt's views: groups, and in them lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from PySide6.QtCore import (
    QAbstractItemModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
)
from PySide6.QtGui import QFont

from roofmodel_ui.panels.lines import (
    COLUMNS,
    ITEM,
    QUANTITY,
    UNIT,
    Group,
    Line,
    in_order,
)

Index = QModelIndex | QPersistentModelIndex
_ROOT: Final = QModelIndex()
_RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_GROUP: Final = 0
"""The internal id of groups; that of a line is the number of its group, from 1."""


class LineModel(QAbstractItemModel):
    """Shows groups. `compact` puts the unit behind the number and has but the two columns."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.groups: list[Group] = []
        self.compact = False
        self._given: list[Group] = []
        self._owners: dict[str, str] = {}
        self._column, self._falling = -1, False
        self._bold = QFont()
        self._bold.setBold(True)

    def show(self, groups: Sequence[Group]) -> bool:
        """Show these groups; whether there are other lines than before, or in another order.
        Where they are the same only their cells change, and the view stays as it is."""
        self._given = list(groups)
        self._owners = _owners(g.title for g in groups)
        ordered = self._ordered()
        same = _keys(ordered) == _keys(self.groups)
        if not same:
            self.beginResetModel()
        self.groups = ordered
        if not same:
            self.endResetModel()
            return True
        last = len(COLUMNS) - 1
        for row, group in enumerate(ordered):
            top = self.index(row, 0)
            self.dataChanged.emit(top, self.index(row, last))
            self.dataChanged.emit(
                self.index(0, 0, top), self.index(len(group.lines) - 1, last, top)
            )
        return False

    def lines(self) -> Iterator[tuple[Line, QModelIndex]]:
        """The lines as shown, each with the index of its first cell."""
        for row, group in enumerate(self.groups):
            top = self.index(row, 0)
            for number, line in enumerate(group.lines):
                yield line, self.index(number, 0, top)

    def line(self, index: Index) -> Line | None:
        """The line at an index; None for a group."""
        if not index.isValid() or index.internalId() == _GROUP:
            return None
        return self.groups[index.internalId() - 1].lines[index.row()]

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Sort the lines within their groups; column -1 gives their own order back."""
        falling = order == Qt.SortOrder.DescendingOrder
        if (column, falling) != (self._column, self._falling):
            self._column, self._falling = column, falling
            self.show(self._given)

    def _ordered(self) -> list[Group]:
        if self._column < 0:
            return self._given
        return [in_order(g, self._column, falling=self._falling) for g in self._given]

    def index(self, row: int, column: int, parent: Index = _ROOT) -> QModelIndex:
        if not self.hasIndex(row, column, parent):
            return QModelIndex()
        return self.createIndex(row, column, parent.row() + 1 if parent.isValid() else _GROUP)

    def parent(self, index: Index = _ROOT) -> Any:
        if not index.isValid() or index.internalId() == _GROUP:
            return QModelIndex()
        return self.createIndex(index.internalId() - 1, 0, _GROUP)

    def rowCount(self, parent: Index = _ROOT) -> int:
        if not parent.isValid():
            return len(self.groups)
        if parent.internalId() != _GROUP or parent.column() > 0:
            return 0
        return len(self.groups[parent.row()].lines)

    def columnCount(self, parent: Index = _ROOT) -> int:
        return len(COLUMNS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation is Qt.Orientation.Horizontal and 0 <= section < len(COLUMNS):
            if role == Qt.ItemDataRole.DisplayRole:
                return COLUMNS[section]
            if role == Qt.ItemDataRole.TextAlignmentRole and section == QUANTITY:
                return _RIGHT
            if role == Qt.ItemDataRole.ToolTipRole:
                return "Sort within the groups; a third press gives their own order back."
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if index.isValid() and index.internalId() == _GROUP:
            return Qt.ItemFlag.ItemIsEnabled
        return super().flags(index)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        column, line = index.column(), self.line(index)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if column == QUANTITY else None
        if role == Qt.ItemDataRole.FontRole:
            return self._bold if line is None else None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self._text(index, line)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(index, line)
        return None

    def _text(self, index: Index, line: Line | None) -> str:
        column = index.column()
        if line is None:
            group = self.groups[index.row()]
            if column == ITEM:
                return group.title
            if self.compact and column == QUANTITY:
                return " ".join(part for part in group.total if part)
            return group.total[column - QUANTITY] if column in (QUANTITY, UNIT) else ""
        if self.compact and column == QUANTITY:
            return " ".join(part for part in line.cells[QUANTITY : UNIT + 1] if part)
        if self.compact and column == ITEM:
            # The heading may be out of sight: a part's total must not be read as the job's.
            owner = self._owners.get(self.groups[index.internalId() - 1].title, "")
            return f"{owner}: {line.cells[ITEM]}" if owner else line.cells[ITEM]
        return line.cells[column]

    def _tip(self, index: Index, line: Line | None) -> str:
        if line is None:
            group = self.groups[index.row()]
            count = f"{len(group.lines)} lines" if len(group.lines) != 1 else "1 line"
            return f"{group.title}: {count}"
        cell = self._text(index, line)
        how = line.quantity.how if index.column() in (ITEM, QUANTITY) else ""
        return "\n".join(part for part in (cell, _short(how)) if part)


def _owners(titles: Iterable[str]) -> dict[str, str]:
    """The building or covering that a group is about, by its title, where there are several."""
    found: dict[str, dict[str, str]] = {}
    for title in titles:
        kind, _, name = title.partition(": ")
        if kind in ("Building", "Covering", "Panels"):
            found.setdefault(kind, {})[title] = name
    return {t: name for some in found.values() if len(some) > 1 for t, name in some.items()}


def _short(text: str, most: int = 400) -> str:
    return text if len(text) <= most else f"{text[:most].rstrip()} …"


def _keys(groups: Sequence[Group]) -> list[tuple[str, list[str]]]:
    return [(g.title, [line.quantity.item for line in g.lines]) for g in groups]
