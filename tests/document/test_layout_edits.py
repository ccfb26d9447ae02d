"""Edits of how panels are laid: of some planes, of all, and back to what all others have."""

from __future__ import annotations

import pytest

from roofmodel.document import PanelLayout, Project
from roofmodel.document import layout_edits as edits
from roofmodel.errors import DocumentError
from tests.houses import GABLE, RECTANGLE, project, section

ONE, TWO = "s1/e1/0/0", "s1/e3/0/0"


@pytest.fixture
def house() -> Project:
    return project(section(RECTANGLE, [0.5, GABLE] * 2))


def test_a_start_is_set_for_some_planes_and_given_up_again(house: Project) -> None:
    some = edits.set_start(house, [ONE], "least metal")
    assert some.layout_of(ONE).start == "least metal"
    assert some.layout_of(TWO) is house.layout
    back = edits.set_start(some, [ONE], "first end")
    assert back.plane_layouts == ()
    assert back == house
    assert edits.set_start(some, [ONE], "least metal") is some


def test_what_is_set_for_all_holds_for_planes_with_their_own_layout_too(house: Project) -> None:
    own = edits.turn_laying(house, [ONE])
    both = edits.set_start(own, [], "balanced ends")
    assert both.layout == PanelLayout("balanced ends")
    assert both.layout_of(ONE) == PanelLayout("balanced ends", from_right=True)
    # once turned, the other planes are laid as the one with its own layout was: it stays its own
    turned = edits.turn_laying(both, [])
    assert turned.layout.from_right
    assert not turned.layout_of(ONE).from_right
    alike = edits.vent_ridges(edits.set_start(house, [ONE], "least metal"), [], True)
    assert alike.layout_of(ONE) == PanelLayout("least metal", vented=True)
    assert alike.layout_of(TWO) == PanelLayout(vented=True)


def test_a_line_by_hand_keeps_everything_else(house: Project) -> None:
    house = edits.vent_ridges(house, [ONE, TWO], True)
    house = edits.start_by_hand(house, [ONE, TWO], 250.0)
    assert {p.layout for p in house.plane_layouts} == {PanelLayout("by hand", 250.0, vented=True)}
    house = edits.set_start(house, [TWO], "least metal")
    assert house.layout_of(TWO).offset == 250.0
    with pytest.raises(DocumentError, match="within 100 m"):
        edits.start_by_hand(house, [ONE], 2e5)
