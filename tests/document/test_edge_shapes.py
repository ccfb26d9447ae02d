"""Choices for an edge and their numbers."""

from __future__ import annotations

import pytest

from roofmodel.document import Step
from roofmodel.document.edge_shapes import (
    NUMBERS,
    EdgeShape,
    numbers_at_first,
    profile_of,
    set_shape,
    shape_of,
    step_pitches,
    stepped,
)
from roofmodel.document.edits import set_profile
from roofmodel.errors import DocumentError
from tests.houses import GABLE, box, project, section

HOUSE = project(section(box(0, 0, 40, 24), (0.5, GABLE, 0.5, GABLE)))
CHOICES = [s for s in EdgeShape if s is not EdgeShape.OTHER]


def profile(job: object, edge: int) -> tuple[Step, ...]:
    return job.sections()[0].rings[0].edges[edge - 1].profile  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize("foot", [0.0, 300.0])
@pytest.mark.parametrize("shape", CHOICES)
def test_there_and_back(shape: EdgeShape, foot: float) -> None:
    steps = profile_of(shape, foot=foot)
    assert steps[0].height == foot
    assert shape_of(steps) == (shape, numbers_at_first(shape))
    assert set(numbers_at_first(shape)) == {n.key for n in NUMBERS[shape]}


@pytest.mark.parametrize(
    "steps",
    [
        (Step(0.0, 0.25), Step(600.0, 0.5)),
        (Step(0.0, 2.0), Step(600.0, 0.5), Step(1200.0, 0.25)),
    ],
)
def test_any_other_profile_is_said_to_be_in_steps(steps: tuple[Step, ...]) -> None:
    assert shape_of(steps) == (EdgeShape.OTHER, {})


def test_wrong_numbers_are_refused() -> None:
    with pytest.raises(DocumentError, match="height above the eave"):
        profile_of(EdgeShape.CLIPPED, {"break": 0.0})
    with pytest.raises(DocumentError, match="steeper than its upper"):
        profile_of(EdgeShape.GAMBREL, {"lower": 0.25})
    with pytest.raises(DocumentError, match="one by one"):
        profile_of(EdgeShape.OTHER)
    with pytest.raises(DocumentError, match="no edge e9"):
        set_shape(HOUSE, [("s1", "e9")], EdgeShape.EAVE)


def test_choosing_keeps_what_makes_sense() -> None:
    job = set_profile(HOUSE, "s1", ["e1"], (Step(100.0, 0.75),))
    clipped = set_shape(job, [("s1", "e1"), ("s1", "e2")], EdgeShape.CLIPPED)
    assert profile(clipped, 1) == (Step(100.0, None), Step(1624.0, 0.75))
    assert profile(clipped, 2) == (Step(0.0, None), Step(1524.0, 0.5))
    lower = set_shape(clipped, [("s1", "e1"), ("s1", "e2")], EdgeShape.CLIPPED, {"break": 900.0})
    assert profile(lower, 1) == (Step(100.0, None), Step(1000.0, 0.75))
    assert profile(lower, 2) == (Step(0.0, None), Step(900.0, 0.5))
    # the flat pitch of an eave is no upper pitch of a gambrel
    gambrel = set_shape(job, [("s1", "e1")], EdgeShape.GAMBREL)
    assert shape_of(profile(gambrel, 1))[1]["pitch"] == 0.5
    assert set_shape(HOUSE, [("s1", "e1")], EdgeShape.EAVE) is HOUSE


def test_pitches_in_steps_of_a_twelfth() -> None:
    job = set_profile(HOUSE, "s1", ["e3"], (Step(0.0, 20 / 12), Step(2000.0, 0.5)))
    edges = [("s1", f"e{k}") for k in (1, 2, 3)]
    up = step_pitches(job, edges, 1 / 12)
    assert profile(up, 1)[0].slope == pytest.approx(7 / 12)
    assert profile(up, 2) == profile(job, 2)
    assert profile(up, 3)[0].slope == pytest.approx(21 / 12)
    assert profile(up, 3)[1] == Step(2000.0, 0.5)
    assert [stepped(s / 12, -1 / 12) * 12 for s in (6.5, 6.0, 1.0)] == pytest.approx([5.5, 5, 1])
    assert stepped(5.0, 1 / 12) == 5.0


@pytest.mark.parametrize("twelfths", [5.5, 6.0, 4.375, 0.5, 1.0, 20.0])
def test_a_step_back_undoes_a_step(twelfths: float) -> None:
    job = set_profile(HOUSE, "s1", ["e1"], (Step(0.0, twelfths / 12),))
    up = step_pitches(job, [("s1", "e1")], 1 / 12)
    assert profile(up, 1)[0].slope == pytest.approx((twelfths + 1) / 12)
    if twelfths >= 1:
        assert step_pitches(up, [("s1", "e1")], -1 / 12) == job
