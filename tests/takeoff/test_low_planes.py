"""Planes that lie low or flat: wider edge zones, laps at the very limit, membrane all over once,
decks. Worked by hand; feet where not said otherwise."""

from __future__ import annotations

import dataclasses
import math

import msgspec
import pytest
import shapely

from roofmodel.document import Project, work_edits
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind, PanelRules
from roofmodel.systems.layers import FELT_30
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.zones import plane_zones
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, RECTANGLE, box, project, section
from tests.takeoff.printed_formula import check

RIBBED, SEAM = (s for s in built_in_systems() if s.id in ("ribbed_panel", "standing_seam"))


def amounts(some: Project, *groups: str) -> dict[str, tuple[float, int]]:
    """Quantity in feet (as it is, where it is no length) and packs, by item."""
    out = {}
    for line in results_of(some, planner=None).take_off.quantities:
        if line.group in groups:
            check(line, some.units)
            value = line.quantity / FT if line.unit == "mm" else line.quantity
            out[line.item] = (round(value, 6), line.packs)
    return out


def turned(corners: tuple[tuple[float, float], ...], degrees: float) -> list[tuple[float, float]]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x * c - y * s, x * s + y * c) for x, y in corners]


def test_clips_in_the_wider_band_of_a_low_plane() -> None:
    # 60 by 41, 1/12 (4.76°), eaves 14 up, which count for h: the band is 0.6 × 14 = 8.4, 100.8 in
    # in plan; steeper planes would have a = 4.1. A side: 246 in, 246.853 up the slope. Metal from
    # −0.75 to 245.353: first clips at 5.25, last at 239.353, rows every 12 in up from the first
    # to 233.25, 6.1 below the last: 19, of which 9 (every 24) run all over. Of the other 10, at
    # 17.25 + 24 k, those to 100.8 × 1.00347 = 101.1 are in the eave's band, 4, and those from
    # 145.2 × 1.00347 = 145.7 on in the ridge's, 4; all 10 on seams that lie within 100.8 of a
    # rake. Seams at 16 k in: k = 0 … 6 are so on the left, 39 … 44 on the right, 32 between; none
    # at the right end, 720.
    # 45 × (2 + 9) + 32 × 8 + 13 × 10 = 881
    house = section(box(0, 0, 60, 41), (1 / 12, GABLE, 1 / 12, GABLE), eave_ft=14)
    taken = results_of(project(house, system=SEAM), planner=None).take_off
    assert [f.count for f in taken.fixings] == [881, 881]
    assert [f.zone / FT for f in taken.fixings] == pytest.approx([8.4, 8.4])
    lines = {q.item: q for q in taken.quantities}
    wide = lines["Width of edge zones on planes up to 7°"]
    check(wide, project(house).units)
    assert wide.quantity / FT == pytest.approx(8.4)
    assert lines["Width of edge zones"].quantity / FT == pytest.approx(4.1)
    # 60 by 20.5 in plan: left over 43.2 by 3.7, corners 4 of 8.4 by 8.4
    factor = math.sqrt(1 + 1 / 144)
    corners, edges = 4 * 8.4**2, 60 * 20.5 - 43.2 * 3.7 - 4 * 8.4**2
    assert lines["Corner zones"].quantity / FT**2 == pytest.approx(2 * corners * factor)
    assert lines["Edge zones"].quantity / FT**2 == pytest.approx(2 * edges * factor)


def test_steep_planes_of_the_same_house_keep_the_narrow_zone() -> None:
    # 6/12 to the south, 1/12 to the north: steepest over 10°, so h is the middle of the roof
    house = section(box(0, 0, 60, 40), (0.5, GABLE, 1 / 12, GABLE), eave_ft=14)
    taken = results_of(project(house, system=SEAM), planner=None).take_off
    ridge = 40 * 0.5 / 12 / (0.5 + 1 / 12)  # rises 1/12 over what is left of 40
    height = 14 + ridge / 2
    zones = {f.plane_name: f.zone / FT for f in taken.fixings}
    assert zones["South 1"] == pytest.approx(4.0)
    assert zones["North 1"] == pytest.approx(0.6 * height)


def test_zones_follow_from_the_case_they_are_kept_by() -> None:
    # a hip, and a transition trimmed as a hip, are one case: whichever comes first, zones agree
    house = section(RECTANGLE, (0.5,) * 4, eave_ft=9)
    surface = results_of(project(house, system=RIBBED), planner=None).surface
    plane = surface.planes[0]
    edges = [e for e in surface.edges if e.id in plane.edges]
    other = [
        dataclasses.replace(e, kind=EdgeKind.PITCH_TRANSITION, remark="sloping")
        if e.kind is EdgeKind.HIP
        else e
        for e in edges
    ]
    one, two = Case(plane, edges, RIBBED), Case(plane, other, RIBBED)
    assert one == two
    areas = []
    for case in (one, two):
        plane_zones.cache_clear()
        areas.append(float(shapely.area(plane_zones(case, 900.0).edge)))
    assert areas[0] == pytest.approx(areas[1], rel=1e-12)


def test_laps_at_the_very_limit() -> None:
    just_under = 4 / 12 - 2**-54
    assert just_under < 4 / 12
    assert FELT_30.lap_at(just_under) == FELT_30.lap_at(4 / 12) == (FELT_30.head_lap, False)
    assert FELT_30.lap_at(3.99 / 12)[1]
    rules = PanelRules()
    assert rules.lap_at(0.25 - 2**-54) == rules.end_lap
    assert rules.lap_at(0.249) == rules.low_end_lap


@pytest.mark.parametrize("degrees", [0.0, 17.0, 123.4, 324.51])
def test_both_sides_of_a_turned_gable_lap_alike(degrees: float) -> None:
    # 40 by 24 at exactly 4/12: 151.79 in up the slope and 6 over the ridge, courses of 36 lapped
    # 2 in: 1 + ceil(121.79 ÷ 34) = 5 of 40
    corners = turned(RECTANGLE, degrees)
    some = project(section(corners, (4 / 12, GABLE, 4 / 12, GABLE), eave_ft=9), system=RIBBED)
    some = work_edits.set_work(some, underlayment="felt No. 30")
    lines = amounts(some, "Goods: underlayment")
    courses = [v for item, (v, _) in lines.items() if item.startswith("Courses on")]
    assert courses == pytest.approx([200.0, 200.0])


def test_membrane_all_over_is_the_ice_barrier_as_well() -> None:
    # 2/12: 144 × 1.013794 = 145.99 in up the slope, courses of 36 lapped 3: 1 + ceil(109.99 ÷ 33)
    # = 5 of 40 on each side; (400 − 1/2) ÷ (66 2/3 − 1/2) = 6.04
    low = section(RECTANGLE, (2 / 12, GABLE, 2 / 12, GABLE), eave_ft=9)
    some = work_edits.set_ice_barrier(project(low, system=RIBBED), on=True)
    all_over = work_edits.set_work(some, membrane_on_low=True)
    assert amounts(all_over, "Goods: membrane") == {
        "Membrane all over planes under 3/12": (400.0, 0),
        "High-temperature membrane": (400.0, 7),
    }
    # without it the eaves have their barrier: 24 × 1.013794 = 24.33 in, one course on each side
    assert amounts(some, "Goods: membrane")["Membrane at the eaves, ice barrier"] == (80.0, 0)


@pytest.mark.parametrize("degrees", [0.0, 37.0, 90.0])
def test_a_deck_takes_membrane_in_strips_along_its_longer_side(degrees: float) -> None:
    # 40 by 24, 6/12, cut off 3 up: 6 in from every side, a deck of 28 by 12. 144 in across: 1 +
    # ceil((144 − 36) ÷ 33) = 5 strips of 28 = 140; (140 − 1/2) ÷ 66.167 = 2.1
    house = section(turned(RECTANGLE, degrees), (0.5,) * 4, eave_ft=9)
    house = msgspec.structs.replace(house, deck_height=3 * FT)
    some = work_edits.set_old_roof(project(house, system=RIBBED), over="tear-off")
    assert amounts(some, "Goods: membrane") == {
        "Membrane all over flat decks": (140.0, 0),
        "High-temperature membrane": (140.0, 3),
    }
    courses = amounts(some, "Goods: underlayment")
    assert not any("Deck" in item for item in courses)
    # what comes off comes off the deck as well: 336 + 624 × 1.118034
    area = 336 + (960 - 336) * math.sqrt(1.25)
    (squares, _) = amounts(some, "Tear-off")["Old roof to tear off, laminated shingles"]
    assert squares == pytest.approx(area / 100, rel=1e-6)
    (told,) = (c for c in results_of(some, planner=None).take_off.checks if c.rule == "Flat decks")
    assert not told.passed
    assert told.sentence.startswith("Deck 1: flat; panels do not cover it")
    assert "low-slope roof by others" in told.sentence


def test_a_roof_without_a_deck_has_no_check_of_decks() -> None:
    house = section(RECTANGLE, (0.5,) * 4, eave_ft=9)
    found = results_of(project(house, system=RIBBED), planner=None).take_off.checks
    assert found
    assert not [c for c in found if c.rule == "Flat decks"]
