"""The sample projects open, carry a whole roof, and are what `make samples` writes."""

from __future__ import annotations

import math
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
OCTAGON = math.tan(math.pi / 8)  # an eighth of an octagon, by the square of its apothem


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
    "elder_brook_dormers": sum(
        (
            # main: 46 by 31, less the ground of the dormers inside their walls, of the chimney
            # with its saddle, and of the skylights. The dormers' eaves, 23.5 ft, meet the main
            # roof 7 ft 11 in inside its own eave less 9 in of overhang: walls 6 ft by 4.9167 and
            # a triangle of 6 by 3. The shed dormer's 3/12 meets 9/12 at y = 15.875.
            46 * 31 - 2 * (6 * (4 + 11 / 12) + 6 * 3 / 2) - 18 * 8.125 - (12 + 4) - 2 * 2 * 3.25,
            # small dormers with their overhangs, and the shed one
            2 * (7.5 * (4 + 11 / 12) + 7.5 * 3.75 / 2) + 19.5 * 8.875,
            23 * 25 - 0.25,  # wing, less its pipe
            22 * 9,  # porch, under the main eave
            4,  # saddle
        )
    ),
    "fern_hill_manor": sum(
        (
            # main house, west wing and front gable: one eave all round; less the back dormer
            # (8 by 4.25 and a triangle of 8 by 4), a chimney, skylights, a pipe and the part of
            # the tower that stands in it: a quarter, two strips and a corner of 18 in
            53 * 35 + 18 * 23 + 16 * 5.5 - (8 * 4.25 + 16) - 7.5 - 14 - 0.25,
            -(2 * OCTAGON * 6**2 + 2 * 1.5 * 6 + 1.5**2),
            8 * OCTAGON * 7**2,  # the tower's own roof
            23 * 21 - (5 * 2.5 + 5 * 2.5 / 2) - (10 + 4),  # east wing, its dormer and chimney
            9.5 * 4.25 + 9.5 * 4.75 / 2,  # back dormer
            6.5 * 2.5 + 6.5 * 3.25 / 2,  # dormer of the wing
            15 * 21.5 + 7.5**2,  # garden room: from a corner of the house, at 45 degrees
            8 * (20 + 25) / 2,  # terrace roof
            4,  # saddle
            26 * 26 + 15 * 18,  # garage and carport
        )
    ),
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


def lengths(name: str) -> dict[EdgeKind, float]:
    """Length of each kind of edge in a sample, ft."""
    out: dict[EdgeKind, float] = {}
    for edge in results_of(read_project(FOLDER / f"{name}.roof").project).surface.edges:
        out[edge.kind] = out.get(edge.kind, 0.0) + edge.length / 304.8
    return out


def test_edges_of_the_house_with_dormers() -> None:
    """Hips of the dormer rise 9/12 over 3.75 ft in plan, those of the porch 4/12 over 9 ft; the
    valleys of the small dormers 9/12 over 3.75 ft, those of the saddle over 2 ft."""
    found = lengths("elder_brook_dormers")

    def sloping(run: float, slope: float) -> float:
        return run * math.sqrt(2 + slope**2)

    assert found[EdgeKind.HIP] == pytest.approx(2 * sloping(3.75, 0.75) + 2 * sloping(9, 1 / 3))
    valleys = 4 * sloping(3.75, 0.75) + 2 * sloping(2, 0.75)
    assert found[EdgeKind.VALLEY] == pytest.approx(valleys)
    assert found[EdgeKind.PITCH_TRANSITION] == pytest.approx(19.5)
    # of the three dormers, and the porch between its hips
    assert found[EdgeKind.HEADWALL] == pytest.approx(6 + 6 + 18 + 4)
    # main, wing, saddle; the gable dormer from its face, the hipped one from its hips
    ridges = 46 + 23 + 2 + (10 + 11 / 12 - 2.25) + (10 + 11 / 12 - 6)
    assert found[EdgeKind.RIDGE] == pytest.approx(ridges)


def test_the_large_house() -> None:
    project = read_project(FOLDER / "fern_hill_manor.roof").project
    surface = results_of(project).surface
    assert [b.name for b in project.buildings] == ["House", "Garage"]
    assert len(surface.planes) >= 25
    assert {round(p.slope * 12, 6) for p in surface.planes} == {4, 6, 8, 12}
    peaks = [e for e in surface.edges if e.kind == EdgeKind.HIP and e.planes[0].section == "s5"]
    assert len(peaks) == 8
    # the tower's hips rise 7 ft over the reach of a corner
    assert peaks[0].length / 304.8 == pytest.approx(math.hypot(7, 7 / math.cos(math.pi / 8)))
    # the valleys of the front gable, 12/12 against 8/12, run from fascia to ridge
    front = [
        e.length / 304.8
        for e in surface.edges
        if e.kind == EdgeKind.VALLEY and "s3" in {p.section for p in e.planes}
    ]
    assert front == pytest.approx([math.sqrt(8**2 + 12**2 + 8**2)] * 2)
