"""Prices worked by hand on paper-sized jobs."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace

from roofmodel.price import Site, priced
from roofmodel.price.money import cents, quantity, rounded
from roofmodel.results import results_of
from roofmodel.surface import Surface
from roofmodel.systems.prices import Colour, Price, PriceBook, Task
from roofmodel.takeoff import Quantity, TakeOff
from tests.houses import FT, GABLE, RECTANGLE, plain_system, project, section

D = Decimal
NOTHING = Site(1, {})


def book(**fields: Any) -> PriceBook:
    given: dict[str, Any] = {
        "name": "test",
        "prices": (),
        "tasks": (),
        "hourly": D(50),
        "overhead": D("0.10"),
        "margin": D("0.20"),
        "tax": D("0.07"),
    }
    return PriceBook(**(given | fields))


def good(unit: str, amount: float, key: str = "thing", **more: Any) -> Quantity:
    return Quantity("Goods", "Thing", unit, amount, "how", "source", key=key, **more)


def job(*lines: Quantity) -> TakeOff:
    return TakeOff((), (), lines, (), {}, frozenset())


def price_of(lines: tuple[Quantity, ...], a_book: PriceBook, colour: str = "") -> Any:
    return priced(job(*lines), Surface((), (), ()), (plain_system(),), a_book, NOTHING, colour)


def test_from_cost_to_price_by_hand() -> None:
    """1,000 pieces at 0.125 are 125.00; overhead 10 % 12.50; 137.50 ÷ (1 − 20 %) = 171.875, half
    up 171.88; margin 171.88 − 137.50 = 34.38; tax 7 % of materials 8.75; 180.63, to whole money
    181."""
    result = price_of((good("count", 1000.0),), book(prices=(Price("thing", "each", D("0.125")),)))
    amounts = {s.name: s.amount for s in result.steps}
    assert amounts == {
        "Materials": D("125.00"),
        "Work": D("0.00"),
        "Cost": D("125.00"),
        "Overhead": D("12.50"),
        "Margin": D("34.38"),
        "Price before tax": D("171.88"),
        "Tax": D("8.75"),
        "Price": D("181.00"),
    }
    assert result.price == D("181.00")
    assert result.is_whole
    # tax on the price: 7 % of 171.88 is 12.0316
    on_price = price_of(
        (good("count", 1000.0),),
        book(prices=(Price("thing", "each", D("0.125")),), tax_on="price", round_to=D("0.01")),
    )
    assert on_price.price == D("171.88") + D("12.03")


@pytest.mark.parametrize(
    ("unit", "amount", "by", "wanted"),
    [
        ("mm", 10 * FT, "foot", "10"),
        ("mm", 1234.5, "metre", "1.235"),  # 1.2345 half up
        ("mm²", 100 * FT * FT, "square foot", "100"),
        ("mm²", 250 * FT * FT, "square", "2.5"),
        ("mm²", 3.2e6, "square metre", "3.2"),
        ("squares", 10.7331, "square", "10.733"),
        ("squares", 10.7331, "square foot", "1073.31"),
        ("count", 14.0, "each", "14"),
    ],
)
def test_amounts_in_the_units_of_prices(unit: str, amount: float, by: str, wanted: str) -> None:
    price = Price("thing", by, D(2))  # type: ignore[arg-type]
    (line,) = price_of((good(unit, amount),), book(prices=(price,))).lines
    assert line.quantity == D(wanted)
    assert line.amount == cents(D(wanted) * 2)


def test_goods_in_packs_are_bought_by_the_pack() -> None:
    screws = good("count", 1120.0, packs=5, pack="bag of 250", pack_how="1120 ÷ 250 rounded up")
    (line,) = price_of((screws,), book(prices=(Price("thing", "pack", D("24.50")),))).lines
    assert (line.quantity, line.amount) == (D(5), D("122.50"))
    assert line.how == "5 packs × 24.5"
    assert line.measured == "1120 ÷ 250 rounded up"


def test_panels_by_the_foot_are_their_metal_over_the_coverage() -> None:
    metal = good("mm²", 3 * FT * 100 * FT, key="panel:plain")  # 36 in wide, 100 ft long
    (line,) = price_of((metal,), book(prices=(Price("panel:plain", "foot", D("3.40")),))).lines
    assert (line.quantity, line.amount) == (D(100), D("340.00"))


def test_a_colour_makes_panels_and_trim_dearer_and_nothing_else() -> None:
    a_book = book(
        prices=tuple(Price(k, "each", D(10)) for k in ("panel:plain", "trim:ridge cap", "screw")),
        colours=(Colour("Copper brown", "#7a4a2a", D("1.15")),),
    )
    lines = tuple(good("count", 2.0, k) for k in ("panel:plain", "trim:ridge cap", "screw"))
    amounts = [li.amount for li in price_of(lines, a_book, "Copper brown").lines]
    assert amounts == [D("23.00"), D("23.00"), D("20.00")]
    assert [li.amount for li in price_of(lines, a_book).lines] == [D("20.00")] * 3


def test_a_missing_price_is_missing_and_never_nothing() -> None:
    lines = (good("count", 3.0, "known"), good("count", 7.0, "unknown"), good("mm", FT, "long"))
    a_book = book(prices=(Price("known", "each", D(2)), Price("long", "pack", D(9))))
    result = price_of(lines, a_book)
    by_key = {li.key: li for li in result.lines}
    assert by_key["unknown"].amount is None
    assert by_key["unknown"].source == "no price for 'unknown' in the price book"
    assert by_key["long"].amount is None  # a length has no price by the pack
    assert "measured by length" in by_key["long"].source
    assert not result.is_whole
    assert result.materials == D("6.00")


def test_work_on_a_gable_by_hand() -> None:
    """Gable 40×24 at 6/12: 1073.3126 sq ft. 10.733 squares at 1.5 hours are 16.0995, half up
    16.100 hours; ridge 40 ft at 0.05 hours 2 hours; a day to set up 8 hours at any slope."""
    made = results_of(project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))))
    ids = [p.id for p in made.surface.planes]
    tasks = (
        Task("lay panels", "panel squares", D("1.5")),
        Task("ridge", "ridge length", D("0.05")),
        Task("set up", "job", D(8), on_slopes=False),
        Task("take off", "torn-off squares", D(1)),
        Task("chimneys", "opening", D(3)),
        Task("other system", "panel squares", D(9), systems=("other one",)),
    )
    by_name = {}
    for slower in ({}, dict.fromkeys(ids, D("1.2"))):
        site = Site(2, slower)
        result = priced(
            made.take_off, made.surface, made.project.systems(), book(tasks=tasks), site
        )
        by_name[len(slower)] = {li.item: li.quantity for li in result.lines if li.group == "Work"}
    assert by_name[0] == {
        "lay panels": D("16.100"),
        "ridge": D("2.000"),
        "set up": D("8.000"),
        "take off": D("21.466"),
    }
    # 10.733 × 1.5 × 1.2 = 19.3194; 2 × 1.2; 21.466 × 1.2 = 25.7592
    assert by_name[2] == {
        "lay panels": D("19.319"),
        "ridge": D("2.400"),
        "set up": D("8.000"),
        "take off": D("25.759"),
    }


def test_half_up_and_no_noise() -> None:
    assert quantity(0.1 + 0.2) == D("0.300")
    assert quantity(2.0005) == D("2.001")
    assert cents(D("2.675")) == D("2.68")  # a float would give 2.67
    assert rounded(D("1249.99"), D(50)) == D("1250.00")
    assert math.isclose(float(quantity(1 / 3)), 0.333)


def test_one_price_changed_moves_its_line_and_the_sums_alone() -> None:
    lines = (good("count", 3.0, "a"), good("count", 7.0, "b"))
    one = book(prices=(Price("a", "each", D(2)), Price("b", "each", D(5))))
    two = replace(one, prices=(Price("a", "each", D(2)), Price("b", "each", D(6))))
    before, after = price_of(lines, one), price_of(lines, two)
    moved = [a.key for a, b in zip(before.lines, after.lines, strict=True) if a != b]
    assert moved == ["b"]
    assert after.materials - before.materials == D("7.00")
