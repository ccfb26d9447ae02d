"""Porches that meet the eave of the house they lie against; feet. The house is 40 x 24 with its
eaves 9 up and gables east and west; the porch is 16 wide."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.document.starts import StartKind, place_start, usual
from roofmodel.errors import DocumentError
from roofmodel.results import results_of
from roofmodel.surface.leaning import placed_against
from roofmodel.surface.reach import seated
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, box, project, section


def house(**fields: object) -> Project:
    made = section(box(0, 0, 40, 24), (0.5, GABLE, 0.5, GABLE), eave_ft=9, **fields)  # type: ignore[arg-type]
    return project(made)


def leant(job: Project, depth: float = 8, *, east: bool = False) -> tuple[Project, float, float]:
    """The job with a porch against the south eave or the east gable end; its eave in feet and
    its pitch in twelfths."""
    middle = (40 + depth / 2, 12) if east else (20, -depth / 2)
    start = msgspec.structs.replace(
        usual(StartKind.PORCH), depth=depth * FT, turn=90.0 if east else 0.0,
        middle=(middle[0] * FT, middle[1] * FT),
    )  # fmt: skip
    job, made = place_start(job, start)
    job = placed_against(job, made, "e3", "s1", "e2" if east else "e1")
    porch = job.section(made)
    return job, porch.eave_height / FT, (porch.rings[0].edges[0].profile[0].slope or 0) * 12


def kinds(job: Project) -> list[K]:
    results = results_of(job)
    assert results.problems == ()
    return [e.kind for e in results.surface.edges]


def test_a_usual_porch_meets_the_eave() -> None:
    """9 less 8 times 3/12 is 7, just high enough."""
    job, eave, pitch = leant(house())
    assert (eave, pitch) == pytest.approx((7, 3))
    assert K.PITCH_TRANSITION in kinds(job)
    assert K.HIGH_EAVE not in kinds(job)


def test_a_deep_one_is_flattened_and_a_deeper_one_refused() -> None:
    """2 of fall over 16 is 1.5 in 12; over 60 it would be 0.4."""
    _, eave, pitch = leant(house(), 16)
    assert (eave, pitch) == pytest.approx((7, 1.5))
    with pytest.raises(DocumentError, match="Make it less deep"):
        leant(house(), 60)


def test_under_an_overhang_it_comes_to_the_drip_line() -> None:
    """From 1.5 before the wall it falls over 6.5: 9 less 1.625."""
    job, eave, pitch = leant(house(line="wall", overhang_ft=1.5))
    assert (eave, pitch) == pytest.approx((7.375, 3))
    assert K.HIGH_EAVE not in kinds(job)


@pytest.mark.parametrize("overhang", [0.0, 1.0])
def test_at_a_gable_end_it_comes_to_the_wall(overhang: float) -> None:
    job, eave, _ = leant(house(overhang_ft=overhang), east=True)
    assert eave == pytest.approx(7)
    assert K.HEADWALL in kinds(job)
    assert K.HIGH_EAVE not in kinds(job)


def test_it_knows_its_back() -> None:
    job, _, _ = leant(house())
    assert job.section("s2").back == "e3"
    again = seated(job, "s2")
    assert K.HIGH_EAVE not in kinds(again)
