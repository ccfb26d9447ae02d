"""Panels and trim on paper-sized roofs. Lengths in feet where not said otherwise."""

from __future__ import annotations

import math

import msgspec
import pytest

from roofmodel.geometry import shifted_ring
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.takeoff import Panel, pieces_for
from tests.houses import FT, GABLE, L_SHAPE, RECTANGLE, plain_system, project, section

REL = 1e-9
IN = 25.4


def taken(corners: object, slopes: object, coverage_in: float = 36.0, **shifts: float) -> Results:
    system = plain_system(coverage_in)
    moved = {K(k.replace("_", " ")): v * IN for k, v in shifts.items()}
    system = msgspec.structs.replace(system, shifts=moved)
    return results_of(project(section(corners, slopes), system=system))  # type: ignore[arg-type]


def on(results: Results, plane: str) -> list[Panel]:
    return [p for p in results.take_off.panels if p.plane_name == plane]


def test_hip_end_in_36_in_panels() -> None:
    # base 24, slope height 12·√1.25: strips 3, 6, 9, 12 ft from the corner rise 3k·√1.25
    east = on(taken(RECTANGLE, [0.5] * 4), "East 1")
    rise = [3 * k * math.sqrt(1.25) for k in (1, 2, 3, 4)]
    assert [p.length / FT for p in east] == pytest.approx(rise + rise[::-1], rel=REL)
    assert sum(p.length for p in east) / FT == pytest.approx(67.0820, abs=5e-5)
    gross = sum(p.gross_area for p in east) / FT**2
    net = sum(p.net_area for p in east) / FT**2
    assert (gross, net) == pytest.approx((201.2461, 160.9969), abs=5e-5)
    assert 1 - net / gross == pytest.approx(0.20, abs=1e-9)


def test_hip_end_in_16_in_panels() -> None:
    east = on(taken(RECTANGLE, [0.5] * 4, 16.0), "East 1")
    assert len(east) == 18
    assert sum(p.length for p in east) / FT == pytest.approx(134.1641, abs=5e-5)
    gross = sum(p.gross_area for p in east) / FT**2
    assert gross == pytest.approx(178.8854, abs=5e-5)


@pytest.mark.parametrize(("coverage", "count"), [(36.0, 14), (16.0, 30)])
def test_forty_feet_of_gable(coverage: float, count: int) -> None:
    # 40 ft ÷ 3 ft = 13.33 -> 14; 480 ÷ 16 is exactly 30: the ceiling must not see 30.0000001
    results = taken(RECTANGLE, (0.5, GABLE, 0.5, GABLE), coverage)
    south = on(results, "South 1")
    assert len(south) == count
    assert [p.length / FT for p in south] == pytest.approx([math.sqrt(180)] * count, rel=REL)
    assert [p.number for p in south] == list(range(1, count + 1))


def test_shifts_lengthen_and_shorten_panels() -> None:
    # gable 40×24, 6/12: √180 ft + 1½ in at the eave − 1 in at the ridge, whatever the strip
    results = taken(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave=1.5, ridge=-1.0, rake=2.0)
    south = on(results, "South 1")
    assert len(south) == 14  # 40 ft 4 in ÷ 3 ft = 13.44
    expected = math.sqrt(180) * 12 + 0.5
    assert [p.length / IN for p in south] == pytest.approx([expected] * 14, rel=REL)
    net = sum(p.net_area for p in south) / IN**2
    assert net == pytest.approx((40 * 12 + 4) * expected, rel=REL)


def test_lap_leg_counts_for_length_not_for_cover() -> None:
    # hip end: the sheet's far side is 1½ in further, so a rising panel is 1.5·√1.25 in longer
    system = msgspec.structs.replace(plain_system(), lap_leg=1.5 * IN)
    results = results_of(project(section(RECTANGLE, [0.5] * 4), system=system))
    plain = on(taken(RECTANGLE, [0.5] * 4), "East 1")
    east = on(results, "East 1")
    more = [(a.length - b.length) / IN for a, b in zip(east[:3], plain[:3], strict=True)]
    assert more == pytest.approx([1.5 * math.sqrt(1.25)] * 3, rel=1e-6)
    assert [p.net_area for p in east] == pytest.approx([p.net_area for p in plain], rel=REL)


def test_net_area_is_the_field() -> None:
    results = taken(L_SHAPE, [0.5] * 6)
    for plane in results.surface.planes:
        net = sum(p.net_area for p in on(results, plane.name))
        assert net == pytest.approx(plane.true_area, rel=REL)


# the fewest n with n·stock − (n−1)·lap ≥ run, worked by hand; lap 4 in
PIECES = [
    (40, 10.5, 4),
    (40, 10, 5),
    (58, 10.5, 6),
    (80, 10.5, 8),
    (80, 10, 9),
    (80, 12, 7),
    (80, 20, 5),
]


@pytest.mark.parametrize(("run", "stock", "count"), PIECES)
def test_trim_pieces(run: float, stock: float, count: int) -> None:
    assert pieces_for(run * FT, stock * FT, 4 * IN) == count


def test_trim_pieces_at_the_limit() -> None:
    # two pieces of 10 ft with 4 in lap cover exactly 19 ft 8 in; a hair more takes a third
    limit = (20 * 12 - 4) * IN
    assert pieces_for(limit, 10 * FT, 4 * IN) == 2
    assert pieces_for(limit + 0.1, 10 * FT, 4 * IN) == 3
    assert pieces_for(1.0, 10 * FT, 4 * IN) == 1


def test_trim_of_the_hip_house() -> None:
    # stock 126 in, lap 4 in: ridge 192 = 126 + 70; hips 216 = 126 + 94; eaves 480 = 3 × 126 + 114
    # and 288 = 2 × 126 + 44; two 44s come from one length
    results = taken(RECTANGLE, [0.5] * 4)
    lines = {q.item: q.quantity for q in results.take_off.quantities if q.group == "Trim"}
    assert lines == {
        "Ridge trim, 10'-6\" long": 2,
        "Hip trim, 10'-6\" long": 8,
        "Eave trim, 10'-6\" long": 13,
    }


def test_every_line_says_how_and_where() -> None:
    results = taken(L_SHAPE, (0.5, GABLE, 0.5, 0.75, GABLE, 0.5))
    planes = {p.id for p in results.surface.planes}
    edges = {e.id for e in results.surface.edges}
    for q in results.take_off.quantities:
        assert q.how
        assert q.source
        assert q.planes or q.edges
        assert set(q.planes) <= planes
        assert set(q.edges) <= edges


def test_a_redundant_corner_changes_no_order() -> None:
    # gable 40 ft wide: 4 pieces of 10.5 ft per eave, whether or not the eave has a corner in it
    plain = taken(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    split = taken(((0, 0), (21, 0), (40, 0), (40, 24), (0, 24)), (0.5, 0.5, GABLE, 0.5, GABLE))
    for results in (plain, split):
        lines = {q.item: q.quantity for q in results.take_off.quantities if q.group == "Trim"}
        assert lines["Eave trim, 10'-6\" long"] == 8
        runs = [t for t in results.take_off.trim if t.kind is K.EAVE]
        assert [t.length / FT for t in runs] == pytest.approx([40, 40])


BUILT_IN = {"eave": 1.5, "ridge": -1.0, "hip": -1.0, "valley": -7.0, "headwall": -1.0}


def test_a_plane_narrower_than_its_set_backs_gets_no_metal() -> None:
    # a bay 300 mm wide and 120 deep: its side planes are mostly valley set-back
    bay = [(6300, 8000), (6300, 8120), (6000, 8120), (6000, 8000)]
    mm = [(0, 0), (12000, 0), (12000, 8000), *bay, (0, 8000)]
    corners = [(x / FT, y / FT) for x, y in mm]
    results = taken(corners, [0.5] * 8, **BUILT_IN)
    for plane in results.surface.planes:
        net = sum(p.net_area for p in on(results, plane.name))
        # no more than the plane and its eave overhang
        eaves = sum(
            e.length for e in results.surface.edges if e.id in plane.edges and e.kind is K.EAVE
        )
        assert net <= plane.true_area + 1.5 * IN * (eaves + 4 * IN)
        small = plane.true_area < 30000
        if small and any(e.kind is K.VALLEY for e in results.surface.edges if e.id in plane.edges):
            assert net == 0.0


def test_no_panel_runs_past_its_plane() -> None:
    # a sidewall that meets a valley at a blunt inside corner: the moved lines meet far above
    ring = [(0, 0), (3000, 0), (3000, 1237), (3100, 1649), (1600, 1649)]
    moved = shifted_ring(ring, [38.1, 0, 0, 0, 0])
    assert moved[:, 1].max() <= 1649 + 1e-9
    results = taken(L_SHAPE, (0.5, 0.75, 0.5, 1.0, 0.6, 0.25), **BUILT_IN)
    by_id = {p.id: p for p in results.surface.planes}
    for panel in results.take_off.panels:
        plane = by_id[panel.plane]
        top, low = plane.outline[:, 2].max(), plane.outline[:, 2].min()
        rise = panel.outline[:, 2]
        assert rise.max() <= top + 1.0
        assert rise.min() >= low - 1.5 * IN


def test_the_last_sheet_s_lap_leg_covers_what_is_no_wider() -> None:
    # 40 ft 1 in of gable: 13 panels of 3 ft cover 39 ft, the 14th 42; 39 ft 1 in: the 13th sheet
    # is 3 ft 1½ in wide and reaches; nothing of the field is lost
    system = msgspec.structs.replace(plain_system(), lap_leg=1.5 * IN)
    for width, count in ((40 + 1 / 12, 14), (39 + 1 / 12, 13), (39 + 2 / 12, 14)):
        gable = section(((0, 0), (width, 0), (width, 24), (0, 24)), (0.5, GABLE, 0.5, GABLE))
        results = results_of(project(gable, system=system))
        south = on(results, "South 1")
        assert len(south) == count
        net = sum(p.net_area for p in south)
        assert net == pytest.approx(results.surface.planes[0].true_area, rel=REL)


def test_a_panel_too_short_to_handle_is_named() -> None:
    # hip end 24 ft 2 in wide: the ninth strip holds 2 in of corner, 1.1 in high
    corners = ((0, 0), (40, 0), (40, 24 + 2 / 12), (0, 24 + 2 / 12))
    results = taken(corners, [0.5] * 4)
    assert any(w.startswith("East 1: panel 9 is under 12 in") for w in results.take_off.warnings)
    assert any("East 1: panel 9" in p.sentence for p in results.problems)
