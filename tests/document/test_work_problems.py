"""What the work of a project names and its layers do not have, as in a file made with others."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Project, work_edits
from roofmodel.document.work import ChosenExtra, OldRoof, Work
from roofmodel.document.work_problems import work_problems
from roofmodel.errors import DocumentError
from roofmodel.results import results_of
from tests.houses import GABLE, RECTANGLE, project, section

HOUSE = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9))


def with_work(**fields: object) -> Project:
    """As a file has it: no edit would make this."""
    return msgspec.structs.replace(HOUSE, work=msgspec.structs.replace(HOUSE.work, **fields))


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"underlayment": "tar paper"}, "There is no underlayment 'tar paper' in this job, so no"),
        ({"old_roof": OldRoof(covering="thatch")}, "There is no old covering 'thatch' in this"),
        ({"extras": (ChosenExtra("permitt"),)}, "There is no extra 'permitt' in this job, so it"),
        ({"metal": "tin"}, "There is no metal 'tin' in this job, so its movement is not counted"),
        ({"underlayment": "two\nlines"}, "There is no underlayment 'two lines' in this job"),
    ],
)
def test_unknown_names_are_serious_problems(fields: dict[str, object], says: str) -> None:
    found = [p for p in results_of(with_work(**fields), planner=None).problems if p.serious]
    (problem,) = found
    assert problem.sentence.startswith(says)
    assert "known are" in problem.sentence
    assert problem.sentence.endswith(".")
    assert "\n" not in problem.sentence


def test_known_names_are_no_problem() -> None:
    assert work_problems(HOUSE) == []
    assert work_problems(with_work(underlayment="")) == []


def test_an_unknown_extra_can_be_left_out() -> None:
    some = with_work(extras=(ChosenExtra("permitt"), ChosenExtra("permit")))
    (problem,) = work_problems(some)
    assert problem.mend is not None
    assert [e.key for e in problem.mend.edit(some).work.extras] == ["permit"]


def test_one_unknown_name_does_not_stand_in_the_way_of_mending_another() -> None:
    some = with_work(underlayment="tar paper", old_roof=OldRoof(covering="thatch"))
    some = work_edits.set_work(some, underlayment="felt No. 15")
    some = work_edits.set_old_roof(some, covering="slate")
    assert work_problems(some) == []
    with pytest.raises(DocumentError, match="no underlayment 'x'"):
        work_edits.set_work(some, underlayment="x")


@pytest.mark.parametrize("amount", [None, 0.0])
def test_a_length_by_hand_must_be_said(amount: float | None) -> None:
    some = work_edits.set_extra(HOUSE, "snow rail", amount)
    assert [p.sentence for p in work_problems(some)] == ["Snow rail: say how long."]
    results = results_of(some, planner=None)
    assert "Snow rail: say how long." in [p.sentence for p in results.problems]
    (line,) = (q for q in results.take_off.quantities if q.key == "snow rail")
    assert line.note == "say how long"
    said = work_edits.set_extra(some, "snow rail", 6096.0)
    assert work_problems(said) == []
    assert Work() == HOUSE.work
