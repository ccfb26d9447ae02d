"""How panels are laid: end cuts, direction, start, end laps, hems, cut-offs. Feet if not said."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import pytest

from roofmodel.document import PanelLayout, Project, Start
from roofmodel.document.layout_edits import lay_all_alike, set_plane_layout
from roofmodel.errors import DocumentError
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import PanelRules, RoofingSystem
from roofmodel.takeoff import EndCut, Laying, cut_words
from roofmodel.takeoff.splits import joints
from tests.houses import FT, GABLE, L_SHAPE, RECTANGLE, box, plain_system, project, section

IN = 25.4
SF = math.sqrt(1.25)


def ruled(coverage_in: float = 36.0, **rules: object) -> RoofingSystem:
    return msgspec.structs.replace(plain_system(coverage_in), panel=PanelRules(**rules))  # type: ignore[arg-type]


def laid(results: Results) -> dict[str, Laying]:
    return {x.plane_name: x for x in results.take_off.layings}


def hip(system: RoofingSystem | None = None, slopes: Sequence[float] = (0.5,) * 4) -> Project:
    return project(section(RECTANGLE, slopes), system=system)


@pytest.mark.parametrize(
    ("pitch", "degrees", "step"),
    [
        (3, 45.8683, 37.1080), (4, 46.5085, 37.9473), (5, 47.2906, 39.0), (6, 48.1897, 40.2492),
        (8, 50.2378, 43.2666), (9, 51.3402, 45.0), (10, 52.4678, 46.8615), (12, 54.7356, 50.9117),
    ],
)  # fmt: skip
def test_bevel_and_step_at_a_hip(pitch: int, degrees: float, step: float) -> None:
    # a 90° corner, equal pitches: tan = √(1 + m²); step = 36·tan, worked from that
    for panel in laid(results_of(hip(slopes=[pitch / 12] * 4)))["East 1"].panels[:3]:
        assert panel.upper.angle == pytest.approx(degrees, abs=5e-5)
        assert panel.upper.hand == "right"
        assert panel.upper.lines[0][1] / IN == pytest.approx(step, abs=5e-5)
        assert (panel.lower.shape, panel.lower.angle, panel.lower.hand) == ("square", 0.0, "")


@pytest.mark.parametrize(("cover", "steps"), [(36, (60.3738, 30.0)), (16, (26.8328, 13.3333))])
def test_bevel_at_an_unequal_hip(cover: float, steps: tuple[float, float]) -> None:
    # sides 6/12, ends 9/12: tan = (0.75/0.5)·√1.25 and (0.5/0.75)·1.25
    planes = laid(results_of(hip(plain_system(cover), (0.5, 0.75, 0.5, 0.75))))
    for name, degrees, step in (("South 1", 59.1930, steps[0]), ("East 1", 39.8056, steps[1])):
        cut = planes[name].panels[1].upper
        assert cut.angle == pytest.approx(degrees, abs=5e-5)
        assert cut.lines[0][1] / IN == pytest.approx(step, abs=5e-5)


def test_valley_cuts_are_at_the_lower_end() -> None:
    planes = laid(results_of(project(section(L_SHAPE, [0.5] * 6))))
    last = planes["North 1"].panels[9]  # 27 to 30 ft, beside the valley from 24 to 32
    assert (last.lower.hand, last.lower.shape) == ("right", "angled")
    assert last.lower.angle == pytest.approx(48.1897, abs=5e-5)
    first = planes["East 2"].panels[0]
    assert (first.lower.hand, first.upper.shape) == ("left", "square")
    peak = planes["South 1"].panels[4].upper  # 12 to 15 ft: whole, under the ridge
    assert peak.shape == "square"
    assert planes["East 1"].panels[3].upper.hand == "right"


def test_ends_that_are_not_square_are_counted() -> None:
    # East 1 of the hip house: 4 up to the right and 4 up to the left; South 1: 4, then 3 and one
    # over the ridge's end, and the last strip's one foot
    lines = {q.item: q for q in results_of(hip()).take_off.quantities}
    east = lines["Ends not cut square on East 1"]
    assert east.quantity == 8
    assert east.how == "4 (upper end 48.2° up to the right) + 4 (upper end 48.2° up to the left)"
    south = lines["Ends not cut square on South 1"]
    assert south.quantity == 9
    assert "1 (upper end along 2 lines)" in south.how


def test_a_cut_over_a_peak_has_two_lines() -> None:
    # base 21: the fourth strip, 9 to 12, has the peak at 10.5 in its middle
    corners = ((0, 0), (40, 0), (40, 21), (0, 21))
    cut = laid(results_of(project(section(corners, [0.5] * 4))))["East 1"].panels[3].upper
    assert cut.shape == "shaped"
    assert cut.angle is None
    flat = [round(v / FT, 6) for line in cut.lines for v in line]
    assert flat == pytest.approx([1.5, 1.5 * SF, 1.5, -1.5 * SF], abs=1e-6)
    assert cut_words(cut) == "along 2 lines"
    assert cut_words(EndCut(((900.0, 0.2),))) == "square"


def test_laid_from_the_right_is_the_mirror_image() -> None:
    # a plane as wide as it is high to the left only: laid from the right it is what its mirror
    # image is, laid from the left
    lap = msgspec.structs.replace(plain_system(), lap_leg=1.5 * IN)
    house = project(section(L_SHAPE, (0.5, 0.75, 0.5, 0.5, 0.5, 1.0)), system=lap)
    mirrored = [(-x, y) for x, y in L_SHAPE[::-1]]
    slopes = (0.5, 0.5, 0.5, 0.75, 0.5, 1.0)
    other = project(section(mirrored, slopes), system=lap)
    right = results_of(lay_all_alike(house, PanelLayout(from_right=True)))
    left = results_of(other)
    for one in right.take_off.layings:
        two = next(
            x
            for x in left.take_off.layings
            if x.field_area == pytest.approx(one.field_area, rel=1e-9)
            and len(x.panels) == len(one.panels)
            and x.panels[0].length == pytest.approx(one.panels[0].length, rel=1e-7)
        )
        for p, q in zip(one.panels, two.panels, strict=True):
            assert p.length == pytest.approx(q.length, rel=1e-7)
            assert p.net_area == pytest.approx(q.net_area, rel=1e-7)
            assert p.left == pytest.approx(p.field_width - q.right, abs=1e-5)
            lines = [(w, -r) for w, r in reversed(q.upper.lines)]
            assert [v for x in p.upper.lines for v in x] == pytest.approx(
                [v for x in lines for v in x], abs=1e-5
            )
    # outlines run counter-clockwise seen from above whichever way panels go
    for p in right.take_off.panels:
        x, y, _ = p.outline.T
        assert (x * (y.take(range(1, len(y) + 1), mode="wrap"))).sum() > (
            y * x.take(range(1, len(x) + 1), mode="wrap")
        ).sum()


def test_start_by_hand() -> None:
    # 40 wide, first side of a panel 1 ft in: 1 ft, 13 whole ones: 1 + 39 = 40
    house = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
    south = laid(results_of(lay_all_alike(house, PanelLayout("by hand", 1 * FT))))["South 1"]
    assert south.strips == 14
    assert (south.first_width / FT, south.last_width / FT) == pytest.approx((1, 3))
    assert south.panels[0].left / FT == pytest.approx(-2)
    assert south.panels[0].net_area == pytest.approx(1 * FT * 12 * SF * FT)
    assert south.offset / FT == pytest.approx(1)


@pytest.mark.parametrize("from_right", [False, True])
def test_balanced_ends_are_equal(from_right: bool) -> None:
    house = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
    layout = PanelLayout("balanced ends", from_right=from_right)
    for side in laid(results_of(lay_all_alike(house, layout))).values():
        assert (side.first_width / FT, side.last_width / FT) == pytest.approx((2, 2))
        assert side.strips == 14


def test_no_sliver_where_one_can_be_avoided() -> None:
    # 39 ft 2 in: from the end the fourteenth shows 2 in; under a least width of 6 the start is
    # moved at no more metal
    corners = ((0, 0), (39 + 1 / 6, 0), (39 + 1 / 6, 24), (0, 24))
    house = project(section(corners, (0.5, GABLE, 0.5, GABLE)), system=ruled(least_width=6 * IN))
    plain = laid(results_of(house))["South 1"]
    assert plain.narrow == 1
    assert plain.last_width / IN == pytest.approx(2)
    best = laid(results_of(lay_all_alike(house, PanelLayout("least metal"))))["South 1"]
    assert (best.narrow, best.strips) == (0, 14)
    assert min(best.first_width, best.last_width) >= 6 * IN - 1e-6


@pytest.mark.parametrize("from_right", [False, True])
def test_ribs_in_line_across_the_ridge(from_right: bool) -> None:
    # 40 ft gable; the south starts 1 ft from its left (west) end: sides at 1, 4, 7 ... 40. The
    # north's left end is the east one: its sides are 0, 3, 6 ... ft from there
    house = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
    south, north = results_of(house).surface.planes
    start: Start = "ribs aligned across the ridge"
    house = set_plane_layout(house, str(south.id), PanelLayout("by hand", 1 * FT))
    house = set_plane_layout(house, str(north.id), PanelLayout(start, from_right=from_right))
    planes = laid(results_of(house))
    assert planes["North 1"].offset / FT == pytest.approx(1 if from_right else 0, abs=1e-9)
    assert planes["North 1"].remark == "in line with South 1"
    # all aligned: the ribs of both sides stand on the same lines
    both = laid(results_of(lay_all_alike(house, PanelLayout(start))))
    east = [round(p.left / FT % 3, 6) % 3 for p in both["South 1"].panels]
    west = [round((40 - p.left / FT) % 3, 6) % 3 for p in both["North 1"].panels]
    assert set(east) == set(west)
    # a hip end has no plane over a ridge
    ends = laid(results_of(lay_all_alike(hip(), PanelLayout(start))))
    assert "follows no plane" in ends["East 1"].remark


def test_end_laps_are_staggered() -> None:
    # 61 ft of slope, panels of 45 ft, laps of 6 in: two of 30 ft 9 in; neighbours 2 ft apart
    system = ruled(longest=540 * IN, end_lap=6 * IN, stagger=24 * IN)
    depth = 61 / SF
    corners = ((0, 0), (12, 0), (12, depth), (0, depth))
    house = project(section(corners, (0.5, GABLE, GABLE, GABLE)), system=system)
    (side,) = laid(results_of(house)).values()
    got = [(p.strip, p.number, p.length / IN, p.end_lap / IN) for p in side.panels]
    assert [g[:2] for g in got] == [(1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (3, 6), (4, 7), (4, 8)]
    assert [g[2] for g in got] == pytest.approx([369, 369, 393, 345] * 2)
    assert [g[3] for g in got] == pytest.approx([0, 6] * 4)
    net = sum(p.net_area for p in side.panels)
    assert net == pytest.approx(side.field_area, rel=1e-12)
    assert side.panels[0].net_area == pytest.approx(363 * IN * 36 * IN)
    line = next(q for q in results_of(house).take_off.quantities if q.item == "End laps")
    assert line.quantity == 4
    # below 3/12 the lap is 12 in
    flat = project(section(corners, (0.125, GABLE, GABLE, GABLE)), system=system)
    (side,) = laid(results_of(flat)).values()
    assert {p.end_lap for p in side.panels} == {0.0, 304.8}


@pytest.mark.parametrize("length", [541, 700, 1000, 1073, 1074, 1075, 1600, 2141, 2142])
def test_joints_cover_and_stay_apart(length: float) -> None:
    # in inches here
    rules = PanelRules(longest=540 * IN, stagger=24 * IN)
    before: list[float] = []
    fewest = math.ceil((length - 6) / 534 - 1e-9)
    for _ in range(6):
        tops = joints(10 * IN, (10 + length) * IN, rules, 6 * IN, before)
        ends = [*tops, (10 + length) * IN]
        starts = [10 * IN, *(t - 6 * IN for t in tops)]
        pieces = [b - a for a, b in zip(starts, ends, strict=True)]
        assert max(pieces) <= 540 * IN + 1e-6
        assert min(pieces) >= 18 * IN - 1e-6
        assert len(pieces) in (fewest, fewest + 1)
        assert all(abs(a - b) >= 24 * IN - 1e-6 for a in tops for b in before)
        before = tops


def test_hems_lengthen_the_cut_and_nothing_else() -> None:
    # 1 in at the eave, square; at a valley 1 in square to it is 1.5 in along the slope at 6/12
    plain = msgspec.structs.replace(plain_system(), shifts={K.VALLEY: -6 * IN})
    hemmed = msgspec.structs.replace(plain, hems={K.EAVE: IN, K.VALLEY: IN})
    house = section(L_SHAPE, [0.5] * 6)
    without = laid(results_of(project(house, system=plain)))
    with_hems = laid(results_of(project(house, system=hemmed)))
    for name, side in with_hems.items():
        more = [
            (a.length - b.length) / IN
            for a, b in zip(side.panels, without[name].panels, strict=True)
        ]
        in_valley = [p.lower.shape == "angled" for p in without[name].panels]
        square = [p.lower.shape == "square" for p in without[name].panels]
        assert [m for m, v in zip(more, square, strict=True) if v] == pytest.approx(
            [1.0] * sum(square)
        )
        assert [m for m, v in zip(more, in_valley, strict=True) if v] == pytest.approx(
            [1.5] * sum(in_valley)
        )
        assert [p.net_area for p in side.panels] == pytest.approx(
            [p.net_area for p in without[name].panels], rel=1e-9
        )


def test_a_vented_ridge_holds_panels_back() -> None:
    system = msgspec.structs.replace(
        plain_system(), shifts={K.RIDGE: -IN, K.HIP: -IN}, vented_shifts={K.RIDGE: -2 * IN}
    )
    house = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=system)
    (south, _) = results_of(house).surface.planes
    house = set_plane_layout(house, str(south.id), PanelLayout(vented=True))
    planes = laid(results_of(house))
    for name, back in (("South 1", 2), ("North 1", 1)):
        expected = 144 * SF - back
        assert {round(p.length / IN, 6) for p in planes[name].panels} == {round(expected, 6)}


def saved(results: Results) -> float:
    lines = [q for q in results.take_off.quantities if q.item.startswith("Panel length that cut")]
    return sum(q.quantity for q in lines) / IN


def test_cut_offs_serve_where_hand_and_lap_allow() -> None:
    # hip house, strips of 3 ft: 4 angled panels at each of 8 hip sides (ridge ends and peaks lie
    # on whole strips; the right sides of the long planes, 40 = 13·3 + 1, are cut otherwise).
    # All laid from the left: no end takes a turned piece, and there is no valley: nothing.
    system = ruled(cut_offs_serve=True)
    assert saved(results_of(hip(system))) == 0.0
    # north laid from the right: south's cuts up to the right fit north's up to the right, which
    # are now at its far end: 40 ft from the right there are 13 strips and 1 ft: its strips from
    # the left end are 1, 4, 7, 10 ... ft: cut over the whole sheet are 1 to 4, 4 to 7, 7 to 10.
    house = hip(system)
    (south, east, north, west) = results_of(house).surface.planes
    assert [p.name for p in (south, east, north, west)] == [
        "South 1",
        "East 1",
        "North 1",
        "West 1",
    ]
    turned = set_plane_layout(house, str(north.id), PanelLayout(from_right=True))
    # north has 3 up to the right and 4 up to the left; the others 4 + 4 + 4 and 3 + 4 + 4: all
    # seven of north's find a partner, each saving one step of 40.2492 in
    assert saved(results_of(turned)) == pytest.approx(7 * 36 * SF, rel=1e-6)
    # a sheet that laps alike both ways may be turned on any plane: 4 · 4 ends up to the right make
    # 8 pairs, 3 + 3 + 4 + 4 up to the left 7
    free = hip(ruled(cut_offs_serve=True, turns=True))
    assert saved(results_of(free)) == pytest.approx(15 * 36 * SF, rel=1e-6)
    # no sheet longer than the longest panel: two panels of 9 and 12 ft·√1.25 less a step are
    # 20.1 ft; with 12 ft only the shortest go together
    short = hip(ruled(cut_offs_serve=True, turns=True, longest=164 * IN))
    assert 0 < saved(results_of(short)) < 15 * 36 * SF


def test_hip_and_valley_of_one_plane_share_sheets() -> None:
    # L: North 1 has its hip at the left (up to the right, strips 1 to 4) and its valley at the
    # right from 24 to 32 ft (up to the right below): sheets 24 to 27, 27 to 30 are cut over
    # their whole width. East 2 likewise: valley from −8 to 0, up to the left, hip up to the left
    results = results_of(project(section(L_SHAPE, [0.5] * 6), system=ruled(cut_offs_serve=True)))
    line = next(q for q in results.take_off.quantities if q.item.startswith("Panel length that"))
    assert "not taken off" in line.note
    gross = sum(p.length for p in results.take_off.panels)
    total = next(q.quantity for q in results.take_off.quantities if q.item == "Panel length, all")
    assert total == pytest.approx(gross)
    lower = [
        p
        for x in results.take_off.layings
        for p in x.panels
        if p.lower.shape == "angled" and abs(p.lower.lines[0][0] - 36 * IN) < 1
    ]
    assert line.quantity / IN == pytest.approx(len(lower) * 36 * SF, rel=1e-6)


def test_layouts_are_edits_with_defaults() -> None:
    house = hip()
    assert house.layout == PanelLayout()
    assert lay_all_alike(house, PanelLayout()) is house
    assert set_plane_layout(house, "s1/e1/0/0", None) is house
    own = set_plane_layout(house, "s1/e1/0/0", PanelLayout("least metal"))
    assert own.layout_of("s1/e1/0/0").start == "least metal"
    assert own.layout_of("s1/e2/0/0") == PanelLayout()
    assert set_plane_layout(own, "s1/e1/0/0", PanelLayout("least metal")) is own
    assert set_plane_layout(own, "s1/e1/0/0", None) == house
    assert lay_all_alike(own, PanelLayout("balanced ends")).plane_layouts == ()
    with pytest.raises(DocumentError, match="within 100 m"):
        PanelLayout(offset=math.nan)
    gone = set_plane_layout(house, "s1/e9/0/0", PanelLayout("least metal"))
    assert any("their own layout" in p.sentence for p in results_of(gone).problems)


def test_every_start_covers_a_shed() -> None:
    house = project(section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE)))
    starts: tuple[Start, ...] = ("first end", "least metal", "balanced ends", "by hand")
    for start in starts:
        (side,) = laid(results_of(lay_all_alike(house, PanelLayout(start, 500.0)))).values()
        assert math.fsum(p.net_area for p in side.panels) == pytest.approx(side.field_area)
        # 500 mm, six whole ones and 110 mm by hand
        assert side.strips == (8 if start == "by hand" else 7)
