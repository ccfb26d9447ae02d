"""One input of the work at a time: only the lines move that it should; and every printed formula
gives its quantity on the samples, whatever the work."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import DrawnPlane, Opening, Project, Section, Units, work_edits
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind
from roofmodel.systems.layer_parts import Batten, Factor, Metal
from roofmodel.takeoff import take_off
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.houses import FT, GABLE, L_SHAPE, RECTANGLE, box, opening, project, section
from tests.takeoff.printed_formula import check

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
UNITS = (Units(), Units("feet", 16), Units("metric"))
GROUPS = {
    *("Goods: underlayment", "Goods: membrane", "Goods: deck", "Tear-off", "Extras"),
    *("Labour", "Checks"),
}
RIBBED = built_in_systems()[0]
FELT = "felt No. 15"


def start() -> Project:
    """A gable of 40 by 24 at 9/12 with a chimney, all of the work chosen."""
    house = section(RECTANGLE, (0.75, GABLE, 0.75, GABLE), eave_ft=9, overhang_ft=1.5)
    out = project(house, opening(box(18, 3, 21, 6)), system=RIBBED)
    out = work_edits.set_old_roof(out, over="tear-off", deck_share=0.1)
    out = work_edits.set_ice_barrier(out, on=True)
    return work_edits.set_extra(out, "gutter")


def lines_of(some: Project) -> dict[str, tuple[object, ...]]:
    """Lines by item, of all groups: quantity and packs."""
    out: dict[str, tuple[object, ...]] = {}
    for q in results_of(some, planner=None).take_off.quantities:
        out[f"{q.group}: {q.item}"] = (round(q.quantity, 6), q.packs)
    return out


def moved(before: Project, after: Project) -> set[str]:
    """Items of lines that are new, gone or changed, without what they were laid on."""
    one, two = lines_of(before), lines_of(after)
    both = {key for key in one.keys() | two.keys() if one.get(key) != two.get(key)}
    return {key.rpartition(": ")[2].partition(" on ")[0] for key in both}


ICE = {"Membrane at the eaves, ice barrier", "High-temperature membrane"}
REACH = {"Ice barrier up the slope from Eave 1, Eave 2"}
HEAP = {"Weight torn off", "Volume torn off, loose", "Trailer loads"}
OLD = {"Old roof to tear off, laminated shingles", "Old fasteners pulled or driven flat"}
AIR = {f"Net free area {w}" for w in ("of vents needed", "at the ridge", "at the eaves")}
ZONES = {"Width of edge zones", "Edge zones", "Corner zones"}
LABOUR = {"Squares weighted by slope, height and access"}

Edit = Callable[[Project], Project]


def edit(name: str, **fields: object) -> Edit:
    function = getattr(work_edits, f"set_{name}")

    def changed(some: Project) -> Project:
        out = function(some, **fields)
        assert isinstance(out, Project)
        return out

    return changed


MOVES: list[tuple[str, Edit, set[str]]] = [
    ("underlayment", edit("work", underlayment=FELT), {"Courses", "Synthetic underlayment",
                                                       "Felt No. 15"}),
    ("no underlayment", edit("work", underlayment=""), {"Courses", "Synthetic underlayment"}),
    ("less underlayment", edit("work", less_under_membrane=True), {"Courses",
                                                                   "Synthetic underlayment"}),
    ("barrier off", edit("ice_barrier", on=False), ICE | REACH),
    ("barrier further in", edit("ice_barrier", inside=3000.0), ICE | REACH),
    # 42 in level reach 52.5 in up the slope, 48 in 60: both take two courses
    ("barrier from the inside", edit("ice_barrier", face="inside"), REACH),
    ("wall, counted from outside", edit("ice_barrier", wall=300.0), set()),
    ("edition", edit("work", edition="2024"), set()),
    ("deck", edit("old_roof", deck_share=0.4), {"Deck to replace, allowance"}),
    # 700 + 15 lb a square are 8580 lb, 20.7 cu yd: two loads of 12
    ("two layers", edit("old_roof", layers=2), HEAP | OLD),
    # 395 lb a square: 11.4 cu yd, one load as before
    ("three felts", edit("old_roof", felts=3), HEAP - {"Trailer loads"}),
    ("metal", edit("work", metal="aluminium"), {"Movement of the longest panel"}),
    ("warming", edit("work", warming=100.0), {"Movement of the longest panel"}),
    ("ratio", edit("ventilation", ratio=300), AIR),
    ("share", edit("ventilation", at_ridge=0.4), AIR - {"Net free area of vents needed"}),
    ("spray foam", edit("ventilation", attic="spray foam"), AIR),
    # 0.4 × 4 ft is less than 4 % of 21 ft and 3 ft: the width stays
    ("lower roof", edit("work", mean_height=4 * FT), set()),
    ("wind edition", edit("work", wind_edition="7-16"), set()),
    ("higher eaves", edit("labour", eave_height=30 * FT), LABOUR),
    ("access", edit("labour", access=1.3), LABOUR),
    ("one more extra", edit("extra", key="permit"), {"Permit"}),
    ("length of an extra", edit("extra", key="gutter", amount=3000.0), {"Gutter"}),
]  # fmt: skip


@pytest.mark.parametrize(("change", "wanted"), [m[1:] for m in MOVES], ids=[m[0] for m in MOVES])
def test_only_the_lines_move_that_should(change: Edit, wanted: set[str]) -> None:
    before = start()
    after = change(before)
    assert after != before
    assert moved(before, after) == wanted


ROLLS = {"Courses", "Synthetic underlayment"}
SIDES = {
    f"Membrane along {w} around openings" for w in ("uphill sides", "downhill sides", "sides")
}


def waste(some: Project, **fields: float) -> dict[str, object]:
    return {"waste": msgspec.structs.replace(some.layers.waste, **fields)}


LAYERS: list[tuple[str, dict[str, object], set[str]]] = [
    ("nothing over the ridge", {"over": {}}, ROLLS),  # 180 in take 4 courses, 186 take 5
    ("patch", {"pipe_patch": 100.0}, set()),  # the house has no pipe
    ("no strips", {"strips": {}}, SIDES | {"High-temperature membrane"}),
    ("factors by slope", {"slope_factors": (Factor(0.0, 1.0), Factor(0.5, 2.0))}, LABOUR),
    ("factors by height", {"height_factors": (Factor(0.0, 1.7),)}, LABOUR),
    ("density", waste(start(), density=500.0), {"Volume torn off, loose"}),
    ("payload", waste(start(), payload=500.0), {"Trailer loads"}),
    ("felt", waste(start(), felt=2.0), HEAP - {"Trailer loads"}),
    ("expansion", {"metals": {"steel": Metal(7.0)}}, {"Movement of the longest panel"}),
    ("batten", {"batten": Batten(spacing=300.0)}, set()),  # torn off, so none are laid
]


@pytest.mark.parametrize(("fields", "wanted"), [x[1:] for x in LAYERS], ids=[x[0] for x in LAYERS])
def test_each_value_of_the_layers_moves_its_own_lines(
    fields: dict[str, object], wanted: set[str]
) -> None:
    layers = msgspec.structs.replace(start().layers, **fields)
    found = moved(start(), work_edits.set_layers(start(), layers))
    assert found == wanted


def test_a_wider_lap_takes_more_courses() -> None:
    # 180 in of slope and 6: 48 and 44 each are 5 courses, 48 and 30 each 6
    rolls = (msgspec.structs.replace(start().layers.underlayments[0], head_lap=18 * 25.4),)
    layers = msgspec.structs.replace(start().layers, underlayments=rolls)
    after = work_edits.set_layers(start(), layers)
    assert moved(start(), after) == ROLLS
    lines = lines_of(after)
    assert lines["Goods: underlayment: Courses on North 1"][0] == pytest.approx(6 * 40 * FT)


def test_new_deck_and_re_cover() -> None:
    torn = HEAP | OLD
    assert moved(start(), work_edits.set_old_roof(start(), over="new deck")) == torn
    over = work_edits.set_old_roof(start(), over="re-cover")
    # no deck is bought below what stays; screws stand on battens, 24 in apart, not every 18 and 36
    more = {"Deck to replace, allowance", "Panel screws"}
    assert moved(start(), over) == torn | more | {"Battens", "Battens over the old roof"}


def test_membrane_in_valleys_and_at_walls() -> None:
    # the L of 40 by 24 and 16 by 40 at 6/12 has one valley of 12
    valley = lines_of(project(section(L_SHAPE, (0.5,) * 6), system=RIBBED))
    assert valley["Goods: membrane: Membrane along valleys"][0] == pytest.approx(12 * FT)
    assert valley["Goods: membrane: High-temperature membrane"] == (pytest.approx(12 * FT), 1)
    # a lean-to of 20 against a wall, 3/12: half-width strips, 20 ÷ 2; its underlayment turns up
    # 4 in at the wall: 10 × 12 × 1.030776 + 4 = 127.7 in, 3 courses as without
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=12)
    lean = section(
        box(10, -10, 30, 0), (0.25, GABLE, GABLE, GABLE), section_id="s2", eave_ft=7
    )  # fmt: skip
    wall = lines_of(project(main, lean, system=RIBBED))
    assert wall["Goods: membrane: Membrane along headwalls"][0] == pytest.approx(10 * FT)


def test_low_planes_take_membrane_all_over() -> None:
    # 20 by 12 at 2/12: 146 in up the slope; membrane 36 in, 33 more each: 5 courses of 20;
    # felt below 4/12: 36 in and 17 more each, 8 courses and a starter
    shed = project(section(box(0, 0, 20, 12), (1 / 6, GABLE, GABLE, GABLE)), system=RIBBED)
    low = work_edits.set_work(shed, membrane_on_low=True, underlayment=FELT)
    lines = lines_of(low)
    all_over = lines["Goods: membrane: Membrane all over planes under 3/12"]
    assert all_over[0] == pytest.approx(5 * 20 * FT)
    height = 144 * math.sqrt(1 + 1 / 36)
    assert math.ceil((height - 36) / 17) + 1 == 8
    assert lines["Goods: underlayment: Felt No. 15"][0] == pytest.approx(9 * 20 * FT)
    less = lines_of(work_edits.set_work(low, less_under_membrane=True))
    assert "Goods: underlayment: Felt No. 15" not in less


def test_less_underlayment_over_the_barrier() -> None:
    # two courses of the barrier cover 69 in; underlayment laps 4 over them: from 65 to 186 in
    # (180 of slope and 6): 121 in take 48 and 44 and 44: 3 courses, before it were 5
    lines = lines_of(start())
    assert lines["Goods: underlayment: Courses on North 1"][0] == pytest.approx(5 * 40 * FT)
    less = lines_of(work_edits.set_work(start(), less_under_membrane=True))
    assert less["Goods: underlayment: Courses on North 1"][0] == pytest.approx(3 * 40 * FT)


def test_no_barrier_where_it_is_open_below() -> None:
    carport = section(box(0, 0, 20, 20), (0.5, GABLE, 0.5, GABLE), open_below=True, overhang_ft=1)
    some = work_edits.set_ice_barrier(project(carport, system=RIBBED), on=True)
    assert not any("barrier" in item for item in lines_of(some))


def test_a_dormer_cuts_courses_in_two() -> None:
    # a flat-fronted opening as high as two courses: 12 wide, 40 to 100 in up the slope of 180 in
    # falls out of the course from 44 to 92 and leaves 14 on either side
    house = section(RECTANGLE, (0.75, GABLE, 0.75, GABLE), eave_ft=9)
    hole = opening(box(14, 40 / 15, 26, 100 / 15), "skylight")
    cut = lines_of(project(house, hole, system=RIBBED))
    whole = lines_of(project(house, system=RIBBED))
    key = "Goods: underlayment: Courses on South 1"
    assert whole[key][0] == pytest.approx(5 * 40 * FT)
    assert cut[key][0] == pytest.approx((5 * 40 - 12) * FT)


@pytest.mark.parametrize("angle", [0.0, 37.0, 90.0, 203.0])
def test_a_turned_house_takes_the_same(angle: float) -> None:
    turn = math.radians(angle)

    def turned(x: float, y: float) -> tuple[float, float]:
        return (
            100 + x * math.cos(turn) - y * math.sin(turn),
            -50 + x * math.sin(turn) + y * math.cos(turn),
        )

    def job(*parts: Section | DrawnPlane | Opening) -> dict[str, object]:
        out = work_edits.set_ice_barrier(project(*parts, system=RIBBED), on=True)
        out = work_edits.set_old_roof(out, over="re-cover", deck_share=0.25)
        lines = results_of(out, planner=None).take_off.quantities
        return {
            q.item: (pytest.approx(q.quantity, rel=1e-6), q.packs)
            for q in lines
            if q.group in GROUPS and " on " not in q.item and "from Eave" not in q.item
        }

    slopes = (0.5, 0.5, 0.75, 0.5, 0.5, 0.5)
    plain = section(L_SHAPE, slopes, overhang_ft=1.5, eave_ft=9)
    other = section([turned(x, y) for x, y in L_SHAPE], slopes, overhang_ft=1.5, eave_ft=9)
    found = job(other, opening([turned(x, y) for x, y in box(30, 2, 33, 5)]))
    assert found == job(plain, opening(box(30, 2, 33, 5)))
    assert len(found) > 10


WORKS: list[list[Edit]] = [
    [
        edit("ice_barrier", on=True, face="inside"),
        edit("old_roof", over="tear-off", layers=3, felts=2, deck_share=0.15),
        edit("extra", key="gutter"),
        edit("extra", key="fascia cover"),
        edit("extra", key="snow rail", amount=7777.0),
        edit("extra", key="snow guard", amount=36.0),
        edit("labour", access=1.25),
    ],
    [
        edit("ice_barrier", on=True),
        edit("work", less_under_membrane=True, membrane_on_low=True, underlayment=FELT),
        edit("old_roof", over="re-cover", covering="three-tab shingles"),
        edit("ventilation", ratio=300, at_ridge=0.4375),
        edit("work", edition="2012", metal="zinc", warming=133.3),
    ],
]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_formulas_of_the_samples(path: Path) -> None:
    plain = read_project(path).project
    surface = results_of(plain, planner=None).surface
    for edits in WORKS:
        some = plain
        for change in edits:
            some = change(some)
        for units in UNITS:
            shown = msgspec.structs.replace(some, units=units)
            lines = take_off(surface, shown, planner=None).quantities
            mine = [q for q in lines if q.group in GROUPS]
            assert {q.group for q in mine} >= {"Goods: membrane", "Goods: deck", "Checks"}
            for line in mine:
                check(line, units)
                assert line.source
                assert line.planes or line.edges or line.group == "Extras"


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_sheets_cover_every_plane(path: Path) -> None:
    """Courses less their laps cover no less than the planes: laid area is true area and more."""
    plain = read_project(path).project
    results = results_of(plain, planner=None)
    lines = {q.item: q for q in results.take_off.quantities}
    width = plain.layers.underlayments[0].width
    for laying in results.take_off.layings:
        plane = results.surface.plane(laying.plane)
        line = lines[f"Courses on {plane.name}"]
        assert line.quantity * width >= plane.true_area


def test_edges_of_other_coverings_take_no_membrane() -> None:
    some = project(section(L_SHAPE, (0.5,) * 6), system=RIBBED)
    building = msgspec.structs.replace(some.buildings[0], covering="other")
    other = msgspec.structs.replace(some, buildings=(building,))
    assert not any(key.startswith("Goods") for key in lines_of(other))
    assert EdgeKind.VALLEY in {e.kind for e in results_of(other).surface.edges}
