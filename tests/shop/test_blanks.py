"""The outlines of blanks: areas, pieces along a run, turned-down ends, what is alike."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.results import results_of
from roofmodel.shop import Blank, alike, blanks_of
from roofmodel.systems import Bend, Leg, SheetMetal, TrimProfile
from roofmodel_io.parts_toml import built_in_parts
from tests.houses import box, opening, section
from tests.shop.shops import HIP, L_HOUSE, MAIN, RIBBED, SYSTEMS, WING, job, shop

IN = 25.4
HOUSES = {"hip": (HIP,), "l": (L_HOUSE,), "cross": (MAIN, WING)}


@pytest.fixture(scope="module", params=[(h, s) for h in HOUSES for s in SYSTEMS])
def blanks(request: pytest.FixtureRequest) -> tuple[Blank, ...]:
    house, system = request.param
    made = shop(*HOUSES[house], system=SYSTEMS[system])
    assert not made.made.remarks
    return made.blanks


def test_outlines_are_simple_and_run_counter_clockwise(blanks: tuple[Blank, ...]) -> None:
    for b in blanks:
        shape = shapely.Polygon(b.outline)
        assert shape.is_valid
        assert shape.exterior.is_ccw
        assert b.area == pytest.approx(shape.area, rel=1e-12)
        assert b.outline.min(axis=0) == pytest.approx([0.0, 0.0], abs=1e-9)
        assert b.outline[:, 0].max() == pytest.approx(b.girth, abs=1e-9)
        assert np.ptp(b.outline[:, 1]) <= b.cut_length + 0.5


def test_a_blank_is_girth_times_length_less_its_cuts(blanks: tuple[Blank, ...]) -> None:
    for b in blanks:
        straight = {"square", "lap"}
        if {b.start.kind, b.end.kind} <= straight:
            assert b.area == pytest.approx(b.girth * b.length, rel=1e-12)
            assert len(b.outline) >= 4


def test_bend_lines_lie_on_the_blank(blanks: tuple[Blank, ...]) -> None:
    for b in blanks:
        shape = shapely.Polygon(b.outline).buffer(1e-6)
        assert len(b.bends) >= len(b.profile.bends)
        for bend in b.bends:
            assert shape.contains(shapely.LineString([bend.start, bend.end]))
            assert bend.included == pytest.approx(180.0 - bend.angle)


def test_pieces_of_a_run_lap_and_cover_it(blanks: tuple[Blank, ...]) -> None:
    runs: dict[int, list[Blank]] = {}
    for b in blanks:
        runs.setdefault(id(b.run), []).append(b)
    for pieces in runs.values():
        assert [b.number for b in pieces] == list(range(1, pieces[0].count + 1))
        spans = []
        for b in pieces:
            # at an end the corners may lie past the apex, at a lap they do not
            low = b.begins if b.number > 1 else None
            high = b.begins + float(b.outline[:, 1].max()) if b.number < b.count else None
            inner = "lap" if b.run.lap else "square"  # a lap of nothing is none
            assert b.number == 1 or (b.start.kind, b.start.lap) == (inner, b.run.lap)
            assert b.number == b.count or (b.end.kind, b.end.lap) == (inner, b.run.lap)
            spans.append((low, high))
        for (_, high), (low, _), b in zip(spans, spans[1:], pieces, strict=False):
            assert high is not None
            assert low is not None
            assert high - low == pytest.approx(b.run.lap, abs=1e-6)


def test_mitred_ridge_by_hand() -> None:
    # One end of the hip house's ridge takes x·tan 24.0948° off at x from the bend: from 0 to 6 in
    # on both legs and, folded back, from 6 to 5 1/2 under the hems: (18 + 2.875) · 0.4472 · 2 sq
    # in, but for rounds, whose corners the apex stands for.
    ridge = shop(HIP).on("ridge cap", "Ridge 1")
    cut = 2 * (18.0 + 0.5 * 5.75) * math.tan(math.radians(24.094843))
    for b in ridge:
        assert (b.girth * b.length - b.area) / IN**2 == pytest.approx(cut, rel=2e-3)
    assert ridge[0].girth / IN == pytest.approx(12.9814, abs=5e-5)


def test_a_ridge_end_is_turned_down_with_a_notch() -> None:
    # 6/12, 2 in past the gable. The bend takes 0.0402 in of the flat (0.92730 · (1/32 + 0.44 ·
    # 0.0276)); from its borders the notch opens by 2 · tan 26.565° = 1 in to either side at the
    # end. Hems are cut back to the gable.
    ridge = shop(MAIN).on("ridge cap", "Ridge 1")
    first, last = ridge[0], ridge[-1]
    assert (first.start.kind, first.end.kind) == ("turned down", "lap")
    assert last.end.kind == "turned down"
    bend = 0.927295 * (1 / 32 + 0.44 * 0.0276)
    leg = 6.0 - (1 / 32 + 0.0276) * 0.5 - 0.0276  # less the setback and the hem's round
    hem = (first.girth / IN - bend - 2 * leg) / 2
    corners = [
        (0, 2), (hem, 2), (hem, 0), (hem + leg - 1, 0), (hem + leg, 2),
        (hem + leg + bend, 2), (hem + leg + bend + 1, 0), (hem + 2 * leg + bend, 0),
        (hem + 2 * leg + bend, 2), (2 * hem + 2 * leg + bend, 2),
    ]  # fmt: skip
    assert first.outline[:10] / IN == pytest.approx(np.array(corners), abs=1e-5)
    taken = 2 * hem * 2 + 2 * bend + 2 * 0.5 * 2 * 1
    assert (first.girth * first.length - first.area) / IN**2 == pytest.approx(taken, abs=1e-4)
    tabs = [b for b in first.bends if b.start[1] == b.end[1]]
    assert [(t.angle, t.direction) for t in tabs] == [(90.0, "down")] * 2
    assert all(t.start[1] / IN == pytest.approx(2.0, abs=1e-9) for t in tabs)
    # it begins 2 in before the gable, and ends as far past the other
    assert first.begins / IN == pytest.approx(-2.0, abs=1e-9)
    assert (last.begins + last.outline[:, 1].max()) / IN == pytest.approx(482.0, abs=1e-9)


def test_a_valley_pan_was_counted_with_its_corners_past_the_foot() -> None:
    pan = shop(L_HOUSE).on("valley pan", "Valley 1")
    assert not any("more than the cutting list has" in b.remark for b in pan)
    foot = next(b for b in pan if b.start.kind == "along the edge")
    # borders 10 in less the diverter's setback from the centre, at 41.8103°, hems folded back
    reach = -float(foot.begins) / IN - 2.0
    assert 8.5 < reach < 10 * math.tan(math.radians(41.8103)) + 0.5
    assert sorted(b.cut_length for b in pan) == sorted(pan[0].run.cuts)


def test_the_lower_piece_lies_below() -> None:
    # hips and valleys: the whole length at the foot, the rest at the top
    for name, part in (("Hip 1", "hip cap"), ("Hip 2", "hip cap"), ("Hip 3", "hip cap")):
        pieces = shop(HIP).on(part, name)
        foot = next(b for b in pieces if "along the edge" in (b.start.kind, b.end.kind))
        assert foot.cut_length == foot.run.stock_length


def test_what_is_alike() -> None:
    # eave drip: whole, 108 and 40 in; hip caps: foot, top for a left and for a right corner;
    # ridge caps: 126 and 70
    groups = alike(shop(HIP).blanks)
    counts = sorted((g[0].run.part, len(g)) for g in groups)
    assert [(part, n) for part, n in counts if part == "hip cap"] == [
        ("hip cap", 2), ("hip cap", 2), ("hip cap", 4),
    ]  # fmt: skip
    assert [n for part, n in counts if part == "ridge cap"] == [1, 1]
    assert sum(n for _, n in counts) == len(shop(HIP).blanks)
    assert all(abs(b.area - g[0].area) < 1.0 for g in groups for b in g)


def test_left_and_right_rakes_are_two_parts() -> None:
    # feet that are turned around the corner and tops that are mitred have two hands
    rakes = [b for b in shop(MAIN).blanks if b.run.part == "rake trim"]
    groups = alike(rakes)
    assert sorted(len(g) for g in groups) == [2, 2, 2, 2]
    hands = [{b.run.edge_name for b in g} for g in groups]
    one, other = ["Rake 1", "Rake 3"], ["Rake 2", "Rake 4"]
    assert sorted(map(sorted, hands)) == [one, one, other, other]


def test_parts_without_a_cross_section_are_named() -> None:
    made = job(HIP)
    few = tuple(p for p in built_in_parts() if p.name != "hip cap")
    made = msgspec.structs.replace(made, parts=few)
    results = results_of(made)
    done = blanks_of(made, results.surface, results.take_off.trim)
    assert done.remarks == ("There is no cross-section for the part 'hip cap'; add one.",)
    assert {b.run.part for b in done.blanks} == {"eave drip edge", "ridge cap"}


def test_a_part_that_cannot_be_bent_to_this_roof_is_named() -> None:
    made = job(section(box(0, 0, 40, 24), [1.5] * 4))  # ridge fold 112.6°
    legs = (Leg("a", 12.0, "first plane"), Leg("b", 12.0, "second plane"))
    metal = SheetMetal("thick", 4.0, 6.0)
    cap = TrimProfile("ridge cap", legs, (Bend(0.0, 1.0),), folds=(0.0, 60.0), metal=metal)
    parts = (*(p for p in built_in_parts() if p.name != "ridge cap"), cap)
    made = msgspec.structs.replace(made, parts=parts)
    results = results_of(made)
    done = blanks_of(made, results.surface, results.take_off.trim)
    (sentence,) = done.remarks
    assert "'ridge cap'" in sentence
    assert "too short for its bends" in sentence
    assert "112.6°" in sentence


def test_a_fold_outside_what_the_section_is_made_for_is_said() -> None:
    made = job(HIP)
    parts = tuple(
        msgspec.structs.replace(p, folds=(0.0, 30.0)) if p.name == "hip cap" else p
        for p in built_in_parts()
    )
    made = msgspec.structs.replace(made, parts=parts)
    results = results_of(made)
    done = blanks_of(made, results.surface, results.take_off.trim)
    said = {b.run.part for b in done.blanks if "outside what the cross-section" in b.remark}
    assert said == {"hip cap"}


def test_chimney_flashings_lie_with_the_roof_first() -> None:
    made = shop(MAIN, opening(box(18, 4, 21, 6)))
    for part, angle in (
        ("back pan", 116.5651),
        ("apron flashing", 63.4349),
        ("side flashing", 90),
    ):
        some = [b for b in made.blanks if b.run.part == part]
        assert some
        for b in some:
            (bend,) = [x for x in b.bends if x.angle < 180 and x.start[0] == x.end[0]]
            assert bend.direction == "up"
            assert bend.angle == pytest.approx(angle, abs=5e-5)
            assert bend.between[0] == f"leg '{b.profile.legs[0].name}'"


def test_a_ridge_that_another_runs_into_says_so() -> None:
    wing = section(box(8, -10, 32, 12), (math.inf, 0.5, math.inf, 0.5), section_id="s2")
    made = shop(MAIN, wing)
    ridge = [b for b in made.blanks if b.run.part == "ridge cap" and len(b.run.edges) == 2]
    said = [b for b in ridge if "notch its leg" in b.remark]
    assert 1 <= len(said) <= 2
    assert "Valley 1 and Valley 2" in said[0].remark or "Ridge" in said[0].remark


def test_the_same_house_gives_the_same_blanks() -> None:
    one, two = shop(L_HOUSE), shop(L_HOUSE)
    assert [b.name for b in one.blanks] == [b.name for b in two.blanks]
    for a, b in zip(one.blanks, two.blanks, strict=True):
        assert np.array_equal(a.outline, b.outline)
    assert one.blanks[0].name == "Eave drip edge on Eave 1, piece 1 of 4"
    assert RIBBED.id == one.blanks[0].run.system
