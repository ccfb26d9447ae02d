"""The take-off for a spreadsheet: quantities as CSV, everything as an XLSX workbook.

Numbers stay numbers, in feet and square feet or in metres and square metres by the project's
units, and are not rounded; workbooks only show fewer digits.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import xlsxwriter  # type: ignore[import-untyped]  # has no types of its own

from roofmodel.document import Units
from roofmodel.price import Priced
from roofmodel.quoting import offers_of, price_of
from roofmodel.results import Results
from roofmodel.sheets import (
    Amount,
    Cell,
    Column,
    Table,
    cutting_table,
    each_panel_table,
    edge_kinds_table,
    edges_table,
    layings_table,
    order_table,
    panels_table,
    planes_table,
    price_tables,
    quantities_table,
    roofing_words,
    trim_table,
)
from roofmodel.systems.prices import PriceBook
from roofmodel.takeoff import building_names, covering_names, cut_lines
from roofmodel.units import KG_PER_LB, MM3_PER_CU_YD, format_slope
from roofmodel_io.atomic import write_whole

_PER_UNIT: Final[dict[tuple[str, str], tuple[float, str]]] = {
    ("feet", "mm"): (304.8, "ft"),
    ("feet", "mm²"): (304.8**2, "sq ft"),
    ("metric", "mm"): (1000.0, "m"),
    ("metric", "mm²"): (1e6, "m²"),
    ("feet", "mm³"): (MM3_PER_CU_YD, "cu yd"),
    ("metric", "mm³"): (1e9, "m³"),
    ("feet", "kg"): (KG_PER_LB, "lb"),
    ("feet", "share"): (0.01, "%"),
    ("metric", "share"): (0.01, "%"),
}
_GOODS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("Goods", ("Goods:", "Fasteners of", "Extras")),
    ("Tear-off", ("Tear-off", "Labour")),
    ("Checks", ("Checks",)),
)
"""Sheets by how the groups on them begin."""
_FIXED_DATE: Final = datetime(2000, 1, 1)  # the same project gives the same bytes
_WIDEST: Final = 60


def write_takeoff_csv(path: str | Path, results: Results) -> None:
    """Write the quantities as CSV (UTF-8 with its mark, so that spreadsheets read "²")."""
    write_whole(Path(path), takeoff_csv(results).encode("utf-8-sig"))


def takeoff_csv(results: Results) -> str:
    """The quantities as CSV text, one line each under a line of titles, then the cutting plan
    with a line for each way of cutting a stock length."""
    units = results.project.units
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(
        (
            *("Group", "Item", "Quantity", "Unit", "How it came about", "Note", "Packs to buy"),
            *("Pack", "How many packs", "Source", "Building", "Covering"),
        )
    )
    buildings, coverings = building_names(results.project), covering_names(results.project)
    cuts = [
        replace(q, building=buildings[q.building], covering=coverings[q.covering])
        for q in cut_lines(results.take_off.cutting_plans, units)
    ]
    for q in (*results.take_off.quantities, *cuts):
        number, word = in_unit(q.quantity, q.unit, units)
        writer.writerow(
            (
                _plain(q.group),
                _plain(q.item),
                f"{number:.10g}",
                word,
                *(_plain(q.how), _plain(q.note), str(q.packs or ""), _plain(q.pack)),
                *(_plain(q.pack_how), _plain(q.source)),
                _plain(q.building),
                _plain(q.covering),
            )
        )
    return stream.getvalue()


def write_takeoff_xlsx(path: str | Path, results: Results) -> None:
    """Write the workbook: summary, planes, edges, panels, each panel, trim, cutting; or
    FileError."""
    write_whole(Path(path), takeoff_xlsx(results))


def takeoff_xlsx(results: Results) -> bytes:
    """The bytes of the workbook."""
    stream = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(stream, options) as book:
        book.set_properties({"title": results.project.job.name, "created": _FIXED_DATE})
        writer = _Writer(book, results.project.units)
        take_off = results.take_off
        job = results.project.job
        texts = [f"Job: {job.name}"]
        texts += [f"{w}: {t}" for w, t in (("Client", job.client), ("Place", job.place)) if t]
        texts.append(f"Roofing: {roofing_words(results)}")
        texts += [f"Not complete: {p.sentence}" for p in results.problems if p.serious]
        doubts = [p.sentence for p in results.problems if not p.serious]
        # the take-off repeats some of them
        texts += [f"To check: {s}" for s in dict.fromkeys((*doubts, *take_off.warnings))]
        tables = (edge_kinds_table(results), quantities_table(take_off.quantities))
        writer.sheet("Summary", texts, tables)
        writer.sheet("Planes", [], (planes_table(results),))
        writer.sheet("Edges", [], (edges_table(results),))
        writer.sheet("Panels", [], (panels_table(results),))
        writer.sheet("Panels to order", [], (order_table(results),))
        writer.sheet("Each panel", [], (layings_table(take_off), each_panel_table(take_off)))
        writer.sheet("Trim", [], (trim_table(take_off),))
        writer.sheet("Cutting", [], (cutting_table(take_off, results.project),))
        for name, starts in _GOODS:
            some = [q for q in take_off.quantities if q.group.startswith(starts)]
            if some:
                writer.sheet(name, [], (quantities_table(some),))
        price = price_of(results)
        if price is not None and results.project.prices is not None:
            names = {s.id: s.name for s in results.project.systems()}
            money = price_tables(price, results.project.prices, offers_of(results), names)
            writer.sheet("Price", _price_words(results.project.prices, price), money)
    return stream.getvalue()


def _price_words(book: PriceBook, price: Priced) -> list[str]:
    """What is to be known before a price goes out."""
    out = []
    if book.sample:
        out.append("These prices are invented: put your own price book in their place.")
    if price.missing:
        out.append(f"Without a price, and not in the sum: {', '.join(price.missing)}.")
    return out


def in_unit(value: float, unit: str, units: Units) -> tuple[float, str]:
    """A value in mm, mm² or pieces as a number of feet, square feet, metres … and that word.

    >>> in_unit(609.6, "mm", Units())
    (2.0, 'ft')
    """
    per, word = _PER_UNIT.get((units.system, unit), (1.0, unit))
    return value / per, word


class _Writer:
    """Puts tables on sheets, one below the other, titles frozen in style."""

    def __init__(self, book: Any, units: Units) -> None:
        self._book = book
        self._units = units
        self._bold = book.add_format({"bold": True})
        self._head = book.add_format(
            {"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}
        )
        self._numbers = {
            (bold, form): book.add_format({"num_format": form, "bold": bold})
            for bold in (False, True)
            for form in ("0", "0.00", "0.000")
        }

    def sheet(self, name: str, texts: list[str], tables: tuple[Table, ...]) -> None:
        sheet = self._book.add_worksheet(name)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        row = 0
        for text in texts:
            sheet.write_string(row, 0, text)
            row += 1
        widths: dict[int, int] = {}
        for table in tables:
            row += 1 if row else 0
            sheet.write_string(row, 0, table.title, self._bold)
            row = self._table(sheet, row + 1, table, widths)
        for column, width in widths.items():
            sheet.set_column(column, column, min(width + 2, _WIDEST))

    def _table(self, sheet: Any, row: int, table: Table, widths: dict[int, int]) -> int:
        """Write one table from `row` on; returns the row after it."""
        titles = self._titles(table)
        for column, title in enumerate(titles):
            sheet.write_string(row, column, title, self._head)
            widths[column] = max(widths.get(column, 0), len(title))
        row += 1
        lines = [(cells, False) for cells in table.rows]
        lines += [(cells, True) for cells in table.subtotals]
        lines += [(table.total, True)] if table.total else []
        for cells, bold in lines:
            for column, (value, form) in enumerate(self._flat(table, cells)):
                self._cell(sheet, row, column, value, form, bold)
                width = len(value) if isinstance(value, str) else 10
                widths[column] = max(widths.get(column, 0), width)
            row += 1
        return row

    def _titles(self, table: Table) -> list[str]:
        titles: list[str] = []
        for place, column in enumerate(table.columns):
            if column.unit in ("mm", "mm²"):
                word = self._in_column(Amount(0.0, column.unit), column)[1]
                titles.append(f"{column.title} ({word})")
            elif column.unit == "degrees":
                titles.append(f"{column.title} (°)")
            else:
                titles.append(column.title)
            if self._is_mixed(table, place, column):
                titles.append("Unit")
        return titles

    def _in_column(self, amount: Amount, column: Column) -> tuple[float, str]:
        """The number and the unit that an amount has in a column."""
        if column.to_cut and amount.unit == "mm" and self._units.system == "metric":
            return amount.value, "mm"
        return in_unit(amount.value, amount.unit, self._units)

    def _flat(self, table: Table, cells: tuple[Cell, ...]) -> list[tuple[str | float, str]]:
        """Cells as text, or as numbers and how many digits show; a column of various units gets
        a second one for the unit."""
        values: list[tuple[str | float, str]] = []
        for place, (column, cell) in enumerate(zip(table.columns, cells, strict=True)):
            mixed = self._is_mixed(table, place, column)
            if isinstance(cell, str):
                values += [(cell, ""), ("", "")] if mixed else [(cell, "")]
                continue
            number, word = self._in_column(cell, column)
            if cell.unit == "slope" or not math.isfinite(number):
                values.append((format_slope(cell.value), ""))
                continue
            is_whole = cell.unit == "count" and number % 1 == 0
            form = "0" if is_whole else {"mm": "0", "m": "0.000"}.get(word, "0.00")
            values.append((number, form))
            if mixed:
                values.append((word, ""))
        return values

    def _is_mixed(self, table: Table, place: int, column: Column) -> bool:
        return column.unit is None and any(isinstance(row[place], Amount) for row in table.rows)

    def _cell(
        self, sheet: Any, row: int, column: int, value: str | float, form: str, bold: bool
    ) -> None:
        if isinstance(value, str):
            if value:
                sheet.write_string(row, column, value, self._bold if bold else None)
            return
        sheet.write_number(row, column, value, self._numbers[bold, form])


def _plain(text: str) -> str:
    """Text that a spreadsheet will not take for a formula."""
    return f"'{text}" if text[:1] in "=+-@\t\r" and text else text
