"""The field sheet as PDF: a plan with numbers, and a list with blanks to write in."""

from __future__ import annotations

from typing import Final

from roofmodel.results import Results
from roofmodel.sheets.shop_types import ShopSheet
from roofmodel.spread import Spread
from roofmodel.spread.field_sheet import FieldRow, FieldSheet, field_sheet
from roofmodel_io.pdf.flow import Item, balanced, heading, stack, words
from roofmodel_io.pdf.fonts import shortened, width_of
from roofmodel_io.pdf.page import Imprint, Page, pdf_of
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import Block, block, fitted
from roofmodel_io.pdf.writer import GREY, XY, Writer

FIELD_NAME: Final = "field_sheet.pdf"
TITLE: Final = "Field sheet"

_POINTS: Final = 7.5
_ROW: Final = 5.6
_BETWEEN: Final = 5.0
_BLANK: Final = 24.0
_NUMBER: Final = 7.0
_LEAST_PLAN: Final = 0.3
"""The drawing takes at least this share of a page; else the list goes on overleaf."""
_WRITE: Final = ("Measured by", "Date", "Layers on the roof", "Deck, thickness", "Overhangs")


def field_pdf(
    results: Results,
    spread: Spread,
    *,
    paper: Paper = "letter",
    date: str = "",
    file_name: str = FIELD_NAME,
) -> bytes:
    """One page, or two where there is more to measure than fits on one. `spread` is that of the
    same project."""
    sheet = field_sheet(results, spread)
    both = [_pages(sheet, size_of(paper, wide=wide)) for wide in (False, True)]
    _, pages = min(both, key=lambda found: (len(found[1]), found[0]))
    imprint = Imprint(results.project.job, file_name, None, date, "Confirm before cutting.")
    return pdf_of(pages, imprint, f"{results.project.job.name}: field sheet")


def _pages(sheet: FieldSheet, size: XY) -> tuple[float, list[Page]]:
    """The pages on paper of this size, and the scale of the plan."""
    frame = frame_of(size)
    least = max((_width(r) for r in sheet.rows), default=frame.width)
    count = max(1, int((frame.width + _BETWEEN) / (least + _BETWEEN)))
    step = (frame.width + _BETWEEN) / count
    rows = [_row(r, step - _BETWEEN) for r in sheet.rows]
    head = [_blanks(frame.width), heading("Dimensions and pitches to confirm", frame.width, 9.0)]
    above = sum(i.height for i in head)
    whole = balanced(rows, count, step) if rows else words("Nothing to measure.", frame.width)
    drawn = _plan(sheet, frame, max(frame.height - above - whole.height, 0.0))
    if drawn is not None:
        made, scale = drawn
        return scale, [_page(size, made, [*head, whole], "")]
    drawn = _plan(sheet, frame, frame.height - head[0].height)  # the list goes overleaf
    assert drawn is not None  # there is more than the least
    made, scale = drawn
    pages = [_page(size, made, head[:1], "")]
    each = max(1, int((frame.height - head[1].height) / _ROW)) * count
    for k in range(0, len(rows), each):
        some = [head[1], balanced(rows[k : k + each], count, step)]
        pages.append(_page(size, None, some, ", continued"))
    return scale, pages


def _plan(sheet: FieldSheet, frame: Frame, height: float) -> tuple[Block, float] | None:
    """The plan with its words in this height; None where that is too little."""
    if height < _LEAST_PLAN * frame.height:
        return None

    def draw(scale: float) -> ShopSheet:
        return sheet.draw(scale).sheet

    units, first, foot = sheet.results.project.units, 0.0, 18.0
    for _ in range(12):
        room = (frame.width, max(height - foot, 20.0))
        drawn = fitted(draw, sheet.size, room, units, first)
        if drawn is None:
            return None
        made = block(drawn, units, frame.width, titled=False)
        if made.height <= height:
            return made, drawn.scale
        first, foot = drawn.scale, foot + made.height - height + 0.5
    return None


def _page(size: XY, plan: Block | None, items: list[Item], after: str) -> Page:
    def draw(writer: Writer, frame: Frame) -> None:
        top = frame.top
        if plan is not None:
            plan.draw(writer, frame.left, top)
            top -= plan.height
        stack(writer, items, frame.left, top)

    return Page(TITLE + after, size, draw, "" if after else TITLE)


def _model(row: FieldRow) -> str:
    return f"{row.model}, {row.when}" if row.when else row.model


def _width(row: FieldRow) -> float:
    """How much a row takes across."""
    said = width_of(row.name, _POINTS) + width_of(_model(row), _POINTS, row.when == "first")
    return said + _NUMBER + _BLANK + 3.2


def _row(row: FieldRow, width: float) -> Item:
    """Number, name, what the model has, and a box to write in."""
    model = _model(row)

    def draw(writer: Writer, left: float, top: float) -> None:
        y = top - 0.5 * _ROW
        right = left + width
        bold = row.when == "first"
        writer.text((left, y), row.number, _POINTS, bold=True, middle=True)
        wide = width_of(model, _POINTS, bold)
        room = width - _NUMBER - _BLANK - wide - 3.0
        writer.text(
            (left + _NUMBER, y), shortened(row.name, room / 0.85, _POINTS), _POINTS,
            middle=True, room=room,
        )  # fmt: skip
        writer.text(
            (right - _BLANK - 1.5, y), model, _POINTS, bold=bold, anchor="right", middle=True
        )
        writer.box((right - _BLANK, top - _ROW + 0.5), (_BLANK, _ROW - 1.0), 0.18, color=GREY)

    return Item(_ROW, draw)


def _blanks(width: float) -> Item:
    """What else is looked at, to be written in."""
    step = (width + _BETWEEN) / len(_WRITE)
    high = 11.0

    def draw(writer: Writer, left: float, top: float) -> None:
        for k, word in enumerate(_WRITE):
            x = left + k * step
            writer.text((x, top - 4.0), word, _POINTS, color=GREY)
            writer.line([(x, top - 9.5), (x + step - _BETWEEN, top - 9.5)], 0.18)

    return Item(high, draw)


__all__ = ["FIELD_NAME", "field_pdf"]
