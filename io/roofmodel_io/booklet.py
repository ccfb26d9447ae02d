"""The booklet for shop and crew: cover, roof plan, cut lists, trim, layouts, check list.

Drawings are those of `roofmodel.sheets`, which DXF files show too, at usual scales that are
stated on them. Whoever calls has the picture of the roof in 3D drawn and says the date.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from roofmodel.document import Units
from roofmodel.results import Results
from roofmodel.sheets import edges_table, planes_table
from roofmodel.sheets.checklist import crew_checklist
from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.panel_words import is_cut_to_shape
from roofmodel.sheets.roof_sheet import RoofSheet, roof_sheet, roof_size
from roofmodel.sheets.shop_tables import blanks_table, bundles_table, roll_forming_table
from roofmodel.sheets.shop_types import ShopSheet
from roofmodel.sheets.trim_places import trim_places_table
from roofmodel.sheets.two_plans import CUTTING_PLAN
from roofmodel.sheets.types import Table
from roofmodel.shop.job import ShopJob
from roofmodel.takeoff import building_names
from roofmodel_io.booklet_cards import card_pages
from roofmodel_io.booklet_changes import changes_pages
from roofmodel_io.booklet_checks import check_pages
from roofmodel_io.booklet_cover import with_cover
from roofmodel_io.booklet_slitting import slitting_pages
from roofmodel_io.booklet_trim import bar_items, trim_pages
from roofmodel_io.pdf.flow import Item, balanced, gap, heading, words
from roofmodel_io.pdf.page import Imprint, Page, Report, pdf_of
from roofmodel_io.pdf.paper import Paper, frame_of, size_of
from roofmodel_io.pdf.runs import BETWEEN, column_width, columns_of, flowing
from roofmodel_io.pdf.sheets import Placed, placed
from roofmodel_io.pdf.tables import table_items
from roofmodel_io.pdf.writer import Writer

BOOKLET_NAME: Final = "shop_and_crew_booklet.pdf"

_KEY_COLUMN: Final = 56.0
_FEW_KEYS: Final = 6
_EDGE_COLUMN: Final = 80.0
_ON_SHEETS: Final = ("Left end", "Right end", "Hems", "Metal")
_LENGTHS: Final = (
    "Finished length: the blank from corner to corner once its ends are cut; the slitting plan has"
    " it. Cut from stock: the length in the cutting plan, for trim that is bought or bent in stock"
    " lengths and fitted on the roof; what it is longer falls at the end of the run that is laid"
    " last, which is cut to fit there."
)
_IN_MARKS: Final = ("Part", "Stock length")
_PLACES: Final = (
    "Marks are those of the blanks, in the order they lie along the edge; pieces that lap are laid"
    " in this order."
)
_CUT: Final = (
    "Left and right as someone looks up the slope. Length and sides are those of the whole sheet,"
    " lap leg and hems with it; angles are off square. What has words under Cut to shape is drawn"
    " under Panels cut to shape."
)
_FOLDS: Final = (
    "Fold: how far the roof bends at an edge; negative where it bends up, as in a valley."
)
_WHERE: Final = ("How it came about", "Building")


def booklet_pdf(
    results: Results,
    *,
    paper: Paper = "letter",
    picture_png: bytes | None = None,
    revision: int = 0,
    date: str = "",
    job: ShopJob | None = None,
    file_name: str = BOOKLET_NAME,
    report: Report | None = None,
) -> bytes:
    """The whole booklet. `job` is what was worked out of these results already, marked as it is
    to be. `report` is told how many of how many pages are done (0 of 0 while they are laid out),
    and may raise to stop; the same project, picture and words make the same bytes."""
    if job is None:
        job = ShopJob(results.project, results.surface, results.take_off, revision, date)
    parts: dict[str, tuple[Callable[[], list[Page]], ...]] = {
        "The roof": (
            lambda: changes_pages(job, paper),
            lambda: plan_pages(results, paper),
            lambda: number_pages(results, paper),
        ),
        "For the shop": (
            lambda: table_pages(results, job, paper),
            lambda: slitting_pages(job, paper),
            lambda: card_pages(job, paper),
            lambda: trim_pages(job, paper),
        ),
        "For the crew": (
            lambda: layout_pages(job, paper),
            lambda: check_pages(crew_checklist(results, len(job.blanks.blanks)), paper),
        ),
    }
    made: list[tuple[str, list[Page]]] = []
    for title, some in parts.items():
        made.append((title, []))
        for part in some:
            if report is not None:
                report(0, 0)
            made[-1][1].extend(part())
    imprint = Imprint(results.project.job, file_name, job.revision, job.date)
    done = with_cover(made, results, imprint, paper, picture_png)
    return pdf_of(done, imprint, f"{results.project.job.name}: shop and crew booklet", report)


def plan_pages(results: Results, paper: Paper) -> list[Page]:
    """The roof plan; where not all has room on it and there are several buildings, the plan of
    each too."""
    found = {p.building for p in results.surface.planes}
    buildings = [b for b in results.project.buildings if b.id in found]
    if len(buildings) < 2:
        return _with_keys(*_keyed_plan(results, paper, "", "Roof plan"), paper)
    plans = _Plans(results, keyed=False)
    size = roof_size(results)
    whole = placed("Roof plan", plans.draw, size, paper, results.project.units)
    out = [whole.page("Roof plan with edge lengths")]
    if not plans.of(whole).left_out:
        return out
    for b in buildings:
        out += _with_keys(*_keyed_plan(results, paper, b.id, f"Roof plan of {b.name}"), paper)
    return out


def _keyed_plan(
    results: Results, paper: Paper, building: str, title: str
) -> tuple[Placed, tuple[tuple[str, str], ...]]:
    """A plan, and its list of keys."""
    plans = _Plans(results, building)
    size = roof_size(results, building)
    made = placed(title, plans.draw, size, paper, results.project.units)
    return made, plans.of(made).keys


class _Plans:
    """Roof plans by their scale, each drawn once."""

    def __init__(self, results: Results, building: str = "", *, keyed: bool = True) -> None:
        self._results, self._building, self._keyed = results, building, keyed
        self._drawn: dict[float, RoofSheet] = {}

    def draw(self, scale: float) -> ShopSheet:
        """The plan for a scale."""
        if scale not in self._drawn:
            made = roof_sheet(self._results, scale, self._building, keyed=self._keyed)
            self._drawn[scale] = _noted(made)
        return self._drawn[scale].sheet

    def of(self, made: Placed) -> RoofSheet:
        """The plan that stands on a page."""
        return self._drawn[made.sheet.scale]


def _noted(plan: RoofSheet) -> RoofSheet:
    """A plan whose few keys are a note of it: they need no list."""
    if not 0 < len(plan.keys) <= _FEW_KEYS:
        return plan
    said = "; ".join(f"{number}: {text}" for number, text in plan.keys)
    notes = (*plan.sheet.notes[:-1], f"Numbers alone: {said}.")
    return replace(plan, sheet=replace(plan.sheet, notes=notes), keys=())


def _with_keys(made: Placed, keys: tuple[tuple[str, str], ...], paper: Paper) -> list[Page]:
    """A plan's page, with its keys on it if there is room, else behind it."""
    listed = f"{made.title} with edge lengths"
    if not keys:
        return [made.page(listed)]
    frame = frame_of(made.size)
    below = [heading("Keys", frame.width, 8.5), key_list(keys, frame.width)]
    if made.block.height + 2.0 + sum(i.height for i in below) <= frame.height:
        return [made.page(listed, [gap(2.0), *below])]
    count = columns_of(paper, _KEY_COLUMN)
    items = key_items(keys, column_width(paper, count))
    return [made.page(listed), *flowing(f"{made.title}: keys", items, paper, count)]


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
            writer.lines((left, top), [number], bold=True)
            said.draw(writer, left + 8.0, top)

        return Item(said.height, draw)

    return [key(*one) for one in keys]


def number_pages(results: Results, paper: Paper) -> list[Page]:
    """Planes and edges as numbers."""
    units, room = results.project.units, column_width(paper, 1)
    count = columns_of(paper, _EDGE_COLUMN)
    planes = table_items(planes_table(results), units, room, without=_WHERE, titled=False)
    width = column_width(paper, count)
    edges = table_items(edges_table(results), units, width, without=("Kind",), titled=False)
    folds = words(_FOLDS, room, 7.5, below=1.5)
    both = [*planes, gap(5.0), folds, balanced(edges, count, width + BETWEEN)]
    if sum(i.height for i in both) <= frame_of(size_of(paper, wide=False)).height:
        return flowing("Planes and edges", both, paper)
    return [
        *flowing("Planes", planes, paper),
        *flowing("Edges", [words(_FOLDS, width, 7.5, below=1.5), *edges], paper, count),
    ]


def table_pages(results: Results, job: ShopJob, paper: Paper) -> list[Page]:
    """What panels to roll, what trim to bend and cut."""
    units, take_off = results.project.units, results.take_off
    room, out = column_width(paper, 1), list[Page]()
    if take_off.panels:
        cut = _by_panel(roll_forming_table(job), units, room, ("Plane", "Weight"))
        bundles = [heading("Bundles", room), *_by_panel(bundles_table(job), units, room, ())]
        note = [words(_CUT, room, 7.5, below=1.5)] if any_cut(job) else []
        out += flowing("Cut list of panels", [*note, *cut, gap(5.0), *bundles], paper)
    if take_off.trim:
        trim = [words(_PLACES, room, 7.5, below=1.5)]
        places = trim_places_table(job)
        trim += table_items(places, units, room, without=_IN_MARKS, titled=False)
        names = building_names(results.project)
        bars = [words(CUTTING_PLAN, room, 7.5, below=1.5)]
        bars += bar_items(take_off.cutting_plans, units, room, names)
        out += [*flowing("Trim list", trim, paper), *flowing("Cutting plan of trim", bars, paper)]
        blanks = table_items(blanks_table(job), units, room, without=_ON_SHEETS, titled=False)
        said = [words(t, room, 7.5, below=1.5) for t in (_LENGTHS, *job.blanks.left_out)]
        out += flowing("Blanks of trim", [*said, *blanks], paper)
    return out


def _by_panel(table: Table, units: Units, room: float, without: tuple[str, ...]) -> list[Item]:
    """A table with a column "Panel", what each panel's rows have in common above them; the total
    below the last."""
    at = [c.title for c in table.columns].index("Panel")
    names = list(dict.fromkeys(str(row[at]) for row in table.rows))
    out: list[Item] = []
    for name in names:
        rows = tuple(row for row in table.rows if row[at] == name)
        total = table.total if name == names[-1] else None
        part = Table(name, table.columns, rows, total)
        hidden = (*without, "Panel")
        out += table_items(part, units, room, without=hidden, titled=len(names) > 1)
    return out


def any_cut(job: ShopJob) -> bool:
    """Whether any panel is more than a whole sheet with square ends."""
    square = all(
        end.shape == "square" for s in job.shapes for end in (s.panel.lower, s.panel.upper)
    )
    return not square or any(is_cut_to_shape(s) for s in job.shapes)


def layout_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """The layout sheet of every plane with panels."""
    units = job.project.units
    plans = (layout_plan(job, sheet) for sheet in job.sheets)
    return [placed(p.title, p.draw, p.size, paper, units).page() for p in plans]
