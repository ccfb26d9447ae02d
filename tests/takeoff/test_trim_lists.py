"""Trim lists of paper-sized houses, worked by hand. Lengths in inches where not said otherwise.

The built-in ribbed system: stock 126 (10 ft 6 in), laps 2 at eaves, 6 in valleys, 4 elsewhere;
so each whole piece but the last covers 124, 120 or 122. A ridge cap is 2 longer at a gable end, a
valley pan 2 at its foot and 4 at its head. Remainders are rounded up to 1/8.
"""

from __future__ import annotations

import math

import pytest

from roofmodel.document import DrawnPlane, Opening, Section
from roofmodel.results import Results, results_of
from roofmodel.takeoff import alike
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, opening, project, section

IN = 25.4
WHOLE = 126.0

RIBBED = next(s for s in built_in_systems() if s.id == "ribbed_panel")

Cuts = dict[tuple[float, ...], int]


def counted(*parts: Section | DrawnPlane | Opening) -> Results:
    return results_of(project(*parts, system=RIBBED))


def trim_list(results: Results) -> dict[str, tuple[int, Cuts]]:
    """Stock lengths per part as ordered, and how many are cut to what."""
    out: dict[str, tuple[int, Cuts]] = {}
    lines = {q.item: q.quantity for q in results.take_off.quantities if q.group == "Trim"}
    for plan in results.take_off.cutting_plans:
        assert plan.state == "best"
        assert plan.part not in out
        cuts = {
            tuple(round(c / IN, 6) for c in bars[0].cuts): len(bars) for bars in alike(plan.bars)
        }
        item = f"{plan.part.capitalize()}, 10'-6\" long"
        out[plan.part] = (int(lines.pop(item)), cuts)
    assert not lines
    return out


def test_shed() -> None:
    # 20 by 10 ft, 3/12. Eave 240 = 126 + 116 − 2, high eave 240 = 126 + 118 − 4. Rakes
    # 120·√(1 + 1/16) = 123.693 → 123 3/4, one piece each.
    shed = section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE))
    assert trim_list(counted(shed)) == {
        "eave drip edge": (2, {(WHOLE,): 1, (116.0,): 1}),
        "high-eave cap": (2, {(WHOLE,): 1, (118.0,): 1}),
        "rake trim": (2, {(123.75,): 2}),
    }


GABLE_HOUSE: dict[str, tuple[int, Cuts]] = {
    # eaves 480 − 3 × 124 = 108 beside three whole ones, twice
    "eave drip edge": (8, {(WHOLE,): 6, (108.0,): 2}),
    # rakes 144·√1.25 = 160.997: 126 + 38.997 → 39, four times; three 39s make 117, so two lengths,
    # both cut alike
    "rake trim": (6, {(WHOLE,): 4, (39.0, 39.0): 2}),
    # ridge 480 and 2 at both gables: 484 − 3 × 122 = 118
    "ridge cap": (4, {(WHOLE,): 3, (118.0,): 1}),
}


def test_gable() -> None:
    # 40 by 24 ft, 6/12
    gable = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    assert trim_list(counted(gable)) == GABLE_HOUSE


def test_gable_with_a_chimney() -> None:
    # 3 by 2 ft in plan, amid the south slope: 36 above and below, sides 24·√1.25 = 26.833 →
    # 26 7/8, both from one length
    gable = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    chimney = opening(box(18, 4, 21, 6))
    assert trim_list(counted(gable, chimney)) == {
        **GABLE_HOUSE,
        "back pan": (1, {(36.0,): 1}),
        "apron flashing": (1, {(36.0,): 1}),
        "side flashing": (1, {(26.875, 26.875): 1}),
    }


def test_hip() -> None:
    # 40 by 24 ft, 6/12 all round. Eaves of 40 ft as above; of 24: 288 − 2 × 124 = 40. 108 and 40
    # do not share a length, two 40s do: 10 whole, 3 cut. Hips 18 ft: 216 − 122 = 94, four times.
    # Ridge 16 ft, no gable end: 192 − 122 = 70.
    assert trim_list(counted(section(RECTANGLE, [0.5] * 4))) == {
        "eave drip edge": (13, {(WHOLE,): 10, (108.0,): 2, (40.0, 40.0): 1}),
        "hip cap": (8, {(WHOLE,): 4, (94.0,): 4}),
        "ridge cap": (2, {(WHOLE,): 1, (70.0,): 1}),
    }


def test_l_shape() -> None:
    # 40 and 24 ft with a wing of 16 by 16, 6/12 all round. Eaves 40, 40, 24, 24, 16, 16 ft leave
    # 108, 108, 40, 40 and 192 − 124 = 68, 68 beside 12 whole ones: 432 in four lengths, three hold
    # 378. Ridges 16 and 16 ft leave 70 each, which do not share. Hips: three of 18 ft leave 94,
    # two of 12 ft 144 − 122 = 22, one of 6 ft is 72: 398 in four, three hold 378. Valley 12 ft
    # and 2 at its foot, 4 at its head: 150 − 120 = 30.
    got = trim_list(counted(section(L_SHAPE, [0.5] * 6)))
    assert {part: bars for part, (bars, _) in got.items()} == {
        "eave drip edge": 16, "ridge cap": 4, "hip cap": 9, "valley pan": 2,
    }  # fmt: skip
    assert got["eave drip edge"][1] == {(WHOLE,): 12, (108.0,): 2, (68.0, 40.0): 2}
    assert got["ridge cap"][1] == {(WHOLE,): 2, (70.0,): 2}
    assert got["valley pan"][1] == {(WHOLE,): 1, (30.0,): 1}
    cut = {cuts: n for cuts, n in got["hip cap"][1].items() if cuts != (WHOLE,)}
    assert got["hip cap"][1][(WHOLE,)] == 5
    assert sorted(p for cuts, n in cut.items() for p in cuts * n) == [22, 22, 72, 94, 94, 94]


@pytest.mark.parametrize("degrees", [17.0, 90.0, 233.0])
def test_turning_the_house_changes_no_list(degrees: float) -> None:
    turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
    turned = [complex(x, y) * turn for x, y in L_SHAPE]
    corners = [(z.real, z.imag) for z in turned]
    got = trim_list(counted(section(corners, [0.5] * 6)))
    plain = trim_list(counted(section(L_SHAPE, [0.5] * 6)))
    assert {p: bars for p, (bars, _) in got.items()} == {p: b for p, (b, _) in plain.items()}
