"""Problems of composed roofs: true, with a place, and mended by their mends."""

from __future__ import annotations

import msgspec

from roofmodel.document import ByEdge, DrawnPlane, Problem, Project
from roofmodel.document.edits import move_corner
from roofmodel.results import results_of
from tests.houses import FT, box, opening, project, section

GABLE = float("inf")
HOUSE = section(box(0, 0, 40, 24), [0.5, GABLE] * 2, eave_ft=9)


def said(job: Project, words: str) -> list[Problem]:
    return [p for p in results_of(job).problems if words in p.sentence]


def test_a_tied_porch_says_when_its_edge_moved_away() -> None:
    edge = "s1/e1/0/1|e1|1"
    corners = tuple((x * FT, y * FT) for x, y in box(10, -8, 30, 0))
    porch = DrawnPlane("p9", "Porch", corners, ByEdge("s1", edge, -0.25))
    job = project(HOUSE, porch)
    assert not said(job, "tied to a roof edge")
    for k, corner in ((0, (0.0, -2 * FT)), (1, (40 * FT, -2 * FT))):
        job = move_corner(job, "s1", 0, k, corner)
    (problem,) = said(job, "Porch is tied to a roof edge but lies 2'-0\" beside it")
    assert problem.section == "p9"
    assert problem.mend is not None
    mended = problem.mend.edit(job)
    assert not said(mended, "tied to a roof edge")
    assert abs(max(y for _, y in mended.plane("p9").corners) + 2 * FT) < 1e-6


def test_a_wide_chimney_wants_a_saddle() -> None:
    """36 in across the slope; 30 in is the limit."""
    job = project(HOUSE, opening(box(10, 4, 13, 6)))
    (problem,) = said(job, "codes ask for a saddle")
    assert problem.mend is not None
    assert not said(problem.mend.edit(job), "saddle")
    assert not said(project(HOUSE, opening(box(10, 4, 12.5, 6))), "saddle")


def test_openings_beside_the_roof_are_told() -> None:
    skylight = opening(box(10, -1, 12, 2), "skylight")
    assert said(project(HOUSE, skylight), "hangs over the roof's edge")
    assert said(project(HOUSE, opening(box(-5, -5, 50, 50))), "covers a whole part of the roof")
    assert said(project(HOUSE, opening(box(60, 0, 62, 2))), "lies beside the roof")


def test_eaves_that_nearly_agree_are_mended() -> None:
    wing = section(box(10, -10, 26, 12), [GABLE, 0.5] * 2, section_id="s2", eave_ft=9 + 0.5 / 12)
    job = project(HOUSE, wing)
    (problem,) = said(job, "were they meant to be level")
    assert problem.mend is not None
    assert not said(problem.mend.edit(job), "meant to be")


def test_walls_that_nearly_agree_are_mended() -> None:
    """Two sections side by side, 2 in apart: the second is put on the line of the first."""
    gap = 40 + 2 / 12
    other = section(box(gap, 0, gap + 20, 24), [0.5, GABLE] * 2, section_id="s2", eave_ft=9)
    job = project(HOUSE, other)
    problems = said(job, "were they meant to be on one line")
    mends = [p.mend for p in problems if p.mend is not None]
    assert mends
    assert not said(mends[0].edit(job), "only 0'-2\"")


def test_an_overhang_without_room_for_walls_is_told() -> None:
    """A neck 3 ft wide with overhangs of 2 ft: the wall line would cross itself."""
    dumbbell = [
        (0, 0), (20, 0), (20, 8.5), (30, 8.5), (30, 0), (50, 0),
        (50, 20), (30, 20), (30, 11.5), (20, 11.5), (20, 20), (0, 20),
    ]  # fmt: skip
    wide = section(dumbbell, [0.5] * 12, eave_ft=9, overhang_ft=2)
    assert said(project(wide), "leave no room for walls")


def test_what_was_set_by_hand_and_is_gone_is_told() -> None:
    from roofmodel.document.cover_edits import set_edge_kind, set_plane_covering
    from roofmodel.systems import EdgeKind

    job = set_edge_kind(project(HOUSE), "s1/e9/0/1|e9|1", EdgeKind.RAKE)
    job = set_plane_covering(job, "s1/e9/0/1", "other")
    assert said(job, "was set to rake by hand")
    assert said(job, "given its own covering")
    assert msgspec.structs.replace(job, edge_overrides=(), plane_coverings=()) == project(HOUSE)
