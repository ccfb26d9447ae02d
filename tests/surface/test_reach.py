"""Dormers and wings that reach back by themselves; feet. Every figure is derived beside it.

Main body: 40 × 36 gable, 6/12, ridge at y = 18, 9 high. The dormers are 8 wide and stand at
y = 6, where the main slope is 3 high.
"""

from __future__ import annotations

import math

import msgspec
import pytest

from roofmodel.document import Problem, Project, Section
from roofmodel.document.dormers import Dormer, DormerKind, dormer_of, stretched
from roofmodel.document.edits import set_eave_height, set_slope
from roofmodel.document.part_edits import move_part, turn_part
from roofmodel.errors import DocumentError
from roofmodel.results import results_of
from roofmodel.surface import Surface
from roofmodel.surface.reach import (
    bodies_but,
    drop_dormer,
    ghost_of,
    joined,
    put_dormer,
    reached,
    seated,
)
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, box, project, section
from tests.surface.roof_asserts import check_edges, roof, sf

MAIN = section(box(0, 0, 40, 36), (0.5, GABLE, 0.5, GABLE))
MAIN_RAKES = [18 * sf(0.5)] * 4


def dormer(kind: DormerKind = DormerKind.GABLE, **fields: object) -> Dormer:
    plain = Dormer(kind, (20 * FT, 6 * FT), 0.0, 8 * FT, 0.5, 3 * FT)
    return msgspec.structs.replace(plain, **fields)


def surface_of(job: Project) -> Surface:
    results = results_of(job)
    assert [p.sentence for p in results.problems if p.serious] == []
    return results.surface


def back_ft(job: Project, section_id: str) -> float:
    return max(y for _, y in job.section(section_id).rings[0].corners) / FT


def lengths(surface: Surface, kind: K) -> list[float]:
    return sorted(e.length / FT for e in surface.edges if e.kind is kind)


GABLED: dict[K, list[float]] = {
    K.RIDGE: [40, 10],
    K.VALLEY: [6, 6],
    K.SIDEWALL: [6 * sf(0.5)] * 2,
    K.HEADWALL: [8],
    K.EAVE: [40, 40, 6, 6],
    K.RAKE: [*MAIN_RAKES, *[4 * sf(0.5)] * 2],
}
"""Plate 3 + 3 = 6: the slope has it at y = 12. The ridge is 4 · 6/12 = 2 higher, 8, and ends at
y = 16; valleys (4, 4, 2) = 6."""


def test_gable_dormer() -> None:
    job, made = drop_dormer(project(MAIN), dormer())
    check_edges(surface_of(job), GABLED)
    # It would come out behind at y = 20; a foot past what is needed there is room.
    assert back_ft(job, made) == pytest.approx(17, abs=1e-4)
    kept = dormer_of(job.section(made))
    assert kept is not None
    assert kept.bearing == pytest.approx(180)
    assert job.section(made).name == "Dormer 1"


def test_hipped_dormer() -> None:
    """Its hips run (4, 4, 2) = 6 from the front's corners; the ridge begins at y = 10."""
    job, _ = drop_dormer(project(MAIN), dormer(DormerKind.HIP))
    expected: dict[K, list[float]] = {
        **GABLED,
        K.RIDGE: [40, 6],
        K.HIP: [6, 6],
        K.EAVE: [40, 40, 6, 6, 8],
    }
    check_edges(surface_of(job), {**expected, K.RAKE: MAIN_RAKES})


def test_shed_dormer() -> None:
    """3 + t · 2/12 meets t · 6/12 at t = 9."""
    job, made = drop_dormer(project(MAIN), dormer(DormerKind.SHED, slope=2 / 12))
    expected: dict[K, list[float]] = {
        K.RIDGE: [40],
        K.SIDEWALL: [9 * sf(0.5)] * 2,
        K.HEADWALL: [8],
        K.EAVE: [40, 40, 8],
        K.RAKE: [*MAIN_RAKES, *[9 * sf(2 / 12)] * 2],
        K.PITCH_TRANSITION: [8],
    }
    check_edges(surface_of(job), expected)
    kept = dormer_of(job.section(made))
    assert kept is not None
    assert (kept.kind, kept.slope) == (DormerKind.SHED, 2 / 12)


def test_an_overhang_leaves_walls_and_heights_where_they_are() -> None:
    """With 1 ft of overhang the eaves hang 6 in lower, 5.5: the slope has that at y = 11, and the
    valleys begin there, 5 from the ridge line: (5, 5, 2.5) = 7.5."""
    job, _ = drop_dormer(project(MAIN), dormer(overhang=FT))
    surface = surface_of(job)
    assert lengths(surface, K.VALLEY) == pytest.approx([7.5, 7.5])
    # from 1 ft before the front to y = 16
    assert lengths(surface, K.RIDGE) == pytest.approx([11, 40])


@pytest.mark.parametrize("degrees", [30.0, 90.0, 217.3])
def test_on_a_turned_house(degrees: float) -> None:
    turned = turn_part(project(MAIN), "s1", degrees, (0.0, 0.0))
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    front = (20 * c - 6 * s) * FT, (20 * s + 6 * c) * FT
    job, _ = drop_dormer(turned, dormer(front=front))
    surface = surface_of(job)
    for kind, expected in GABLED.items():
        assert lengths(surface, kind) == pytest.approx(sorted(expected), abs=1e-3)


def test_a_ridge_as_high_as_the_roofs_just_meets_it() -> None:
    """Face 4: plate 7, ridge 9, as high as the main ridge at y = 18."""
    job, made = drop_dormer(project(MAIN), dormer(face=4 * FT))
    assert back_ft(job, made) == pytest.approx(18, abs=1e-3)
    surface = surface_of(job)
    assert len(lengths(surface, K.VALLEY)) == 2
    # plan (4, 4) and 2 up
    assert lengths(surface, K.VALLEY) == pytest.approx([6, 6], abs=0.01)


def test_one_that_is_too_high_is_refused() -> None:
    with pytest.raises(DocumentError, match="come out on the other side"):
        drop_dormer(project(MAIN), dormer(face=4.5 * FT))
    steep = dormer(DormerKind.SHED, slope=0.5)
    with pytest.raises(DocumentError, match="come out on the other side"):
        drop_dormer(project(MAIN), steep)


def test_beside_the_roof_it_is_refused() -> None:
    with pytest.raises(DocumentError, match="sloping plane"):
        drop_dormer(project(MAIN), dormer(front=(0.0, -5 * FT)))


def test_dragged_up_the_slope_and_over_the_ridge() -> None:
    job, made = drop_dormer(project(MAIN), dormer())
    edges = [e.id for e in job.section(made).rings[0].edges]
    up = put_dormer(job, made, dormer(front=(12 * FT, 7 * FT)))
    check_edges(surface_of(up), GABLED)
    assert up.section(made).eave_height == pytest.approx(6.5 * FT)
    over = put_dormer(up, made, dormer(front=(12 * FT, 30 * FT)))
    check_edges(surface_of(over), GABLED)
    kept = dormer_of(over.section(made))
    assert kept is not None
    assert kept.bearing == pytest.approx(0)
    assert [e.id for e in over.section(made).rings[0].edges] == edges


def test_seated_again_after_the_roof_changed() -> None:
    """At 9/12 the slope is 4.5 high at the front; the dormer's own pitch stays 6/12. Plate 7.5,
    at y = 10; ridge 9.5, at y = 12.667."""
    job, made = drop_dormer(project(MAIN), dormer())

    def doubts(project: Project) -> list[Problem]:
        return [p for p in results_of(project).problems if "has changed" in p.sentence]

    assert doubts(job) == []
    steeper = set_slope(job, "s1", ["e1", "e3"], 0.75)
    (doubt,) = doubts(steeper)
    assert (doubt.section, doubt.places) == (made, ((20 * FT, 6 * FT),))
    again = seated(steeper, made)
    assert doubt.mend is not None
    assert doubt.mend.edit(steeper) == again
    assert doubts(again) == []
    # with no roof left below it nothing can be mended
    gone = move_part(job, "s1", 0.0, 100 * FT)
    (doubt,) = doubts(gone)
    with pytest.raises(DocumentError, match="sloping plane"):
        seated(gone, made)
    surface = surface_of(again)
    assert lengths(surface, K.SIDEWALL) == pytest.approx([4 * sf(0.75)] * 2)
    assert lengths(surface, K.RIDGE) == pytest.approx([20 / 3, 40])
    raised = seated(set_eave_height(job, "s1", 10 * FT), made)
    assert raised.section(made).eave_height == pytest.approx(16 * FT)


def test_the_ghost_is_what_is_seen() -> None:
    """Sides to y = 12, ridge to y = 16."""
    ghost = ghost_of(bodies_but(project(MAIN)), dormer())
    found = sorted((round(x / FT, 3), round(y / FT, 3)) for x, y in ghost)
    assert found == [(16, 6), (16, 12), (20, 16), (24, 6), (24, 12)]


def wing(back_y: float) -> Section:
    return section(box(12, -10, 28, back_y), (GABLE, 0.5, 0.5, 0.5), section_id="s2")


def test_a_wing_reaches_the_roof() -> None:
    """Ridge 8 · 6/12 = 4 high, as the main slope at y = 8; valleys (8, 8, 4) = 12. Its back,
    drawn at the wall and hipped, becomes a gable end inside the roof."""
    job = reached(project(MAIN, wing(0)), "s2", "e3")
    surface = roof(*job.sections())
    check_edges(
        surface,
        {
            K.RIDGE: [40, 18],
            K.VALLEY: [12, 12],
            K.EAVE: [40, 12, 12, 10, 10],
            K.RAKE: [*MAIN_RAKES, 8 * sf(0.5), 8 * sf(0.5)],
        },
    )
    assert back_ft(job, "s2") == pytest.approx(9, abs=1e-4)
    assert job.section("s2").back == "e3"
    # as deep again from anywhere it was drawn to
    assert back_ft(reached(project(MAIN, wing(5)), "s2", "e3"), "s2") == pytest.approx(9, abs=1e-4)


def test_a_section_drawn_against_a_house_joins_it() -> None:
    job = joined(project(MAIN, wing(0)), "s2")
    assert job.section("s2").back == "e3"
    assert back_ft(job, "s2") == pytest.approx(9, abs=1e-4)
    inside = joined(project(MAIN, wing(3)), "s2")
    assert back_ft(inside, "s2") == pytest.approx(9, abs=1e-4)
    # beside it, longer than the house, or all inside: left as drawn
    for other in (
        section(box(12, -10, 28, -1), [0.5] * 4, section_id="s2"),
        section(box(-10, -10, 50, 0), [0.5] * 4, section_id="s2"),
        section(box(10, 10, 20, 20), [0.5] * 4, section_id="s2"),
    ):
        left = project(MAIN, other)
        assert joined(left, "s2") is left


def test_a_wing_under_a_high_wall_ends_inside_it() -> None:
    high = section(box(0, 0, 40, 36), (0.5, GABLE, 0.5, GABLE), eave_ft=12)
    job = reached(project(high, wing(-2)), "s2", "e3")
    assert back_ft(job, "s2") == pytest.approx(1, abs=1e-4)
    assert lengths(surface_of(job), K.SIDEWALL) == pytest.approx([8 * sf(0.5)] * 2)


def test_a_wing_with_no_roof_behind_it_is_refused() -> None:
    job = project(MAIN, wing(0))
    with pytest.raises(DocumentError, match="no roof behind"):
        reached(job, "s2", "e1")
    far = move_part(job, "s2", 100 * FT, 0.0)
    with pytest.raises(DocumentError, match="no roof behind"):
        reached(far, "s2", "e3")
    with pytest.raises(DocumentError, match="does not know its back"):
        seated(job, "s2")


def test_an_edge_between_slanting_ones_cannot_reach_back() -> None:
    spread = section(
        ((12, -10), (28, -10), (60, 0), (-20, 0)), (GABLE, 0.5, 0.5, 0.5), section_id="s2"
    )
    with pytest.raises(DocumentError, match="do not run"):
        stretched(spread, "e3", FT)
