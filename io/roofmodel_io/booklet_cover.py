"""The booklet's cover: whose roof it is, its picture, and the list of sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeAlias

from roofmodel.results import Results
from roofmodel.sheets import roofing_words, squares_of
from roofmodel.sheets.shop_words import NOT_CHOSEN
from roofmodel_io.pdf.flow import Item, gap, heading, side_by_side, stack, words
from roofmodel_io.pdf.page import Imprint, Page
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import paper_words
from roofmodel_io.pdf.writer import GREY, Writer, line_height

TITLE: Final = "Shop and crew booklet"

_POINTS: Final = 8.0
_PART_POINTS: Final = 9.0
_AFTER_PART: Final = 2.0
_COLUMN: Final = 88.0
_BETWEEN: Final = 8.0
_PICTURE: Final = 0.44  # of the height of the page's content, at most


Parts: TypeAlias = Sequence[tuple[str, Sequence[Page]]]
"""What is for whom, each with its pages."""


def with_cover(
    parts: Parts,
    results: Results,
    imprint: Imprint,
    paper: Paper,
    picture: bytes | None,
) -> list[Page]:
    """The pages of all parts behind a cover with the list of them, part by part, so that each can
    be printed for itself."""
    count = 1
    while True:  # the cover's own pages shift the numbers in the list by as many
        cover = _cover(parts, results, imprint, paper, picture, count)
        if len(cover) == count:
            return [*cover, *(page for _, pages in parts for page in pages)]
        count = len(cover)


def _cover(
    parts: Parts,
    results: Results,
    imprint: Imprint,
    paper: Paper,
    picture: bytes | None,
    before: int,
) -> list[Page]:
    size = size_of(paper, wide=False)
    frame = frame_of(size)
    head = _head(results, imprint, paper, frame)
    if picture is not None:
        head.append(_picture(picture, (frame.width, frame.height * _PICTURE)))
    head.append(heading("List of sheets", frame.width))
    columns = max(1, int((frame.width + _BETWEEN) / (_COLUMN + _BETWEEN)))
    step = (frame.width + _BETWEEN) / columns
    stacks: list[list[Item]] = [head]
    room = frame.height - sum(i.height for i in head)
    first = before + 1
    for title, pages in parts:
        entries = [
            _entry(page.listed, number, step - _BETWEEN)
            for number, page in enumerate(pages, first)
            if page.listed
        ]
        above = heading(f"{title}: {_span(first, len(pages))}", frame.width, _PART_POINTS)
        first += len(pages)
        while entries:
            rows = _rows(entries, columns, step, room - above.height)
            if sum(i.height for i in (above, *rows)) > room and len(stacks[-1]) > 1:
                stacks.append([heading("List of sheets, continued", frame.width)])
                room = frame.height - stacks[-1][0].height
                continue
            stacks[-1] += [above, *rows, gap(_AFTER_PART)]
            room -= sum(i.height for i in (above, *rows)) + _AFTER_PART
            entries = entries[len(rows) * columns :]
            above = heading(f"{title}, continued", frame.width, _PART_POINTS)
    out = []
    for k, some in enumerate(stacks):

        def draw(writer: Writer, onto: Frame, some: list[Item] = some) -> None:
            stack(writer, some, onto.left, onto.top)

        out.append(Page(TITLE if k == 0 else f"{TITLE}, continued", size, draw))
    return out


def _span(first: int, count: int) -> str:
    """Which pages a part has."""
    return f"page {first}" if count == 1 else f"pages {first} to {first + count - 1}"


def _head(results: Results, imprint: Imprint, paper: Paper, frame: Frame) -> list[Item]:
    job = results.project.job
    items = [words(job.name.strip() or "Job without a name", frame.width, 20.0, bold=True)]
    items.append(gap(2.0))
    rows = (
        ("Client", job.client),
        ("Place", job.place),
        ("Roofing", roofing_words(results)),
        ("Colour", results.project.colour.strip() or NOT_CHOSEN),
        ("Roof area", squares_of(results)),
        ("Revision", imprint.revision_words),
        ("Date", imprint.date),
    )
    items += [_row(word, text, frame.width) for word, text in rows if text.strip()]
    warn = [p.sentence for p in results.problems if p.serious]
    items += [words(f"NOT COMPLETE: {s}", frame.width, 8.5, bold=True) for s in warn]
    items.append(gap(1.0))
    items.append(words(paper_words(paper), frame.width, _POINTS, color=GREY, below=3.0))
    return items


def _row(word: str, text: str, width: float) -> Item:
    said = words(text, width - 24.0, 9.0, below=0.6)

    def draw(writer: Writer, left: float, top: float) -> None:
        writer.lines((left, top), [word], 9.0, color=GREY)
        said.draw(writer, left + 24.0, top)

    return Item(said.height, draw)


def _picture(png: bytes, room: tuple[float, float]) -> Item:
    def draw(writer: Writer, left: float, top: float) -> None:
        writer.picture(png, (left, top), room)

    return Item(room[1] + 4.0, draw)


def _entry(name: str, number: int, width: float) -> Item:
    said = words(name, width - 10.0, _POINTS, below=0.4)

    def draw(writer: Writer, left: float, top: float) -> None:
        said.draw(writer, left, top)
        y = top - 0.78 * line_height(_POINTS)
        writer.text((left + width, y), str(number), _POINTS, anchor="right")

    return Item(said.height, draw)


def _rows(entries: Sequence[Item], columns: int, step: float, room: float) -> list[Item]:
    """Entries in columns, read down; as many rows as there is room for, and need of."""
    if not entries:
        return []
    count = -(-len(entries) // columns)
    while True:
        some = entries[: count * columns]
        rows = [
            side_by_side([some[i] for i in range(k, len(some), count)], step) for k in range(count)
        ]
        if count == 1 or sum(r.height for r in rows) <= room:
            return rows
        count -= 1


__all__ = ["TITLE", "with_cover"]
