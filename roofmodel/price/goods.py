"""Goods of the take-off with their prices."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from roofmodel.document import Units
from roofmodel.price.money import cents, plain, quantity
from roofmodel.price.types import PricedLine
from roofmodel.systems import RoofingSystem
from roofmodel.systems.prices import Price, PriceBook
from roofmodel.takeoff import Quantity
from roofmodel.units import (
    MM2_PER_SQ_FT,
    MM2_PER_SQUARE,
    MM_PER_FT,
    MM_PER_IN,
    format_length,
)

PANEL_KEY: Final = "panel:"
TRIM_KEY: Final = "trim:"

_DIVISORS: Final[Mapping[tuple[str, str], float]] = {
    ("mm", "foot"): MM_PER_FT,
    ("mm", "metre"): 1000.0,
    ("mm²", "square foot"): MM2_PER_SQ_FT,
    ("mm²", "square metre"): 1e6,
    ("mm²", "square"): MM2_PER_SQUARE,
    ("squares", "square"): 1.0,
    ("squares", "square foot"): 0.01,
    ("count", "each"): 1.0,
    ("share", "each"): 1.0,
}
"""Quantity ÷ this is the amount in the price's unit."""

_LENGTHS: Final[Mapping[str, float]] = {"foot": MM_PER_FT, "metre": 1000.0}
_SHOWN: Final = {"foot": Units(), "metre": Units("metric")}

UNIT_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "each": ("piece", "pieces"),
    "pack": ("pack", "packs"),
    "foot": ("ft", "ft"),
    "metre": ("m", "m"),
    "square foot": ("sq ft", "sq ft"),
    "square metre": ("m²", "m²"),
    "square": ("square", "squares"),
}


def priced_good(
    line: Quantity, book: PriceBook, systems: Mapping[str, RoofingSystem], factor: Decimal
) -> PricedLine:
    """One good with its price, its metal `factor` times as dear; without one if the book has no
    price for it, or one by a unit that the good is not measured in."""
    price = _price(line, book)
    measured = _measured(line, price, systems) if price else None
    if price is None or measured is None:
        amount, unit = _as_is(line)
        why = _why_missing(line, price)
        return _line(line, systems, amount, UNIT_WORDS[unit][1], None, None, "", why)
    amount, words = measured
    is_metal = line.key.startswith((PANEL_KEY, TRIM_KEY))
    times = factor if is_metal else Decimal(1)
    cost = cents(amount * price.price * times)
    unit = UNIT_WORDS[price.unit][0 if amount == 1 else 1]
    how = f"{plain(amount)} {unit} × {plain(price.price)}"
    if times != 1:
        how += f" × {plain(times)} (factor of the colour)"
    source = price.source or book.name
    return _line(line, systems, amount, unit, price.price, cost, how, source, words)


def _price(line: Quantity, book: PriceBook) -> Price | None:
    """The price by a line's own name, else that of the part whatever its length, by length."""
    found = book.price_of(line.key)
    if found is None and line.piece:
        found = book.price_of(line.key.partition(", ")[0])
        if found is not None and found.unit not in _LENGTHS:
            return None
    return found


def _measured(
    line: Quantity, price: Price, systems: Mapping[str, RoofingSystem]
) -> tuple[Decimal, str] | None:
    """The amount of a good in its price's unit, with the formula; None where that cannot be."""
    if line.pack:
        return (Decimal(line.packs), line.pack_how) if price.unit in ("pack", "each") else None
    divisor = _DIVISORS.get((line.unit, price.unit))
    if divisor is not None:
        return quantity(line.quantity / divisor), line.how
    length = _LENGTHS.get(price.unit)
    if length is None:
        return None
    if line.piece and line.unit == "count":
        each = format_length(line.piece, _SHOWN[price.unit])
        return quantity(line.quantity * line.piece / length), f"({line.how}) × {each}"
    system = systems.get(line.key.removeprefix(PANEL_KEY))
    if system is not None and line.unit == "mm²":
        # panels by the foot: the metal over its coverage
        wide = f"{system.coverage / MM_PER_IN:.6g} in (coverage)"
        return quantity(line.quantity / system.coverage / length), f"({line.how}) ÷ {wide}"
    return None


def _why_missing(line: Quantity, price: Price | None) -> str:
    if price is None:
        return f"no price for '{line.key}' in the price book"
    by = "packs" if line.pack else {"mm": "length", "mm²": "area"}.get(line.unit, "pieces")
    one = UNIT_WORDS[price.unit][0]
    return f"'{line.key}' is measured by {by}, its price in the book is by the {one}"


def _as_is(line: Quantity) -> tuple[Decimal, str]:
    """What there is of a good without a price, and its unit."""
    if line.pack:
        return Decimal(line.packs), "pack"
    if line.unit == "mm":
        return quantity(line.quantity / MM_PER_FT), "foot"
    if line.unit == "mm²":
        return quantity(line.quantity / MM2_PER_SQ_FT), "square foot"
    return quantity(line.quantity), "square" if line.unit == "squares" else "each"


def _line(
    line: Quantity,
    systems: Mapping[str, RoofingSystem],
    amount: Decimal,
    unit: str,
    rate: Decimal | None,
    cost: Decimal | None,
    how: str,
    source: str,
    measured: str = "",
) -> PricedLine:
    item = f"{line.item}, {line.pack}" if line.pack else line.item
    system = systems.get(line.key.removeprefix(PANEL_KEY))
    if system is not None:
        item = f"Panels: {system.name}"
    return PricedLine(
        "Materials",
        item,
        line.key,
        amount,
        unit,
        rate,
        cost,
        how,
        measured or line.how,
        source,
        line.planes,
        line.edges,
    )
