"""What fastens and seals paper-sized houses under the built-in standing seam, worked by hand.

Inches where not said otherwise. The panel covers 16; metal runs 0.75 past eaves and stops 1.5
short of ridges and hips. Each panel has clips along its first side: the first and the last 6
from its ends, so the first row lies 5.25 above the eave line; others in rows 24 apart from there,
and in edge zones (36 wide in plan, as `test_goods_by_hand` says) in rows 12 apart, but none
closer than 6 to the seam's last clip. Two pancake screws to a clip; eave edges, rake cleats and Z
closures take one row of them, 12 apart with one at each end. Rake trim takes one row of trim
screws, other trim two. 4 rivets and 12 in of sealant at each lap of caps and rake trim. Z closures
lie in two rows of tape. Boxes of 100 clips.
"""

from __future__ import annotations

import pytest

from roofmodel.document import DrawnPlane, Opening, Section
from roofmodel.results import results_of
from roofmodel.takeoff import TakeOff
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, RECTANGLE, box, opening, project, section
from tests.takeoff.goods import goods, on_planes

SEAM = next(s for s in built_in_systems() if s.id == "standing_seam")


def counted(*parts: Section | DrawnPlane | Opening) -> TakeOff:
    return results_of(project(*parts, system=SEAM)).take_off


def test_shed() -> None:
    # 20 by 10 ft, 3/12: metal 125.193 long, 15 panels. First and last clip 113.193 apart: 24, 48,
    # 72, 96 between them, 4 × 15. Rows 12, 36, 60, 84, 108 lie 17.25, 41.25 … above the eave line,
    # in plan 16.7, 40.0, 63.3, 86.6, 109.9: the first is in the eave's zone, the fourth in the
    # high eave's, 15 each; two near the rakes: 0, 16, 32 and 208, 224; the fifth would be 5.2
    # below the last clips. 30 + 2·5 = 40. 2·15 + 60 + 40 = 130.
    shed = counted(section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE), eave_ft=9))
    assert goods(shed) == {
        "clip": (130, 2),
        # eave 21, rake cleats 123.693: 12 each, Z closure of the high eave 21
        "pancake screw": (2 * 130 + 21 + 2 * 12 + 21, 2),
        # high-eave cap 2 × 21, rake trim 12 each
        "trim screw": (42 + 24, 1),
        # one lap in the high-eave cap, one in each rake trim
        "rivet": (3 * 4, 1),
        "butyl tape roll": (40, 1),
        "sealant tube": (3, 1),
    }


GABLE_HOUSE = {
    # 40 by 24 ft, 6/12: metal 160.247 long, 30 panels, the first clips on the rake. First and last
    # 148.247 apart: 24 … 120, 5 × 30; 144 would be 4.2 below the last. Rows 12, 36 … 132 lie 15.4,
    # 36.9, 58.4, 79.8, 101.3, 122.8 from the eave in plan; the first and the last, 21.2 from the
    # ridge, are in zones, 30 each; the other four near the rakes, 3 + 2 each: 80.
    # 60 + 150 + 80 = 290
    "clip": (580, 7),
    # eaves 2 × 41, rake cleats 4 × 15, Z closures on both sides of the ridge 2 × 41
    "pancake screw": (1160 + 82 + 60 + 82, 6),
    "trim screw": (2 * 41 + 4 * 15, 1),
    "rivet": (4 * (4 + 3), 1),
    "butyl tape roll": (2 * 80, 4),
    "sealant tube": (4 + 3, 1),
}


def test_gable() -> None:
    taken = counted(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9))
    assert goods(taken) == GABLE_HOUSE
    assert on_planes(taken, "Clips") == {"South 1": 290, "North 1": 290}


def test_gable_with_a_chimney_and_a_pipe() -> None:
    # Metal stops at 52.67 below the chimney and begins at 83.50 above it. Seams 224 and 240 part:
    # below from 5.25 to 46.67 with a row at 29.25, and 17.25 in the eave's zone; above from 89.50
    # to 153.50 with 101.25, 125.25, and 137.25 in the ridge's zone. Ends 4 each, not 2, rows 3,
    # not 5, in zones 2 as before: 290 again. The pipe lies between seams.
    # Z closures below the chimney 36 and at its sides 26.83 each: 4 screws each, 7.47 ft.
    # Flashings 2 × 4 + 2 × 4 + 2 × 2 × 4, boot 8. Tape 2 × 87.47: 4.28 rolls with spare.
    sides = 2 * 24 * 1.25**0.5 / 12
    taken = counted(
        section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9),
        opening(box(18, 4, 21, 6)),
        opening(box(30, 5, 30.5, 5.5), "pipe", opening_id="o2"),
    )
    assert goods(taken) == {
        **GABLE_HOUSE,
        "pancake screw": (1384 + 3 * 4, 6),
        "trim screw": (142 + 8 + 8 + 16 + 8, 1),
        "butyl tape roll": (pytest.approx(2 * (83 + sides), abs=1e-5), 5),
        "sealant tube": (pytest.approx(7 + 6 + sides + 2, abs=1e-5), 1),
        "pipe boot": (1, 1),
    }


def test_hip() -> None:
    # 40 by 24 ft, 6/12 all round. Metal stops 1.5 from the hip, 2.25 down the seam, and begins
    # 0.75 below the eave: its corner lies 1.342 along. From there the seam at 16·k is 17.889·k
    # long, full (160.247) from k = 9 on.
    # South: 477.317 wide, 30 panels; k = 0 has no length. From the right, j = 29 − k, the seam is
    # 17.889·(j + 0.832) long, full from j = 9 on. 29 seams: 58 at their ends.
    # The row at r stands r + 6 up a seam and wants 6 to its last clip, 6 from its end: a seam of
    # r + 18. 24: k ≥ 3, j ≥ 2: 25. 48: 4, 3: 23. 72: 6 (k = 5: 89.4), 5: 19. 96: 7, 6: 17. 120: 8,
    # 7: 15. 144: none is 162 long. Together 99.
    # 12: k ≥ 2, j ≥ 1, all 27 in the eave's zone. 36 (36.9 in plan): within 36 of a hip up to
    # 36.9 + 50.9 = 87.8, k = 4, 5, j = 3, 4: 4 (k = 3: 53.7). 60 (58.4): up to 109.3, k = 5, 6,
    # j = 4, 5: 4. 84 (79.8): up to 130.7, k = 6 … 8, j = 5 … 7: 6. 108 (101.3): up to 152.2,
    # k = 8, 9, j = 7, 8: 4 (k = 7: 125.2). 132 (122.8): near the ridge k ≥ 9, j ≥ 8: 13. Together
    # 58.
    # East: 285.317 wide, 18 panels, 17 seams with a length, j = 17 − k: 34 at their ends; rows
    # 13 + 11 + 7 + 5 + 3 = 39; in zones 15 + 4 + 4 + 6 + 3 + 1 = 33.
    taken = counted(section(RECTANGLE, [0.5] * 4, eave_ft=9))
    south, east = 58 + 99 + 58, 34 + 39 + 33
    assert on_planes(taken, "Clips") == {
        "South 1": south, "East 1": east, "North 1": south, "West 1": east,
    }  # fmt: skip
    # eaves 41 and 25, twice; Z closures on both sides of four hips of 216 and a ridge of 192
    assert goods(taken) == {
        "clip": (2 * (south + east), 7),
        "pancake screw": (4 * (south + east) + 2 * (41 + 25) + 8 * 19 + 2 * 17, 7),
        "trim screw": (4 * 2 * 19 + 2 * 17, 1),
        "rivet": (4 * 5, 1),
        "butyl tape roll": (2 * (144 + 32), 9),
        "sealant tube": (5, 1),
    }
