"""What changed since the revision before, in the booklet."""

from __future__ import annotations

from roofmodel.sheets.changed_since import changes_notes, changes_table, since_of
from roofmodel.shop.job import ShopJob
from roofmodel_io.pdf.flow import gap, words
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Paper
from roofmodel_io.pdf.runs import column_width, flowing
from roofmodel_io.pdf.tables import table_items


def changes_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """The list of changes; no page where there is no revision before, or nothing changed."""
    since = since_of(job)
    if since is None:
        return []
    room = column_width(paper, 1)
    items = [words(note, room, 8.0, below=1.5) for note in changes_notes(since)]
    table = changes_table(since, job.project.units)
    items += [gap(2.0), *table_items(table, job.project.units, room, titled=False)]
    return flowing(since.title, items, paper)
