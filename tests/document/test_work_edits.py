"""Edits of what the user says about the work."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Project, work_edits
from roofmodel.document.work import ChosenExtra, IceBarrier, Labour, OldRoof, Ventilation, Work
from roofmodel.errors import DocumentError
from tests.houses import plain_system

PLAIN = Project(plain_system())


def test_each_edit_changes_its_own_field() -> None:
    project = work_edits.set_old_roof(PLAIN, over="tear-off", layers=2)
    assert project.work.old_roof == OldRoof("tear-off", layers=2)
    project = work_edits.set_ice_barrier(project, on=True, face="inside")
    assert project.work.ice_barrier == IceBarrier(True, face="inside")
    project = work_edits.set_ventilation(project, ratio=300, at_ridge=0.4)
    assert project.work.ventilation == Ventilation("vented", 300, 0.4)
    project = work_edits.set_labour(project, access=1.2)
    assert project.work.labour == Labour(access=1.2)
    project = work_edits.set_work(project, edition="2018", underlayment="felt No. 30")
    assert (project.work.edition, project.work.underlayment) == ("2018", "felt No. 30")
    assert project.work.old_roof == OldRoof("tear-off", layers=2)


def test_an_edit_that_changes_nothing_returns_the_same_project() -> None:
    assert work_edits.set_work(PLAIN, edition="2021") is PLAIN
    assert work_edits.set_old_roof(PLAIN, layers=1) is PLAIN
    assert work_edits.set_layers(PLAIN, PLAIN.layers) is PLAIN
    assert work_edits.remove_extra(PLAIN, "gutter") is PLAIN


def test_extras_are_chosen_changed_and_left_out() -> None:
    project = work_edits.set_extra(PLAIN, "gutter")
    project = work_edits.set_extra(project, "permit", 2.0)
    project = work_edits.set_extra(project, "gutter", 5000.0)
    assert project.work.extras == (ChosenExtra("gutter", 5000.0), ChosenExtra("permit", 2.0))
    assert work_edits.remove_extra(project, "gutter").work.extras == (ChosenExtra("permit", 2.0),)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"underlayment": "cloth"}, "no underlayment 'cloth' in this job; known are synthetic"),
        ({"metal": "tin"}, "There is no metal 'tin'"),
        ({"mean_height": -1.0}, "mean roof height"),
        ({"warming": float("nan")}, "0 to 1000 degrees F"),
        ({"extras": (ChosenExtra("permit"), ChosenExtra("permit"))}, "chosen twice"),
        ({"extras": (ChosenExtra("flag"),)}, "There is no extra 'flag'"),
    ],
)
def test_what_cannot_be_is_refused(fields: dict[str, object], says: str) -> None:
    with pytest.raises(DocumentError, match=says):
        work_edits.set_work(PLAIN, **fields)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        (OldRoof, {"layers": 0}),
        (OldRoof, {"deck_share": 1.5}),
        (IceBarrier, {"inside": -1.0}),
        (Ventilation, {"at_ridge": 2.0}),
        (ChosenExtra, {"key": "gutter", "amount": -1.0}),
        (Labour, {"access": 0.0}),
        (Labour, {"eave_height": -5.0}),
    ],
)
def test_values_out_of_range_are_refused(
    kind: type[msgspec.Struct], fields: dict[str, object]
) -> None:
    with pytest.raises(DocumentError) as caught:
        kind(**fields)
    assert str(caught.value).endswith(".")


def test_layers_may_not_lose_what_the_work_names() -> None:
    without = msgspec.structs.replace(PLAIN.layers, underlayments=PLAIN.layers.underlayments[1:])
    with pytest.raises(DocumentError, match="no underlayment 'synthetic underlayment'"):
        work_edits.set_layers(PLAIN, without)
    none = work_edits.set_work(PLAIN, underlayment="")
    assert work_edits.set_layers(none, without).layers == without
    assert Work().underlayment == "synthetic underlayment"
