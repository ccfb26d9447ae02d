"""The booklet for shop and crew, read back page by page."""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from roofmodel.document import Job, Project, Units
from roofmodel.document.changes import changed
from roofmodel.document.cover_edits import cover_job
from roofmodel.results import Results, results_of
from roofmodel.sheets.checklist import crew_checklist
from roofmodel.takeoff import alike
from roofmodel.units import format_length
from roofmodel_io.booklet import BOOKLET_NAME, booklet_pdf
from roofmodel_io.pdf.fonts import LEAST_POINTS
from roofmodel_io.pdf.paper import MARGIN, PAPERS, Paper
from roofmodel_io.project_file import read_project
from tests.io.reading_pdf import PageRead, read_pages, scale_of

SAMPLES = Path(__file__).parents[2] / "sample_projects"
BOOKS: list[tuple[str, str, Paper, bool]] = [
    ("alder_flat_ranch", "ribbed_panel", "a3", True),
    ("elder_brook_dormers", "ribbed_panel", "letter", False),
    ("elder_brook_dormers", "standing_seam", "a4", True),
    ("fern_hill_manor", "standing_seam", "tabloid", False),
]


@cache
def results(name: str, system: str, metric: bool = False) -> Results:
    project = read_project(SAMPLES / f"{name}.roof").project
    project = cover_job(project, system)
    if metric:
        project = changed(project, units=Units("metric"))
    return results_of(project)


@cache
def book(name: str, system: str, paper: Paper, metric: bool) -> list[PageRead]:
    made = booklet_pdf(results(name, system, metric), paper=paper, revision=3, date="4 May")
    return read_pages(made)


@cache
def ranch() -> list[PageRead]:
    return book("elder_brook_dormers", "ribbed_panel", "letter", False)


def titled(pages: list[PageRead], title: str) -> list[PageRead]:
    """The pages of this title, and those that continue it."""
    found = [p for p in pages if p.words[0] in (title, f"{title}, continued")]
    assert found, title
    return found


@pytest.mark.parametrize(("name", "system", "paper", "metric"), BOOKS)
def test_nothing_overlaps_is_cut_or_too_small(
    name: str, system: str, paper: Paper, metric: bool
) -> None:
    pages = book(name, system, paper, metric)
    for number, page in enumerate(pages, 1):
        assert page.outside(MARGIN - 0.1) == [], number
        assert page.overlapping() == [], number
        assert min(t.points for t in page.texts) >= LEAST_POINTS - 0.001, number
        points = np.vstack([np.array(p) for p in page.paths])
        assert (points >= MARGIN - 0.5).all(), number
        assert (points <= np.array(page.size) - MARGIN + 0.5).all(), number
        assert sorted(page.size) == pytest.approx(PAPERS[paper], abs=0.01)


@pytest.mark.parametrize(("name", "system", "paper", "metric"), BOOKS)
def test_list_of_sheets_names_the_pages(
    name: str, system: str, paper: Paper, metric: bool
) -> None:
    pages = book(name, system, paper, metric)
    listed: dict[int, str] = {}
    for page in pages:
        if not page.words[0].startswith("Shop and crew booklet"):
            break
        words = page.words
        start = next(k for k, w in enumerate(words) if w.startswith("List of sheets")) + 1
        said: list[str] = []
        lefts = {round(t.box.bounds[0]) for t in page.texts[start:] if not t.text.isdigit()}
        for text in page.texts[start:]:  # a long name takes several lines before its page
            if text.text.isdigit() and round(text.box.bounds[0]) not in lefts:
                listed[int(text.text)] = " ".join(said)
                said = []
            else:
                said.append(text.text)
        assert not said
        assert not any("…" in name for name in listed.values())
        sections = [name for name in listed.values() if name.startswith("Trim sections")]
        assert not any(" bent " in name for name in sections)
    assert listed
    first = min(listed)
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in page.words
        title = page.words[0]
        if number < first or title.endswith(", continued"):
            assert number not in listed
            continue
        name = listed.pop(number)
        assert title.rstrip("…").split(":")[0] in name or name in title
    assert not listed


PART = re.compile(r"(The roof|For the shop|For the crew): pages? (\d+)(?: to (\d+))?")


@pytest.mark.parametrize(("name", "system", "paper", "metric"), BOOKS)
def test_each_part_is_a_run_of_pages(name: str, system: str, paper: Paper, metric: bool) -> None:
    """The list says which pages to print for the shop and which for the crew."""
    pages = book(name, system, paper, metric)
    covers = [p for p in pages if p.words[0].startswith("Shop and crew booklet")]
    spans = [m.groups() for p in covers for w in p.words if (m := PART.fullmatch(w))]
    assert [title for title, *_ in spans] == ["The roof", "For the shop", "For the crew"]
    at = len(covers) + 1
    titles = {}
    for title, first, last in spans:
        assert int(first) == at
        at = int(last or first) + 1
        titles[title] = [p.words[0] for p in pages[int(first) - 1 : at - 1]]
    assert at == len(pages) + 1
    assert all("layout" in t or t.startswith("Check") for t in titles["For the crew"])
    assert not any("layout" in t or t.startswith("Check") for t in titles["For the shop"])
    assert any(t.startswith("Cut list of panels") for t in titles["For the shop"])
    assert any(t.startswith("Roof plan") for t in titles["The roof"])


def test_header_and_footer_say_whose_roof_it_is() -> None:
    for page in ranch():
        assert {"Elder Brook house", "An invented house", BOOKLET_NAME} <= set(page.words)
        assert "Revision 3 · 4 May · Field-measure before cutting." in page.words


@pytest.mark.parametrize(("name", "system", "paper", "metric"), BOOKS)
def test_layouts_are_drawn_at_the_scale_that_they_state(
    name: str, system: str, paper: Paper, metric: bool
) -> None:
    """Dimension lines of width and height of each plane's metal, measured on the page."""
    pages = book(name, system, paper, metric)
    take_off = results(name, system, metric).take_off
    for laying in take_off.layings:
        if laying.panels:
            (page,) = titled(pages, f"{laying.plane_name}: panel layout")
            width = laying.panels[0].field_width / page.scale
            off = np.abs(page.line_lengths() / width - 1.0)
            assert off.min() < 0.002, laying.plane_name
            words = format_length(
                laying.panels[0].field_width, Units("metric" if metric else "feet")
            )
            assert words in page.words


def test_roof_plan_is_drawn_at_the_scale_that_it_states() -> None:
    (page,) = titled(ranch(), "Roof plan")
    surface = results("elder_brook_dormers", "ribbed_panel").surface
    lengths = page.line_lengths()
    for edge in surface.edges:
        plan = float(np.linalg.norm((edge.end - edge.start)[:2]))
        if plan > 1.0:
            assert np.abs(lengths / (plan / page.scale) - 1.0).min() < 0.002, edge.name


def test_scale_bars_are_as_long_as_they_say() -> None:
    (page,) = titled(ranch(), "Roof plan")
    (bar,) = [w for w in page.words if re.fullmatch(r"\d+ ft", w)]
    boxes = [p for p in page.paths if len(p) == 5 and abs(p[2][1] - p[0][1] - 1.1) < 0.01]
    across = max(x for p in boxes for x, _ in p) - min(x for p in boxes for x, _ in p)
    assert len(boxes) == 4
    assert across * page.scale == pytest.approx(int(bar.split()[0]) * 304.8, rel=0.002)


@pytest.mark.parametrize(("name", "system", "paper", "metric"), BOOKS)
def test_lengths_are_the_take_offs_rounded_once(
    name: str, system: str, paper: Paper, metric: bool
) -> None:
    pages = book(name, system, paper, metric)
    roof = results(name, system, metric)
    units = roof.project.units
    take_off = roof.take_off
    rows = [w for p in titled(pages, "Cut list of panels") for w in p.words]
    shown = {format_length(p.length, units) for p in take_off.panels}
    assert shown <= set(rows)
    assert str(len(take_off.panels)) in rows
    both = ("Edges", "Edges, continued", "Planes and edges")
    rows = [w for p in pages if p.words[0] in both for w in p.words]
    for edge in roof.surface.edges:
        if edge.id in take_off.edges:
            at = rows.index(edge.name)
            assert rows[at + 1] == format_length(edge.length, units)
    rows = [w for p in titled(pages, "Trim list") for w in p.words]
    for run in take_off.trim:
        assert format_length(run.length, units) in rows
        assert run.edge_name in rows


def test_cutting_plan_draws_every_bar_to_scale() -> None:
    pages = titled(ranch(), "Cutting plan of trim")
    found = re.search(r"drawn at (.*); what is", " ".join(pages[0].words))
    assert found is not None
    scale = scale_of(found[1])
    rows = [w for p in pages for w in p.words]
    take_off = results("elder_brook_dormers", "ribbed_panel").take_off
    groups = [g for plan in take_off.cutting_plans for g in alike(plan.bars)]
    counts = [w for w in rows if re.fullmatch(r"\d+ ×", w)]
    assert counts == [f"{len(g)} ×" for g in groups]
    boxes = [p for page in pages for p in page.paths if len(p) == 5]
    widths = np.array([abs(p[1][0] - p[0][0]) for p in boxes])
    for group in groups:
        for length in (group[0].stock_length, *group[0].cuts):
            assert np.abs(widths - length / scale).min() < 0.05


def test_every_trim_part_is_drawn_and_every_plane_laid_out() -> None:
    pages = ranch()
    take_off = results("elder_brook_dormers", "ribbed_panel").take_off
    words = {w for p in pages for w in p.words}
    for part in {t.part for t in take_off.trim}:
        name = part[:1].upper() + part[1:]
        assert any(w.startswith(name) and w.endswith(": section") for w in words), part
        assert any(w.startswith(name) and w.endswith(": blank") for w in words), part
    for laying in take_off.layings:
        if laying.panels:
            titled(pages, f"{laying.plane_name}: panel layout")


def test_check_list_is_all_there() -> None:
    checks = crew_checklist(results("elder_brook_dormers", "ribbed_panel"))
    text = " ".join(w for p in titled(ranch(), "Check list of the crew") for w in p.words)
    for step in checks.steps:
        assert step.title in text
        for point in step.points:
            assert point in text
    for caution in checks.cautions:
        assert caution in text
    assert checks.ending in text


def test_metric_jobs_have_no_feet() -> None:
    for page in book("elder_brook_dormers", "standing_seam", "a4", True):
        for word in page.words:
            assert not re.search(r"\d'-\d|\d\"|\bft\b", word), word
    (page,) = titled(book("elder_brook_dormers", "standing_seam", "a4", True), "Roof plan")
    assert any(w.startswith("1:") for w in page.words)


def test_same_project_same_bytes_and_the_pages_are_told() -> None:
    told: list[tuple[int, int]] = []
    small = results("alder_flat_ranch", "standing_seam")
    first = booklet_pdf(small, report=lambda done, count: told.append((done, count)))
    assert first == booklet_pdf(small)
    count = len(read_pages(first))
    assert told == [(0, 0)] * 9 + [(k, count) for k in range(count + 1)]


def test_report_may_stop_it() -> None:
    def stop(done: int, count: int) -> None:
        if done == 2:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        booklet_pdf(results("alder_flat_ranch", "ribbed_panel"), report=stop)


def test_picture_stands_on_the_cover() -> None:
    stream = io.BytesIO()
    Image.new("RGBA", (160, 100), "steelblue").save(stream, "PNG")
    made = booklet_pdf(results("alder_flat_ranch", "ribbed_panel"), picture_png=stream.getvalue())
    pages = read_pages(made)
    assert [p.pictures for p in pages[:3]] == [1, 0, 0]
    assert pages[0].overlapping() == []


def test_signs_and_letters_of_many_tongues_are_embedded() -> None:
    name = "Dům Žižka, łąka őr 12 m² ½ ″ ° ≥ €"
    small = results("alder_flat_ranch", "ribbed_panel")
    project: Project = changed(small.project, job=Job(name, "A  client\nof\tours", "x" * 300))
    made = booklet_pdf(Results(project, small.surface, small.take_off, small.problems))
    pages = read_pages(made)
    assert made.count(b"/FontFile2") >= 2
    assert name in "".join(pages[0].words)
    for page in pages:
        assert page.outside(MARGIN - 0.1) == []
        assert page.overlapping() == []
