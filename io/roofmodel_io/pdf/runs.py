"""Pages filled with items from the top down, in one column or several."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from roofmodel_io.pdf.flow import Item, paged, stack
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.writer import Writer

BETWEEN: Final = 8.0
"""Columns, mm."""


def columns_of(paper: Paper, least: float) -> int:
    """How many columns at least so wide go onto an upright page."""
    width = frame_of(size_of(paper, wide=False)).width
    return max(1, int((width + BETWEEN) / (least + BETWEEN)))


def column_width(paper: Paper, count: int) -> float:
    """How wide each of them is."""
    return (frame_of(size_of(paper, wide=False)).width + BETWEEN) / count - BETWEEN


def flowing(title: str, items: Sequence[Item], paper: Paper, count: int = 1) -> list[Page]:
    """Items from column to column and page to page; only the first page is listed."""
    size = size_of(paper, wide=False)
    step = column_width(paper, count) + BETWEEN
    columns = paged(items, frame_of(size).height)
    out = []
    for k in range(0, len(columns), count):
        some = columns[k : k + count]

        def draw(writer: Writer, at: Frame, some: list[list[Item]] = some) -> None:
            for n, column in enumerate(some):
                stack(writer, column, at.left + n * step, at.top)

        name = title if k == 0 else f"{title}, continued"
        out.append(Page(name, size, draw, "" if k else title))
    return out
