"""The booklet's cover: whose roof it is, its picture, and the list of sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from roofmodel.results import Results
from roofmodel.sheets import roofing_words, squares_of
from roofmodel_io.pdf.flow import Item, gap, heading, side_by_side, stack, words
from roofmodel_io.pdf.page import Imprint, Page
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import paper_words
from roofmodel_io.pdf.writer import GREY, Writer, line_height

TITLE: Final = "Shop and crew booklet"

_POINTS: Final = 8.0
_COLUMN: Final = 88.0
_BETWEEN: Final = 8.0
_PICTURE: Final = 0.44  # of the height of the page's content, at most


def with_cover(
    pages: Sequence[Page],
    results: Results,
    imprint: Imprint,
    paper: Paper,
    picture: bytes | None,
) -> list[Page]:
    """The pages behind a cover with the list of them."""
    count = 1
    while True:  # the cover's own pages shift the numbers in the list by as many
        cover = _cover(pages, results, imprint, paper, picture, count)
        if len(cover) == count:
            return [*cover, *pages]
        count = len(cover)


def _cover(
    pages: Sequence[Page],
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
    listed = [(p.listed, k) for k, p in enumerate(pages, before + 1) if p.listed]
    columns = max(1, int((frame.width + _BETWEEN) / (_COLUMN + _BETWEEN)))
    step = (frame.width + _BETWEEN) / columns
    entries = [_entry(name, number, step - _BETWEEN) for name, number in listed]
    first = frame.height - sum(i.height for i in head)
    stacks: list[list[Item]] = [head]
    at = 0
    room = first
    while at < len(entries):
        rows = _rows(entries[at:], columns, step, room)
        stacks[-1] += rows
        at += min(len(rows) * columns, len(entries) - at)
        if at < len(entries):
            more = heading("List of sheets, continued", frame.width)
            stacks.append([more])
            room = frame.height - more.height
    out = []
    for k, some in enumerate(stacks):

        def draw(writer: Writer, onto: Frame, some: list[Item] = some) -> None:
            stack(writer, some, onto.left, onto.top)

        out.append(Page(TITLE if k == 0 else f"{TITLE}, continued", size, draw))
    return out


def _head(results: Results, imprint: Imprint, paper: Paper, frame: Frame) -> list[Item]:
    job = results.project.job
    items = [words(job.name.strip() or "Job without a name", frame.width, 20.0, bold=True)]
    items.append(gap(2.0))
    rows = (
        ("Client", job.client),
        ("Place", job.place),
        ("Roofing", roofing_words(results)),
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
    def draw(writer: Writer, left: float, top: float) -> None:
        y = top - 0.78 * line_height(_POINTS)
        writer.text((left, y), name, _POINTS, room=width - 10.0)
        writer.text((left + width, y), str(number), _POINTS, anchor="right")

    return Item(line_height(_POINTS) + 0.4, draw)


def _rows(entries: Sequence[Item], columns: int, step: float, room: float) -> list[Item]:
    """Entries in columns, read down; as many rows as there is room for, and need of."""
    if not entries:
        return []
    fit = max(1, int(room / entries[0].height))
    count = min(fit, -(-len(entries) // columns))
    some = entries[: count * columns]
    return [
        side_by_side([some[i] for i in range(k, len(some), count)], step) for k in range(count)
    ]


__all__ = ["TITLE", "with_cover"]
