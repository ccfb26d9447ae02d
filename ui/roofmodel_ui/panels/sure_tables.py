"""Low and high of the main quantities, and what a measured value changes, as tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Final, cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTreeWidgetItem

from roofmodel.document import Project
from roofmodel.sheets import shown
from roofmodel.sheets.types import Amount, Unit
from roofmodel_ui.money_tasks import Compared, Span
from roofmodel_ui.money_words import as_money, as_share
from roofmodel_ui.panels.table import RIGHT, Rows, bold_of, table_of

SPANS: Final = ("Quantity", "As modelled", "Low", "High", "±")
CHANGES: Final = ("Quantity", "Now", "As measured", "Change")


def span_rows(spans: Iterable[Span], project: Project) -> list[tuple[str, ...]]:
    """One row per quantity; the price stands first."""
    ordered = sorted(spans, key=lambda s: s.unit != "money")
    out: list[tuple[str, ...]] = []
    for s in ordered:
        off = max(s.high - s.value, s.value - s.low)
        share = as_share(Decimal(f"{off / s.value * 100:.1f}") / 100) if s.value else ""
        numbers = (words_of(v, s.unit, project) for v in (s.value, s.low, s.high))
        out.append((s.name, *numbers, share))
    return out


def change_rows(compared: Compared, project: Project) -> list[tuple[str, ...]]:
    """One row per quantity that changes; the price stands first."""
    out: list[tuple[str, ...]] = []
    for name, unit, before, after in sorted(compared.rows, key=lambda r: r[1] != "money"):
        old, new = (words_of(v, unit, project) for v in (before, after))
        if old != new:
            change = words_of(abs(after - before), unit, project)
            out.append((name, old, new, f"{'+' if after > before else '−'}{change}"))
    return out


def words_of(value: float, unit: str, project: Project) -> str:
    """A value as text in the project's units."""
    if unit == "money":
        currency = project.prices.currency if project.prices is not None else ""
        return as_money(Decimal(f"{value:.2f}"), currency)
    return shown(Amount(value, cast(Unit, unit)), project.units)


def sure_table(name: str, columns: Sequence[str]) -> Rows:
    """An empty table; all columns but the first hold numbers."""
    table = table_of(name, columns, 0, range(1, len(columns)))
    table.setRootIsDecorated(False)
    return table


def fill(table: Rows, rows: Iterable[tuple[str, ...]], *, stale: bool = False) -> None:
    """Show rows in place of those there were; the price in bold, what is `stale` faint."""
    rows = list(rows)
    first = table.topLevelItem(0)
    faint = first is not None and not first.flags() & Qt.ItemFlag.ItemIsEnabled
    if rows and rows == texts_of(table) and stale == faint:
        return  # what is chosen stays chosen
    table.clear()
    bold = bold_of(table)
    for number, row in enumerate(rows):
        item = QTreeWidgetItem(list(row))
        for column in range(len(row)):
            item.setToolTip(column, row[column])
            if column:
                item.setTextAlignment(column, RIGHT)
            if number == 0 and row[0] == "Price":
                item.setFont(column, bold)
        if stale:
            item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
        table.addTopLevelItem(item)


def texts_of(table: Rows) -> list[tuple[str, ...]]:
    """The rows of a table as shown."""
    items = (table.topLevelItem(k) for k in range(table.topLevelItemCount()))
    return [tuple(i.text(c) for c in range(i.columnCount())) for i in items if i is not None]
