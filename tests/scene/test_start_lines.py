"""Where panels begin, as lines in plan. A gabled house of 40 by 24 ft, coverage 3 ft."""

from __future__ import annotations

import pytest

from roofmodel.document import PanelLayout, Project
from roofmodel.document.layout_edits import lay_all_alike
from roofmodel.document.part_edits import new_opening
from roofmodel.results import results_of
from roofmodel.scene.laid import Laid, laid_on
from roofmodel.scene.start_lines import StartLine, snap_places, start_line
from tests.houses import FT, GABLE, RECTANGLE, project, section


def gable() -> Project:
    return project(section(RECTANGLE, [0.5, GABLE] * 2))


def laid(house: Project, name: str) -> Laid:
    results = results_of(house)
    found = laid_on(results.surface.planes, results.take_off.layings)
    return next(x for x in found.values() if x.plane.name == name)


def line_of(house: Project, name: str = "South 1") -> StartLine:
    found = laid(house, name)
    return start_line(found, house.layout_of(str(found.plane.id)))


def feet(*points: tuple[float, float]) -> list[float]:
    return [v / FT for p in points for v in p]


def test_it_lies_at_the_end_that_panels_are_laid_from() -> None:
    south, north = line_of(gable()), line_of(gable(), "North 1")
    assert feet(south.foot, south.head) == pytest.approx([0, 0, 0, 12], abs=1e-6)
    # left on the north plane, seen looking up the slope, is the east
    assert feet(north.foot, north.head) == pytest.approx([40, 24, 40, 12], abs=1e-6)
    assert south.along == pytest.approx((1, 0), abs=1e-9)
    assert north.along == pytest.approx((-1, 0), abs=1e-9)
    right = line_of(lay_all_alike(gable(), PanelLayout(from_right=True)))
    assert feet(right.foot, right.head) == pytest.approx([40, 0, 40, 12], abs=1e-6)
    assert right.along == pytest.approx((-1, 0), abs=1e-9)
    assert right.width == pytest.approx(40 * FT)


def test_by_hand_it_is_where_it_was_put_though_the_first_panel_begins_before_it() -> None:
    # 10 ft is three panels and 1 ft: the first side of a panel is 1 ft from the end
    house = lay_all_alike(gable(), PanelLayout("by hand", 10 * FT))
    assert laid(house, "South 1").laying.offset == pytest.approx(FT)
    assert feet(line_of(house).foot) == pytest.approx([10, 0], abs=1e-6)
    beyond = lay_all_alike(gable(), PanelLayout("by hand", 61 * FT))
    assert feet(line_of(beyond).foot) == pytest.approx([1, 0], abs=1e-6)


def test_equal_ends_begin_where_the_first_whole_panel_does() -> None:
    # 40 = 12 whole panels and two ends of 2 ft
    line = line_of(lay_all_alike(gable(), PanelLayout("balanced ends")))
    assert line.offset == pytest.approx(2 * FT)
    assert feet(line.foot, line.head) == pytest.approx([2, 0, 2, 12], abs=1e-6)


def test_in_the_corner_of_a_hip_it_has_no_length() -> None:
    line = line_of(project(section(RECTANGLE, [0.5] * 4)))
    assert feet(line.foot, line.head) == pytest.approx([0, 0, 0, 0], abs=1e-5)
    assert line.uphill == pytest.approx((0, 1), abs=1e-9)
    later = line_of(
        lay_all_alike(project(section(RECTANGLE, [0.5] * 4)), PanelLayout("by hand", 6 * FT))
    )
    assert feet(later.foot, later.head) == pytest.approx([6, 0, 6, 6], abs=1e-5)


def test_places_and_offsets_belong_together() -> None:
    line = line_of(lay_all_alike(gable(), PanelLayout("by hand", 4 * FT, from_right=True)))
    assert line.offset_of((33 * FT, 5 * FT)) == pytest.approx(7 * FT)
    foot, head = line.moved_to(7 * FT)
    assert feet(foot, head) == pytest.approx([33, 0, 33, 12], abs=1e-6)


def test_it_is_drawn_to_corners_and_to_the_middle() -> None:
    corners = [(x * FT, y * FT) for x, y in ((10, 4), (14, 4), (14, 8), (10, 8))]
    house, _ = new_opening(gable(), "chimney", corners)
    found = laid(house, "South 1")
    places = snap_places(start_line(found, PanelLayout()), found.plane, 3 * FT)
    # both ends, the chimney's sides, the middle, and half a panel before it
    assert [o / FT for o, _ in places] == pytest.approx([0, 10, 14, 18.5, 20, 40], abs=1e-6)
    assert [words for _, words in places] == [
        *("at the end", "at a corner", "at a corner", "a panel in the middle"),
        *("in the middle", "at the other end"),
    ]
