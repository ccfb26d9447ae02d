"""Ends that go past a corner, worked out by hand. Lengths in inches unless said.

A rake's run goes 1 past the eave along the slope, of angle θ, for its tab. In its leg down the
gable an upright line runs `tan θ` along the run for 1 across the leg: at an eave downhill, for
which `hang` × tan θ more is counted, at a high eave back. So does the tab's bend line. A tab at an
eave keeps its upper border, which slants down from the corner; at a high eave it must not rise
over the roof: its upper border is level, square to the bend line. Past a wall's corner or a gable
the roof rises or falls by its slope beside a tab that is bent square.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from roofmodel.parts import folded
from roofmodel.sheets.trim_sheet import blank_plan
from roofmodel.sheets.trim_words import end_words
from roofmodel.shop import Blank
from roofmodel.shop.job import ShopJob
from roofmodel.shop.joints import joint_at
from roofmodel.shop.lines import Roof
from roofmodel.systems import EdgeKind, RoofingSystem
from tests.houses import GABLE, L_SHAPE, box, section
from tests.shop.shops import RIBBED, SYSTEMS, sample, shop

IN = 25.4
TURNED = "turned around the corner"
RUNS_ON = "runs on along the wall"


def allowance(degrees: float) -> float:
    """What a bend takes of the flat: inside radius 1/32, 24 ga, K 0.44."""
    return math.radians(degrees) * (1 / 32 + 0.44 * 0.0276)


def setback(degrees: float) -> float:
    """From the corner of the outsides to where a bend begins."""
    return (1 / 32 + 0.0276) * math.tan(math.radians(degrees) / 2.0)


def hem(width: float) -> float:
    """What a closed hem adds to the flat beyond its leg: width and, for its round, a thickness."""
    return width + 0.0276


@pytest.mark.parametrize("twelfths", [1, 3, 6, 12, 24])
def test_the_foot_of_a_rake_is_turned_onto_the_fascia(twelfths: int) -> None:
    # The leg is cut plumb from its bend to its border, m per inch across it; the tab's free border
    # lies 1 square to its bend line, which is √(1 + m²) along the run. It is counted 1 + 4.75 m
    # past the eave; panels end 1 1/2 past it.
    m = twelfths / 12
    blank = foot_of(m)
    along = math.sqrt(1 + m**2)
    before, foot, border = rake_legs()
    high, low = m * setback(90), m * (4.0 - setback(30))  # the corner: at the bend, at the border
    on_roof = min(1.5, 1.0 + 4.75 * m)
    far = max(on_roof, low + along)
    assert far < 1.0 + 4.75 * m + 1e-9
    out = [
        (0, on_roof), (before, on_roof), (before, high), (foot, high), (foot, high + along),
        (border, low + along), (border, low),
    ]  # fmt: skip
    assert -blank.begins / IN == pytest.approx(far)
    corners = np.array(out) * (1.0, -1.0) + (0.0, far)
    assert blank.outline[:7] / IN == pytest.approx(corners, abs=1e-6)
    # beyond the leg metal ends at the corner too; the kick, which leans out, is lowest at its end
    kick = blank.outline[blank.outline[:, 0] > border * IN + 1e-6]
    down = 4.0 + 0.75 * math.cos(math.radians(30))
    assert far - kick[:, 1].min() / IN == pytest.approx(m * down, abs=5e-3 * max(1.0, m))
    (tab,) = [b for b in blank.bends if b.start[0] != b.end[0]]
    assert (tab.angle, tab.direction) == (90.0, "down")
    assert tab.between == ("down the gable", "tab around the corner")
    line = np.array([tab.start, tab.end]) / IN
    assert line == pytest.approx(np.array([(foot, far - high), (border, far - low)]), abs=1e-6)
    assert "short" not in blank.remark


def test_on_standing_seam_the_leg_on_the_panels_ends_where_they_do() -> None:
    blank = foot_of(0.5, SYSTEMS["standing_seam"])  # 3/4 past the eave
    far = 0.5 * (4.0 - setback(30)) + math.sqrt(1.25)
    assert -blank.begins / IN == pytest.approx(far)
    assert blank.outline[blank.outline[:, 0] < 1.0, 1].min() / IN == pytest.approx(far - 0.75)


def test_where_less_is_counted_the_tab_ends_in_a_point_and_says_so() -> None:
    # the rules of older projects have no `hang`: 1 past the eave for all; at 6/12 the bend line
    # has used that up 2 down the leg
    blank = foot_of(0.5, without_hang())
    before, foot, _ = rake_legs()
    low = 1.0 - 0.5 * setback(90)  # the leg begins a setback below the corner
    corners = [(0, 0), (before, 0), (before, low), (foot, low), (foot, 0), (blank.girth / IN, 0)]
    assert blank.outline[:6] / IN == pytest.approx(np.array(corners), abs=1e-6)
    (tab,) = [b for b in blank.bends if b.start[0] != b.end[0]]
    line = np.array([tab.start, tab.end]) / IN
    assert line == pytest.approx(np.array([(foot, low), (foot + 2.0 * low, 0.0)]), abs=1e-6)
    assert "square, short of the upright corner" in blank.remark


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_hangs_is_counted_down_to_its_lowest_point(system: str) -> None:
    # an open hem lies a little lower than its kick's end: within what the tab's inch leaves
    (rule,) = [r for r in SYSTEMS[system].trim[EdgeKind.RAKE] if r.hang]
    made = shop(section(box(0, 0, 8, 8), (0.5, GABLE, 0.5, GABLE)), system=SYSTEMS[system])
    profile = next(p for p in made.project.parts if p.name == rule.part)
    bent = folded(profile, 90.0)
    _, points = bent.section("colour side", steps=16)
    lowest = -float((points - bent.apex())[:, 1].min())
    assert rule.hang / IN == pytest.approx(lowest / IN, abs=0.1)
    # each piece is cut to what lies from corner to corner, but for 2 that its mitre leaves at the
    # ridge, a third of an inch that its tab does and an eighth that cuts are rounded up by
    for blank in made.blanks:
        if blank.run.part == rule.part:
            left = blank.cut_length - float(blank.outline[:, 1].max())
            assert 2.0 - 1e-6 <= left / IN < 2.0 + 0.35 + 0.125


def rake_legs() -> tuple[float, float, float]:
    """Across a blank of rake trim: where its leg on the panels ends, that down the gable begins
    and ends."""
    before = hem(0.5) + 4.0 - setback(90) - 0.0276  # the hem's round is taken out of the leg
    foot = before + allowance(90)
    return before, foot, foot + 4.0 - setback(90) - setback(30)


def foot_of(slope: float, system: RoofingSystem = RIBBED) -> Blank:
    """A rake's lower piece on a gable house, its foot at y = 0."""
    made = shop(section(box(0, 0, 8, 8), (slope, GABLE, slope, GABLE)), system=system)
    return next(b for b in made.blanks if "rake trim" in b.run.part and b.start.kind == TURNED)


def test_its_sheet_says_where_the_bend_line_of_the_tab_ends() -> None:
    made = shop(section(box(0, 0, 8, 8), (0.5, GABLE, 0.5, GABLE)), system=without_hang())
    job = ShopJob(made.project, made.results.surface, made.results.take_off)
    drawing = next(d for d in job.trim if d.blank.run.part == "rake trim")
    sheet = blank_plan(job, drawing).draw(16.0)
    _, foot, _ = rake_legs()
    bend = foot + 2.0 * (1.0 - 0.5 * setback(90))
    assert f"end of bend: {bend:.3f} in" in [r.text for r in sheet.running]
    ends = {end_words(e, made.project.units) for e in (drawing.blank.start, drawing.blank.end)}
    assert "turned around the corner, notched" in ends
    assert any("of leg 'down the gable' around the corner" in note for note in sheet.notes)


def test_a_high_eave_cap_is_turned_onto_the_gables() -> None:
    # a shed of 3/12: the fold over its high eave is 90 + 14.036; past the gable's corner the roof
    # falls 1/4 in 1, so that the tab's upper border does: 2 · 1/4 = 1/2
    made = shop(section(box(0, 0, 12, 8), (0.25, GABLE, GABLE, GABLE)))
    first, last = made.on("high-eave cap", "High eave 1")
    fold = 90.0 + math.degrees(math.atan(0.25))
    foot = hem(0.5) + 6.0 - setback(fold) - 0.0276 + allowance(fold)
    border = foot + 4.0 - setback(fold) - setback(30)
    girth, long = first.girth / IN, first.outline[:, 1].max() / IN
    wanted = [
        (0, 2), (foot, 2), (foot + 0.5, 0), (border, 0), (border, 2), (girth, 2), (girth, long),
        (0, long),
    ]  # fmt: skip
    assert first.outline / IN == pytest.approx(np.array(wanted), abs=1e-6)
    assert (first.start.kind, last.end.kind) == (TURNED, TURNED)
    assert first.begins / IN == pytest.approx(-2.0)
    (tab,) = [b for b in first.bends if b.start[0] != b.end[0]]
    ends = [(foot, 2), (border, 2)]
    assert np.array([tab.start, tab.end]) / IN == pytest.approx(np.array(ends), abs=1e-6)
    along = [b for b in first.bends if b.start[0] == b.end[0]]
    assert all(b.start[1] / IN == pytest.approx(2.0) for b in along)


def test_the_head_of_a_rake_is_turned_under_a_high_eave_cap() -> None:
    # 3/12: 1 along the level is cos θ along the run and sin θ across the leg
    made = shop(section(box(0, 0, 12, 8), (0.25, GABLE, GABLE, GABLE)))
    (blank,) = made.on("rake trim", "Rake 2")  # from the eave up
    assert (blank.start.kind, blank.end.kind) == (TURNED, TURNED)
    slope = math.atan(0.25)
    _, foot, border = rake_legs()
    # at the foot the tab's end is the lowest corner
    node = 96.0 / math.cos(slope) + 0.25 * (4.0 - setback(30)) + math.sqrt(1 + 0.25**2)
    low = (foot, node - 0.25 * setback(90))
    tip = (low[0] + math.sin(slope), low[1] + math.cos(slope))
    for corner in (low, tip):
        assert np.abs(blank.outline / IN - corner).max(axis=1).min() < 1e-6
    (tab,) = [b for b in blank.bends if b.start[0] != b.end[0] and b.start[1] > 1000.0]
    end = (border, low[1] - 0.25 * (border - foot))
    assert np.array([tab.start, tab.end]) / IN == pytest.approx(np.array([low, end]), abs=1e-6)


def test_a_headwall_flashing_is_turned_around_the_corner_of_its_wall() -> None:
    # a dormer on 9/12: beside its front wall the roof goes up by 3 over the 4 that are turned
    made = sample("elder_brook_dormers")
    (blank,) = made.on("headwall flashing", "Headwall 1")
    slope = 0.75
    fold = 90.0 - math.degrees(math.atan(slope))
    before = hem(0.5) + 6.0 - setback(fold) - 0.0276
    foot, girth = before + allowance(fold), blank.girth / IN
    long = blank.outline[:, 1].max() / IN
    wanted = [
        (0, 0), (before, 0), (before, 4), (foot, 4), (foot + 4 * slope, 0), (girth, 0),
        (girth, long), (foot + 4 * slope, long), (foot, long - 4), (before, long - 4),
        (before, long), (0, long),
    ]  # fmt: skip
    assert blank.outline / IN == pytest.approx(np.array(wanted), abs=1e-6)
    assert (blank.start.kind, blank.end.kind) == (TURNED, TURNED)


def test_where_a_roof_ends_at_its_hips_the_upstand_runs_on_along_the_wall() -> None:
    # a porch of 4/12 with hips against one straight wall: 4 past the hips of the upstand are
    # left, the leg on the panels ends over the hips: in the plane they stand at A to the wall,
    # tan A = √(1 + m²), so for each inch down the leg goes on 1/tan A
    made = sample("elder_brook_dormers")
    (blank,) = made.on("headwall flashing", "Headwall 4")
    assert (blank.start.kind, blank.end.kind) == (RUNS_ON, RUNS_ON)
    fold = 90.0 - math.degrees(math.atan(1 / 3))
    before = hem(0.5) + 6.0 - setback(fold) - 0.0276
    foot = before + allowance(fold)
    per_inch = 1.0 / math.sqrt(1 + 1 / 9)
    (low,) = [y for x, y in blank.outline / IN if abs(x - before) < 1e-6 and y < 10]
    inside = math.tan(math.radians(fold) / 2.0) / 32.0  # the colour side is inside this bend
    assert low == pytest.approx(4.0 - per_inch * inside, abs=1e-6)
    assert np.abs(blank.outline / IN - (foot, 0)).max(axis=1).min() < 1e-6
    reach = before - (4.0 / per_inch - inside)  # where it has gone on as far as counted
    assert np.abs(blank.outline / IN - (reach, 0)).max(axis=1).min() < 1e-6
    assert not [b for b in blank.bends if b.start[0] != b.end[0]]


@pytest.mark.parametrize("system", SYSTEMS)
def test_inside_corners_and_the_ends_of_walls(system: str) -> None:
    # a lean-to of 3/12 fills the inner corner of a taller L: one end of its flashing meets the
    # other wall, which stands in the way of its leg; at its other end roof and wall both end
    tall = section(L_SHAPE, [0.5] * 6, eave_ft=10)
    low = section(box(16, 24, 40, 40), (GABLE, GABLE, 0.25, GABLE), section_id="s2")
    made = shop(tall, low, system=SYSTEMS[system])
    pieces = [b for b in made.blanks if b.run.edge_name == "Headwall 1" and len(b.outline) > 4]
    first, last = pieces
    (up,) = [b for b in first.bends if b.start[0] != b.end[0]]
    (down,) = [b for b in last.bends if b.start[0] != b.end[0]]
    assert (up.angle, up.direction) == (90.0, "up")
    assert (down.angle, down.direction) == (90.0, "down")
    assert (first.start.kind, last.end.kind) == (TURNED, TURNED)
    foot, girth, far = up.start[0], first.girth, 4.0 * IN
    wanted = [(0, far), (foot, far), (foot, 0), (girth, 0)]
    assert first.outline[:4] == pytest.approx(np.array(wanted), abs=1e-6)
    long = last.outline[:, 1].max()
    wanted = [(girth, long), (foot, long), (foot, long - far), (0, long - far)]
    assert last.outline[-4:] == pytest.approx(np.array(wanted), abs=1e-6)
    assert (down.start[1], down.end[1]) == pytest.approx((long - far, long - far))
    # a longer wall behind the same lean-to goes on: so does the upstand
    tall = section(box(0, 0, 60, 24), [0.5] * 4, eave_ft=10)
    made = shop(tall, low, system=SYSTEMS[system])
    kinds = {e.kind for b in made.blanks if b.run.kind == "headwall" for e in (b.start, b.end)}
    assert RUNS_ON in kinds
    assert TURNED not in kinds


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_shop_goes_on_as_far_as_was_counted(system: str) -> None:
    (rule,) = [r for r in SYSTEMS[system].trim[EdgeKind.RAKE] if r.hang]
    seen = 0
    for name in ("alder_flat_ranch", "cedar_bend_farmhouse", "elder_brook_dormers"):
        made = sample(name, system)
        roof = Roof(made.results.surface)
        for run in made.results.take_off.trim:
            if run.kind is not EdgeKind.RAKE or run.part != rule.part:
                continue
            line = roof.line_of(run)
            ends = [joint_at(roof, line, rule, at_end=e, on_both=True) for e in (False, True)]
            # what was counted for mitres is trimmed off
            mitre = rule.ends["ridge end at a gable"]
            more = sum(mitre if e.kind == "mitre" else e.extra for e in ends)
            assert run.needed - run.length == pytest.approx(more, abs=1e-3)
            seen += more > mitre + IN + 1.0
    assert seen > 20


def test_what_cannot_be_turned_is_cut_square_and_says_so() -> None:
    # the eave stands 20° out of square to the gable
    skew = section([(0, 0), (20, 0), (20, 12), (20 * 0.1, 12)], (0.5, GABLE, 0.5, GABLE))
    made = shop(skew)
    feet = [b for b in made.blanks if b.run.part == "rake trim"]
    odd = [b for b in feet if "is not square in plan" in b.remark]
    assert odd
    for b in odd:
        assert "square" in (b.start.kind, b.end.kind)
    # a quarter of an inch is none that a brake can bend
    little = with_end(EdgeKind.RAKE, "roof corner", 6.0)
    made = shop(section(box(0, 0, 8, 8), (0.5, GABLE, 0.5, GABLE)), system=little)
    feet = [b for b in made.blanks if b.run.part == "rake trim"]
    assert all("too little goes on past the corner" in b.remark for b in feet)
    assert all("square" in (b.start.kind, b.end.kind) for b in feet)


def test_a_gambrels_rakes_meet_where_the_pitch_changes() -> None:
    made = sample("elder_brook_dormers")
    said = [b for b in made.blanks if "where the pitch changes it is cut square" in b.remark]
    assert said
    assert {b.run.part for b in said} == {"rake trim"}


def test_turned_houses_have_the_same_corners() -> None:
    def rows(degrees: float) -> list[tuple[float, ...]]:
        turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
        ring = [complex(x, y) * turn for x, y in box(0, 0, 12, 8)]
        made = shop(section([(z.real, z.imag) for z in ring], (0.25, GABLE, GABLE, GABLE)))
        return sorted(tuple(b.outline.round(4).ravel().tolist()) for b in made.blanks)

    plain = rows(0.0)
    for degrees in (33.0, 180.0):
        for one, two in zip(rows(degrees), plain, strict=True):
            assert one == pytest.approx(two, abs=1e-3)


def without_hang() -> RoofingSystem:
    """The ribbed system as older projects have it."""
    replace = msgspec.structs.replace
    rules = tuple(replace(r, hang=0.0) for r in RIBBED.trim[EdgeKind.RAKE])
    return replace(RIBBED, trim={**RIBBED.trim, EdgeKind.RAKE: rules})


def with_end(kind: EdgeKind, place: str, extra: float) -> RoofingSystem:
    """The ribbed system with another length at the ends of one kind of trim, mm."""
    replace = msgspec.structs.replace
    rules = tuple(replace(r, ends={**r.ends, place: extra}) for r in RIBBED.trim[kind])
    return replace(RIBBED, trim={**RIBBED.trim, kind: rules})
