"""Money, shares and prices as they are typed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from roofmodel.errors import DocumentError
from roofmodel.systems.prices import Price
from roofmodel_ui.money_words import as_money, as_share, money, number, price_typed, share

BEFORE = Price("panel:x", "foot", Decimal(3), "list of spring")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("12.50", "12.50"), ("$12.50", "12.50"), (" $ 1,250 ", "1250"), (".5", ".5"), ("0", "0"),
     ("12.50 $", "12.50")],
)  # fmt: skip
def test_money_is_understood(typed: str, meant: str) -> None:
    assert money(typed, "$") == Decimal(meant)


@pytest.mark.parametrize(
    "typed",
    ["", "twelve", "-3", "1,25", "1.2.3", "nan", "inf", "1e9", "12.", "9" * 40, "٣", "3 4"],
)
def test_what_is_no_money_is_refused_in_one_sentence(typed: str) -> None:
    with pytest.raises(DocumentError) as caught:
        money(typed, "$")
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert "such as 12.50" in sentence
    assert len(sentence) < 120


def test_shares_are_typed_in_per_cent() -> None:
    assert share("12.5 %", "The overhead") == Decimal("0.125")
    assert share("7", "Tax") == Decimal("0.07")
    with pytest.raises(DocumentError, match=r"^The overhead must be a number"):
        share("much", "The overhead")
    assert as_share(Decimal("0.0725")) == "7.25 %"


@pytest.mark.parametrize(
    ("typed", "price", "unit"),
    [("3.10", "3.10", "foot"), ("$3.10 per square foot", "3.10", "square foot"),
     ("310/square", "310", "square"), ("4 by the metre", "4", "metre"), ("2 a piece", "2", "each"),
     ("5 ft", "5", "foot")],
)  # fmt: skip
def test_a_price_may_name_its_unit(typed: str, price: str, unit: str) -> None:
    found = price_typed(typed, BEFORE, "$")
    assert (found.key, found.price, found.unit) == ("panel:x", Decimal(price), unit)
    assert found.source == "list of spring"


@pytest.mark.parametrize("typed", ["3 per barrel", "per foot", "foot", "3 per", "x"])
def test_an_unknown_unit_is_refused(typed: str) -> None:
    with pytest.raises(DocumentError, match=r"\.$"):
        price_typed(typed, BEFORE, "$")


def test_money_is_shown_with_its_currency() -> None:
    assert as_money(Decimal("1234.5"), "$") == "$1,234.50"
    assert as_money(Decimal("-0.5"), "CHF") == "−CHF 0.50"
    assert number("1,000", "It", "1") == 1000
