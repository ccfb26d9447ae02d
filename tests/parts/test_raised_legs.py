"""Trim whose leg on the second plane lies higher than that plane, on ribs or on closures."""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec
import numpy as np
import pytest

from roofmodel.errors import DocumentError, FileError
from roofmodel.parts import folded
from roofmodel.systems import Bend, Leg, TrimProfile
from roofmodel.systems.joining import joined
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.parts_toml import built_in_parts, parse_parts
from tests.parts.fold_back import crossing, fold_back

IN = 25.4
OWN = {p.name: p for p in built_in_parts()}
HALVES = [
    joined(OWN[a], OWN[b])
    for a, b in (
        ("transition trim", "seam transition trim"),
        ("seam transition trim", "transition trim"),
    )
]
PARTS = OWN | {p.name: p for p in HALVES if p is not None}
RAISED = {
    "transition trim": 0.75,
    "deck edge trim": 0.75,
    "half seam transition trim and half transition trim": 0.75,
    "seam transition trim": 1.5,
    "seam deck edge trim": 1.5,
    "half transition trim and half seam transition trim": 1.5,
}
PITCHES = [(3, 6), (3, 5), (4, 6), (8, 3), (24, 5), (0, 2), (0, 3), (12, 12.001)]


def falls(pitch: float) -> float:
    return math.atan(pitch / 12)


@pytest.mark.parametrize(("name", "height"), RAISED.items())
@pytest.mark.parametrize(
    ("upper", "lower"), [(a, b) for a, b in [*PITCHES, *(p[::-1] for p in PITCHES)] if b > 0]
)
def test_one_leg_lies_on_the_deck_the_other_its_height_above_it(
    name: str, height: float, upper: float, lower: float
) -> None:
    # the roof in section, downhill along +x, its line at the origin; the blank is bent again from
    # its bend lines alone, and laid with its first leg on the upper plane so that the other one
    # comes to lie as high over the lower plane as the ribs or closures are
    part = PARTS[name]
    fold = math.degrees(falls(lower) - falls(upper))
    if part.too_flat(fold):
        with pytest.raises(DocumentError, match="carry the panels over the line"):
            folded(part, fold)
        return
    bent = folded(part, fold)
    metal = part.metal
    lines = [
        (b.at, b.angle if b.direction == "up" else -b.angle, b.inside_radius) for b in bent.bends
    ]
    flats, _ = fold_back(lines, bent.girth, metal.thickness, metal.k_factor)
    first, second = flats[0], flats[1]
    half = metal.thickness / 2.0
    # the undersides lie on the deck and on the closures
    p, q = (f.start - half * f.normal for f in (first, second))
    bend = crossing(p, first.way, q, second.way)
    turn = -falls(upper) - first.heading
    rot = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    down, lower_way = (np.array([math.cos(falls(x)), -math.sin(falls(x))]) for x in (upper, lower))
    above = np.array([math.sin(falls(lower)), math.cos(falls(lower))])
    # where on the upper plane does the bend lie? where that is `height` above the lower one
    at = height * IN / float(down @ above)
    assert (at > 0) == (fold > 0)

    def laid(point: np.ndarray, normal: np.ndarray) -> np.ndarray:
        return at * down + rot @ (point - half * normal - bend)

    on_deck = [laid(x, first.normal) for x in (first.start, first.end)]
    on_top = [laid(x, second.normal) for x in (second.start, second.end)]
    for point in on_deck:
        assert abs(point[0] * down[1] - point[1] * down[0]) < 1e-6 * IN
    for point in on_top:
        assert float(point @ above) == pytest.approx(height * IN, abs=1e-6 * IN)
    # as much as is named lies beyond the line and beyond the bend on both sides; lengths are named
    # on the outside, which differs from the underside by less than the sheet
    sheet = metal.thickness / IN
    named = [leg.length / IN for leg in part.legs]
    reach = -float(on_deck[0] @ down) / IN
    far = float(on_top[1] @ lower_way) / IN
    assert reach == pytest.approx(named[0] + max(0.0, -at / IN), abs=sheet)
    before = float(at * down @ lower_way) / IN
    hem = sheet if part.end_hem and part.end_hem.kind == "closed" else 0.0  # its round's share
    assert far == pytest.approx(named[1] + max(0.0, before) - hem, abs=sheet)
    # and nothing dams the water: from the upper border on it only falls
    route = [*on_deck, *on_top]
    heights = [float(x[1]) for x in route]
    assert all(a >= b - 1e-6 for a, b in pairwise(heights))


def test_girths_by_hand() -> None:
    # 3/12 above 6/12: 26.56505 − 14.03624 = 12.52881 degrees; 1.5 ÷ sin = 6.91466, ÷ tan = 6.75.
    # bend: 0.218669 · (1/32 + 0.44 · 0.0276) − 2 · (1/32 + 0.0276) · tan 6.26440 = −0.003430
    bend = 0.218669 * (1 / 32 + 0.44 * 0.0276) - 2 * (1 / 32 + 0.0276) * 0.109772
    hook = 0.5 + math.pi * (1 / 16 + 0.44 * 0.0276)
    fold = 12.528808
    seam, ribbed = OWN["seam transition trim"], OWN["transition trim"]
    assert folded(seam, fold).girth / IN == pytest.approx(12 + 6.91466 + bend + hook, abs=1e-4)
    assert folded(seam, -fold).girth / IN == pytest.approx(12 + 6.75 + bend + hook, abs=1e-4)
    # ribs of 3/4 in: half of it
    assert folded(ribbed, fold).girth / IN == pytest.approx(12 + 3.45733 + bend + 0.5, abs=1e-4)
    # 3/12 below a deck: 14.03624 degrees, 1.5 ÷ sin = 6.18466
    bend = 0.244979 * (1 / 32 + 0.44 * 0.0276) - 2 * (1 / 32 + 0.0276) * 0.123106
    edge = folded(OWN["seam deck edge trim"], 14.036243)
    assert edge.girth / IN == pytest.approx(10 + 6.18466 + bend + hook, abs=1e-4)


def test_they_are_as_high_as_ribs_and_closures() -> None:
    ribbed, seam = built_in_systems()
    web = OWN["Z closure"].legs[1].length
    for name in ("transition trim", "deck edge trim"):
        assert OWN[f"seam {name}"].raised == pytest.approx(web)
        assert OWN[f"seam {name}"].raised == pytest.approx(seam.panel.rib_height)
        assert OWN[name].raised == pytest.approx(ribbed.panel.rib_height)
    # from the least fold on the bend lies no farther from the line than sheet spans
    for part in PARTS.values():
        if part.raised:
            assert max(part.past_line(part.least_fold)) / IN < 10.8


LEGS = (Leg("deck", 100.0, "first plane"), Leg("top", 100.0, "second plane"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"raised": 30.0}, "must name a least fold of at least 1 degree"),
        ({"raised": -1.0, "least_fold": 5.0}, "between 0 and 78 in"),
        ({"least_fold": -5.0}, "least fold between 0 and 180"),
        (
            {"raised": 30.0, "least_fold": 5.0, "legs": (LEGS[0], Leg("up", 50.0), LEGS[1]),
             "bends": (Bend(30.0), Bend(-30.0, 1.0))},
            "one bend between",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_raised(change: dict[str, object], words: str) -> None:
    plain = TrimProfile("step", LEGS, (Bend(0.0, 1.0),), folds=(-90.0, 90.0))
    with pytest.raises(DocumentError, match=words):
        msgspec.structs.replace(plain, **change)


def test_a_file_says_it() -> None:
    text = """
[parts.step]
legs = [
    { name = "deck", length = 4.0, on = "first plane" },
    { name = "top", length = 6.0, on = "second plane" },
]
bends = [{ follows = 1.0 }]
raised = 1.5
folds = [-90.0, 90.0]
least_fold = 8.0
source = "mine"
"""
    (part,) = parse_parts(text, "parts.toml")
    assert part.raised / IN == pytest.approx(1.5)
    assert part.least_fold == 8.0
    with pytest.raises(FileError, match=r"parts\.step\.raised.*number of inches"):
        parse_parts(text.replace("raised = 1.5", "raised = -1.5"), "parts.toml")
    with pytest.raises(FileError, match="least fold of at least 1 degree"):
        parse_parts(text.replace("least_fold = 8.0", ""), "parts.toml")
