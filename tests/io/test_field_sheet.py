"""The field sheet, read back, and its command."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from roofmodel.document import Units
from roofmodel.document.changes import changed
from roofmodel.results import Results, results_of
from roofmodel.spread import Spread, spread_of
from roofmodel_io.field_sheet import field_pdf
from roofmodel_io.pdf.fonts import LEAST_POINTS
from roofmodel_io.pdf.paper import MARGIN, PAPERS, Paper
from roofmodel_io.project_file import read_project
from roofmodel_ui.cli import main
from tests.io.reading_pdf import read_pages

SAMPLES = Path(__file__).parents[2] / "sample_projects"


@cache
def found(name: str, metric: bool = False) -> tuple[Results, Spread]:
    project = read_project(SAMPLES / f"{name}.roof").project
    if metric:
        project = changed(project, units=Units("metric"))
    return results_of(project, planner=None), spread_of(project)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_one_page_with_everything_to_confirm(paper: Paper) -> None:
    results, spread = found("elder_brook_dormers")
    (page,) = read_pages(field_pdf(results, spread, paper=paper, date="4 May"))
    assert page.outside(MARGIN - 0.1) == []
    assert page.overlapping() == []
    assert min(t.points for t in page.texts) >= LEAST_POINTS - 0.001
    units = results.project.units
    for number, m in enumerate(spread.measurements, 1):
        assert m.name in page.words
        said = m.words(units)
        on_plan = [w for w in page.words if re.fullmatch(rf"{number}(: {re.escape(said)})?", w)]
        assert len(on_plan) == 2  # once on the plan, once in the list
    first = [w for w in page.words if w.endswith(", first")]
    assert len(first) == len(spread.best)
    assert {"Measured by", "Layers on the roof", "Overhangs"} <= set(page.words)
    assert any("4 May" in w for w in page.words)


def test_each_row_has_a_box_to_write_in() -> None:
    results, spread = found("alder_flat_ranch")
    (page,) = read_pages(field_pdf(results, spread))
    boxes = [p for p in page.paths if len(p) == 5 and abs(p[1][0] - p[0][0] - 24.0) < 0.01]
    assert len(boxes) == len(spread.measurements)


def test_outlines_are_drawn_at_the_stated_scale() -> None:
    results, spread = found("alder_flat_ranch")
    (page,) = read_pages(field_pdf(results, spread))
    lengths = page.line_lengths()
    for m in spread.measurements:
        if m.edge:
            off = abs(lengths / (m.value / page.scale) - 1.0)
            assert off.min() < 0.002, m.name


def test_metric_jobs_have_no_feet() -> None:
    results, spread = found("alder_flat_ranch", metric=True)
    (page,) = read_pages(field_pdf(results, spread, paper="a4"))
    assert not any(re.search(r"\d'-\d", w) for w in page.words)
    assert any(w.startswith("1:") for w in page.words)


def test_command_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "field.pdf"
    with pytest.raises(SystemExit) as ended:
        main(["field", str(SAMPLES / "alder_flat_ranch.roof"), "--out", str(out)])
    assert ended.value.code == 0
    assert "field.pdf: what to measure" in " ".join(capsys.readouterr().out.split())
    (page,) = read_pages(out.read_bytes())
    assert "field.pdf" in page.words


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["none.roof", "--out", "a.pdf"], 1, "no file"),
        ([str(SAMPLES / "alder_flat_ranch.roof"), "--out", "a.txt"], 2, ".pdf"),
        ([str(SAMPLES / "alder_flat_ranch.roof"), "--out", "a.pdf", "--paper", "b5"], 2, "b5"),
        ([str(SAMPLES / "alder_flat_ranch.roof"), "--out", "gone/a.pdf"], 1, "no folder"),
    ],
)
def test_command_says_what_is_wrong(
    words: list[str],
    code: int,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        main(["field", *words])
    assert ended.value.code == code
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
