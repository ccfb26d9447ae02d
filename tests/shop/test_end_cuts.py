"""End cuts of trim against angles worked by hand. Degrees from a square cut; 40 by 24 ft.

A is the angle between a hip or valley and the eave, in the roof plane: tan A = tan ψ · √(1 + m²),
ψ that angle in plan. At 6/12 and 90° corners: tan A = 1.118034, A = 48.1897°. Where 6/12 meets
9/12: tan ψ = 0.75/0.5 on the 6/12 side, A = atan(1.5 · 1.118034) = 59.1930°; on the 9/12 side
atan(2/3 · 1.25) = 39.8056°.

A ridge runs level as the eave does, so in the plane between them a hip stands at 180° − A to it;
the line that halves this angle lies A/2 off a square cut, on both. Two hips of one hip end meet
in its plane at 180° − 2A; halved, that is A off square. At its foot a hip is cut along the eave,
90° − A off square.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from roofmodel.shop import Blank, BlankEnd
from roofmodel.surface import RoofEdge
from tests.houses import GABLE, RECTANGLE, box, section
from tests.shop.shops import (
    EAVE_CORNER,
    HIP,
    L_HOUSE,
    MAIN,
    MITRE,
    UNEQUAL_HIP,
    WING,
    Shop,
    shop,
)

IN = 25.4
A = math.degrees(math.atan(math.sqrt(1.25)))
A6 = math.degrees(math.atan(1.5 * math.sqrt(1.25)))
A9 = math.degrees(math.atan(1.25 / 1.5))


def edge(made: Shop, name: str) -> RoofEdge:
    return next(e for e in made.results.surface.edges if e.name == name)


def end_near(made: Shop, part: str, name: str, x: float, y: float) -> tuple[BlankEnd, Blank]:
    """The end of a part's run that lies at (x, y) feet, and its blank."""
    run = made.on(part, name)
    line = edge(made, name)
    place = np.array([x, y]) * 304.8
    # whichever way the run goes, one end of its blanks is at the node, fitted to it
    ends = [(run[0].start, run[0]), (run[-1].end, run[-1])]
    at_start = np.linalg.norm(line.start[:2] - place) < np.linalg.norm(line.end[:2] - place)
    walks_on = _goes_with(made, run[0], line)
    return ends[0] if at_start == walks_on else ends[1]


def _goes_with(made: Shop, blank: Blank, line: RoofEdge) -> bool:
    """Does the run's line go as the edge does? Its first plane lies on its left, and the upper
    one comes first; on these houses both planes of an edge lie alike or there is only one."""
    if len(line.planes) == 2:
        return True
    plane = made.results.surface.plane(line.planes[0])
    middle = (line.start + line.end)[:2] / 2.0
    way = (line.end - line.start)[:2]
    inward = plane.outline[:, :2].mean(axis=0) - middle
    return bool(way[0] * inward[1] - way[1] * inward[0] > 0.0)


def check(
    made: Shop, part: str, name: str, place: tuple[float, float], kind: str, *angles: float
) -> None:
    end, _ = end_near(made, part, name, *place)
    assert end.kind == kind
    assert sorted((end.first, end.second)) == pytest.approx(sorted(angles), abs=1e-5)


def test_hip_house() -> None:
    made = shop(HIP)
    assert not made.made.remarks
    for angle, printed in ((A, 48.1897), (A6, 59.1930), (A9, 39.8056)):
        assert angle == pytest.approx(printed, abs=5e-5)
    for place in ((28, 12), (12, 12)):
        check(made, "ridge cap", "Ridge 1", place, "mitre", A / 2, A / 2)
    for name, foot, top in (
        ("Hip 1", (40, 0), (28, 12)), ("Hip 2", (0, 0), (12, 12)),
        ("Hip 3", (40, 24), (28, 12)), ("Hip 4", (0, 24), (12, 12)),
    ):  # fmt: skip
        check(made, "hip cap", name, top, "mitre", A / 2, A)
        check(made, "hip cap", name, foot, "along the edge", 90 - A, 90 - A)
    # nothing else is said than what mitres and the corners of the eaves need
    for b in made.blanks:
        at_corner = b.run.part == "eave drip edge" and b.number in (1, b.count)
        is_mitred = "mitre" in (b.start.kind, b.end.kind)
        said = EAVE_CORNER if at_corner else MITRE if is_mitred else ""
        assert b.remark == said


def test_hip_house_of_unequal_pitch() -> None:
    made = shop(UNEQUAL_HIP)
    for place in ((32, 12), (8, 12)):
        check(made, "ridge cap", "Ridge 1", place, "mitre", A6 / 2, A6 / 2)
    for name, foot, top in (
        ("Hip 1", (40, 0), (32, 12)), ("Hip 2", (0, 0), (8, 12)),
        ("Hip 3", (40, 24), (32, 12)), ("Hip 4", (0, 24), (8, 12)),
    ):  # fmt: skip
        check(made, "hip cap", name, top, "mitre", A6 / 2, A9)
        check(made, "hip cap", name, foot, "along the edge", 90 - A6, 90 - A9)


def test_sides_are_told_apart() -> None:
    # Hip 1 goes up from the south-east corner: its first side, on the left, is the south plane
    hip = shop(UNEQUAL_HIP).on("hip cap", "Hip 1")[-1]
    assert (hip.end.first, hip.end.second) == pytest.approx((A6 / 2, A9), abs=1e-5)


def test_l_house() -> None:
    made = shop(L_HOUSE)
    # the valley's pan ends along both eaves, which stand at 180° − A to it: its borders go on
    check(made, "valley pan", "Valley 1", (16, 24), "along the edge", A - 90, A - 90)
    check(made, "valley pan", "Valley 1", (8, 16), "square", 0, 0)
    # where it begins, a broken hip and the wing's ridge turn around the west plane: the inner
    # angle there is 180° + A, so halved it lies A/2 off square outwards. On its other side the
    # ridge ends along the valley, at A to it. The hip goes up as the valley goes down: their ways
    # (1, −1, ½) and (1, 1, −½), of length 1.5 each, stand at acos(−0.25/2.25) = 96.3794°.
    check(made, "ridge cap", "Ridge 2", (8, 16), "mitre", -A / 2, 90 - A)
    check(made, "hip cap", "Hip 4", (8, 16), "mitre", -A / 2, 90 - 96.379370)
    check(made, "hip cap", "Hip 4", (12, 12), "mitre", A / 2, A)
    check(made, "ridge cap", "Ridge 2", (8, 32), "mitre", A / 2, A / 2)


def test_cross_gable() -> None:
    made = shop(MAIN, WING)
    # the wing's ridge ends on the main roof: along both valleys, at A to them
    check(made, "ridge cap", "Ridge 2", (20, 8), "along the valley", 90 - A, 90 - A)
    check(made, "ridge cap", "Ridge 2", (20, -10), "turned down", 0, 0)
    for place in ((0, 12), (40, 12)):
        check(made, "ridge cap", "Ridge 1", place, "turned down", 0, 0)
    for name, foot in (("Valley 1", (28, 0)), ("Valley 2", (12, 0))):
        check(made, "valley pan", name, foot, "along the edge", A - 90, A - 90)
    # rakes meet upright over each other's gable: the face leg is cut at the roof's pitch, what
    # lies on the panels square
    for name, foot, top in (("Rake 1", (0, 0), (0, 12)), ("Rake 3", (40, 24), (40, 12))):
        check(made, "rake trim", name, top, "mitre", 0, math.degrees(math.atan(0.5)))
        check(made, "rake trim", name, foot, "turned around the corner", 0, 0)


def test_a_valley_of_unequal_pitch() -> None:
    # main 6/12, wing 8/12, equal eaves: tan ψ = 8/6 on the main plane, 6/8 on the wing's; the
    # wing's ridge, 8 · 8/12 high, ends 10.6667 ft in from the eave
    a6 = math.degrees(math.atan(8 / 6 * math.sqrt(1.25)))
    a8 = math.degrees(math.atan(6 / 8 * math.sqrt(1 + 4 / 9)))
    assert (a6, a8) == pytest.approx((56.1455, 42.0311), abs=5e-5)
    wing = section(box(12, -10, 28, 12), (GABLE, 2 / 3, GABLE, 2 / 3), section_id="s2")
    made = shop(MAIN, wing)
    for name, foot in (("Valley 1", (28, 0)), ("Valley 2", (12, 0))):
        check(made, "valley pan", name, foot, "along the edge", a6 - 90, a8 - 90)
    check(made, "ridge cap", "Ridge 2", (20, 32 / 3), "along the valley", 90 - a8, 90 - a8)


@pytest.mark.parametrize("degrees", [17.0, 90.0, 233.0])
def test_turned_houses_have_the_same_blanks(degrees: float) -> None:
    turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
    turned = [complex(x, y) * turn for x, y in RECTANGLE]
    other = section([(z.real, z.imag) for z in turned], (0.5, 0.75, 0.5, 0.75))

    def cuts(made: Shop) -> list[tuple[object, ...]]:
        return sorted(
            (b.run.part, round(b.length, 3), round(b.area, 1), b.start.kind, b.end.kind,
             round(b.start.first, 4), round(b.end.first, 4))
            for b in made.blanks
        )  # fmt: skip

    assert cuts(shop(other)) == cuts(shop(UNEQUAL_HIP))
