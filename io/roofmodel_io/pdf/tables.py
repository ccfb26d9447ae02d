"""Tables on paper: columns as wide as they need, long words in several lines."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets import Amount, Table, shown
from roofmodel_io.pdf.flow import Item, heading
from roofmodel_io.pdf.fonts import width_of, wrapped
from roofmodel_io.pdf.writer import GREY, PALE, Anchor, Writer, line_height

POINTS: Final = 8.0
_HEAD: Final = 7.5
_BETWEEN: Final = 3.0  # columns
_ABOVE: Final = 0.7  # and below the words of a row
_LEAST: Final = 16.0  # a column of words is at least so wide, where it has to give


@dataclass(frozen=True, slots=True)
class _Column:
    title: str
    number: int
    is_number: bool
    width: float


def table_items(
    table: Table,
    units: Units,
    room: float,
    *,
    without: Collection[str] = (),
    titled: bool = True,
    blank: float = 0.0,
) -> list[Item]:
    """The rows of a table as items, its titles again on every page. Columns that hold nothing
    are left out, except that with `blank` the last is this wide and boxed, to be written in."""
    columns = _columns(table, units, room - blank, without, bool(blank))
    head = _row(
        [wrapped(c.title, c.width, _HEAD, True) for c in columns], columns, _HEAD, bold=True
    )
    start = [heading(table.title, room)] if titled else []
    items = [*start, Item(head.height, head.draw, keep=True)]
    rows = [*table.rows, *([table.total] if table.total else [])]
    for k, row in enumerate(rows):
        cells = [wrapped(shown(row[c.number], units), c.width, POINTS) for c in columns]
        is_total = table.total is not None and k == len(rows) - 1
        one = _row(cells, columns, POINTS, bold=is_total, least=6.0 if blank else 0.0)
        items.append(Item(one.height, one.draw, again=(head,), keep=k + 2 == len(rows) > 2))
    return items


def _columns(
    table: Table, units: Units, room: float, without: Collection[str], writes: bool
) -> list[_Column]:
    """The columns that are shown, with widths that fit into the room."""
    found: list[_Column] = []
    for k, column in enumerate(table.columns):
        is_blank = writes and k == len(table.columns) - 1
        if column.title in without or is_blank or not any(row[k] for row in table.rows):
            continue
        cells = [row[k] for row in (*table.rows, *([table.total] if table.total else []))]
        is_number = any(isinstance(c, Amount) for c in cells)
        width = max(width_of(shown(c, units), POINTS, True) for c in cells)
        word = max(width_of(w, _HEAD, True) for w in column.title.split())
        whole = width_of(column.title, _HEAD, True)
        found.append(_Column(column.title, k, is_number, max(width, word, min(whole, 18.0)) + 0.3))
    return _fitted(found, room - _BETWEEN * max(len(found) - 1, 0))


def _fitted(columns: list[_Column], room: float) -> list[_Column]:
    """Columns narrowed until they fit, the widest of words first."""
    widths = [c.width for c in columns]
    over = sum(widths) - room
    while over > 1e-6:
        can = [k for k, c in enumerate(columns) if not c.is_number and widths[k] > _LEAST]
        if not can:  # nothing but numbers: all give alike
            widths = [w * room / sum(widths) for w in widths]
            break
        widest = max(can, key=lambda k: widths[k])
        second = max((widths[k] for k in can if k != widest), default=_LEAST)
        give = min(over, max(widths[widest] - second, 2.0), widths[widest] - _LEAST)
        widths[widest] -= give
        over -= give
    return [
        _Column(c.title, c.number, c.is_number, w) for c, w in zip(columns, widths, strict=True)
    ]


def _row(
    cells: Sequence[Sequence[str]],
    columns: Sequence[_Column],
    points: float,
    *,
    bold: bool,
    least: float = 0.0,
) -> Item:
    high = max((len(c) for c in cells), default=1) * line_height(points) + 2.0 * _ABOVE
    high = max(high, least)
    wide = sum(c.width for c in columns) + _BETWEEN * max(len(columns) - 1, 0)

    def draw(writer: Writer, left: float, top: float) -> None:
        x = left
        for lines, column in zip(cells, columns, strict=True):
            for n, line in enumerate(lines):
                y = top - _ABOVE - (n + 0.79) * line_height(points)
                anchor: Anchor = "right" if column.is_number else "left"
                at = x + column.width if column.is_number else x
                writer.text((at, y), line, points, bold=bold, anchor=anchor)
            x += column.width + _BETWEEN
        color, width = (GREY, 0.3) if bold else (PALE, 0.13)
        writer.line([(left, top - high), (left + wide, top - high)], width, color=color)

    return Item(high, draw)
