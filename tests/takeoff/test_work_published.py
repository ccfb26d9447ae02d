"""Values of codes, manuals and trade papers that the take-off's work lines must give, each with
where it stands. "From memory" means: the text itself was not seen."""

from __future__ import annotations

import math

import pytest

from roofmodel.document.work import Edition
from roofmodel.systems.layer_parts import KG_PER_M2_PER_LB_SQUARE, OldCovering, feet, inches
from roofmodel.systems.layers import FELT_15, FELT_30, LIMITS, MEMBRANE, METALS, SYNTHETIC, Layers
from roofmodel.takeoff.checks import movement
from roofmodel.takeoff.courses import courses_for
from roofmodel.takeoff.formula import rounded_up
from roofmodel.takeoff.ice import reach_up
from roofmodel.takeoff.site import rolls_for
from roofmodel.takeoff.tear_off import loads_of, weight_of
from roofmodel.takeoff.ventilation import net_free_area
from roofmodel.takeoff.zones import zone_width
from roofmodel.units import KG_PER_LB, MM3_PER_CU_YD

FT, IN, SQ_FT = 304.8, 25.4, 304.8**2
E1 = 1073.3126
"""True area, sq ft, of a gable roof of 40 by 24 ft at 6/12: 960 × 1.118034."""


def test_attic_ventilation() -> None:
    # residential code R806.2, all editions (1/150 of the vented plan area): 2000 sq ft give
    # 1920 sq in; at 1/300 they give 960, of which 40 to 50 %, 384 to 480, at the ridge (the share
    # as maker's pages quote the 2012 edition; later ones from memory)
    attic = 2000 * 144.0
    assert net_free_area(attic, 150, 0.5)[0] == pytest.approx(1920)
    assert net_free_area(attic, 300, 0.4) == pytest.approx((960, 384, 576))
    assert net_free_area(attic, 300, 0.5) == pytest.approx((960, 480, 480))


def test_ice_barrier_up_the_slope() -> None:
    # residential code R905.1.2: 24 in inside the exterior wall line, measured level; derived for
    # an overhang of 18 in: 42 × 1.118034 = 46.96 in at 6/12, 42 × 1.201850 = 50.48 at 8/12
    for slope, outside, inside in ((6 / 12, 46.96, 53.67), (8 / 12, 50.48, 57.69)):
        reach = reach_up(18 * IN, 24 * IN, slope, "2021")
        assert reach / IN == pytest.approx(outside, abs=0.005)
        # from the inside face of a wall of 6 in
        reach = reach_up(18 * IN, 24 * IN, slope, "2021", 6 * IN)
        assert reach / IN == pytest.approx(inside, abs=0.005)
        # either way two courses of 36 in
        assert courses_for(reach, MEMBRANE.width, MEMBRANE.head_lap) == 2


@pytest.mark.parametrize(
    ("edition", "least"),
    [("2009", 0), ("2012", 0), ("2015", 36), ("2018", 36), ("2021", 36), ("2024", 0)],
)
def test_the_least_length_on_steep_roofs_goes_by_edition(edition: Edition, least: float) -> None:
    # the sentence on 36 in at 8/12 and more stands in 2015 to 2021; 2024 deletes it
    level = 10 * IN
    steep, below = reach_up(0.0, level, 8 / 12, edition), reach_up(0.0, level, 7.9 / 12, edition)
    assert steep / IN == pytest.approx(max(10 * math.sqrt(1 + (8 / 12) ** 2), least))
    assert below / IN == pytest.approx(10 * math.sqrt(1 + (7.9 / 12) ** 2))


def test_coverage_of_rolls() -> None:
    # derived from the sizes: 48 in by 250 ft (a building journal) with laps of 4 and 6 in covers
    # (44 ÷ 12) × 249.5 = 914.83 sq ft; 36 in by 66.67 ft with a side lap of 3 in (33 ÷ 12) ×
    # 66.67 = 183.33, before end laps
    wide = SYNTHETIC.width - SYNTHETIC.head_lap
    net = wide * (SYNTHETIC.length - SYNTHETIC.end_lap)
    assert net / SQ_FT == pytest.approx(914.83, abs=0.005)
    side_only = (MEMBRANE.width - MEMBRANE.head_lap) * MEMBRANE.length / SQ_FT
    assert side_only == pytest.approx(183.33, abs=0.005)
    # vendor's pages: felt No. 15 comes as 3 by 144 ft, 432 sq ft; No. 30 as 3 by 72, 216
    assert FELT_15.width * FELT_15.length / SQ_FT == pytest.approx(432)
    assert FELT_30.width * FELT_30.length / SQ_FT == pytest.approx(216)


def test_laps_of_felt() -> None:
    # contractors' association: laps of 2 in at heads, 6 in at ends; model code table for high
    # wind, from excerpts: from 2/12 to under 4/12 a starter of 19 in, courses lapped 19 in
    for felt in (FELT_15, FELT_30):
        assert felt.end_lap == inches(6)
        assert felt.lap_at(4 / 12) == (inches(2), False)
        assert felt.lap_at(3.9 / 12) == (inches(19), True)
    # 36 in lapped 19: 17 in more each
    assert courses_for(36 * IN + 3 * 17 * IN, 36 * IN, 19 * IN) == 4


def test_a_roll_that_ends_is_lapped_by_the_next() -> None:
    # 2 rolls of 250 ft reach 499 1/2 ft, not 500
    assert rolls_for(feet(499.5), SYNTHETIC) == 2
    assert rolls_for(feet(499.6), SYNTHETIC) == 3
    assert rolls_for(feet(250), SYNTHETIC) == 1
    assert rolls_for(inches(3), SYNTHETIC) == 1
    assert rolls_for(0.0, SYNTHETIC) == 0


def test_thermal_movement() -> None:
    # contractors' manual: steel of 40 ft over 98.1 degrees F at 6.7 millionths moves 0.3155 in
    assert METALS["steel"].expansion == 6.7
    assert movement(40 * 12, 6.7, 98.1) == pytest.approx(0.3155, abs=5e-5)
    # New Zealand code of practice: 30 m, 60 degrees C, 12 millionths per degree C: 21.6 mm
    assert movement(30_000, 12 / 1.8, 60 * 1.8) == pytest.approx(21.6)
    # a maker's page: 100 ft, 100 degrees F, 6.5 millionths: 0.78 in
    assert movement(100 * 12, 6.5, 100) == pytest.approx(0.78)
    # derived: aluminium of 100 ft over 100 degrees F, 12.8 millionths: 1.536 in
    assert movement(100 * 12, METALS["aluminium"].expansion, 100) == pytest.approx(1.536)


def test_weight_and_volume_torn_off() -> None:
    # 10.7331 squares at 235 lb: 2522 lb, 6.08 cu yd; at 300 lb: 3220 lb, 7.76 cu yd; the heap
    # weighs 415 lb a cubic yard (landfill totals in a building journal: 11 million tons in 53
    # million cubic yards)
    in_landfills = 11e6 * 2000 / 53e6
    assert in_landfills == pytest.approx(415, abs=0.5)
    waste = Layers().waste
    for pounds, total, heap in ((235, 2522, 6.08), (300, 3220, 7.76)):
        old = OldCovering("shingles", pounds * KG_PER_M2_PER_LB_SQUARE)
        weight = weight_of(E1 * SQ_FT, old, 1, waste.felt, 0)
        assert weight / KG_PER_LB == pytest.approx(total, abs=0.5)
        volume = weight / waste.density * 1e9
        assert volume / MM3_PER_CU_YD == pytest.approx(heap, abs=0.005)


def test_weights_of_old_roofs() -> None:
    # common practice, no source: 250 lb a square and layer, 350 laminated, 15 for a felt
    weights = {c.key: c.weight / KG_PER_M2_PER_LB_SQUARE for c in Layers().old_coverings}
    assert weights["three-tab shingles"] == pytest.approx(250)
    assert weights["laminated shingles"] == pytest.approx(350)
    assert Layers().waste.felt / KG_PER_M2_PER_LB_SQUARE == pytest.approx(15)


def test_trailer_loads() -> None:
    # common practice: whichever takes more, weight or volume; shingles hit the weight first
    weight, volume = 7000 * KG_PER_LB, 16.9 * MM3_PER_CU_YD
    assert loads_of(weight, volume, 3000 * KG_PER_LB, 20 * MM3_PER_CU_YD) == 3
    assert loads_of(weight, volume, 10_000 * KG_PER_LB, 6 * MM3_PER_CU_YD) == 3
    assert loads_of(6000 * KG_PER_LB, volume, 3000 * KG_PER_LB, 20 * MM3_PER_CU_YD) == 2


def test_deck_sheets() -> None:
    # 1073.3 sq ft in sheets of 4 by 8 ft, 32 sq ft: 33.5, so 34
    sheet = Layers().sheet
    assert rounded_up(E1 * SQ_FT / (sheet.width * sheet.length)) == 34


def test_width_of_edge_zones() -> None:
    # ASCE 7-22 (and 7-02) components and cladding: a is the smaller of a tenth of the least plan
    # dimension and 0.4 h, no less than 4 % of that dimension and 3 ft; computed from it
    for least, height, width in (
        *((24, 15, 3.00), (32, 25, 3.20), (40, 22, 4.00)),
        *((60, 12, 4.80), (100, 10, 4.00), (120, 20, 8.00)),
    ):
        assert zone_width(least * FT, height * FT) / FT == pytest.approx(width)


def test_least_slopes() -> None:
    # residential code 2021 R905.10.2: lapped panels 3/12, with lap sealant 1/2 in 12, standing
    # seam 1/4 in 12; snap-lock seams 3/12: common practice, makers' listings
    face, clips = LIMITS["face"], LIMITS["clips"]
    assert (face.least_slope * 12, face.sealed_slope * 12) == pytest.approx((3.0, 0.5))
    assert (clips.least_slope * 12, clips.sealed_slope * 12) == pytest.approx((3.0, 0.25))
    assert "R905.10.2" in face.slope_source
    assert "R905.10.2" in clips.slope_source
