"""Caps cut flat, bent by the tests' own folding and put on the roof: their colour sides meet.

Legs lie on the roof planes, so they meet exactly. Their rounds are bent to different angles, and
one of outside radius r = R + t = 1.495 mm stays r·(1/cos φ/2 − 1) inside the corner of a fold φ:
0.177 mm on a 6/12 ridge, 0.081 mm on its hips. But a ball of that radius below three planes
touches all of them, so it lies in all three rounds: cut through its centre they close as well, but
for the chords that rounds are cut in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from roofmodel.document import Section
from roofmodel.shop import Blank
from tests.houses import GABLE, RECTANGLE, box, section
from tests.shop.assembly import end_line, farthest, on_roof, plane_normal, start_line
from tests.shop.shops import HIP, L_HOUSE, MAIN, MITRE, UNEQUAL_HIP, WING, Shop, shop

FT = 304.8
Array = NDArray[np.float64]

SOUTH, EAST, NORTH, WEST = (0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)


class Fitted:
    """The end of a cap that lies at a node, in space: its line from the first border to the
    second, and what of it belongs to its first and to its second plane."""

    def __init__(self, made: Shop, part: str, name: str, node: Array, first: Array) -> None:
        line = next(e for e in made.results.surface.edges if e.name == name)
        blanks = made.on(part, name)
        # the plane of the normal `first` must lie on the left: water on it runs to the left
        along = line.end - line.start
        left = np.array([-along[1], along[0]])
        start, end = (line.start, line.end) if left @ first[:2] > 0.0 else (line.end, line.start)
        self.blank: Blank = blanks[0] if np.allclose(start, node, atol=1e-6) else blanks[-1]
        flat = (start_line if self.blank is blanks[0] and np.allclose(start, node, atol=1e-6)
                else end_line)(self.blank)  # fmt: skip
        self.points = on_roof(self.blank, flat, start, end, first)
        (middle,) = [b.start[0] for b in self.blank.bends if 0 < b.angle < 180]
        if self.blank.profile.start_hem == self.blank.profile.end_hem:
            assert middle == pytest.approx(self.blank.girth / 2.0, abs=1e-9)
        self.first = self.points[flat[:, 0] <= middle + 1e-9]
        self.second = self.points[flat[:, 0] >= middle - 1e-9]


def gap(one: Array, two: Array) -> float:
    return max(farthest(one, two), farthest(two, one))


def roof_node(x: float, y: float, z: float) -> Array:
    return np.array([x, y, z]) * FT


def without_bend(points: Array, node: Array, reach: float = 3.0) -> Array:
    """Points of a cap's end that are not in its bend, which lies at the node."""
    out: Array = points[np.linalg.norm(points - node, axis=1) > reach]
    return out


CHORDS_MM = 0.05
"""Four chords to a round of 90 degrees: each is 1.495·(1 − cos 11.25°) = 0.029 mm off at most, and
the chords of two caps end at other places; 0.042 mm is seen at 18/12, 0.026 at 12/12."""


def apart(caps: Sequence[Fitted]) -> float:
    """How far any point on the end of a cap is from the ends of the others."""
    worst = 0.0
    for cap in caps:
        others = [c.points for c in caps if c is not cap]
        for point in cap.points:
            worst = max(worst, min(farthest(point[None], line) for line in others))
    return worst


@pytest.mark.parametrize(
    ("house", "sides", "ends", "node"),
    [
        (HIP, 0.5, 0.5, (28, 12, 6)),
        (UNEQUAL_HIP, 0.5, 0.75, (32, 12, 6)),
        (section(RECTANGLE, [0.25] * 4), 0.25, 0.25, (28, 12, 3)),
        (section(RECTANGLE, [1.0] * 4), 1.0, 1.0, (28, 12, 12)),
        (section(RECTANGLE, [1.5] * 4), 1.5, 1.5, (28, 12, 18)),
    ],
)
def test_ridge_and_hips(
    house: Section, sides: float, ends: float, node: tuple[float, float, float]
) -> None:
    made, place = shop(house), roof_node(*node)
    south, east = plane_normal(sides, SOUTH), plane_normal(ends, EAST)
    ridge = Fitted(made, "ridge cap", "Ridge 1", place, south)
    low_hip = Fitted(made, "hip cap", "Hip 1", place, south)  # south, then east
    high_hip = Fitted(made, "hip cap", "Hip 3", place, east)  # east, then north
    assert apart((ridge, low_hip, high_hip)) < CHORDS_MM
    for one, two in (
        (ridge.first, low_hip.first),
        (low_hip.second, high_hip.first),
        (ridge.second, high_hip.second),
    ):
        legs = without_bend(one, place), without_bend(two, place)
        assert len(legs[0]) == len(legs[1]) > 3
        assert farthest(legs[0], two) < 1e-6
        assert farthest(legs[1], one) < 1e-6
    # on the south plane they meet in the line that halves the angle between ridge and hip
    on_south = without_bend(ridge.first, place) - place
    assert np.abs(on_south @ south).max() < 4.0  # hems lie under the leg, up to their round


def test_an_outer_turn_closes_as_well() -> None:
    # where the wing of the L begins, its ridge and the broken hip meet around the west plane
    made, place = shop(L_HOUSE), roof_node(8, 16, 4)
    west, north = plane_normal(0.5, WEST), plane_normal(0.5, NORTH)
    east = plane_normal(0.5, EAST)
    ridge = Fitted(made, "ridge cap", "Ridge 2", place, east)  # east, then west
    hip = Fitted(made, "hip cap", "Hip 4", place, north)  # north, then west
    assert gap(without_bend(ridge.second, place), without_bend(hip.second, place)) < 1e-6
    assert abs(without_bend(ridge.second, place) - place).max() > 130.0
    assert np.abs((without_bend(ridge.second, place) - place) @ west).max() < 4.0
    # their other legs end along the valley, one on either side of it
    assert gap(ridge.second, hip.second) < 0.3  # rounds, stretched by the outward cuts
    valley = np.array([8.0, 8.0, -4.0]) / 12.0  # its way down, unit
    for leg in (ridge.first, hip.first):
        off = without_bend(leg, place) - place
        plane = east if leg is ridge.first else north
        off = off[np.abs(off @ plane) < 1e-6]
        assert len(off) >= 1
        assert np.abs(np.cross(off, valley)).max() < 1e-6


def test_a_ridge_ends_on_the_roof_it_runs_into() -> None:
    made, place = shop(MAIN, WING), roof_node(20, 8, 4)
    south = plane_normal(0.5, SOUTH)
    ridge = Fitted(made, "ridge cap", "Ridge 2", place, plane_normal(0.5, EAST))
    # legs, bend and hems alike: every corner of the cut lies on the main roof
    assert np.abs((ridge.points - place) @ south).max() < 1e-6


def test_a_foot_ends_along_both_eaves() -> None:
    made, place = shop(HIP), roof_node(40, 0, 0)
    hip = Fitted(made, "hip cap", "Hip 1", place, plane_normal(0.5, SOUTH))
    # upright along the eaves, 2 in down the hip past them, of which 1 1/3 in lies off each eave:
    # a hip that is (1, 1, −½) runs 1.5 for 1. Panels run 1.5 in down the slope past the eave,
    # 1.5 ÷ √1.25 = 1.3416 in off it: as far, but for 0.01 in
    past = 2.0 / 1.5 * 25.4
    assert np.abs(without_bend(hip.first, place)[:, 1] + past).max() < 1e-6
    assert np.abs(without_bend(hip.second, place)[:, 0] - 40 * FT - past).max() < 1e-6
    assert abs(past - 1.5 * 25.4 / math.sqrt(1.25)) < 0.01 * 25.4


def test_four_hips_in_a_point() -> None:
    made = shop(section(box(0, 0, 24, 24), [0.5] * 4))
    place = roof_node(12, 12, 6)
    names = ("Hip 1", "Hip 2", "Hip 3", "Hip 4")
    normals = [plane_normal(0.5, way) for way in (SOUTH, EAST, NORTH, WEST)]
    ends = {}
    for name in names:
        line = next(e for e in made.results.surface.edges if e.name == name)
        down = (line.start if line.start[2] < line.end[2] else line.end)[:2] - place[:2]
        beside = [n for n in normals if n[:2] @ down > 0]
        along = line.end - line.start  # of two planes alike the first is the left one
        left = np.array([-along[1], along[0]])
        first = next(n for n in beside if left @ n[:2] > 0)
        second = next(n for n in beside if n is not first)
        ends[name] = (Fitted(made, "hip cap", name, place, first), first, second)
    for n in normals:
        sides = [f.first for f, a, _ in ends.values() if a is n]
        sides += [f.second for f, _, b in ends.values() if b is n]
        assert len(sides) == 2
        assert gap(*sides) < 0.1
    caps = [
        b for b in made.blanks if b.run.part == "hip cap" and "mitre" in (b.start.kind, b.end.kind)
    ]
    assert {b.remark for b in caps} == {MITRE}


def test_a_peak_that_does_not_come_to_a_point_says_so() -> None:
    # 24 by 16 ft, 6/12 over the long run and 9/12 over the short: all four planes meet at the
    # peak, but raised along their normals they part
    made = shop(section(box(0, 0, 24, 16), (0.75, 0.5, 0.75, 0.5)))
    assert [n.kind for n in made.results.surface.nodes].count("peak") == 1
    tops = [b for b in made.blanks if "mitre" in (b.start.kind, b.end.kind)]
    assert len(tops) == 4
    assert all("bisects it and its neighbour" in b.remark for b in tops)


def test_a_rake_meets_its_twin() -> None:
    made = shop(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
    one, two = made.on("rake trim", "Rake 1"), made.on("rake trim", "Rake 4")
    # one is the mirror image of the other: their outlines are each other's turned over
    tops = [b for b in (*one, *two) if "mitre" in (b.start.kind, b.end.kind)]
    assert len(tops) == 2
    a, b = tops
    flipped = (0.0, b.outline[:, 1].max()) + b.outline * (1.0, -1.0)
    assert sorted(map(tuple, flipped.round(6))) == sorted(map(tuple, a.outline.round(6)))
    assert math.degrees(math.atan(0.5)) == pytest.approx(a.start.second or a.end.second)
