"""Where screws and clips stand. Check values of the trade, and what must not matter."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from roofmodel.document import PanelLayout, Section
from roofmodel.results import results_of
from roofmodel.systems import RoofingSystem
from roofmodel.systems.fixing import ClipRows, EdgeZone, Fixing, ScrewRows, row_spacing
from roofmodel.takeoff import TakeOff
from roofmodel.takeoff.fixing_types import ROW_KINDS
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, L_SHAPE, RECTANGLE, box, plain_system, project, section
from tests.surface.random_houses import Motion, house, moved
from tests.takeoff.goods import goods, on_planes

IN = 25.4
RIBBED = next(s for s in built_in_systems() if s.id == "ribbed_panel")
SEAM = next(s for s in built_in_systems() if s.id == "standing_seam")


def screwed(rows: ScrewRows, **panel: float) -> RoofingSystem:
    """36 in coverage, ribs 9 in apart, no set-backs."""
    plain = plain_system()
    rules = msgspec.structs.replace(plain.panel, rib_spacing=9 * IN, **panel)
    zone = EdgeZone(width=3 * FT)
    return msgspec.structs.replace(plain, panel=rules, fixing=Fixing(screws=rows, zone=zone))


def clipped(rows: ClipRows, coverage_in: float = 16.0) -> RoofingSystem:
    plain = plain_system(coverage_in)
    rules = msgspec.structs.replace(plain.panel, fastening="clips")
    return msgspec.structs.replace(plain, panel=rules, fixing=Fixing(clips=rows))


def counted(system: RoofingSystem, *parts: Section, layout: PanelLayout | None = None) -> TakeOff:
    made = project(*parts, system=system)
    made = msgspec.structs.replace(made, layout=layout or PanelLayout())
    return results_of(made).take_off


def gable(width_ft: float = 40.0) -> Section:
    """6/12 on 24 ft: 160.9969 in along the slope."""
    return section(box(0, 0, width_ft, 24), (0.5, GABLE, 0.5, GABLE), eave_ft=9)


def every(spacing_in: float, gap_in: float = 0.0) -> ScrewRows:
    """Rows so far apart everywhere, the first on the panel's end."""
    spacing = spacing_in * IN
    return ScrewRows(field=spacing, edge=spacing, end_distance=0.0, least_gap=gap_in * IN)


def test_eight_rows_and_forty_screws_to_a_panel() -> None:
    # ⌈160.9969 / 24⌉ + 1 = 8 rows, the first and the last double: 4 ribs × (2 × 2 + 6) = 40 to a
    # panel of four ribs. 42 ft are 14 panels a side: 28 × 40 = 1120. On 40 ft the last panel of
    # either side is cut to 12 in and has two ribs: 2 × (13 × 40 + 20) = 1080.
    whole = counted(screwed(every(24)), gable(42))
    (south, north) = whole.fixings
    assert len({round(v, 3) for v in south.places[:, 1]}) == 8
    assert len(whole.panels) == 28
    assert south.count == north.count == 14 * 40
    assert goods(whole)["panel screw"][0] == 1120
    assert goods(counted(screwed(every(24)), gable()))["panel screw"][0] == 1080


@pytest.mark.parametrize(("spacing", "per_seam"), [(12, 15), (18, 10), (24, 8)])
def test_clips_of_each_seam(spacing: int, per_seam: int) -> None:
    # ⌈160.9969 / s⌉ + 1 to a seam; 40 ft are 30 panels of 16 in a side, each with clips along its
    # first side, the first one on the rake: 60 × 15, 10, 8 = 900, 600, 480
    rows = ClipRows(field=spacing * IN, edge=spacing * IN, end_distance=0.0, least_gap=0.0)
    taken = counted(clipped(rows), gable())
    for fixing in taken.fixings:
        assert np.bincount(fixing.lines).tolist() == [per_seam] * 30
    assert goods(taken)["clip"][0] == 60 * per_seam
    assert goods(taken)["pancake screw"][0] == 2 * 60 * per_seam


def test_every_row_of_the_field_runs_on_through_the_zone() -> None:
    assert row_spacing(36.0, 24.0) == (18.0, 2)
    assert row_spacing(24.0, 24.0) == (24.0, 1)
    assert row_spacing(24.0, 36.0) == (24.0, 1)
    assert row_spacing(48.0, 12.0) == (12.0, 4)
    assert row_spacing(0.3, 0.1)[1] == 3


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
def test_no_gap_is_wider_than_the_rules_say(system: RoofingSystem) -> None:
    """Along each rib or seam: from one fastener to the next, in the field and in the zone; the
    last gap may be wider by what a row that fell away would have kept from the last one."""
    taken = counted(system, section(L_SHAPE, [0.5] * 6, eave_ft=9))
    for fixing in taken.fixings:
        for line in np.unique(fixing.lines):
            mine = fixing.lines == line
            v = np.sort(fixing.places[mine, 1])
            gaps = np.diff(v)
            assert gaps[:-1].max(initial=0.0) <= fixing.spacing + 1e-6
            assert gaps[-1:].max(initial=0.0) <= fixing.spacing + 6 * IN + 1e-6
            # the first stretch of every line begins in the eave's zone
            low = v[v <= v[0] + 2 * fixing.edge_spacing]
            if v[-1] - v[0] > 2 * fixing.edge_spacing and v[0] < 10 * IN:
                assert np.diff(low).max() <= fixing.edge_spacing + 1e-6


def test_rows_and_their_places() -> None:
    # 36 in rows and 18 in zones on metal of 161.497 × 480 in: the lower row and the upper one, 3
    # from its ends, four whole rows of the field, two whole rows in zones and two broken ones
    south = counted(RIBBED, gable()).fixings[0]
    rows = south.rows
    assert sum(r.places for r in rows) == len(south.places)
    assert sum(r.places * r.each for r in rows) == south.count == 558
    lower, upper = (r for r in rows if r.kind.endswith("end"))
    assert lower.start == pytest.approx((0, 3 * IN))
    assert lower.end == pytest.approx((477 * IN, 3 * IN))
    assert upper.start[1] == pytest.approx((160.996894 + 0.5 - 3) * IN, abs=0.01)
    field = [r for r in rows if r.kind == "field"]
    assert [round(r.start[1] / IN, 3) for r in field] == [39.0, 75.0, 111.0, 147.0]
    assert all(r.places == 54 and r.each == 1 for r in field)
    zone = {(round(r.start[1] / IN, 3), r.places) for r in rows if r.kind == "edge zone"}
    assert zone == {(21.0, 54), (57.0, 5), (57.0, 4), (93.0, 5), (93.0, 4), (129.0, 54)}


def test_rows_along_a_hip_follow_its_cut() -> None:
    # West and East of a hip house: one lower row, and upper rows up and down the two hips
    east = counted(RIBBED, section(RECTANGLE, [0.5] * 4, eave_ft=9)).fixings[1]
    lower = [r for r in east.rows if r.kind == "lower end"]
    upper = [r for r in east.rows if r.kind == "upper end"]
    assert [r.places for r in lower] == [31]
    assert sorted(r.places for r in upper) == [15, 16]
    for row in upper:
        rise = (row.end[1] - row.start[1]) / (row.end[0] - row.start[0])
        assert abs(rise) == pytest.approx(1.25**0.5, rel=1e-6)


@pytest.mark.parametrize("from_right", [False, True])
def test_end_laps_take_a_double_row(from_right: bool) -> None:
    # panels up to 10 ft on 160.997 in with 6 in of lap: two to a strip. 54 ribs: a double row more
    rows, layout = every(24), PanelLayout(from_right=from_right)
    whole = counted(screwed(rows), gable(), layout=layout)
    split = counted(screwed(rows, longest=3048.0), gable(), layout=layout)
    assert len(split.panels) == 2 * len(whole.panels)
    for one, two in zip(whole.fixings, split.fixings, strict=True):
        assert two.places_of("end lap") == 54
        assert two.count == one.count + 2 * 54


def test_the_first_screws_stand_on_wood() -> None:
    # the metal runs 1.5 in past the eave line, the lowest screws stand 1.5 in inside it: on all
    # ribs that have an upper row as well; slivers at corners have one in their middle
    taken = counted(RIBBED, section(L_SHAPE, [0.5] * 6, eave_ft=9))
    for fixing in taken.fixings:
        whole = np.isin(fixing.lines, fixing.lines[fixing.kinds == ROW_KINDS.index("upper end")])
        assert fixing.places[whole, 1].min() == pytest.approx(3 * IN)
        assert np.count_nonzero(~whole) <= 2


@pytest.mark.parametrize(("gap", "rows"), [(0.0, 5), (5.9, 5), (6.1, 4), (38.0, 3)])
def test_a_row_hard_below_the_last_falls_away(gap: float, rows: int) -> None:
    # rows 31 … 155 below one at 160.997, 5.997 away; 124 is 36.997 away. First and last stay
    for made in (screwed(every(31, gap)), clipped(ClipRows(31 * IN, 31 * IN, 0.0, gap * IN))):
        for fixing in counted(made, gable()).fixings:
            lines = int(fixing.lines.max()) + 1
            assert fixing.counts == (lines, lines, 0, rows * lines, 0)


@pytest.mark.parametrize("from_right", [False, True])
def test_a_row_hard_below_an_end_lap_falls_away(from_right: bool) -> None:
    # 161 in as two panels of 83.5, lapped 6: the upper ones begin at 77.5 and, staggered by 24, at
    # 101.5. Rows 72 and 96 would be 5.5 below: one of six falls away on each rib
    layout = PanelLayout(from_right=from_right)
    for gap, rows in ((0.0, 6), (5.4, 6), (6.0, 5)):
        split = counted(screwed(every(24, gap), longest=3048.0), gable(), layout=layout)
        for fixing in split.fixings:
            assert fixing.counts == (54, 54, 54, rows * 54, 0)


def test_a_sliver_of_a_rib_does_not_move_the_chalk_lines() -> None:
    # South of a hip house: its last rib is 3.35 long, one row at 1.68; rows count from 3 on
    south = counted(RIBBED, section(RECTANGLE, [0.5] * 4, eave_ft=9)).fixings[0]
    assert south.places[:, 1].min() / IN == pytest.approx(10.062 / 6, abs=1e-3)
    field = {round(v / IN, 3) for v in south.places[south.kinds == ROW_KINDS.index("field"), 1]}
    assert field == {39.0, 75.0, 111.0, 147.0}


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
@pytest.mark.parametrize("degrees", [31.0, 90.0, 247.0])
def test_turning_the_house_changes_nothing(system: RoofingSystem, degrees: float) -> None:
    turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
    turned = [complex(x, y) * turn for x, y in L_SHAPE]
    plain = counted(system, section(L_SHAPE, [0.5] * 6, eave_ft=9))
    other = counted(system, section([(z.real, z.imag) for z in turned], [0.5] * 6, eave_ft=9))
    assert goods(other) == goods(plain)
    assert sorted(f.count for f in plain.fixings) == sorted(f.count for f in other.fixings)


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
def test_a_mirrored_house_laid_from_the_other_end(system: RoofingSystem) -> None:
    mirrored = [(-x, y) for x, y in reversed(L_SHAPE)]
    plain = counted(system, section(L_SHAPE, [0.5] * 6, eave_ft=9))
    other = counted(
        system, section(mirrored, [0.5] * 6, eave_ft=9), layout=PanelLayout(from_right=True)
    )
    # what the lap leg does not touch: the same places, seen from the other end
    for one in plain.fixings:
        width = max(f.field_width for f in plain.panels if f.plane == one.plane)
        flipped = np.column_stack([width - one.places[:, 0], one.places[:, 1]])
        sets = [
            {tuple(np.round(p, 2)) for p in two.places}
            for two in other.fixings
            if two.count == one.count
        ]
        assert {tuple(np.round(p, 2)) for p in flipped} in sets
    assert goods(other) == goods(plain)


def test_a_zone_by_hand_and_none() -> None:
    rows = ScrewRows(field=36 * IN, edge=18 * IN, end_distance=0.0)
    wide = screwed(rows)
    everywhere, nowhere = (
        msgspec.structs.replace(wide, fixing=Fixing(screws=rows, zone=EdgeZone(width=w)))
        for w in (100 * FT, 0.0)
    )
    # 54 ribs a side: 4 at both ends, rows 36 … 144 or 18 … 144 between them
    assert on_planes(counted(nowhere, gable()), "Panel screws")["South 1"] == 54 * (4 + 4)
    assert on_planes(counted(everywhere, gable()), "Panel screws")["South 1"] == 54 * (4 + 8)


def test_short_ribs() -> None:
    # a shed 1 ft deep and flat: 12 in of rib, ends 10 in from each other's ends share one row
    rows = ScrewRows(field=36 * IN, edge=36 * IN, end_distance=10 * IN)
    shed = section(box(0, 0, 9, 1), (0.25, GABLE, GABLE, GABLE), eave_ft=9)
    (south,) = counted(screwed(rows), shed).fixings
    assert (south.places_of("lower end"), south.places_of("upper end")) == (12, 0)
    assert south.places[:, 1] == pytest.approx(6 * IN * math.sqrt(1 + 1 / 16), rel=1e-6)


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
def test_a_valley_in_two_pieces_leaves_no_thread(system: RoofingSystem) -> None:
    """Two valleys go on in one line; turned by 37 degrees a thread of metal, without width,
    stayed between what both take away, and the panels began at its end."""
    made = msgspec.structs.replace(house(104), system=system)
    turned = moved(made, Motion(1234.5, -777.7, 0.0, 37.0))
    plain, other = (results_of(p).take_off for p in (made, turned))
    widths = [[round(x.first_width, 6) for x in t.layings] for t in (plain, other)]
    assert widths[0] == widths[1]
    assert goods(plain) == goods(other)
