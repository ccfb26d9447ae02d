"""Content that runs down a page and on to the next: rows of tables, points, drawings in a row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from roofmodel_io.pdf.fonts import wrapped
from roofmodel_io.pdf.writer import BLACK, Writer, line_height

Draw = Callable[[Writer, float, float], None]
"""Told the left and the top of its place."""


@dataclass(frozen=True, slots=True)
class Item:
    """Something `height` mm high that stays in one piece. `again` is drawn once more above it
    where it is the first on its page; with `keep` it stays on the page of the next one."""

    height: float
    draw: Draw
    again: tuple[Item, ...] = ()
    keep: bool = False


def paged(items: Sequence[Item], height: float, first: float | None = None) -> list[list[Item]]:
    """Items in stacks no higher than `height`, the first one no higher than `first`."""
    pages: list[list[Item]] = [[]]
    room = height if first is None else first
    k = 0
    while k < len(items):
        group = [items[k]]
        while group[-1].keep and k + len(group) < len(items):
            group.append(items[k + len(group)])
        if pages[-1] and sum(i.height for i in group) > room + 1e-9:
            pages.append(list(items[k].again))
            room = height - sum(i.height for i in items[k].again)
        pages[-1] += group
        room -= sum(i.height for i in group)
        k += len(group)
    return pages


def balanced(items: Sequence[Item], count: int, step: float) -> Item:
    """Items in at most so many columns of much the same height, each `step` mm wide."""
    low, high = max((i.height for i in items), default=0.0), sum(i.height for i in items)
    for _ in range(24):
        middle = (low + high) / 2.0
        if len(paged(items, middle)) <= count:
            high = middle
        else:
            low = middle
    stacks = paged(items, high)

    def draw(writer: Writer, left: float, top: float) -> None:
        for k, some in enumerate(stacks):
            stack(writer, some, left + k * step, top)

    return Item(max(sum(i.height for i in s) for s in stacks), draw)


def stack(writer: Writer, items: Sequence[Item], left: float, top: float) -> float:
    """Draw items below each other; where they end."""
    for item in items:
        item.draw(writer, left, top)
        top -= item.height
    return top


def gap(height: float) -> Item:
    """Nothing, so high."""
    return Item(height, lambda writer, left, top: None)


def words(
    text: str,
    room: float,
    points: float = 8.0,
    *,
    bold: bool = False,
    color: str = BLACK,
    keep: bool = False,
    below: float = 0.0,
) -> Item:
    """A paragraph."""
    lines = wrapped(text, room, points, bold)

    def draw(writer: Writer, left: float, top: float) -> None:
        writer.lines((left, top), lines, points, bold=bold, color=color)

    return Item(len(lines) * line_height(points) + below, draw, keep=keep)


def heading(text: str, room: float, points: float = 10.0) -> Item:
    """A heading that stays with what follows."""
    return words(text, room, points, bold=True, keep=True, below=1.2)


def side_by_side(items: Sequence[Item], step: float) -> Item:
    """Items beside each other, each `step` mm right of the one before."""

    def draw(writer: Writer, left: float, top: float) -> None:
        for k, item in enumerate(items):
            item.draw(writer, left + k * step, top)

    return Item(max(i.height for i in items), draw)
