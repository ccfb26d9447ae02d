"""The sample projects open, carry a whole roof, and are what `make samples` writes."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from roofmodel.document import Project
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind
from roofmodel_io.project_file import encode_project, read_project

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "sample_projects"
FILES = sorted(FOLDER.glob("*.roof"))
FT2 = 304.8**2


@pytest.fixture(scope="module")
def made() -> dict[str, Project]:
    result: dict[str, Project] = runpy.run_path(str(ROOT / "scripts/make_samples.py"))["samples"]()
    return result


def test_made_again_they_are_equal(made: dict[str, Project]) -> None:
    assert [f.stem for f in FILES] == sorted(made)
    for file in FILES:
        assert read_project(file).project == made[file.stem]
        assert file.read_bytes() == encode_project(made[file.stem], {})


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_they_carry_a_whole_roof(file: Path) -> None:
    results = results_of(read_project(file).project)
    assert not [p for p in results.problems if p.serious]
    assert results.surface.planes
    assert results.take_off.panels
    assert results.take_off.trim


PLAN_AREAS = {
    "alder_flat_ranch": 58 * 32 + 26 * 26,  # walls 56 by 28 and 24 by 24, with overhangs
    "birch_corner_l_hip": 52 * 28 + 24 * 22,
    "cedar_bend_farmhouse": 44 * 30 + 28 * 22,
    "dune_hollow_courtyard": 78 * 66 - 28 * 18,
}


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_their_planes_cover_their_outlines(file: Path) -> None:
    planes = results_of(read_project(file).project).surface.planes
    area = sum(p.plan_area for p in planes) / FT2
    assert area == pytest.approx(PLAN_AREAS[file.stem], rel=1e-9)


def test_the_farmhouse_has_its_gambrel() -> None:
    surface = results_of(read_project(FOLDER / "cedar_bend_farmhouse.roof").project).surface
    bends = [e for e in surface.edges if e.kind == EdgeKind.PITCH_TRANSITION]
    assert [e.length / 304.8 for e in bends] == pytest.approx([28.0, 28.0])
    assert sorted({round(p.slope * 12, 6) for p in surface.planes}) == [5, 8, 10, 24]


def test_the_courtyard_has_its_valleys() -> None:
    surface = results_of(read_project(FOLDER / "dune_hollow_courtyard.roof").project).surface
    assert sum(e.kind == EdgeKind.VALLEY for e in surface.edges) == 4
