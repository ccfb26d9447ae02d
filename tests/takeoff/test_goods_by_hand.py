"""What fastens and seals paper-sized houses under the built-in ribbed panel, worked by hand.

Inches where not said otherwise. The panel covers 36, its four ribs stand 9 apart from the side it
is laid from; metal runs 1.5 past eaves and stops 1 short of ridges and hips. Screws: two beside
each rib at both ends, 3 from the panel's end, so that the first row lies 1.5 above the eave line;
one in rows 36 apart from there, and in edge zones in rows 18 apart (36 halved, for at most 24),
but none closer than 6 to the rib's last row. Zones are 36 wide in plan: least dimension 24 ft or
less gives 28.8 or less, mean height 10 to 12 ft more than that, and the least is 36.

Stitch screws 24 apart in each side lap, a part of 24 counts whole. Trim: screws 12 apart with one
at each end, two rows; drip edge one row of pancake screws. 4 rivets and 12 in of sealant at each
lap, none at drip edges. Two rows of tape at ridges, hips and high eaves, for each side. Bags of
250 with 5 % spare, rolls of 45 ft with 10 %, tubes of 25 ft, closures of 3 ft.
"""

from __future__ import annotations

import pytest

from roofmodel.document import DrawnPlane, Opening, Section
from roofmodel.results import results_of
from roofmodel.takeoff import TakeOff
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, RECTANGLE, box, opening, project, section
from tests.takeoff.goods import goods, on_planes

RIBBED = next(s for s in built_in_systems() if s.id == "ribbed_panel")


def counted(*parts: Section | DrawnPlane | Opening) -> TakeOff:
    return results_of(project(*parts, system=RIBBED)).take_off


def test_shed() -> None:
    # 20 by 10 ft, 3/12: 123.693 along the slope, metal 126.693 long. 240 wide: ribs 0, 9 … 234,
    # 27 of them. First and last row 120.693 apart: between them 36, 72, 108, three rows of 27.
    # Rows 18, 54, 90 lie 18.9, 53.8, 88.8 from the eave in plan: 18 in the eave's zone, 90 in the
    # high eave's (31.2 away), 27 each; 54 only near the rakes: 0 to 36 and 207 to 234, 5 + 4.
    # 2·27 + 2·27 + 81 + 63 = 252.
    # Six side laps of 126.693: 6 screws each.
    # Drip edge 240: 21 screws. High-eave cap 2 × 21, rakes 2 × 2 × 12 (123.693 takes 11 spaces).
    # One lap in the high-eave cap, one in each rake, whose foot goes past a length of trim (see
    # test_trim_by_hand), one in the drip edge, where there are no rivets.
    # Tape 2 × 20 ft, 44 with its spare: one roll. Closures 20 ft each, 6.67 pieces.
    shed = counted(section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE), eave_ft=9))
    assert goods(shed) == {
        "panel screw": (252, 2),
        "stitch screw": (36, 1),
        "pancake screw": (21, 1),
        "trim screw": (42 + 48, 1),
        "rivet": (3 * 4, 1),
        "butyl tape roll": (40, 1),
        "sealant tube": (3, 1),
        "inside closure": (20, 7),
        "outside closure": (20, 7),
    }


GABLE_HOUSE = {
    # 40 by 24 ft, 6/12: 160.997 along the slope, metal 161.497 long, 480 wide: 54 ribs. First and
    # last row 155.497 apart: 36, 72, 108, 144 between them, 4 × 54 = 216. Rows 18, 54, 90, 126 are
    # 17.4, 49.6, 81.8, 114.0 from the eave in plan and so 30.0 from the ridge the last: 54 + 54 in
    # zones of eave and ridge, 5 + 4 near the rakes in the other two: 126. 4·54 + 216 + 126 = 558
    "panel screw": (2 * 558, 5),
    # 13 laps of 161.497: 6.73 spaces, 7 screws
    "stitch screw": (2 * 13 * 7, 1),
    "pancake screw": (2 * 41, 1),
    # ridge cap 480: 41; rakes 160.997: 13.4 spaces, 15 screws
    "trim screw": (2 * 41 + 4 * 2 * 15, 1),
    # a lap in each rake, three in the ridge
    "rivet": (4 * (4 + 3), 1),
    # two rows on each side of 40 ft of ridge: 176 with spare, 3.91 rolls
    "butyl tape roll": (160, 4),
    "sealant tube": (4 + 3, 1),
    # 80 ft of eaves, 40 ft of ridge from both sides: 26.67
    "inside closure": (80, 27),
    "outside closure": (80, 27),
}


def test_gable() -> None:
    taken = counted(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9))
    assert goods(taken) == GABLE_HOUSE
    assert on_planes(taken, "Panel screws") == {"South 1": 558, "North 1": 558}
    assert on_planes(taken, "Stitch screws") == {"South 1": 91, "North 1": 91}
    # crews reckon with 80 to 110 screws in a square (common practice, no source): 104 here
    assert goods(taken)["panel screw"][0] / (2 * 40 * 12 * 1.25**0.5 / 100) == pytest.approx(
        103.98, abs=0.01
    )


def test_gable_with_a_chimney_and_a_pipe() -> None:
    # The chimney takes from 216 to 252, 48 to 72 from the eave in plan: 53.67 to 80.50 up the
    # slope; metal stops 1 below and begins 3 above, at 52.67 and 83.50. Four ribs, 216 to 243, end
    # there: 2 more ends below, 2 above, each double: 16. Their rows: 36 at 37.50 below (last row
    # at 49.67), 108 and 144 above (first row at 86.50), not 72 at 73.50: 4 less. 18 and 126 stay,
    # 90 is in no zone.
    # 558 + 16 − 4 = 570. The ribs go on past the pipe, 6 in long.
    # Laps 216 and 252 part: 54.17 takes 3, 76.50 takes 4, together 7 as before.
    # Back pan and apron 36: 4 screws a row. Sides 26.83: 4. Boot 8.
    # Tape 2 × 3 ft below the chimney, 166 ft: 4.06 rolls. Sealant 36 + 36 + 2 × 26.83 = 125.67
    # around it and 24 around the boot, 12.47 ft. One closure more above and below.
    sides = 2 * 24 * 1.25**0.5 / 12
    taken = counted(
        section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9),
        opening(box(18, 4, 21, 6)),
        opening(box(30, 5, 30.5, 5.5), "pipe", opening_id="o2"),
    )
    assert goods(taken) == {
        **GABLE_HOUSE,
        "panel screw": (570 + 558, 5),
        "trim screw": (202 + 2 * 4 + 2 * 4 + 2 * 2 * 4 + 8, 2),
        "butyl tape roll": (166, 5),
        "sealant tube": (pytest.approx(7 + 6 + sides + 2, abs=1e-5), 1),
        "inside closure": (83, 28),
        "outside closure": (83, 28),
        "pipe boot": (1, 1),
    }
    assert on_planes(taken, "Panel screws") == {"South 1": 570, "North 1": 558}


def test_hip() -> None:
    # 40 by 24 ft, 6/12 all round. A hip rises 1.118 per inch along the eave; metal stops 1 from
    # it, which is 1.5 down the rib, as much as it runs past the eave: the rib at u is 1.118·u
    # long, 10.062·k at 9·k, and full (161.497) from 144.44 on.
    # South: k = 1 … 16 from the left, 17 … 37 full, and from the right, at 480 − 9·k = 9·(j + 1/3)
    # with j = 53 − k, 10.062·(j + 1/3). 53 ribs (k = 0 has no length); j = 0, 3.35 long, has one
    # row in its middle, others both: 4·52 + 2 = 210.
    # The row at r stands r + 3 up a rib and wants 6 to its last one, 3 from its end: a rib of
    # r + 12. 36: k, j ≥ 5, 44 ribs. 72: 9, 9 (j = 8: 83.9): 36. 108: 12, 12: 30. 144: 16, 16: 22.
    # Together 132.
    # 18: k, j ≥ 3, all 48 in the eave's zone. 54 (49.6 in plan): within 36 of a hip up to
    # u = 49.6 + 36·√2 = 100.6: k = 7 … 11, j = 7 … 10: 9. 90 (81.8): up to 132.8: k = 11 … 14,
    # j = 10 … 14: 9. 126 (114.0): near hips or ridge all k, j ≥ 14: 26. Together 92.
    # East: 288 wide, k = 1 … 31, right half mirrored: 124 at ends; rows 23 + 15 + 9 + 1 = 48; in
    # zones 27 + (5 + 5) + (4 + 4) + 5 = 50.
    taken = counted(section(RECTANGLE, [0.5] * 4, eave_ft=9))
    south, east = 210 + 132 + 92, 124 + 48 + 50
    assert on_planes(taken, "Panel screws") == {
        "South 1": south, "East 1": east, "North 1": south, "West 1": east,
    }  # fmt: skip
    # laps at 36·k: 40.2, 80.5, 120.7, 161.0 long, five full, then 134.2, 93.9, 53.7, 13.4
    laps, few = 2 + 4 + 6 + 7 + 5 * 7 + 6 + 4 + 3 + 1, 2 * (2 + 4 + 6) + 7
    assert on_planes(taken, "Stitch screws") == {
        "South 1": laps, "East 1": few, "North 1": laps, "West 1": few,
    }  # fmt: skip
    # Eaves 480 and 288: 41 and 25 screws. Hips 216: 19, ridge 192: 17. Laps: one in each hip, one
    # in the ridge. Tape: hips 72 ft from both sides, ridge 16: 2 × 176 ft, 8.6 rolls with spare.
    assert goods(taken) == {
        "panel screw": (2 * (south + east), 6),
        "stitch screw": (2 * (68 + 31), 1),
        "pancake screw": (2 * (41 + 25), 1),
        "trim screw": (4 * 2 * 19 + 2 * 17, 1),
        "rivet": (4 * 5, 1),
        "butyl tape roll": (352, 9),
        "sealant tube": (5, 1),
        "inside closure": (128, 43),
        "outside closure": (176, 59),
    }
