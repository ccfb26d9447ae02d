"""The crew's check list on pages: boxes to tick, in the order of the work."""

from __future__ import annotations

from typing import Final

from roofmodel.sheets.checklist import CheckList
from roofmodel_io.pdf.flow import Item, gap, heading, words
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Paper
from roofmodel_io.pdf.runs import column_width, columns_of, flowing
from roofmodel_io.pdf.writer import Writer

_POINTS: Final = 8.5
_BOX: Final = 3.2
_INDENT: Final = 6.0
_COLUMN: Final = 130.0


def check_pages(checks: CheckList, paper: Paper) -> list[Page]:
    """The list in one column, in two on large paper."""
    count = columns_of(paper, _COLUMN)
    items = _items(checks, column_width(paper, count))
    return flowing("Check list of the crew", items, paper, count)


def _items(checks: CheckList, width: float) -> list[Item]:
    items = [heading("Safety first", width)]
    items += [_caution(c, width) for c in checks.cautions]
    items.append(gap(2.5))
    for number, step in enumerate(checks.steps, 1):
        items.append(heading(f"{number}. {step.title}", width))
        items += [_point(p, width) for p in step.points]
        items.append(gap(2.5))
    items.append(words(checks.ending, width, 7.5))
    return items


def _point(text: str, width: float) -> Item:
    said = words(text, width - _INDENT, _POINTS, below=1.1)

    def draw(writer: Writer, left: float, top: float) -> None:
        writer.box((left, top - _BOX - 0.4), (_BOX, _BOX), 0.25)
        said.draw(writer, left + _INDENT, top)

    return Item(max(said.height, _BOX + 1.2), draw)


def _caution(text: str, width: float) -> Item:
    said = words(text, width - _INDENT, _POINTS, below=0.9)

    def draw(writer: Writer, left: float, top: float) -> None:
        x, y = left + _BOX / 2.0, top - 0.7
        corners = [(x, y), (x + 1.5, y - 2.6), (x - 1.5, y - 2.6)]
        writer.line(corners, 0.25, closed=True)
        said.draw(writer, left + _INDENT, top)

    return Item(said.height, draw)
