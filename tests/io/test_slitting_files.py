"""The slitting plan in files: CSV, workbook and booklet hold the plan's figures."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest

from roofmodel.document import Units
from roofmodel.document.changes import changed
from roofmodel.document.releases import set_shop_rules
from roofmodel.results import Results, results_of
from roofmodel.sheets.slitting import CutKind, slit_sheets
from roofmodel.shop.job import ShopJob
from roofmodel.units import MM2_PER_SQ_FT, format_length
from roofmodel_io.booklet import booklet_pdf
from roofmodel_io.booklet_slitting import TITLE, slitting_pages
from roofmodel_io.pdf.fonts import LEAST_POINTS
from roofmodel_io.pdf.page import Imprint, pdf_of
from roofmodel_io.pdf.paper import MARGIN, PAPERS, Paper
from roofmodel_io.shop_lists import cut_list_xlsx, slit_metal_csv, slitting_csv
from tests.io.reading_pdf import PageRead, read_pages, scale_of
from tests.io.test_booklet import results, titled
from tests.shop.shops import HIP, SYSTEMS, job

IN = 25.4
BOTH = {"ribbed_panel": "alder_flat_ranch", "standing_seam": "fern_hill_manor"}


@cache
def shop(system: str, metric: bool = False, *widths: float) -> ShopJob:
    """A sample for the shop: its small house ribbed, its large one with seams."""
    made: Results = results(BOTH[system], system, metric)
    if widths:
        made = results_of(set_shop_rules(made.project, trim_coils=widths))
    return ShopJob(made.project, made.surface, made.take_off)


@cache
def pages_of(paper: Paper, system: str, metric: bool, *widths: float) -> list[PageRead]:
    made = shop(system, metric, *widths)
    imprint = Imprint(made.project.job, "a.pdf", 1, "today")
    return read_pages(pdf_of(slitting_pages(made, paper), imprint, "a", None))


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("system", SYSTEMS)
def test_csv_has_the_plan(system: str) -> None:
    made = shop(system)
    (plan,) = made.slitting.plans
    rows = rows_of(slitting_csv(made))
    assert sum(int(r["Blanks in all"]) for r in rows) == plan.blanks == len(made.blanks.blanks)
    cuts = {r["Cut"]: r for r in rows}
    area = sum(
        int(r["Times"]) * float(r["Coil width (in)"]) * float(r["Cut off at (in)"])
        for r in cuts.values()
    )
    assert area * IN**2 == pytest.approx(plan.area)
    for number in cuts:
        some = [r for r in rows if r["Cut"] == number]
        used = sum(int(r["Strips side by side"]) * float(r["Girth (in)"]) for r in some)
        rest = float(some[0]["Rest of the width (in)"])
        assert used + rest == pytest.approx(float(some[0]["Coil width (in)"]))
    (metal,) = rows_of(slit_metal_csv(made))
    assert float(metal["Length of coil (in)"]) * IN == pytest.approx(plan.coil_length(48 * IN))
    assert float(metal["Area (sq ft)"]) * MM2_PER_SQ_FT == pytest.approx(plan.area)
    assert float(metal["In no blank (%)"]) == pytest.approx(plan.waste * 100.0)
    assert int(metal["Cuts"]) == len(plan.cuts)


def test_metric_csv_is_in_millimetres() -> None:
    made = shop("ribbed_panel", True, 1250.0, 1000.0)
    rows = rows_of(slit_metal_csv(made))
    assert {r["Coil width (mm)"] for r in rows} <= {"1250", "1000"}
    area = sum(float(r["Area (m²)"]) for r in rows)
    assert area == pytest.approx(made.slitting.area / 1e6)


def test_the_workbook_has_its_sheets_and_what_the_coil_is_taken_from() -> None:
    def texts(rules: dict[str, object]) -> str:
        made = results_of(set_shop_rules(job(HIP), **rules))  # type: ignore[arg-type]
        data = cut_list_xlsx(ShopJob(made.project, made.surface, made.take_off))
        with zipfile.ZipFile(io.BytesIO(data)) as box:
            book = box.read("xl/workbook.xml").decode()
            assert 'name="Slitting plan"' in book
            assert 'name="Metal for trim"' in book
            return box.read("xl/sharedStrings.xml").decode()

    usual = texts({})
    assert "trim slit from coil 48 in wide: common practice, no source" in usual
    assert "Hip cap" in usual
    narrow = texts({"trim_coils": (12 * IN,)})
    assert "trim slit from" not in narrow
    assert "in no slitting plan" in narrow


def sheet_of(data: bytes, name: str) -> list[dict[str, str | float]]:
    """The rows of a workbook's sheet below its titles, each by its titles."""
    space = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        book = ElementTree.fromstring(box.read("xl/workbook.xml"))
        names = [s.attrib["name"] for s in book.findall(".//m:sheet", space)]
        number = names.index(name) + 1
        sheet = ElementTree.fromstring(box.read(f"xl/worksheets/sheet{number}.xml"))
        shared = ElementTree.fromstring(box.read("xl/sharedStrings.xml"))
    texts = ["".join(i.itertext()) for i in shared.findall("m:si", space)]
    rows: list[dict[str, str | float]] = []
    for row in sheet.findall(".//m:row", space):
        cells: dict[str, str | float] = {}
        for cell in row.findall("m:c", space):
            value = cell.findtext("m:v", "", space)
            column = cell.attrib["r"].rstrip("0123456789")
            is_text = cell.attrib.get("t") == "s"
            cells[column] = texts[int(value)] if is_text else float(value)
        rows.append(cells)
    at = next(k for k, r in enumerate(rows) if r.get("A") in ("Cut", "Metal"))
    return [{str(rows[at][c]): v for c, v in r.items()} for r in rows[at + 1 :]]


@pytest.mark.parametrize("system", SYSTEMS)
def test_workbook_and_csv_have_the_same_numbers(system: str) -> None:
    made = shop(system)
    data = cut_list_xlsx(made)
    for name, text in (
        ("Slitting plan", slitting_csv(made)),
        ("Metal for trim", slit_metal_csv(made)),
    ):
        *rows, total = sheet_of(data, name)
        assert "Total" in total.values()
        wanted = rows_of(text)
        assert len(rows) == len(wanted)
        for found, row in zip(rows, wanted, strict=True):
            for title, value in row.items():
                cell = found.get(title, "")
                if isinstance(cell, float):
                    assert float(value) == pytest.approx(cell, rel=1e-9)
                else:
                    assert value == cell


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("system", "metric", "widths"),
    [("ribbed_panel", True, ()), ("standing_seam", False, ()), ("standing_seam", True, (2000.0,))],
)
def test_nothing_overlaps_is_cut_or_too_small(
    paper: Paper, system: str, metric: bool, widths: tuple[float, ...]
) -> None:
    for number, page in enumerate(pages_of(paper, system, metric, *widths), 1):
        assert page.outside(MARGIN - 0.1) == [], number
        assert page.overlapping() == [], number
        assert min(t.points for t in page.texts) >= LEAST_POINTS - 0.001
        points = np.vstack([np.array(p) for p in page.paths])
        assert (points >= MARGIN - 0.5).all(), number
        assert (points <= np.array(page.size) - MARGIN + 0.5).all(), number
        assert sorted(page.size) == pytest.approx(PAPERS[paper], abs=0.01)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_cut_is_drawn_to_scale_with_its_blanks(system: str) -> None:
    pages = pages_of("tabloid", system, False)
    found = re.search(r"drawn at (.*); what", " ".join(pages[0].words))
    assert found is not None
    scale = scale_of(found[1])
    (sheet,) = slit_sheets(shop(system))
    words = [w for p in pages for w in p.words]
    for kind in sheet.kinds:
        at = next(k for k, w in enumerate(words) if w.startswith(f"Cut {kind.number}: "))
        assert words[at - 1] == f"{kind.times} ×"
    boxes = [b for page in pages for b in page.paths if len(b) == 5]
    sizes = true_sizes(boxes, scale)
    wanted: dict[tuple[float, float], int] = {}
    for kind in sheet.kinds:
        for size, count in drawn(kind):
            wanted[size] = wanted.get(size, 0) + count
    for size, count in wanted.items():
        assert near(sizes, size) >= count, size
    total = sum(wanted.values())
    assert len(boxes) == total


def true_sizes(boxes: list[list[tuple[float, float]]], scale: float) -> np.ndarray:
    """Widths and heights of boxes at their true size, mm."""
    return np.array(
        [(abs(b[1][0] - b[0][0]) * scale, abs(b[2][1] - b[1][1]) * scale) for b in boxes]
    )


def near(sizes: np.ndarray, size: tuple[float, float]) -> int:
    return int((np.abs(sizes - np.array(size)) < 2.0).all(axis=1).sum())


def drawn(kind: CutKind) -> list[tuple[tuple[float, float], int]]:
    """The boxes of a cut: the coil, and each blank in each strip."""
    out = [((kind.length, kind.width), 1)]
    for strip in kind.strips:
        out += [((b.length, strip.girth), strip.count * b.count) for b in strip.blanks]
    return out


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_blank_is_named_on_the_pages(system: str) -> None:
    made = shop(system)
    words = " ".join(w for p in pages_of("letter", system, False) for w in p.words)
    units = made.project.units
    for drawing in made.trim:
        part, _, number = drawing.name.rpartition(" ")
        assert drawing.name in words or re.search(rf"{part} [\d, ]*\b{number}\b", words)
    (plan,) = made.slitting.plans
    assert format_length(plan.coil_length(48 * IN), units) in words
    assert f"{plan.waste * 100:.1f} %" in words


def test_the_booklet_lists_the_plan_and_has_no_page_without_trim() -> None:
    made = read_pages(booklet_pdf(results("alder_flat_ranch", "ribbed_panel"), paper="a4"))
    assert titled(made, TITLE)
    assert TITLE in [w for p in made if p.words[0].startswith("Shop and crew") for w in p.words]
    bare = results_of(job())
    assert slitting_pages(ShopJob(bare.project, bare.surface, bare.take_off), "a4") == []


def test_names_of_very_many_strips_stand_below_their_cut() -> None:
    """A coil so wide that what comes from it has no room beside it."""
    made = shop("standing_seam", True, 3000.0)
    words = pages_of("letter", "standing_seam", True, 3000.0)
    assert words
    assert max(sum(s.count for s in k.strips) for t in slit_sheets(made) for k in t.kinds) > 15


def test_several_coils_are_told_apart_in_metric_jobs() -> None:
    made = shop("ribbed_panel", True, 1250.0, 625.0)
    words = " ".join(
        w for p in pages_of("a4", "ribbed_panel", True, 1250.0, 625.0) for w in p.words
    )
    for plan in made.slitting.plans:
        for width in plan.widths:
            assert f"of coil {width:.0f} mm wide" in words
    other = changed(made.project, units=Units("metric"))
    assert other.shop.trim_coils == (1250.0, 625.0)
