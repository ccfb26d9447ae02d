"""Single-outline worked examples and published framing values.

The examples' figures are closed forms, derived beside each; feet, square feet and degrees.
"""

from __future__ import annotations

import math
from collections import defaultdict

import pytest

from roofmodel.results import results_of
from roofmodel.surface import RoofEdge, Surface
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, L_SHAPE, RECTANGLE, project, section

REL = 1e-9


def roof(*args: object, **kwargs: object) -> Surface:
    return results_of(project(section(*args, **kwargs))).surface  # type: ignore[arg-type]


def lengths(surface: Surface) -> dict[K, list[float]]:
    out: dict[K, list[float]] = defaultdict(list)
    for e in surface.edges:
        out[e.kind].append(e.length / FT)
    return {k: sorted(v) for k, v in out.items()}


def areas(surface: Surface) -> dict[str, float]:
    return {p.name: p.true_area / FT**2 for p in surface.planes}


def folds(surface: Surface, kind: K) -> list[float]:
    return [e.fold for e in surface.edges if e.kind is kind]


def check_lengths(surface: Surface, expected: dict[K, list[float]]) -> None:
    found = lengths(surface)
    assert found.keys() == expected.keys()
    for kind, values in expected.items():
        assert found[kind] == pytest.approx(sorted(values), rel=REL), kind


def test_e1_gable() -> None:
    # slope length 12·√1.25 = √180; two planes of 40·√180; ridge bend 2·atan(1/2)
    s = roof(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    assert list(areas(s).values()) == pytest.approx([40 * math.sqrt(180)] * 2, rel=REL)
    rake = math.sqrt(180)
    check_lengths(s, {K.RIDGE: [40], K.EAVE: [40, 40], K.RAKE: [rake] * 4})
    assert folds(s, K.RIDGE) == pytest.approx([math.degrees(2 * math.atan(0.5))], rel=REL)
    assert folds(s, K.RAKE) == pytest.approx([90.0] * 4, rel=REL)
    assert max(p.outline[:, 2].max() for p in s.planes) == pytest.approx(6 * FT, rel=REL)


def test_e2_hip() -> None:
    # ends: triangle 24 wide, 12 deep in plan; sides: trapezoid 40 and 16; hip √(12²·2 + 6²) = 18
    s = roof(RECTANGLE, [0.5] * 4)
    f = math.sqrt(1.25)
    assert sorted(areas(s).values()) == pytest.approx([144 * f] * 2 + [336 * f] * 2, rel=REL)
    check_lengths(s, {K.RIDGE: [16], K.HIP: [18] * 4, K.EAVE: [40, 24, 40, 24]})
    # 90° corner: cos(bend) = cos²a with cos²a = 0.8
    assert folds(s, K.HIP) == pytest.approx([math.degrees(math.acos(0.8))] * 4, rel=REL)
    assert folds(s, K.RIDGE) == pytest.approx([53.13010235415598], rel=REL)


def test_e3_l_hip_and_valley() -> None:
    # nodes (12,12,6) (28,12,6) (8,16,4) (8,32,4); plan areas by the shoelace rule
    s = roof(L_SHAPE, [0.5] * 6)
    f = math.sqrt(1.25)
    plan = {
        "South 1": 336,
        "East 1": 144,
        "North 1": 272,
        "East 2": 128,
        "North 2": 64,
        "West 1": 272,
    }
    assert areas(s) == pytest.approx({k: v * f for k, v in plan.items()}, rel=REL)
    check_lengths(
        s,
        {
            K.RIDGE: [16, 16],
            K.HIP: [18, 18, 18, 12, 12, 6],
            K.VALLEY: [12],
            K.EAVE: [40, 24, 24, 16, 16, 40],
        },
    )
    bend = math.degrees(math.acos(0.8))
    assert folds(s, K.VALLEY) == pytest.approx([-bend], rel=REL)
    assert folds(s, K.HIP) == pytest.approx([bend] * 6, rel=REL)


def test_e5_unequal_hip() -> None:
    # ends 9/12: the ridge end lies 12·(6/9) = 8 in; hip √(12² + 8² + 6²) = √244
    s = roof(RECTANGLE, (0.5, 0.75, 0.5, 0.75))
    f6, f9 = math.sqrt(1.25), 1.25
    sides, ends = (40 + 24) / 2 * 12 * f6, 24 * 8 / 2 * f9
    assert sorted(areas(s).values()) == pytest.approx([ends] * 2 + [sides] * 2, rel=REL)
    check_lengths(s, {K.RIDGE: [24], K.HIP: [math.sqrt(244)] * 4, K.EAVE: [40, 24, 40, 24]})
    # cos(bend) = cos a1 · cos a2
    bend = math.degrees(math.acos(1 / (f6 * f9)))
    assert folds(s, K.HIP) == pytest.approx([bend] * 4, rel=REL)
    assert bend == pytest.approx(44.3124, abs=5e-5)
    hip = next(e for e in s.edges if e.kind is K.HIP)
    assert plan_angles(hip) == pytest.approx((33.6901, 56.3099), abs=5e-5)


def plan_angles(hip: RoofEdge) -> tuple[float, float]:
    dx, dy = abs(hip.end - hip.start)[:2]
    angle = math.degrees(math.atan2(dy, dx))
    return 90.0 - angle, angle


def test_e6_shed() -> None:
    # alone it has a high eave; slope length 14·√(1 + 1/16); bends 90 ∓ a
    s = roof(((0, 0), (30, 0), (30, 14), (0, 14)), (0.25, GABLE, GABLE, GABLE))
    slope = 14 * math.sqrt(1 + 1 / 16)
    assert list(areas(s).values()) == pytest.approx([30 * slope], rel=REL)
    check_lengths(s, {K.EAVE: [30], K.HIGH_EAVE: [30], K.RAKE: [slope, slope]})
    a = math.degrees(math.atan(0.25))
    assert folds(s, K.EAVE) == pytest.approx([90 - a], rel=REL)
    assert folds(s, K.HIGH_EAVE) == pytest.approx([90 + a], rel=REL)


def test_e8_saltbox() -> None:
    # front 12/12, back 4/12, equal eaves: ridge 6 in from the front, 6 high
    s = roof(((0, 0), (30, 0), (30, 24), (0, 24)), (1.0, GABLE, 1 / 3, GABLE))
    front, back = 6 * math.sqrt(2), 18 * math.sqrt(10) / 3
    assert list(areas(s).values()) == pytest.approx([30 * front, 30 * back], rel=REL)
    check_lengths(s, {K.RIDGE: [30], K.EAVE: [30, 30], K.RAKE: [front, front, back, back]})
    bend = 45 + math.degrees(math.atan(1 / 3))
    assert folds(s, K.RIDGE) == pytest.approx([bend], rel=REL)


@pytest.mark.parametrize("x", range(1, 25))
def test_slope_and_hip_factors(x: int) -> None:
    """Slope factor √(1+m²) and hip factor √(2+m²) for x/12, read off a solved square."""
    m = x / 12
    s = roof(((0, 0), (20, 0), (20, 20), (0, 20)), [m] * 4)
    for p in s.planes:
        assert p.true_area / p.plan_area == pytest.approx(math.sqrt(1 + m * m), rel=REL)
    hips = [e for e in s.edges if e.kind is K.HIP]
    assert [e.length / FT / 10 for e in hips] == pytest.approx([math.sqrt(2 + m * m)] * 4, rel=REL)
    slope = math.degrees(math.asin((hips[0].end - hips[0].start)[2] / hips[0].length))
    assert abs(slope) == pytest.approx(math.degrees(math.atan(m / math.sqrt(2))), rel=REL)
    bend = math.degrees(math.acos(1 / (1 + m * m)))
    assert folds(s, K.HIP) == pytest.approx([bend] * 4, rel=1e-8)


# Printed values: NAVEDTRA 14044 Builder 3&2 vol. 2 (N), US Army carpentry courses (A),
# Griffith, Carpentry (G); seen as excerpts.
COMMON_PER_FOOT = [
    (7, 13.89, "N, table method"),
    (13, 17.69, "A, EN5156"),
    (16, 20.00, "A, EN0069"),
    (12, 16.97, "G, short cuts to roof framing"),
]


@pytest.mark.parametrize(("x", "printed", "source"), COMMON_PER_FOOT)
def test_published_common_rafter_lengths(x: int, printed: float, source: str) -> None:
    s = roof(RECTANGLE, (x / 12, GABLE, x / 12, GABLE))
    rake = next(e for e in s.edges if e.kind is K.RAKE)
    assert rake.length / 25.4 / 12 == pytest.approx(printed, abs=0.005), source


def test_published_hip_lengths() -> None:
    # N: 8/12, common run 15, rise 10 -> hip 23.45 ft (unit 18.76 in); G: 12/12, 20.78 in per foot
    s = roof(((0, 0), (50, 0), (50, 30), (0, 30)), [8 / 12] * 4)
    hip = next(e for e in s.edges if e.kind is K.HIP)
    assert hip.length / FT == pytest.approx(23.45, abs=0.005)
    assert hip.length / 25.4 / 15 == pytest.approx(18.76, abs=0.005)
    assert float(abs(hip.end - hip.start)[2]) / FT == pytest.approx(10.0, rel=REL)
    s = roof(((0, 0), (50, 0), (50, 30), (0, 30)), [1.0] * 4)
    hip = next(e for e in s.edges if e.kind is K.HIP)
    assert hip.length / 25.4 / 15 == pytest.approx(20.78, abs=0.005)


def test_published_valley_length() -> None:
    # N: 9/12, addition of 30 ft span: valley 19.21 in per foot of run, 24.01 ft
    outline = ((0, 0), (70, 0), (70, 30), (50, 30), (50, 70), (20, 70), (20, 30), (0, 30))
    s = roof(outline, [0.75] * 8)
    valleys = [e for e in s.edges if e.kind is K.VALLEY]
    assert [v.length / FT for v in valleys] == pytest.approx([24.01, 24.01], abs=0.005)


def test_published_roof_areas() -> None:
    # Handbook (estimating building costs): plan 40×22 + 8×16 = 1008 sq ft; at ½, ⅓, ¼, ¾ pitch
    # 1432, 1210, 1129, 1815 from rounded factors 1.42, 1.20, 1.12, 1.80; ours are exact.
    outline = ((0, 0), (40, 0), (40, 22), (24, 22), (24, 30), (8, 30), (8, 22), (0, 22))
    for m, printed in ((1.0, 1432), (8 / 12, 1210), (0.5, 1129), (1.5, 1815)):
        s = roof(outline, [m] * 8)
        total = sum(areas(s).values())
        assert total == pytest.approx(1008 * math.sqrt(1 + m * m), rel=REL)
        assert total == pytest.approx(printed, rel=0.005)


def test_published_unequal_valley_angles() -> None:
    # Framing notes (web sketches): main 45°, shed 19.83593°, ridges square in plan:
    # plan angles 19.83593 and 70.16407
    low = math.tan(math.radians(19.83593))
    outline = ((0, 0), (40, 0), (40, 24), (16, 24), (16, 40), (0, 40))
    s = roof(outline, (1.0, low, 1.0, low, 1.0, low))
    valley = next(e for e in s.edges if e.kind is K.VALLEY)
    dx, dy = abs(valley.end - valley.start)[:2]
    angle = math.degrees(math.atan2(dy, dx))
    assert sorted((angle, 90 - angle)) == pytest.approx([19.83593, 70.16407], abs=1e-5)


def test_step_wall_between_parallel_eaves_of_unlike_pitch() -> None:
    """Collinear eaves 6/12 and 12/12: the lower plane ends in a sidewall against a step wall, the
    higher one in a rake above it, and the place is reported."""
    corners = ((0, 0), (20, 0), (40, 0), (40, 24), (0, 24))
    results = results_of(project(section(corners, (0.5, 1.0, GABLE, 0.5, GABLE))))
    kinds = lengths(results.surface)
    assert kinds[K.SIDEWALL] == pytest.approx([math.sqrt(180)], rel=REL)
    assert any("step wall" in p.sentence for p in results.problems)
    plan = sum(p.plan_area for p in results.surface.planes)
    assert plan == pytest.approx(40 * 24 * FT**2, rel=REL)
