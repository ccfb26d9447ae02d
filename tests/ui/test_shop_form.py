"""Weights as they are typed: decimal commas, thousands, every way of writing the unit."""

from __future__ import annotations

import pytest

from roofmodel.document import Units
from roofmodel.errors import TextError
from roofmodel.units import KG_PER_LB
from roofmodel_ui.panels.shop_form import sheet_weight, weight

FEET, METRIC = Units(), Units("metric")
LB_PER_SQ_FT = KG_PER_LB / 0.3048**2


@pytest.mark.parametrize(
    ("typed", "units", "kg"),
    [
        ("1,5 kg", FEET, 1.5),
        ("1,5", METRIC, 1.5),
        ("907,2 kg", METRIC, 907.2),
        ("2,000 lb", FEET, 2000 * KG_PER_LB),
        ("2,000", FEET, 2000 * KG_PER_LB),
        ("2,000.5 lb", METRIC, 2000.5 * KG_PER_LB),
        ("1,000,000", FEET, 1_000_000 * KG_PER_LB),
        ("2000 lbs", FEET, 2000 * KG_PER_LB),
        ("2000 pounds", METRIC, 2000 * KG_PER_LB),
        ("0,500 kg", METRIC, 0.5),
        ("900kg", FEET, 900.0),
    ],
)
def test_weights(typed: str, units: Units, kg: float) -> None:
    assert weight(typed, units) == pytest.approx(kg)


@pytest.mark.parametrize(
    ("typed", "units", "kg"),
    [
        ("4,5", METRIC, 4.5),
        ("4,5 kg/m²", FEET, 4.5),
        ("5.6 kg/m2", METRIC, 5.6),
        ("5.6 kg / m²", METRIC, 5.6),
        ("5.6 kg/m^2", METRIC, 5.6),
        ("5.6 kg per sq m", FEET, 5.6),
        ("5.6 kg per square metre", FEET, 5.6),
        ("1.156 psf", FEET, 1.156 * LB_PER_SQ_FT),
        ("1.156 lb/sq ft", METRIC, 1.156 * LB_PER_SQ_FT),
        ("1.156 lbs/sq.ft.", FEET, 1.156 * LB_PER_SQ_FT),
        ("1.156 lb/ft²", FEET, 1.156 * LB_PER_SQ_FT),
        ("1.156 lb per ft2", FEET, 1.156 * LB_PER_SQ_FT),
        ("1,16 lb per square foot", FEET, 1.16 * LB_PER_SQ_FT),
        ("1.2", FEET, 1.2 * LB_PER_SQ_FT),
    ],
)
def test_weights_of_a_sheet(typed: str, units: Units, kg: float) -> None:
    assert sheet_weight(typed, units) == pytest.approx(kg)


@pytest.mark.parametrize(
    "typed", ["", "kg", "1,2,3", "1.5.5", "-4", "4 t", "1e3", "nan", "5 kg/m"]
)
def test_what_is_none_is_refused(typed: str) -> None:
    for parse in (weight, sheet_weight):
        with pytest.raises(TextError, match=r"is no weight.* Write "):
            parse(typed, FEET)


def test_what_could_be_two_things_is_refused() -> None:
    with pytest.raises(TextError, match=r"could be 2000 or 2\.000\. Write 2000 lb or 900 kg\."):
        weight("2,000 kg", METRIC)
