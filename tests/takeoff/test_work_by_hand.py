"""Underlayment, membrane, deck, tear-off, extras, labour and checks of paper-sized houses, worked
by hand. Every line of these groups is compared. Feet where not said otherwise.

The job: old roof of one layer of laminated shingles over felt torn off (350 + 15 lb a square), a
tenth of the deck replaced, an ice barrier 24 in inside the walls, gutters and fascia covers.
Underlayment comes in rolls of 48 in by 250, lapped 4 in up the slope and 6 in at ends, and runs
6 in over ridges and hips; membrane in rolls of 36 in by 66 2/3, lapped 3 in and 6 in.
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import DrawnPlane, Opening, Project, Section, work_edits
from roofmodel.results import results_of
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff import Quantity
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, RECTANGLE, box, opening, project, section
from tests.takeoff.printed_formula import check

SF6 = math.sqrt(1.25)
"""Slope factor of 6/12."""
LB, CU_YD = 0.45359237, 914.4**3
SYSTEMS = {s.id: s for s in built_in_systems()}
GROUPS = {
    *("Goods: underlayment", "Goods: membrane", "Goods: deck", "Tear-off", "Extras"),
    *("Labour", "Checks"),
}
PER = {"mm": FT, "mm²": FT**2, "kg": LB, "mm³": CU_YD, "squares": 1.0, "count": 1.0}

Expected = dict[str, tuple[float, int]]
"""Quantity in feet, square feet, pounds, cubic yards, and packs, by item."""


def job(*parts: Section | DrawnPlane | Opening, system: RoofingSystem) -> Project:
    out = project(*parts, system=system)
    out = work_edits.set_old_roof(out, over="tear-off", deck_share=0.1)
    out = work_edits.set_ice_barrier(out, on=True)
    return work_edits.set_extra(work_edits.set_extra(out, "gutter"), "fascia cover")


def lines_of(some: Project) -> dict[str, Quantity]:
    out = {}
    for line in results_of(some).take_off.quantities:
        if line.group in GROUPS:
            check(line, some.units)
            assert line.item not in out
            out[line.item] = line
    return out


def compare(some: Project, expected: Expected) -> None:
    lines = lines_of(some)
    assert set(lines) == set(expected)
    for item, (amount, packs) in expected.items():
        line = lines[item]
        assert line.quantity / PER[line.unit] == pytest.approx(amount, rel=1e-6), item
        assert line.packs == packs, item


def torn_off(area: float, nails: int) -> Expected:
    """350 lb and 15 lb of felt a square; 415 lb in a cubic yard; one load each here."""
    pounds = area / 100 * 365
    return {
        "Old roof to tear off, laminated shingles": (area / 100, 0),
        "Weight torn off": (pounds, 0),
        "Volume torn off, loose": (pounds / 415, 0),
        "Trailer loads": (1, 0),
        "Old fasteners pulled or driven flat": (nails, 0),
    }


def air(attic: float) -> Expected:
    """1/150 of the attic, half of it at the ridge."""
    needed = attic / 150
    return {
        "Net free area of vents needed": (needed, 0),
        "Net free area at the ridge": (needed / 2, 0),
        "Net free area at the eaves": (needed / 2, 0),
    }


def ends_of(system: str) -> float:
    """What the longest panel is longer than the slope from eave to ridge, inches: 1 1/2 past the
    eave and 1 back from the ridge; or 3/4 past, a hem of 1, 1 1/2 back."""
    return {"ribbed_panel": 1.5 - 1.0, "standing_seam": 0.75 + 1.0 - 1.5}[system]


def moves(inches: float) -> float:
    """6.7 millionths per degree F, 200 degrees F; in feet."""
    return inches / 12 * 6.7 * 200 / 1e6


@pytest.mark.parametrize("system", SYSTEMS)
def test_shed(system: str) -> None:
    # 20 by 10, 3/12, no overhang, eave 9 up. Slope 120·√(1 + 1/16) = 123.693 in: courses from 0,
    # 44 and 88 in, 20 each. The barrier reaches 24·1.030776 = 24.74 in: one course.
    # Zones: 3 (more than a tenth of 10); of 20 by 10 in plan the middle 14 by 4 stays, corners
    # are 4 of 3 by 3: 200 − 56 − 36 = 108 along edges.
    shed = section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE), eave_ft=9)
    factor = math.sqrt(1 + 1 / 16)
    slope, area = 10 * factor, 200 * factor
    both = {"ribbed_panel": 1.5 + 1.5, "standing_seam": 0.75 + 1.0 + 0.75}[system]
    compare(
        job(shed, system=SYSTEMS[system]),
        {
            "Courses on South 1": (60, 0),
            "Synthetic underlayment": (60, 1),
            "Ice barrier up the slope from Eave 1": (2 * factor, 0),
            "Membrane at the eaves, ice barrier": (20, 0),
            "High-temperature membrane": (20, 1),
            "Deck to replace, allowance": (area / 10, 1),  # 20.6 of 32 sq ft
            **torn_off(area, 660),  # 2.06155 × 320 = 659.7
            "Gutter": (20, 2),
            "Fascia cover": (40 + 2 * slope, 7),  # 60.6
            "Squares weighted by slope, height and access": (area / 100, 0),
            **air(200),
            "Movement of the longest panel on South 1": (moves(12 * slope + both), 0),
            "Width of edge zones": (3, 0),
            "Edge zones": (108 * factor, 0),
            "Corner zones": (36 * factor, 0),
        },
    )


GABLE_HOUSE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9, overhang_ft=1.5)


def gable_lines(system: str, area: float, nails: int) -> Expected:
    # 40 by 24, 6/12, overhang 1.5. Slope 144·1.118034 = 160.997 in and 6 over the ridge: courses
    # from 0, 44, 88, 132 in, 40 each: 160 on each side. (320 − 1/2) ÷ 249 1/2 = 1.28.
    # The barrier reaches (18 + 24)·1.118034 = 46.96 in: 36 and 33 more, two courses.
    # Zones: 3, on each side 40 by 12 in plan with 34 by 6 in its middle and 4 corners of 9.
    slope = 12 * SF6
    longest = moves(12 * slope + ends_of(system))
    return {
        "Courses on South 1": (160, 0),
        "Courses on North 1": (160, 0),
        "Synthetic underlayment": (320, 2),
        "Ice barrier up the slope from Eave 1, Eave 2": (3.5 * SF6, 0),
        "Membrane at the eaves, ice barrier": (160, 0),
        "Deck to replace, allowance": (area / 10, 4),  # 107 or 106 of 32
        **torn_off(area, nails),
        "Gutter": (80, 8),
        "Fascia cover": (80 + 4 * slope, 14),  # 133.7
        "Squares weighted by slope, height and access": (area / 100, 0),
        **air(37 * 21),
        "Movement of the longest panel on South 1": (longest, 0),
        "Movement of the longest panel on North 1": (longest, 0),
        "Width of edge zones": (3, 0),
        "Edge zones": (2 * (480 - 204 - 36) * SF6, 0),
        "Corner zones": (2 * 36 * SF6, 0),
    }


@pytest.mark.parametrize("system", SYSTEMS)
def test_gable(system: str) -> None:
    # membrane: (160 − 1/2) ÷ (66 2/3 − 1/2) = 2.41; nails 10.733 × 320 = 3434.6
    compare(
        job(GABLE_HOUSE, system=SYSTEMS[system]),
        {**gable_lines(system, 960 * SF6, 3435), "High-temperature membrane": (160, 3)},
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_gable_with_a_chimney_and_a_pipe(system: str) -> None:
    # Chimney 3 by 3 in plan, 3 by 3.354 along the slope, and a pipe of 1/2 by 1/2: neither cuts a
    # course in two nor reaches an edge zone. Half-width strips, 6 in longer at both ends: above
    # and below (3 + 1) ÷ 2, along both sides (2·3.354 + 2) ÷ 2; a patch of 3 under the boot.
    # (171.35 − 1/2) ÷ 66.167 = 2.58. Nails (960 − 9.25)·1.118034 ÷ 100 × 320 = 3401.5.
    chimney = opening(box(18, 3, 21, 6))
    pipe = opening(box(5, 5, 5.5, 5.5), "pipe", opening_id="o2")
    compare(
        job(GABLE_HOUSE, chimney, pipe, system=SYSTEMS[system]),
        {
            **gable_lines(system, (960 - 9.25) * SF6, 3402),
            "Membrane along uphill sides around openings": (2, 0),
            "Membrane along downhill sides around openings": (2, 0),
            "Membrane along sides around openings": (3 * SF6 + 1, 0),
            "Membrane under pipe boots": (3, 0),
            "High-temperature membrane": (160 + 2 + 2 + 3 * SF6 + 1 + 3, 3),
        },
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_hip(system: str) -> None:
    # 40 by 24, 6/12. A hip rises 1.118034 up the slope for each foot along the eave; 6 in square
    # to it is 8.05 in along the eave, so a course from v in begins 8.05 outside the corner less
    # v ÷ 1.118034: 480 + 16.10 − 2v/1.118034 long, 288 + 16.10 − … at ends; from 0, 44, 88, 132
    # (the tip of an end lies at 170 in). 376.05 in all: (376.05 − 1/2) ÷ 249 1/2 = 1.51.
    # The barrier's courses from 0 and 33 in, without the 6 in: 236.32 in all, ÷ 66.167 = 3.57.
    sine = SF6 / math.sqrt(1 + SF6**2)  # of the angle between hip and eave
    past = 6 / sine

    def courses(eave: float) -> float:
        return sum(eave + 2 * past - 2 * v / SF6 for v in (0, 44, 88, 132)) / 12

    def barrier(eave: float) -> float:
        return sum(eave - 2 * v / SF6 for v in (0, 33)) / 12

    membrane = 2 * (barrier(480) + barrier(288))
    # Zones in plan, strips of 3. Side, 336: left over from 3 to 9 between lines 3√2 inside the
    # hips; corners: at each eave corner 3 by 3√2, at each ridge end what both strips share (2.25
    # + (4.5 − (9 − 12 + 3√2)²) ÷ 2). End, 144: left over a triangle (9.5147 wide at 3); corners
    # at the eave and 3 by 3 at the tip.
    root = 3 * math.sqrt(2)
    side_left = 6 * ((40 - 6 - 2 * root) + (40 - 18 - 2 * root)) / 2
    side_corners = 2 * 3 * root + 2 * (2.25 + (4.5 - (9 - 12 + root) ** 2) / 2)
    base = 24 - 6 - 2 * root
    end_left, end_corners = base * base / 4, 2 * 3 * root + 9
    corners = 2 * (side_corners + end_corners)
    edges = 2 * (336 - side_left + 144 - end_left) - corners
    side = moves(144 * SF6 + ends_of(system))
    # the tip of an end's metal lies 1 in square to the hips, 1 1/2 for seams, below the corner
    back = {"ribbed_panel": 1.0, "standing_seam": 1.5}[system]
    low = {"ribbed_panel": 1.5, "standing_seam": 1.75}[system]
    tip = 144 * SF6 - back / sine * SF6 + low
    house = section(RECTANGLE, (0.5, 0.5, 0.5, 0.5), eave_ft=9, overhang_ft=1.5)
    compare(
        job(house, system=SYSTEMS[system]),
        {
            **{f"Courses on {n} 1": (courses(480), 0) for n in ("South", "North")},
            **{f"Courses on {n} 1": (courses(288), 0) for n in ("East", "West")},
            "Synthetic underlayment": (2 * (courses(480) + courses(288)), 2),
            "Ice barrier up the slope from Eave 1, Eave 2, Eave 3, Eave 4": (3.5 * SF6, 0),
            "Membrane at the eaves, ice barrier": (membrane, 0),
            "High-temperature membrane": (membrane, 4),
            "Deck to replace, allowance": (96 * SF6, 4),
            **torn_off(960 * SF6, 3435),
            "Gutter": (128, 13),
            "Fascia cover": (128, 13),
            "Squares weighted by slope, height and access": (9.6 * SF6, 0),
            **air(37 * 21),
            **{f"Movement of the longest panel on {n} 1": (side, 0) for n in ("South", "North")},
            **{
                f"Movement of the longest panel on {n} 1": (moves(tip), 0)
                for n in ("East", "West")
            },
            "Width of edge zones": (3, 0),
            "Edge zones": (edges * SF6, 0),
            "Corner zones": (corners * SF6, 0),
        },
    )


def battens(*parts: Section | DrawnPlane | Opening) -> tuple[float, int]:
    over = work_edits.set_old_roof(project(*parts), over="re-cover")
    line = lines_of(over)["Battens over the old roof"]
    return line.quantity / FT, line.packs


def near(found: tuple[float, int], length: float, boards: int) -> None:
    assert found[0] == pytest.approx(length, rel=1e-6)
    assert found[1] == boards


def test_battens_over_the_old_roof() -> None:
    # rows 24 in apart and one at the top: ceil(160.997 ÷ 24) + 1 = 8 of 40 on each side of the
    # gable, boards of 12: 640 ÷ 12 = 53.3
    near(battens(GABLE_HOUSE), 640, 54)
    # the shed's 123.693 in: 7 rows of 20
    shed = section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE))
    near(battens(shed), 140, 12)
    # the hip: rows from 0 to 144 in lose 2v ÷ 1.118034, that at the top is the ridge's 192 or none
    rows = [2 * v / SF6 for v in range(0, 145, 24)]
    side, end = sum(480 - v for v in rows) + 192, sum(288 - v for v in rows)
    hip = section(RECTANGLE, (0.5, 0.5, 0.5, 0.5))
    near(battens(hip), 2 * (side + end) / 12, 53)
    # a chimney from 40.2 to 80.5 in up takes 3 out of the rows at 48 and 72, a pipe 1/2 of one
    chimney = opening(box(18, 3, 21, 6))
    pipe = opening(box(5, 5, 5.5, 5.5), "pipe", opening_id="o2")
    near(battens(GABLE_HOUSE, chimney, pipe), 640 - 6.5, 53)
