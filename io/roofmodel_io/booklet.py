"""The booklet for shop and crew: cover, roof plan, cut lists, trim, layouts, check list.

Drawings are those of `roofmodel.sheets`, which DXF files show too, at usual scales that are
stated on them. Whoever calls has the picture of the roof in 3D drawn and says the date.
"""

from __future__ import annotations

from typing import Final

from roofmodel.results import Results
from roofmodel.sheets import edges_table, panels_table, planes_table, trim_table
from roofmodel.sheets.checklist import crew_checklist
from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.roof_sheet import RoofSheet, roof_sheet, roof_size
from roofmodel.sheets.shop_types import SheetPlan, ShopSheet
from roofmodel.shop.job import ShopJob
from roofmodel_io.booklet_cards import card_pages
from roofmodel_io.booklet_checks import check_pages
from roofmodel_io.booklet_cover import with_cover
from roofmodel_io.booklet_trim import bar_items, trim_pages
from roofmodel_io.pdf.flow import Item, balanced, gap, heading, paged, stack, words
from roofmodel_io.pdf.page import Imprint, Page, Report, pdf_of
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import sheet_page
from roofmodel_io.pdf.tables import table_items
from roofmodel_io.pdf.writer import Writer

BOOKLET_NAME: Final = "shop_and_crew_booklet.pdf"

_KEY_COLUMN: Final = 58.0
_NOT_TO_CUT: Final = ("Net area", "Gross area")
_NOT_IN_LIST: Final = ("How it came about", "Building", "Covering")


def booklet_pdf(
    results: Results,
    *,
    paper: Paper = "letter",
    picture_png: bytes | None = None,
    revision: int = 0,
    date: str = "",
    file_name: str = BOOKLET_NAME,
    report: Report | None = None,
) -> bytes:
    """The whole booklet. `report` is told how many of how many pages are done, and may raise to
    stop; the same project, picture and words make the same bytes."""
    job = ShopJob(results.project, results.surface, results.take_off, revision, date)
    pages = [
        *plan_pages(results, paper),
        *table_pages(results, paper),
        *panel_pages(job, paper),
        *trim_pages(job, paper),
        *layout_pages(job, paper),
        *check_pages(crew_checklist(results), paper),
    ]
    imprint = Imprint(results.project.job, file_name, revision, date)
    done = with_cover(pages, results, imprint, paper, picture_png)
    return pdf_of(done, imprint, f"{results.project.job.name}: shop and crew booklet", report)


def plan_pages(results: Results, paper: Paper) -> list[Page]:
    """The roof plan, then its list of keys where it needs one."""
    drawn: dict[float, RoofSheet] = {}

    def draw(scale: float) -> ShopSheet:
        if scale not in drawn:
            drawn[scale] = roof_sheet(results, scale)
        return drawn[scale].sheet

    units = results.project.units
    title, size = "Roof plan", roof_size(results)
    made = sheet_page(title, draw, size, paper, units)
    keys = drawn[made.sheet.scale].keys
    if not keys:
        return [made.page(title)]
    frame = frame_of(made.size)
    below = [heading("Keys", frame.width, 8.5), key_list(keys, frame.width)]
    if made.block.height + 2.0 + sum(i.height for i in below) <= frame.height:
        return [made.page(title, [gap(2.0), *below])]
    frame = frame_of(size_of(paper, wide=False))
    return [made.page(title), *flowing("Keys of the roof plan", key_items(keys, frame.width), paper, frame.width)]


def key_list(keys: tuple[tuple[str, str], ...], width: float) -> Item:
    """What the numbers on the roof plan stand for, in columns."""
    count = max(1, int(width / _KEY_COLUMN))
    step = width / count
    return balanced(key_items(keys, step), count, step)


def key_items(keys: tuple[tuple[str, str], ...], step: float) -> list[Item]:
    """One item for each number."""

    def key(number: str, text: str) -> Item:
        said = words(text, step - 11.0, below=0.6)

        def draw(writer: Writer, left: float, top: float) -> None:
            said.draw(writer, left + 8.0, top)
            writer.lines((left, top), [number], bold=True)

        return Item(said.height, draw)

    return [key(*one) for one in keys]


def table_pages(results: Results, paper: Paper) -> list[Page]:
    """Planes and edges as numbers, and what panels to roll."""
    units = results.project.units
    room = frame_of(size_of(paper, wide=False)).width
    plain = [
        *table_items(planes_table(results), units, room, without=("Building",)),
        gap(5.0),
        *table_items(edges_table(results), units, room),
    ]
    cut = table_items(panels_table(results.take_off, units), units, room, without=_NOT_TO_CUT)
    trim = table_items(trim_table(results.take_off), units, room, without=_NOT_IN_LIST)
    cutting = table_items(
        cutting_table(results.take_off, results.project), units, room, without=_NOT_IN_LIST
    )
    out = flowing("Planes and edges", plain, paper)
    if results.take_off.panels:
        out += flowing("Cut list of panels", cut, paper)
    if results.take_off.trim:
        out += flowing("Trim list", trim, paper)
        bars = bar_items(results.take_off.cutting_plans, units, room)
        out += flowing("Cutting plan of trim", [*bars, gap(5.0), *cutting], paper)
    return out


def panel_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """The flat shapes of panels, system after system."""
    systems = dict.fromkeys(s.panel.system for s in job.shapes)
    return [_plan_page(panel_shapes_plan(job, s), job, paper) for s in systems]


def layout_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """The layout sheet of every plane with panels."""
    return [_plan_page(layout_plan(job, sheet), job, paper) for sheet in job.sheets]


def flowing(title: str, items: list[Item], paper: Paper) -> list[Page]:
    """Items from page to page; only the first page is listed."""
    size = size_of(paper, wide=False)
    out = []
    for k, some in enumerate(paged(items, frame_of(size).height)):

        def draw(writer: Writer, frame: Frame, some: list[Item] = some) -> None:
            stack(writer, some, frame.left, frame.top)

        out.append(Page(title if k == 0 else f"{title}, continued", size, draw, "" if k else title))
    return out


def _plan_page(plan: SheetPlan, job: ShopJob, paper: Paper) -> Page:
    page, _ = sheet_page(plan.title, plan.draw, plan.size, paper, job.project.units, plan.title)
    return page


__all__ = ["BOOKLET_NAME", "booklet_pdf"]
