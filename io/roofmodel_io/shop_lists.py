"""The cut list for the roll former and the list of trim, as CSV and as a workbook.

Numbers stay numbers: lengths in inches, or mm in metric jobs, as machines take them, beside what
a tape shows.
"""

from __future__ import annotations

import csv
import io
from datetime import datetime
from typing import Any, Final

import xlsxwriter  # type: ignore[import-untyped]  # has no types of its own

from roofmodel.document import Units
from roofmodel.document.releases import (
    COILS_SOURCE,
    FORMED_SOURCE,
    LIFT_SOURCE,
    SHEET_SOURCE,
    ShopRules,
)
from roofmodel.sheets.changed_since import changes_notes, changes_table, since_of
from roofmodel.sheets.shop_tables import blanks_table, bundles_table, roll_forming_table
from roofmodel.sheets.shop_words import end_fields, job_fields, weight_words
from roofmodel.sheets.slitting import slit_metal_table, slitting_notes, slitting_table
from roofmodel.sheets.trim_places import trim_places_table
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.shop.job import ShopJob
from roofmodel.tolerance import SAME_POINT_MM
from roofmodel.units import KG_PER_LB, MM2_PER_SQ_FT, MM_PER_IN, format_length

_FIXED_DATE: Final = datetime(2000, 1, 1)  # the same project gives the same bytes
_WIDEST: Final = 60


def cut_list_csv(job: ShopJob) -> str:
    """The panels for the roll former, one line each under a line of titles."""
    return _csv(roll_forming_table(job), job.project.units)


def trim_list_csv(job: ShopJob) -> str:
    """The blanks of trim that differ, one line each under a line of titles."""
    return _csv(blanks_table(job), job.project.units)


def trim_places_csv(job: ShopJob) -> str:
    """Where every blank of trim goes, one line for each run under a line of titles."""
    return _csv(trim_places_table(job), job.project.units)


def slitting_csv(job: ShopJob) -> str:
    """How trim is slit from coil: strips cut alike in coil cuts alike, one line each under a line
    of titles."""
    return _csv(slitting_table(job), job.project.units)


def slit_metal_csv(job: ShopJob) -> str:
    """The coil and the metal that trim takes, one line for each width of each metal."""
    return _csv(slit_metal_table(job), job.project.units)


def changes_csv(job: ShopJob) -> str | None:
    """What changed since the revision before, one line for pieces that changed alike under a line
    of titles; None where there is none or nothing did."""
    since = since_of(job)
    return (
        None if since is None else _csv(changes_table(since, job.project.units), job.project.units)
    )


def _csv(table: Table, units: Units) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(_titles(table, units))
    for row in table.rows:
        writer.writerow([_text(v) for v in _values(table, row, units)])
    return stream.getvalue()


def cut_list_xlsx(job: ShopJob) -> bytes:
    """A workbook: panels for the roll former, bundles, trim, how it is slit from coil, and what
    changed since a release."""
    stream = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    units = job.project.units
    with xlsxwriter.Workbook(stream, options) as book:
        book.set_properties({"title": job.project.job.name, "created": _FIXED_DATE})
        bold = book.add_format({"bold": True})
        rules = job.project.shop
        heads = [f"{w}: {t}" for w, t in (*job_fields(job), *end_fields(job, "panels"))]
        lift = weight_words(rules.lift_weight, units)
        bundles = [*heads, f"A bundle weighs up to {lift}; its panels lie in laying order."]
        bundles += _sources(rules, _OF_PANELS)
        sheets = [
            ("Roll forming", roll_forming_table(job), heads),
            ("Bundles", bundles_table(job), bundles),
            ("Trim", blanks_table(job), heads),
            ("Trim by edge", trim_places_table(job), heads),
        ]
        slit = [*heads, *slitting_notes(job), *_sources(rules, _OF_TRIM)]
        for table in (slitting_table(job), slit_metal_table(job)):
            sheets += [(table.title, table, slit)]
        if (since := since_of(job)) is not None:
            told = [*heads, *changes_notes(since)]
            sheets.append((since.title, changes_table(since, units), told))
        for name, table, texts in sheets:
            _fill(book.add_worksheet(name), table, texts, units, bold)
    return stream.getvalue()


_OF_PANELS: Final = (
    ("lift_weight", LIFT_SOURCE),
    ("sheet_weight", SHEET_SOURCE),
    ("formed", FORMED_SOURCE),
)
_OF_TRIM: Final = (("trim_coils", COILS_SOURCE),)


def _sources(rules: ShopRules, known: tuple[tuple[str, str], ...]) -> list[str]:
    """Where those rules come from that nobody has changed."""
    usual = ShopRules()
    return [words for name, words in known if getattr(rules, name) == getattr(usual, name)]


def _fill(sheet: Any, table: Table, texts: list[str], units: Units, bold: Any) -> None:
    for row, text in enumerate(texts):
        sheet.write_string(row, 0, text)
    at = len(texts) + 1
    titles = _titles(table, units)
    for column, title in enumerate(titles):
        sheet.write_string(at, column, title, bold)
    widths = [len(t) for t in titles]
    rows = [*table.rows, *([table.total] if table.total else [])]
    for k, cells in enumerate(rows, at + 1):
        style = bold if cells is table.total else None
        for column, value in enumerate(_values(table, cells, units)):
            if isinstance(value, str):
                if value:
                    sheet.write_string(k, column, value, style)
            else:
                sheet.write_number(k, column, value, style)
            widths[column] = max(widths[column], len(_text(value)))
    for column, width in enumerate(widths):
        sheet.set_column(column, column, min(width + 2, _WIDEST))
    sheet.freeze_panes(at + 1, 0)


def _titles(table: Table, units: Units) -> list[str]:
    out = []
    for column in table.columns:
        word = _word(column, units)
        out.append(f"{column.title} ({word})" if word else column.title)
        if _is_length(column) and units.system == "feet":
            out.append(f"{column.title} on a tape")
    return out


def _values(table: Table, cells: tuple[Cell, ...], units: Units) -> list[str | float]:
    """A row as texts and numbers; lengths have their words beside them."""
    out: list[str | float] = []
    for column, cell in zip(table.columns, cells, strict=True):
        is_length = _is_length(column) and units.system == "feet"
        if not isinstance(cell, Amount):
            out += [cell, ""] if is_length else [cell]
        elif cell.unit == "mm":
            per = MM_PER_IN if units.system == "feet" else 1.0
            # what is left by rounding alone is nothing
            out.append(cell.value / per if abs(cell.value) > SAME_POINT_MM else 0.0)
            out += [format_length(cell.value, units)] if is_length else []
        elif cell.unit == "kg":
            out.append(cell.value / (KG_PER_LB if units.system == "feet" else 1.0))
        elif cell.unit == "mm²":
            out.append(cell.value / (MM2_PER_SQ_FT if units.system == "feet" else 1e6))
        elif cell.unit == "share":
            out.append(cell.value * 100.0)
        else:
            out.append(cell.value)
    return out


def _is_length(column: Column) -> bool:
    return column.unit == "mm"


def _word(column: Column, units: Units) -> str:
    feet = units.system == "feet"
    match column.unit:
        case "mm":
            return "in" if feet else "mm"
        case "kg":
            return "lb" if feet else "kg"
        case "mm²":
            return "sq ft" if feet else "m²"
        case "share":
            return "%"
    return ""


def _text(value: str | float) -> str:
    """A value as CSV has it; no text that a spreadsheet takes for a formula."""
    if isinstance(value, str):
        return f"'{value}" if value[:1] in "=+-@\t\r" and value else value
    return f"{value:.10g}"
