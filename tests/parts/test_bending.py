"""Bend allowance, setback, deduction and hems against published values, inches."""

from __future__ import annotations

import math

import pytest

from roofmodel.errors import DocumentError
from roofmodel.parts import folded
from roofmodel.systems import Bend, Hem, Leg, SheetMetal, TrimProfile
from roofmodel.systems.bending import bend_allowance, bend_deduction, outside_setback

IN = 25.4
RADIUS = 1.0 / 32.0
EMPIRICAL_K = 0.0078 / 0.01743  # BA = (0.01743 R + 0.0078 t) per degree, as shops print it


def test_ninety_degrees_in_an_eighth() -> None:
    # calcady.com/trade/welding/bend-allowance: t 0.125, R 0.125, K 0.44: BA 0.2827; BD from it
    assert bend_allowance(90, 0.125, 0.125, 0.44) == pytest.approx(0.2827, abs=5e-5)
    assert bend_deduction(90, 0.125, 0.125, 0.44) == pytest.approx(0.2173, abs=5e-5)


def test_three_bends_of_a_sheet_metal_workbook() -> None:
    # sheetmetalworkbook.com/90bends.htm: t 0.050, R 0.032, outside flanges .740 .420 1.050 1.000,
    # BA .085, BD .079, flat 2.973
    assert bend_allowance(90, 0.032, 0.050, EMPIRICAL_K) == pytest.approx(0.085, abs=5e-4)
    deduction = bend_deduction(90, 0.032, 0.050, EMPIRICAL_K)
    assert deduction == pytest.approx(0.079, abs=5e-4)
    flanges = (0.740, 0.420, 1.050, 1.000)
    # it takes the deduction rounded to .079; unrounded the flat is 3.21 − 3 · 0.0786 = 2.9742
    assert sum(flanges) - 3 * round(deduction, 3) == pytest.approx(2.973, abs=1e-9)
    metal = SheetMetal("0.050", 0.050 * IN, 0.032 * IN, EMPIRICAL_K)
    legs = tuple(Leg(f"leg {k}", f * IN) for k, f in enumerate(flanges))
    part = TrimProfile("bracket", legs, (Bend(90), Bend(-90), Bend(90)), metal=metal)
    assert folded(part, 0.0).girth / IN == pytest.approx(2.973, abs=1.5e-3)


def test_a_channel_of_an_aviation_handbook() -> None:
    # aircraftsystemstech.com, making straight-line bends: 1.00/2.00/1.00, t 0.040, R 0.16:
    # setback 0.2, flats 0.8, 1.6, 0.8
    assert outside_setback(90, 0.16, 0.040) == pytest.approx(0.2, abs=1e-12)
    metal = SheetMetal("0.040", 0.040 * IN, 0.16 * IN, EMPIRICAL_K)
    legs = tuple(Leg(f"leg {k}", f * IN) for k, f in enumerate((1.0, 2.0, 1.0)))
    part = TrimProfile("channel", legs, (Bend(90), Bend(90)), metal=metal)
    assert [f / IN for f in part.flats_at(0.0)] == pytest.approx([0.8, 1.6, 0.8], abs=1e-12)
    # developed: flats 3.2 and twice π/2 · (0.16 + 0.4475 · 0.04) = 0.2794
    assert folded(part, 0.0).girth / IN == pytest.approx(3.7588, abs=1e-4)


@pytest.mark.parametrize(
    ("thickness", "angle", "allowance", "setback", "deduction"),
    [
        # R 1/32, K 0.44, worked with a pocket calculator from the three formulas
        (0.0276, 30, 0.0227, 0.0158, 0.0088),
        (0.0276, 45, 0.0341, 0.0244, 0.0147),
        (0.0276, 90, 0.0682, 0.0588, 0.0495),
        (0.0276, 135, 0.1022, 0.1421, 0.1819),
        (0.0217, 90, 0.0641, 0.0529, 0.0418),
        (0.0172, 45, 0.0305, 0.0201, 0.0096),
        (0.0320, 135, 0.1068, 0.1527, 0.1986),
        (0.0400, 90, 0.0767, 0.0712, 0.0658),
    ],
)
def test_thin_sheets(
    thickness: float, angle: float, allowance: float, setback: float, deduction: float
) -> None:
    assert bend_allowance(angle, RADIUS, thickness, 0.44) == pytest.approx(allowance, abs=6e-5)
    assert outside_setback(angle, RADIUS, thickness) == pytest.approx(setback, abs=6e-5)
    assert bend_deduction(angle, RADIUS, thickness, 0.44) == pytest.approx(deduction, abs=6e-5)


def hemmed(hem: Hem) -> float:
    """What a hem adds to a flat strip of 6 in, inches."""
    strip = TrimProfile("strip", (Leg("face", 6 * IN),), end_hem=hem)
    return folded(strip, 0.0).girth / IN - 6.0


@pytest.mark.parametrize("width", [0.375, 0.5, 1.0])
def test_hems(width: float) -> None:
    # NAVEDTRA Steelworker vol 2, allowance for edges: single hem its width, double twice its width
    assert hemmed(Hem("closed", width * IN)) == pytest.approx(width, abs=1e-12)
    assert hemmed(Hem("double", width * IN)) == pytest.approx(2 * width, abs=1e-12)
    # open: its flat and half a turn of the neutral line, π (g/2 + K t)
    gap = 0.125
    wanted = width + math.pi * (gap / 2 + 0.44 * 0.0276)
    assert hemmed(Hem("open", width * IN, gap * IN, "up")) == pytest.approx(wanted, abs=1e-12)


def ridge_cap(*, deducts: bool = True) -> TrimProfile:
    hem = Hem("closed", 0.5 * IN)
    legs = (Leg("first", 6 * IN, "first plane"), Leg("second", 6 * IN, "second plane"))
    metal = SheetMetal(deducts=deducts)
    return TrimProfile("ridge cap", legs, (Bend(0, 1),), hem, hem, (0, 140), metal=metal)


def test_ridge_cap_over_six_in_twelve() -> None:
    # fold 2·atan(6/12) = 53.1301°; BD = 2·(1/32 + 0.0276)·tan 26.565° − 0.92730·(1/32 +
    # 0.44·0.0276) = 0.05885 − 0.04024 = 0.0186; body 12 − 0.0186 = 11.9814; hems 0.5 + 0.5
    fold = math.degrees(2 * math.atan(0.5))
    cap = folded(ridge_cap(), fold)
    assert cap.girth / IN == pytest.approx(12.9814, abs=5e-5)
    assert (cap.girth / IN - 1.0) == pytest.approx(11.9814, abs=5e-5)
    (bend,) = [b for b in cap.bends if b.number >= 0]
    assert (bend.angle, bend.included) == pytest.approx((53.1301, 126.8699), abs=5e-5)
    assert bend.direction == "down"
    assert bend.at == pytest.approx(cap.girth / 2, abs=1e-9)  # both sides alike: in the middle


def test_a_shop_that_adds_outside_lengths() -> None:
    cap = folded(ridge_cap(deducts=False), 53.1301)
    assert cap.girth / IN == pytest.approx(13.0, abs=1e-12)
    (bend,) = [b for b in cap.bends if b.number >= 0]
    assert bend.at / IN == pytest.approx(6.5, abs=1e-12)


def test_flats_and_allowances_make_the_girth() -> None:
    cap = folded(ridge_cap(), 100.0)
    assert sum(s.length for s in cap.stretches) == pytest.approx(cap.girth, abs=1e-9)
    assert [b.number for b in cap.bends] == [-1, 0, -1]
    assert [b.angle for b in cap.bends] == pytest.approx([180.0, 100.0, 180.0])


def test_a_bend_that_leaves_nothing_of_a_leg() -> None:
    # outside setback at 175°: (0.79 + 0.70)·tan 87.5° = 34 mm
    with pytest.raises(DocumentError, match="too short for its bends"):
        TrimProfile("z", (Leg("a", 30.0), Leg("b", 30.0)), (Bend(175.0),))
