"""The reader of printed formulas reads what is written, and refuses what is none."""

from __future__ import annotations

import pytest

from roofmodel.document import Units
from roofmodel.takeoff import Quantity
from tests.takeoff.printed_formula import FT, IN, FormulaError, check, evaluate

FEET, FINE, METRIC = Units(), Units("feet", 16), Units("metric")

POINTS = [
    ("2 + 3 × 4", 14.0, 0),
    ("(2 + 3) × 4 − 1", 19.0, 0),
    ('13\'-5" (South 1) + 2 × 4 1/2"', (13 * 12 + 5 + 9) * IN, 1),
    ('40\'-0" ÷ 36" (coverage), rounded up', 14.0, 0),
    ('40\'-0" ÷ 16" rounded up + 2 (pieces of split strips)', 32.0, 0),
    ("7 ÷ 2 rounded up × 3", 12.0, 0),
    ("1,073.31 sq ft ÷ 100 sq ft × 80 screws", 858.648, 0),
    ("536.66 sq ft (South 1) + 536.66 sq ft (North 1)", 1073.32 * FT**2, 2),
    ("√((40'-0\")² + (30'-0\")²)", 50 * FT, 1),
    ("√((3000 mm)² + (4000 mm)²)", 5000.0, 1),
    ("√3'-0\" × √3'-0\"", None, 1),
    ("larger of (3'-0\" (least), 10 % × 40'-0\")", 4 * FT, 1),
    ("smaller of (larger of (1, 2), 3)", 2.0, 0),
    ("12 % + 0.5 %", 0.125, 0),
    ("3,048 mm ÷ 304.8 mm", 10.0, 0),
    ("99.715 m² ÷ 9.2903 m²", 99.715 / 9.2903, 0),
    ("100 sq ft × 1.5 lb per sq ft", 150.0, 0),
    ("14 panels (South 1) (laid first) + 14 panels", 28.0, 0),
    ('1/2" × 2', IN, 1),
]


@pytest.mark.parametrize(("text", "point", "power"), POINTS)
def test_what_is_written_is_read(text: str, point: float | None, power: int) -> None:
    if point is None:
        with pytest.raises(FormulaError, match="no root"):
            evaluate(text, FEET)
        return
    value = evaluate(text, FEET)
    assert value.point == pytest.approx(point, rel=1e-12)
    assert value.power == power
    assert value.low <= value.point <= value.high


WIDTHS = [
    ("13'-5\"", FEET, IN / 8),
    ("13'-5 1/16\"", FINE, IN / 16),
    ('36"', FEET, 0.0),
    ('39.37"', FEET, 0.01 * IN),
    ("7480 mm", METRIC, 1.0),
    ("914.4 mm", METRIC, 0.1),
    ("536.66 sq ft", FEET, 0.01 * FT**2),
    ("100 sq ft", FEET, 0.0),
    ("12.5 %", FEET, 0.001),
    ("12 %", FEET, 0.0),
    ("14 panels", FEET, 0.0),
    ("1.118034", FEET, 1e-6),
    ("4 × 13'-5\" − 3 × 1'-0\"", FEET, 7 * IN / 8),
]


@pytest.mark.parametrize(("text", "units", "width"), WIDTHS)
def test_numbers_lie_within_their_rounding(text: str, units: Units, width: float) -> None:
    assert evaluate(text, units).width == pytest.approx(width, rel=1e-4, abs=1e-12)


NO_FORMULAS = [
    ("plan 3'-0\"", "a number is wanted"),
    ("3'-0\" + 2", "cannot be added"),
    ("South 1 536.66 sq ft", "a number is wanted"),
    ("14 panels South 1", "nothing may follow"),
    ("536.66 sq ft (2nd floor)", "nothing may follow"),
    ("3000 mm²", "write"),
    ("(2 + 3", "not closed"),
    ("3'-0\" rounded up", "only numbers"),
    ("4 ÷ (1'-0\" − 1'-0\")", "divides"),
    ("larger of (3)", "two or more"),
    ("4 + ", "a number is wanted"),
    ("4 panels; see note", "nothing may follow"),
    ("", "a number is wanted"),
]


@pytest.mark.parametrize(("text", "why"), NO_FORMULAS)
def test_what_is_no_formula_is_refused(text: str, why: str) -> None:
    with pytest.raises(FormulaError, match=why):
        evaluate(text, FEET)


def line(how: str, quantity: float, unit: str = "count", **more: object) -> Quantity:
    return Quantity("Goods", "Thing", unit, quantity, how, "rule", **more)  # type: ignore[arg-type]


def test_lines_are_checked() -> None:
    check(line('40\'-0" ÷ 16" rounded up', 30), FEET)
    check(line("13'-5\"", 13 * FT + 5.06 * IN, "mm"), FEET)
    check(line("1,073.31 sq ft ÷ 100 sq ft", 10.7331, "squares"), FEET)
    check(line("1,120 screws", 1120, packs=5, pack="bag", pack_how="1,120 ÷ 250 rounded up"), FEET)
    for how, quantity, unit, why in (
        ("13'-5\"", 13 * FT + 5.07 * IN, "mm", "the line says"),
        ("30", 31, "count", "the line says"),
        ("29.7 × 1.01", 30, "count", "as they stand"),
        ("13'-5\"", 13, "count", "the formula gives a length"),
        ("3 sq ft × 0.5", 1.5 * FT**2, "mm²", "print more digits"),
    ):
        with pytest.raises(AssertionError, match=why):
            check(line(how, quantity, unit), FEET)
    with pytest.raises(AssertionError, match="packs"):
        check(line("5", 5, packs=2, pack_how="5 ÷ 5"), FEET)
