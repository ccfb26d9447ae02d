"""Money, shares and numbers as they are typed and shown. No Qt in here."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from roofmodel.errors import DocumentError
from roofmodel.price.money import plain, shown
from roofmodel.systems.prices import PRICE_UNITS, Price

_NUMBER: Final = re.compile(r"(\d{1,3}(,\d{3})+|\d+)?(\.\d+)?\Z", re.ASCII)
_LONGEST: Final = 24
_PER: Final = re.compile(r"(?P<money>[^a-z/]*\d[^a-z/]*)(?:/|per\b|a\b|by the\b)?(?P<unit>.*)\Z")
_UNITS: Final = {
    **{unit: unit for unit in PRICE_UNITS},
    **{"piece": "each", "ft": "foot", "feet": "foot", "m": "metre", "sq ft": "square foot"},
    **{"m²": "square metre", "m2": "square metre", "sq m": "square metre", "squares": "square"},
}


def number(text: str, what: str, example: str) -> Decimal:
    """A number, 0 or more, with a point for decimals; DocumentError says what is wanted.

    >>> number("1,250.50", "A price", "12.50")
    Decimal('1250.50')
    """
    body = text.strip()
    if not body or len(body) > _LONGEST or _NUMBER.match(body) is None:
        raise DocumentError(
            f"{what} must be a number, 0 or more, such as {example}, not '{_short(text)}'."
        )
    return Decimal(body.replace(",", ""))


def money(text: str, currency: str) -> Decimal:
    """An amount of money, with or without its currency.

    >>> money("$ 12.50", "$")
    Decimal('12.50')
    """
    body = text.strip()
    for sign in filter(None, (currency, "$")):
        body = body.removeprefix(sign).removesuffix(sign).strip()
    return number(body, "An amount of money", "12.50")


def share(text: str, what: str) -> Decimal:
    """A share that was typed in per cent.

    >>> share("12.5 %", "The overhead")
    Decimal('0.125')
    """
    return number(text.strip().removesuffix("%"), what, "12.5 %") / 100


def price_typed(text: str, before: Price, currency: str) -> Price:
    """A price as it was typed, by the unit it had or by one named with it.

    >>> price_typed("3.10 per square foot", Price("x", "foot", Decimal(2)), "$").unit
    'square foot'
    """
    body = text.strip()
    for sign in filter(None, (currency, "$")):
        body = body.removeprefix(sign).strip()
    found = _PER.match(body.lower())
    unit = found["unit"].strip() if found else ""
    if not unit:
        return Price(before.key, before.unit, money(text, currency), before.source)
    assert found is not None
    if unit not in _UNITS:
        raise DocumentError(
            f"A price is by one of {', '.join(PRICE_UNITS)}, not by '{_short(unit)}'."
        )
    amount = money(found["money"], currency)
    return Price(before.key, _UNITS[unit], amount, before.source)  # type: ignore[arg-type]


def as_money(value: Decimal, currency: str) -> str:
    """An amount with its currency.

    >>> as_money(Decimal("-1234.5"), "$"), as_money(Decimal(3), "EUR")
    ('−$1,234.50', 'EUR 3.00')
    """
    sign = "−" if value < 0 else ""
    gap = "" if len(currency) == 1 else " "
    return f"{sign}{currency}{gap}{shown(abs(value))}"


def as_share(value: Decimal) -> str:
    """A share in per cent: ``12.5 %``."""
    return f"{plain(value * 100)} %"


def _short(text: str, most: int = 24) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else f"{text[:most]}…"
