"""Trim lists of paper-sized houses, worked by hand, in both built-in systems: every line of the
groups "Trim" and "Trim runs". Lengths in inches where not said otherwise.

Stock 126 (10 ft 6 in). Laps 2 at eaves, 6 in valleys, 0 for closures and cleats, 4 elsewhere; so
each whole piece but the last covers 124, 120, 126 or 122. Ends: rake trim 1 at a corner, and 4 3/4
(leg and kick) × slope at its foot, where they are cut plumb, 2 at the ridge; ridge cap 2 at a
gable, 4 where it runs into a roof; hip cap 4 at the ridge, 2 at its foot; high-eave cap 2 at a
corner; valley pan 2 at its foot, 4 at its head; around an opening 6, 4 and 4 at both ends of back
pan, apron and sides. Remainders are rounded up to 1/8.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import NamedTuple

import pytest

from roofmodel.document import Opening, Section
from roofmodel.results import Results, results_of
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff import alike
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, opening, project, section
from tests.takeoff.printed_formula import check

IN = 25.4
W = 126.0
"""A whole stock length."""

RIBBED, SEAM = built_in_systems()


class Part(NamedTuple):
    """One part: lengths to buy, how many are cut to what, and its runs: formula, covered, how
    many such."""

    lengths: int
    cuts: dict[tuple[float, ...], int]
    runs: dict[tuple[str, float], int]


List = dict[str, Part]


def counted(system: RoofingSystem, *parts: Section | Opening) -> Results:
    return results_of(project(*parts, system=system))


def trim_list(results: Results) -> List:
    """The take-off's list, with every line of it used."""
    lines = {q.item: q for q in results.take_off.quantities if q.group == "Trim"}
    runs = {q.item: q for q in results.take_off.quantities if q.group == "Trim runs"}
    for line in (*lines.values(), *runs.values()):
        check(line, results.project.units)
    out: List = {}
    for plan in results.take_off.cutting_plans:
        assert plan.state == "best"
        assert plan.name not in out
        cuts = {tuple(round(c / IN, 6) for c in b[0].cuts): len(b) for b in alike(plan.bars)}
        items = [f"{upper(run.part)} on {run.edge_name}" for run in plan.runs]
        own = [runs.pop(item) for item in items]
        covered = Counter((q.how, round(q.quantity / IN, 6)) for q in own)
        line = lines.pop(f"{upper(plan.name)}, 10'-6\" long")
        out[plan.name] = Part(int(line.quantity), cuts, dict(covered))
    assert not lines
    assert not runs
    return out


def upper(name: str) -> str:
    return name[:1].upper() + name[1:]


def shed() -> Sequence[Section | Opening]:
    """20 by 10 ft, 3/12."""
    return [section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE))]


SHED: List = {
    # 240 = 126 + 116 − 2
    "eave": Part(2, {(W,): 1, (116.0,): 1}, {('10\'-6" + 9\'-8" − 2"', 240.0): 1}),
    # 240 and 2 at both corners: 126 + 122 − 4
    "high-eave cap": Part(2, {(W,): 1, (122.0,): 1}, {('10\'-6" + 10\'-2" − 4"', 244.0): 1}),
    # 120·√(1 + 1/16) = 123.693, 1 at both corners, 4.75 / 4 = 1.1875 at the foot: 126.881 is more
    # than a length, the rest too short a piece: two of (126.881 + 4) / 2 = 65.440 → 65 1/2, of
    # which no two share a length
    "rake trim": Part(4, {(65.5,): 4}, {('2 × 5\'-5 1/2" − 4"', 127.0): 2}),
}
SHED_SEAM: List = {
    "rake cleat": Part(2, {(123.75,): 2}, {("10'-3 3/4\"", 123.75): 2}),
    # 240 = 126 + 114, under the high-eave cap
    "Z closure": Part(2, {(W,): 1, (114.0,): 1}, {("10'-6\" + 9'-6\"", 240.0): 1}),
}


def gable() -> Sequence[Section | Opening]:
    """40 by 24 ft, 6/12."""
    return [section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))]


GABLE_HOUSE: List = {
    # 480 − 3 × 124 = 108, twice
    "eave": Part(8, {(W,): 6, (108.0,): 2}, {('3 × 10\'-6" + 9\'-0" − 3 × 2"', 480.0): 2}),
    # 144·√1.25 = 160.997, 1 at the corner, 4.75 / 2 = 2.375 at the foot and 2 at the ridge:
    # 166.372 − 122 = 44.372 → 44 3/8, four times, two from a length
    "rake trim": Part(
        6,
        {(W,): 4, (44.375, 44.375): 2},
        {('10\'-6" + 3\'-8 3/8" − 4"', 166.375): 4},
    ),
    # 480 and 2 at both gables: 484 − 3 × 122 = 118
    "ridge cap": Part(4, {(W,): 3, (118.0,): 1}, {('3 × 10\'-6" + 9\'-10" − 3 × 4"', 484.0): 1}),
}
GABLE_SEAM: List = {
    # 160.997 − 126 = 34.997 → 35
    "rake cleat": Part(6, {(W,): 4, (35.0, 35.0): 2}, {("10'-6\" + 2'-11\"", 161.0): 4}),
    # both sides of the ridge: 480 − 3 × 126 = 102
    "Z closure": Part(8, {(W,): 6, (102.0,): 2}, {("3 × 10'-6\" + 8'-6\"", 480.0): 2}),
}


def chimney() -> Sequence[Section | Opening]:
    """The gable with a chimney of 3 by 2 ft in plan amid its south slope."""
    return [*gable(), opening(box(18, 4, 21, 6))]


CHIMNEY: List = {
    **GABLE_HOUSE,
    "back pan": Part(1, {(48.0,): 1}, {("4'-0\"", 48.0): 1}),  # 36 + 2 × 6
    "apron flashing": Part(1, {(44.0,): 1}, {("3'-8\"", 44.0): 1}),  # 36 + 2 × 4
    # 24·√1.25 = 26.833 and 4 at both ends → 34 7/8, both from one length
    "side flashing": Part(1, {(34.875, 34.875): 1}, {("2'-10 7/8\"", 34.875): 2}),
}
CHIMNEY_SEAM: List = {
    **GABLE_SEAM,
    # below the chimney 36, beside it 26.833 → 26 7/8 twice: 89 3/4 in one length more
    "Z closure": Part(
        9,
        {(W,): 6, (102.0,): 2, (36.0, 26.875, 26.875): 1},
        {("3 × 10'-6\" + 8'-6\"", 480.0): 2, ("3'-0\"", 36.0): 1, ("2'-2 7/8\"", 26.875): 2},
    ),
}


def lean_to() -> Sequence[Section | Opening]:
    """The gable, eaves 8 ft up, with a lean-to of 16 by 10 ft, 3/12, against its south wall."""
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=8)
    shed = section(box(10, -10, 26, 0), (0.25, GABLE, GABLE, GABLE), section_id="s2")
    return [house, shed]


LEAN_TO: List = {
    # bent to 90° less the pitch: 63.4 and 76.0 degrees are two parts; 192 − 124 = 68
    "eave bent 63.4°": GABLE_HOUSE["eave"],
    "eave bent 76.0°": Part(2, {(W,): 1, (68.0,): 1}, {('10\'-6" + 5\'-8" − 2"', 192.0): 1}),
    # 123.693, 1 at the corner and 4.75 / 4 = 1.1875 at the foot, none at the wall: 125.881 → 126
    "rake trim": Part(
        8,
        {(W,): 6, (44.375, 44.375): 2},
        {('10\'-6" + 3\'-8 3/8" − 4"', 166.375): 4, ("10'-6\"", W): 2},
    ),
    "ridge cap": GABLE_HOUSE["ridge cap"],
    # 192 and 4 around each corner: 200 − 122 = 78
    "headwall flashing": Part(2, {(W,): 1, (78.0,): 1}, {('10\'-6" + 6\'-6" − 4"', 200.0): 1}),
}
LEAN_TO_SEAM: List = {
    # 123.693 → 123 3/4
    "rake cleat": Part(
        8,
        {(W,): 4, (35.0, 35.0): 2, (123.75,): 2},
        {("10'-6\" + 2'-11\"", 161.0): 4, ("10'-3 3/4\"", 123.75): 2},
    ),
    # under the headwall flashing 192 − 126 = 66, which shares with neither 102
    "Z closure": Part(
        10,
        {(W,): 7, (102.0,): 2, (66.0,): 1},
        {("3 × 10'-6\" + 8'-6\"", 480.0): 2, ("10'-6\" + 5'-6\"", 192.0): 1},
    ),
}


def hip() -> Sequence[Section | Opening]:
    """40 by 24 ft, 6/12 all round."""
    return [section(RECTANGLE, [0.5] * 4)]


HIP: List = {
    # 40 ft as above; 24 ft: 288 − 2 × 124 = 40. 108 and 40 do not share a length, two 40s do
    "eave": Part(
        13,
        {(W,): 10, (108.0,): 2, (40.0, 40.0): 1},
        {
            ('3 × 10\'-6" + 9\'-0" − 3 × 2"', 480.0): 2,
            ('2 × 10\'-6" + 3\'-4" − 2 × 2"', 288.0): 2,
        },
    ),
    # 18 ft, 4 at the ridge and 2 at the foot: 222 − 122 = 100
    "hip cap": Part(8, {(W,): 4, (100.0,): 4}, {('10\'-6" + 8\'-4" − 4"', 222.0): 4}),
    # 16 ft, no gable: 192 − 122 = 70
    "ridge cap": Part(2, {(W,): 1, (70.0,): 1}, {('10\'-6" + 5\'-10" − 4"', 192.0): 1}),
}
HIP_SEAM: List = {
    # both sides of four hips, 216 − 126 = 90, and of the ridge, 192 − 126 = 66; no two of these
    # share a length: 10 whole ones and 10 cut
    "Z closure": Part(
        20,
        {(W,): 10, (90.0,): 8, (66.0,): 2},
        {("10'-6\" + 7'-6\"", 216.0): 8, ("10'-6\" + 5'-6\"", 192.0): 2},
    ),
}


def l_shape() -> Sequence[Section | Opening]:
    """40 by 24 ft with a wing of 16 by 16, 6/12 all round."""
    return [section(L_SHAPE, [0.5] * 6)]


L_HOUSE: List = {
    # 40, 40, 24, 24, 16 and 16 ft leave 108, 108, 40, 40 and 192 − 124 = 68, 68 beside 12 whole
    # ones: 432 in four lengths, three hold 378
    "eave": Part(
        16,
        {(W,): 12, (108.0,): 2, (68.0, 40.0): 2},
        {
            ('3 × 10\'-6" + 9\'-0" − 3 × 2"', 480.0): 2,
            ('2 × 10\'-6" + 3\'-4" − 2 × 2"', 288.0): 2,
            ('10\'-6" + 5\'-8" − 2"', 192.0): 2,
        },
    ),
    # 192 between hips leaves 70; the wing's ridge is 4 longer where it runs into the roof: 74
    "ridge cap": Part(
        4,
        {(W,): 2, (70.0,): 1, (74.0,): 1},
        {('10\'-6" + 5\'-10" − 4"', 192.0): 1, ('10\'-6" + 6\'-2" − 4"', 196.0): 1},
    ),
    # three of 18 ft leave 100, two of 12 ft 150 − 122 = 28, the broken one has no foot, is 72 + 4
    # = 76 and, as it is cut along the valley, 2 × 48.1897° less than 180° from it, 6.5 ÷ tan
    # 83.6206° = 0.7266 longer: 76 3/4. A 100 shares with none; 76.75 with one 28, not with both
    "hip cap": Part(
        10,
        {(W,): 5, (100.0,): 3, (76.75, 28.0): 1, (28.0,): 1},
        {
            ('10\'-6" + 8\'-4" − 4"', 222.0): 3,
            ('10\'-6" + 2\'-4" − 4"', 150.0): 2,
            ("6'-4 3/4\"", 76.75): 1,
        },
    ),
    # 144, 2 at the foot and 4 at the head: 150 − 120 = 30
    # its corners, 10 3/4 in off the centre, lie 10.75 ÷ tan 48.1897° = 9.6151 in past the foot:
    # 144 + 2 + 4 + 9.6151 = 159.6151 = 126 − 6 + 39.6151, which is cut to 39 5/8
    "valley pan": Part(2, {(W,): 1, (39.625,): 1}, {('10\'-6" + 3\'-3 5/8" − 6"', 159.625): 1}),
}
L_SEAM: List = {
    # twice each: ridges 192 − 126 = 66, 66; hips 90, 90, 90, 18, 18 and 72. Of 90, 72 and 66 no
    # two share a length, so 12 are cut; 14 whole ones
    "Z closure": Part(
        26,
        {(W,): 14, (90.0,): 6, (66.0, 18.0): 4, (72.0,): 2},
        {
            ("10'-6\" + 5'-6\"", 192.0): 4,
            ("10'-6\" + 7'-6\"", 216.0): 6,
            ("10'-6\" + 1'-6\"", 144.0): 4,
            ("6'-0\"", 72.0): 2,
        },
    ),
    # both sides: 144 − 126 = 18, two from one length
    "valley cleat": Part(3, {(W,): 2, (18.0, 18.0): 1}, {("10'-6\" + 1'-6\"", 144.0): 2}),
}

CASES = [
    (shed, SHED, SHED_SEAM),
    (gable, GABLE_HOUSE, GABLE_SEAM),
    (chimney, CHIMNEY, CHIMNEY_SEAM),
    (lean_to, LEAN_TO, LEAN_TO_SEAM),
    (hip, HIP, HIP_SEAM),
    (l_shape, L_HOUSE, L_SEAM),
]
House = Callable[[], Sequence[Section | Opening]]


OWN = (
    *("rake trim", "ridge cap", "hip cap", "high-eave cap", "headwall flashing"),
    *("apron flashing", "side flashing"),
)
"""What hooks in the seam system, and so has cross-sections and names of its own there."""


def named(parts: List, eave: str, own: str = "") -> List:
    """The list with the eave's part, and those of `OWN`, by their names in one system."""
    return {
        part.replace("eave", eave) if part[:4] == "eave" else own * (part in OWN) + part: numbers
        for part, numbers in parts.items()
    }


@pytest.mark.parametrize(("house", "ribbed", "_"), CASES)
def test_ribbed_panel(house: House, ribbed: List, _: List) -> None:
    assert trim_list(counted(RIBBED, *house())) == named(ribbed, "eave drip edge")


@pytest.mark.parametrize(("house", "ribbed", "more"), CASES)
def test_standing_seam(house: House, ribbed: List, more: List) -> None:
    # the same caps, pans and flashings at the same edges, and what holds and closes the pans
    assert trim_list(counted(SEAM, *house())) == named({**ribbed, **more}, "eave edge", "seam ")


def test_the_words_of_every_line_of_a_gable() -> None:
    quantities = counted(SEAM, *gable()).take_off.quantities
    lines = [(q.item, q.how, q.note) for q in quantities if q.group == "Trim"]
    proved = "fewest lengths, proved"
    assert lines == [
        (
            "Seam rake trim, 10'-6\" long",
            "1 (Rake 1) + 1 (Rake 2) + 1 (Rake 3) + 1 (Rake 4)"
            " + 2 (cut to 3'-8 3/8\" and 3'-8 3/8\")",
            f"{proved}, 9.9 % of its metal is left over",  # 2 × 37 1/4 of 756
        ),
        (
            "Rake cleat, 10'-6\" long",
            "1 (Rake 1) + 1 (Rake 2) + 1 (Rake 3) + 1 (Rake 4) + 2 (cut to 2'-11\" and 2'-11\")",
            f"{proved}, 14.8 % of its metal is left over",  # 2 × 56 of 756
        ),
        (
            "Eave edge, 10'-6\" long",
            "3 (Eave 1) + 3 (Eave 2) + 2 (cut to 9'-0\")",
            f"{proved}, 3.6 % of its metal is left over",  # 2 × 18 of 1008
        ),
        (
            "Seam ridge cap, 10'-6\" long",
            "3 (Ridge 1) + 1 (cut to 9'-10\")",
            f"{proved}, 1.6 % of its metal is left over",  # 8 of 504
        ),
        (
            "Z closure, 10'-6\" long",
            "3 (Ridge 1, South 1 side) + 3 (Ridge 1, North 1 side) + 2 (cut to 8'-6\")",
            f"{proved}, 4.8 % of its metal is left over",  # 2 × 24 of 1008
        ),
    ]
    runs = {q.item: q.note for q in quantities if q.group == "Trim runs"}
    gable_end = '2 × 2" at the ridge end at a gable'
    assert runs["Seam ridge cap on Ridge 1"] == f"covers 40'-0\" + {gable_end}"
    ends = '1" at the roof corner + 2" at the ridge end at a gable + 2 3/8" at the foot, cut plumb'
    assert runs["Seam rake trim on Rake 2"] == f"covers 13'-5\" + {ends}"
    assert runs["Rake cleat on Rake 2"] == "covers 13'-5\""
    assert runs["Z closure on Ridge 1, North 1 side"] == "covers 40'-0\""


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("degrees", [17.0, 90.0, 233.0])
def test_a_turned_and_mirrored_house_has_the_same_list(
    degrees: float, mirrored: bool, system: RoofingSystem
) -> None:
    turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
    turned = [complex(-x if mirrored else x, y) * turn + complex(31, -7) for x, y in L_SHAPE]
    corners = [(z.real, z.imag) for z in turned]
    got = trim_list(counted(system, section(corners, [0.5] * 6)))
    assert got == trim_list(counted(system, *l_shape()))
