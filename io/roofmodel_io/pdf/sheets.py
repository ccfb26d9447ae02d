"""Sheets for shop and crew laid out on pages: the drawing at the largest usual scale that fits,
below it what its lines mean, its notes, and the fields of its title block."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.shop_types import ShopSheet
from roofmodel.sheets.shop_words import FIELD_MEASURE, scale_words, scales
from roofmodel_io.pdf.drawings import TICK, draw_sheet, legend, scale_bar
from roofmodel_io.pdf.flow import Item, balanced, gap, heading, stack, words
from roofmodel_io.pdf.fonts import LEAST_POINTS, wrapped
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import PAPER_WORDS, XY, Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.writer import GREY, Writer, line_height

Drawn = Callable[[float], ShopSheet]

ON_EVERY_PAGE: Final = ("Job", "Place", "Revision", "Date")
"""Fields that headers and footers say already."""

_LEAST_MM: Final = 12.0
"""No drawing is made smaller than this on paper."""
_LEAST_FOOT: Final = 16.0
"""What stands below a drawing takes at least so much, mm."""
_POINTS: Final = 7.5
_APART: Final = 6.0  # columns
BESIDE: Final = 6.0
"""Between blocks beside each other."""
BELOW: Final = 2.5
"""Between blocks below each other."""
_HARDLY: Final = 8.0
"""A place so much lower is taken if it is further left, so that blocks are read in rows."""
_COLUMN: Final = 76.0  # of fields and notes
_NARROW: Final = 58.0  # the same below one of several drawings
_BELOW: Final = 2.0  # between a drawing and its words
_LONG_NOTE: Final = 5
"""A note of more lines than this may go on in the next column."""


@dataclass(frozen=True, slots=True)
class Block:
    """A drawing with all that belongs to it, `width` by `height` mm; `draw` is told its upper
    left corner."""

    title: str
    width: float
    height: float
    draw: Callable[[Writer, float, float], None]
    scale: float = 1.0


def fitted(draw: Drawn, size: XY, room: XY, units: Units, first: float = 0.0) -> ShopSheet | None:
    """A drawing of something of this size (mm) at the largest usual scale, from `first` on, at
    which it fits into a room on paper; None where it would be too small to see."""
    for scale in usual_scales(size, units, first):
        if size[0] / scale <= room[0] and size[1] / scale <= room[1]:
            sheet = draw(scale)
            wide, high = on_paper(sheet)
            if wide <= room[0] and high <= room[1]:
                return sheet
    return None


def usual_scales(size: XY, units: Units, first: float = 0.0) -> Iterator[float]:
    """The usual scales from `first` on, then halves of the last, while there is much to see."""
    known = [s for s, _ in scales(units)]
    scale = next((s for s in known if s >= first), first)
    while max(size) / scale >= _LEAST_MM or scale == known[0]:
        yield scale
        scale = next((s for s in known if s > scale), 2.0 * scale)


def on_paper(sheet: ShopSheet) -> XY:
    """Width and height of a drawing on paper with the ticks of its dimensions, mm."""
    x0, y0, x1, y1 = sheet.box()
    return (x1 - x0) / sheet.scale + 2.0 * TICK, (y1 - y0) / sheet.scale + 2.0 * TICK


def block(sheet: ShopSheet, units: Units, width: float, *, titled: bool) -> Block:
    """A drawing with its words below it, in this width; one of several on a page is `titled`,
    and its lines say themselves what they are."""
    wide, high = on_paper(sheet)
    head = [heading(sheet.title, width, 9.0)] if titled else []
    foot = info(sheet, units, width, titled=titled)
    above = sum(i.height for i in head)

    def draw(writer: Writer, left: float, top: float) -> None:
        under = stack(writer, head, left, top)
        draw_sheet(writer, sheet, (left + (width - wide) / 2.0 + TICK, under - high + TICK))
        stack(writer, foot, left, under - high)

    tall = above + high + sum(i.height for i in foot)
    return Block(sheet.title, width, tall, draw, sheet.scale)


def info(sheet: ShopSheet, units: Units, width: float, *, titled: bool) -> list[Item]:
    """Legend, scale, fields and notes of a sheet."""
    known = (*ON_EVERY_PAGE, "Part") if titled else ON_EVERY_PAGE
    said = [(w, t) for w, t in sheet.fields if w not in known and t.strip()]
    said.insert(0, ("Scale", scale_words(sheet.scale, units)))
    least = _NARROW if titled else _COLUMN
    columns = max(1, int((width + _APART) / (least + _APART)))
    step = (width + _APART) / columns
    points = LEAST_POINTS if titled else _POINTS
    rows = [_field(word, text, step - _APART, points) for word, text in said]
    rows.append(scale_bar(sheet.scale, units, north=sheet.kind == "roof plan"))
    said_below = [n for n in sheet.notes if n != FIELD_MEASURE]  # footers say that
    notes = [line for n in said_below for line in _lines(n, step - _APART, points)]
    flow = [*rows, gap(0.8), *notes] if columns == 1 else [*rows, *notes]
    lines = [] if titled else [legend(sheet, width), gap(0.8)]
    return [gap(_BELOW), *lines, balanced(flow, columns, step)]


@dataclass(frozen=True, slots=True)
class Placed:
    """A drawing that has a page for itself."""

    title: str
    sheet: ShopSheet
    block: Block
    size: XY

    def page(self, listed: str = "", below: Sequence[Item] = ()) -> Page:
        """The page, with more below the drawing's words."""

        def draw(writer: Writer, frame: Frame) -> None:
            self.block.draw(writer, frame.left, frame.top)
            stack(writer, below, frame.left, frame.top - self.block.height)

        return Page(self.title, self.size, draw, listed or self.title)


def placed(title: str, draw: Drawn, size: XY, paper: Paper, units: Units) -> Placed:
    """A drawing on a page for itself, upright or wide, whichever lets it be larger."""
    best: Placed | None = None
    ways = [size_of(paper, wide=wide) for wide in (True, False)]
    bounds = {page: _bound(size, frame_of(page), units) for page in ways}
    for page in sorted(ways, key=lambda page: bounds[page]):
        if best is not None and bounds[page] >= best.sheet.scale:
            break
        sheet, made = _filled(draw, size, frame_of(page), units)
        if best is None or sheet.scale < best.sheet.scale:
            best = Placed(title, sheet, made, page)
    assert best is not None
    return best


def _bound(size: XY, frame: Frame, units: Units) -> float:
    """The largest usual scale that can be hoped for on a page."""
    fits = (
        s
        for s in usual_scales(size, units)
        if size[0] / s <= frame.width and size[1] / s <= frame.height - _LEAST_FOOT
    )
    return next(fits, math.inf)


def _filled(draw: Drawn, size: XY, frame: Frame, units: Units) -> tuple[ShopSheet, Block]:
    """The largest drawing whose words fit below it."""
    first, foot = 0.0, _LEAST_FOOT
    while True:
        sheet = fitted(draw, size, (frame.width, frame.height - foot), units, first)
        if sheet is None:  # more words than a page has room for
            sheet = draw(first or next(usual_scales(size, units)))
            return sheet, block(sheet, units, frame.width, titled=False)
        made = block(sheet, units, frame.width, titled=False)
        if made.height <= frame.height:
            return sheet, made
        first, foot = sheet.scale, made.height - on_paper(sheet)[1] + 0.5


def shelved(blocks: Sequence[Block], frame: Frame) -> list[list[tuple[float, float, Block]]]:
    """Blocks on pages, each as high up as it can be below those before it, or further left where
    that is hardly lower, with its place: right of the frame's left, below its top."""
    pages: list[list[tuple[float, float, Block]]] = [[]]
    for one in blocks:
        spot = _spot(one, pages[-1], frame)
        if spot is None:
            pages.append([])
            spot = 0.0, 0.0
        pages[-1].append((*spot, one))
    return pages


def _spot(one: Block, placed: Sequence[tuple[float, float, Block]], frame: Frame) -> XY | None:
    """The highest free place for a block below others; None where it has no room."""
    count = max(1, round((frame.width + BESIDE) / (one.width + BESIDE)))
    found: list[tuple[float, float]] = []
    for k in range(count):
        x = k * (one.width + BESIDE)
        under = (
            y + other.height + BELOW
            for left, y, other in placed
            if left < x + one.width and x < left + other.width
        )
        y = max(under, default=0.0)
        if y + one.height <= frame.height + 1e-6 or not placed:
            found.append((y, x))
    if not found:
        return None
    highest = min(found)[0]
    x, y = min((x, y) for y, x in found if y <= highest + _HARDLY)
    return x, y


def block_pages(
    blocks: Sequence[Block],
    size: XY,
    name: Callable[[Collection[str]], str],
    head: Sequence[Item] = (),
) -> list[Page]:
    """Pages of several blocks each, below `head` on every one; `name` says what they are
    called."""
    frame = frame_of(size)
    down = sum(i.height for i in head)
    out = []
    for placed in shelved(blocks, replace(frame, top=frame.top - down)):
        title = name([one.title for _, _, one in placed])

        def draw(
            writer: Writer, at: Frame, placed: list[tuple[float, float, Block]] = placed
        ) -> None:
            top = stack(writer, head, at.left, at.top)
            for x, y, one in placed:
                one.draw(writer, at.left + x, top - y)

        out.append(Page(title, size, draw, title))
    return out


def paper_words(paper: Paper) -> str:
    """What is said of a paper where scales matter."""
    return f"Scales hold on {PAPER_WORDS[paper]} paper, printed at full size."


def _lines(text: str, width: float, points: float) -> list[Item]:
    """A note line by line, so that long ones go on in the next column, with two lines at least
    before and after."""
    lines = wrapped(text, width, points)
    last = len(lines) - 1
    kept = {0, last - 1} if last >= _LONG_NOTE else set(range(last))
    return [
        words(line, width + 1.0, points, below=0.6 if k == last else 0.0, keep=k in kept)
        for k, line in enumerate(lines)
    ]


def _field(word: str, text: str, width: float, points: float) -> Item:
    start = 2.5 * points
    lines = wrapped(text, width - start, points)

    def draw(writer: Writer, left: float, top: float) -> None:
        writer.lines((left, top), [word], points, color=GREY)
        writer.lines((left + start, top), lines, points)

    return Item(len(lines) * line_height(points) + 0.3, draw)
