"""The lines of a price as rows: cells, what is searched, what may be typed into them. No Qt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from typing import Final

from roofmodel.document import Project
from roofmodel.document.changes import changed
from roofmodel.document.offer_edits import set_price, set_shares, set_task
from roofmodel.errors import DocumentError
from roofmodel.price import Priced, PricedLine
from roofmodel.price.goods import PANEL_KEY
from roofmodel.price.money import plain, shown
from roofmodel.results import Results
from roofmodel.systems.prices import Price, PriceUnit
from roofmodel_ui import theme
from roofmodel_ui.money_words import as_money, money, number, price_typed
from roofmodel_ui.panels.lines import Wanted, names_of, natural, tabbed
from roofmodel_ui.selection import Selection

COLUMNS: Final = ("Item", "Amount", "Unit", "Price of one", "Price")
ITEM, AMOUNT, UNIT, RATE, PRICE = range(len(COLUMNS))
NO_PRICE: Final = "no price"
GROUPS: Final = ("Materials", "Work")
MOST_NAMES: Final = 40


@dataclass(frozen=True, slots=True)
class PriceRow:
    """`key` tells rows apart; `typed` is what an editor begins with, by column."""

    line: PricedLine
    key: tuple[str, str, int]
    cells: tuple[str, ...]
    typed: dict[int, str]
    tips: dict[int, str]
    text: str

    @property
    def about(self) -> Selection:
        """The planes and edges it came from."""
        return frozenset((*self.line.planes, *self.line.edges))

    @property
    def is_missing(self) -> bool:
        """Is there no price for it?"""
        return self.line.amount is None


def rows_of(priced: Priced, results: Results) -> list[PriceRow]:
    """All rows, goods first."""
    names, count = names_of(results), Counter[tuple[str, str]]()
    out = []
    for line in priced.lines:
        number_of = count[line.group, line.item]
        count[line.group, line.item] += 1
        about = (names[i] for i in (*line.planes, *line.edges) if i in names)
        searched = (line.group, line.item, line.key, line.how, line.measured, line.source, *about)
        cells = (
            line.item,
            plain(line.quantity),
            line.unit,
            NO_PRICE if line.rate is None else shown(line.rate),
            "" if line.amount is None else shown(line.amount),
        )
        typed, tips = _typed(line, results.project)
        out.append(
            PriceRow(
                line, (line.group, line.item, number_of), cells, typed, tips,
                "\n".join(searched).lower(),
            )
        )  # fmt: skip
    return out


def _typed(line: PricedLine, project: Project) -> tuple[dict[int, str], dict[int, str]]:
    if line.group == "Materials":
        before = price_before(project, line)
        start = "" if line.rate is None else plain_money(line.rate)
        tip = (
            f"Type the price of one {before.unit}. With a unit behind it, such as"
            f" '3.10 per square foot', the price goes by that."
        )
        return {RATE: start}, {RATE: tip}
    task = (
        next((t for t in project.prices.tasks if t.name == line.item), None)
        if (project.prices)
        else None
    )
    typed, tips = (
        {RATE: plain_money(line.rate or Decimal(0))},
        {RATE: "Type the price of one hour; all work is priced by it."},
    )
    if task is not None:
        typed[AMOUNT] = f"{task.hours:f}"
        tips[AMOUNT] = f"Type the hours for each: it is counted by {task.per}."
    return typed, tips


def plain_money(value: Decimal) -> str:
    """An amount as one would type it."""
    return f"{value:f}"


def price_before(project: Project, line: PricedLine) -> Price:
    """The price of a good in the book, or an empty one by a unit that the good is measured in."""
    book = project.prices
    known = book.price_of(line.key) if book else None
    if known is not None and line.rate is not None:
        return known
    source = known.source if known else ""
    return Price(line.key, _unit_for(line, project), Decimal(0), source)


def _unit_for(line: PricedLine, project: Project) -> PriceUnit:
    """What a price without a unit goes by: how a good that has no price is shown."""
    metric = project.units.system == "metric"
    if line.key.startswith(PANEL_KEY):
        return "metre" if metric else "foot"
    if line.unit in ("pack", "packs"):
        return "pack"
    if line.unit in ("piece", "pieces"):
        return "each"
    return "metre" if metric else "foot"


def typed_into(project: Project, row: PriceRow, column: int, text: str) -> Project:
    """The project with what was typed into a cell; DocumentError if it cannot be understood."""
    book, line = project.prices, row.line
    if book is None:
        raise DocumentError("This job has no price book; load one first.")
    if line.group == "Materials":
        return set_price(project, price_typed(text, price_before(project, line), book.currency))
    if column == RATE:
        return set_shares(project, hourly=money(text, book.currency))
    task = next((t for t in book.tasks if t.name == line.item), None)
    if task is None:
        raise DocumentError(f"The price book has no task '{line.item}' any more.")
    return set_task(project, changed(task, hours=number(text, "The hours for each", "0.75")))


def step_words(row: PriceRow, column: int) -> str:
    """The name of the undo step of typing into a cell."""
    if row.line.group == "Materials":
        return "Set price"
    return "Set price of an hour" if column == RATE else "Set hours"


def fitting(rows: Sequence[PriceRow], wanted: Wanted) -> list[PriceRow]:
    """The rows that fit the words and what was pointed at."""
    fits = wanted.finder(r.text for r in rows)
    return [
        r for r in rows
        if (not wanted.about or wanted.about & r.about) and fits(r.text)
    ]  # fmt: skip


def total(rows: Iterable[PriceRow]) -> Decimal:
    """The sum of the rows that have a price."""
    return sum((r.line.amount for r in rows if r.line.amount is not None), Decimal("0.00"))


def copied(rows: Iterable[PriceRow], currency: str) -> str:
    """Rows for a spreadsheet, with what stands behind them."""
    money_columns = tuple(f"{c} ({currency})" if "Price" in c else c for c in COLUMNS)
    titles = ("Group", *money_columns, "Formula", "Formula of the amount", "Source")
    return tabbed(
        (titles, *((r.line.group, *r.cells, r.line.how, r.line.measured, r.line.source)
                   for r in rows))
    )  # fmt: skip


def explained(row: PriceRow, results: Results, currency: str) -> str:
    """A row's explanation as rich text."""
    line = row.line
    amount = NO_PRICE if line.amount is None else as_money(line.amount, currency)
    parts = [f'<p style="margin:0 0 4px 0"><b>{escape(line.item)}: {escape(amount)}</b></p>']
    if line.amount is None:
        why = line.source[:1].upper() + line.source[1:]
        parts.append(_row("", f"{why}. Press F2 or double-click the price to type one."))
    else:
        parts.append(_row("", line.how))
    title = "Hours" if line.group == "Work" else "Amount"
    parts.append(_row(title, line.measured))
    if line.amount is not None:
        parts.append(_row("Source", line.source))
    names = names_of(results)
    known = sorted((names[i] for i in row.about if i in names), key=natural)
    more = len(known) - MOST_NAMES
    parts.append(
        _row("From", ", ".join(known[:MOST_NAMES]) + (f" and {more} more" if more > 0 else ""))
    )
    return "".join(parts)


def _row(title: str, words: str) -> str:
    if not words:
        return ""
    before = f'<span style="color:{theme.QUIET}">{title}: </span>' if title else ""
    return f'<p style="margin:0 0 3px 0">{before}{escape(words)}</p>'
