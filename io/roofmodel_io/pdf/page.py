"""A document page by page: title, header and footer, and which page of how many."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from roofmodel.document import Job
from roofmodel_io.pdf.fonts import MM_PER_POINT, width_of
from roofmodel_io.pdf.paper import FOOTER, HEADER, MARGIN, XY, Frame, frame_of
from roofmodel_io.pdf.writer import GREY, Writer

Report = Callable[[int, int], None]
"""Told how many of how many pages are done; it may raise to stop."""

_TITLE: Final = 11.0
_SMALL: Final = 7.5


@dataclass(frozen=True, slots=True)
class Page:
    """One page: `draw` fills its frame. `listed` is its name in the list of sheets, empty where
    it goes on from the page before."""

    title: str
    size: XY
    draw: Callable[[Writer, Frame], None]
    listed: str = ""


@dataclass(frozen=True, slots=True)
class Imprint:
    """What header and footer say on every page; `date` is printed as it is given."""

    job: Job
    file_name: str
    revision: int | None = 0
    date: str = ""
    note: str = "Field-measure before cutting."

    @property
    def revision_words(self) -> str:
        """Which revision it is; 0 is none yet, None says nothing of it."""
        if self.revision is None:
            return ""
        return f"Revision {self.revision}" if self.revision else "Not released"


def pdf_of(
    pages: Sequence[Page], imprint: Imprint, title: str, report: Report | None = None
) -> bytes:
    """The document; the same pages always make the same bytes."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setSubject(imprint.job.name)
    canvas.setCreator("roofmodel")
    writer = Writer(canvas)
    for number, page in enumerate(pages, 1):
        if report is not None:
            report(number - 1, len(pages))
        canvas.setPageSize((page.size[0] / MM_PER_POINT, page.size[1] / MM_PER_POINT))
        _dress(writer, page, imprint, number, len(pages))
        page.draw(writer, frame_of(page.size))
        if page.listed:
            key = f"page {number}"
            canvas.bookmarkPage(key)
            canvas.addOutlineEntry(page.listed, key)
        canvas.showPage()
    canvas.save()
    if report is not None:
        report(len(pages), len(pages))
    return stream.getvalue()


def _dress(writer: Writer, page: Page, imprint: Imprint, number: int, count: int) -> None:
    wide, high = page.size
    left, right = MARGIN, wide - MARGIN
    room = right - left
    top = high - MARGIN
    job = imprint.job
    place = ", ".join(t for t in (job.client.strip(), job.place.strip()) if t)
    points = _TITLE
    while points > _SMALL + 1.0 and width_of(page.title, points, True) > 0.58 * room:
        points -= 0.5
    writer.text((left, top - 4.0), page.title, points, bold=True, room=0.58 * room)
    name = job.name.strip() or "Job without a name"
    writer.text((right, top - 3.0), name, _SMALL, bold=True, anchor="right", room=0.4 * room)
    if place:
        writer.text((right, top - 6.6), place, _SMALL, anchor="right", room=0.4 * room)
    rule = top - HEADER + 3.0
    writer.line([(left, rule), (right, rule)], 0.25, color=GREY)
    rule = MARGIN + FOOTER - 2.6
    writer.line([(left, rule), (right, rule)], 0.13, color=GREY)
    y = MARGIN + 0.8
    said = " · ".join(t for t in (imprint.revision_words, imprint.date.strip(), imprint.note) if t)
    writer.text((left, y), imprint.file_name, _SMALL, room=0.28 * room)
    writer.text(((left + right) / 2.0, y), said, _SMALL, anchor="centre", room=0.44 * room)
    writer.text((right, y), f"Page {number} of {count}", _SMALL, anchor="right", room=0.24 * room)
