"""The folder that goes to the shop and the crew: drawings, cut lists, the booklet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from roofmodel.document.releases import revision_now
from roofmodel.errors import FileError
from roofmodel.results import Results
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_types import SheetPlan
from roofmodel.sheets.shop_words import scale_for
from roofmodel.sheets.slitting import slitting_words
from roofmodel.shop.job import ShopJob
from roofmodel.shop.pieces import released_pieces
from roofmodel_io.booklet import BOOKLET_NAME, booklet_pdf
from roofmodel_io.dxf_plan import plan_dxf
from roofmodel_io.folders import FolderWriter, check_target, plain_name, write_folder
from roofmodel_io.pdf.paper import Paper
from roofmodel_io.shop_dxf import sheet_dxf
from roofmodel_io.shop_lists import (
    changes_csv,
    cut_list_csv,
    cut_list_xlsx,
    slit_metal_csv,
    slitting_csv,
    trim_list_csv,
    trim_places_csv,
)

PLAN_NAME: Final = "roof_plan.dxf"
CSV_NAME: Final = "cut_list.csv"
TRIM_CSV_NAME: Final = "trim_list.csv"
PLACES_CSV_NAME: Final = "trim_by_edge.csv"
SLITTING_CSV_NAME: Final = "slitting_plan.csv"
METAL_CSV_NAME: Final = "trim_metal.csv"
CHANGES_CSV_NAME: Final = "changes.csv"
XLSX_NAME: Final = "cut_list.xlsx"

_FOLDERS: Final = {
    "panel layout": "layouts",
    "panel shapes": "panels",
    "trim profile": "trim_sections",
    "trim blank": "trim_blanks",
    "saddle sheet": "trim_blanks",
}
_DRAWN_FOR_MM: Final = (406.0, 254.0)
"""The room on a sheet of 11 × 17 in that DXF sheets get the size of their texts for."""

_BOOKLET_STEPS: Final = 20
"""What the booklet counts for beside one drawing."""

Report = Callable[[int, int, str], None]
"""Told what is done, of how much, and what comes now; whatever it raises ends the work."""


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: the folder, its files, how many drawings are among them, which revision
    they are of (0: none), what trim takes of coil in sentences, and where the earlier package
    still lies if it could not be taken away."""

    folder: Path
    files: tuple[str, ...]
    drawings: int
    revision: int
    slit: tuple[str, ...] = ()
    left_over: Path | None = None


def shop_job(results: Results) -> ShopJob:
    """The job with the revision and the date that its sheets say; FileError where a part of the
    trim cannot be made, for a shop must not get a package with a part missing."""
    job = ShopJob(results.project, results.surface, results.take_off)
    if job.blanks.remarks:
        raise FileError(job.blanks.remarks[0])
    releases = results.project.releases
    if not releases:
        return job
    now = revision_now(releases, released_pieces(job))
    return job.marked(now.number, now.date) if now else job.marked(0, "", releases[-1].number)


def write_shop_package(
    folder: Path,
    results: Results,
    picture: Callable[[], bytes],
    *,
    paper: Paper | None = None,
    report: Report = lambda done, count, words: None,
    token: str = "",
    settle: Callable[[], None] | None = None,
) -> Written:
    """Write everything into a folder, whole or not at all. `picture` draws the roof in 3D (PNG)
    when it is wanted; the booklet is for `paper`, or for what the job's units suggest; `token`
    tells the temporary folder beside the other from those of others. `settle` is done last, when
    the package is in its place; what it raises takes it away again."""
    check_target(folder)
    report(0, 1, "the blanks of the trim")
    job = shop_job(results)
    plans = sheet_plans(job)
    size = paper or ("a4" if job.project.units.system == "metric" else "letter")
    count = len(plans) + 2 + _BOOKLET_STEPS

    def fill(writer: FolderWriter) -> None:
        report(0, count, "the roof plan")
        writer.put(PLAN_NAME, plan_dxf(results, job.date))
        for done, plan in enumerate(plans, 1):
            report(done, count, plan.title)
            _draw(writer, plan, job)
        at = len(plans) + 1
        report(at, count, "the cut list")
        writer.put(CSV_NAME, cut_list_csv(job).encode("utf-8-sig"))
        writer.put(TRIM_CSV_NAME, trim_list_csv(job).encode("utf-8-sig"))
        writer.put(PLACES_CSV_NAME, trim_places_csv(job).encode("utf-8-sig"))
        writer.put(SLITTING_CSV_NAME, slitting_csv(job).encode("utf-8-sig"))
        writer.put(METAL_CSV_NAME, slit_metal_csv(job).encode("utf-8-sig"))
        if (changes := changes_csv(job)) is not None:
            writer.put(CHANGES_CSV_NAME, changes.encode("utf-8-sig"))
        writer.put(XLSX_NAME, cut_list_xlsx(job))
        report(at + 1, count, "the roof in 3D")
        png = picture()

        def paged(page: int, pages: int) -> None:
            report(at + 1 + _BOOKLET_STEPS * page // max(pages, 1), count, "the booklet")

        booklet = booklet_pdf(results, paper=size, picture_png=png, job=job, report=paged)
        writer.put(BOOKLET_NAME, booklet)
        report(count, count, "")

    done = write_folder(folder, fill, token, settle)
    drawings = sum(name.endswith(".dxf") for name in done.files)
    slit = tuple(s for s in (slitting_words(job), *job.slitting.notes, *job.blanks.left_out) if s)
    return Written(folder, done.files, drawings, job.revision, slit, done.left_over)


def _draw(writer: FolderWriter, plan: SheetPlan, job: ShopJob) -> None:
    units = job.project.units
    sheet = plan.draw(scale_for(plan, _DRAWN_FOR_MM, units))
    inside = _FOLDERS[plan.kind]
    taken = [f.rpartition("/")[2].removesuffix(".dxf") for f in writer.files if inside in f]
    what = plan.name.partition(" ")[2]
    writer.put(f"{inside}/{plain_name(what, taken)}.dxf", sheet_dxf(sheet, units))
