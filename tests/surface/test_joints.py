"""Overhangs that are joined or pass: continuous in the heights, and told where narrow."""

from __future__ import annotations

import math

import pytest

from roofmodel.results import results_of
from roofmodel.surface import Surface
from tests.houses import FT, box, opening, project, section

GABLE = math.inf


def plan(surface: Surface, part: str = "") -> float:
    """Plan area of a part's planes, or of all, sq ft."""
    some = [p for p in surface.planes if part in ("", p.id.section)]
    return sum(p.plan_area for p in some) / FT**2


def cross_gable(eave: float) -> Surface:
    """6/12 hip, eave 9, with a gabled wing; overhangs of 2 as drip lines."""
    main = section(box(0, 0, 40, 24), [0.5] * 4, section_id="s1", eave_ft=9, overhang_ft=2)
    wing = section(
        box(8, -14, 24, 10), [GABLE, 0.5, GABLE, 0.5], section_id="s2", eave_ft=eave, overhang_ft=2
    )
    return results_of(project(main, wing)).surface


@pytest.mark.parametrize("eave", [7.5, 8.0, 8.5, 9.5, 10.0])
def test_an_inch_of_height_changes_little(eave: float) -> None:
    """A hundredth of a foot moves valleys and walls by hundredths: no strip comes or goes."""
    areas = [plan(cross_gable(eave + d)) for d in (-0.01, 0.0, 0.01)]
    assert max(areas) - min(areas) < 1.0
    assert not [e for e in cross_gable(eave).edges if e.id.second == "cut"]


def test_a_strip_far_from_the_crossing_stays() -> None:
    """Two roofs cross in one corner; 15 ft away the overhang passes 5 ft above the lower one."""
    shed = section(
        box(0, 0, 30, 20), [GABLE, 1 / 3, GABLE, GABLE], section_id="s1", eave_ft=9, overhang_ft=2
    )
    areas = []
    for eave in (15.2, 15.3, 16.2, 16.4):
        high = section(
            box(8, 10, 40, 40), [0.25, 0.25, 0.25, 1], section_id="s2", eave_ft=eave, overhang_ft=2
        )
        areas.append(plan(results_of(project(shed, high)).surface, "s1"))
    # 30 × 20 less what the other's walls, 2 inside its drip line, hide: 20 × 8
    assert areas == pytest.approx([600 - 160] * 4, rel=1e-9)


def test_a_porch_runs_to_the_wall_below_the_main_eave() -> None:
    """The porch's drip line reaches 2 beyond the main drip line, to the main wall; 16 × 10 of it
    lie outside that wall."""
    main = section(box(0, 0, 40, 24), [0.5] * 4, section_id="s1", eave_ft=9, overhang_ft=2)
    porch = section(
        box(8, -8, 24, 2), [0.25, 0.25, GABLE, 0.25], section_id="s2", eave_ft=8.5, overhang_ft=1
    )
    assert plan(results_of(project(main, porch)).surface, "s2") == pytest.approx(160, rel=1e-9)


def test_identities_stay_when_something_far_away_is_added() -> None:
    def wing(x: float, name: str) -> object:
        return section(
            box(x, -8, x + 8, 6),
            [GABLE, 0.5, GABLE, 0.5],
            section_id=name,
            eave_ft=9,
            overhang_ft=1,
        )

    parts = (
        section(box(0, 0, 60, 24), [0.5, GABLE] * 2, section_id="s1", eave_ft=9, overhang_ft=1),
        wing(8, "s2"),
        wing(24, "s3"),
        opening(box(40, 5, 43, 8)),
    )
    far = section(box(100, 100, 120, 111), [0.5] * 4, section_id="s99")
    before = results_of(project(*parts)).surface  # type: ignore[arg-type]
    after = results_of(project(far, *parts)).surface  # type: ignore[arg-type]
    places = {str(e.id): (e.start.round(3).tolist(), e.end.round(3).tolist()) for e in after.edges}
    for e in before.edges:
        assert places[str(e.id)] == (e.start.round(3).tolist(), e.end.round(3).tolist())
