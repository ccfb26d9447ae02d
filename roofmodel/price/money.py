"""Decimal arithmetic as on paper: half up, at places that are stated."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

CENT: Final = Decimal("0.01")
_THOUSANDTH: Final = Decimal("0.001")


def quantity(value: float) -> Decimal:
    """A measured quantity with three decimals, half up. A float's digits beyond the twelfth are
    noise and cannot turn a half.

    >>> quantity(2.0005), quantity(1/3)
    (Decimal('2.001'), Decimal('0.333'))
    """
    return Decimal(f"{value:.12g}").quantize(_THOUSANDTH, ROUND_HALF_UP)


def cents(value: Decimal) -> Decimal:
    """An amount to the cent, half up.

    >>> cents(Decimal("1.005"))
    Decimal('1.01')
    """
    return value.quantize(CENT, ROUND_HALF_UP)


def rounded(value: Decimal, to: Decimal) -> Decimal:
    """An amount to the nearest multiple of `to`, half up.

    >>> rounded(Decimal("12345.50"), Decimal(1)), rounded(Decimal("12345"), Decimal(50))
    (Decimal('12346.00'), Decimal('12350.00'))
    """
    return cents((value / to).quantize(Decimal(1), ROUND_HALF_UP) * to)


def shown(value: Decimal) -> str:
    """An amount with separators and cents: ``12,345.60``."""
    return f"{cents(value):,}"


def plain(value: Decimal) -> str:
    """A number without idle zeros: ``0.08``, ``24.5``, ``1,120``."""
    text = f"{value:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def share(value: Decimal) -> str:
    """A share as a percentage: ``7.25 %``."""
    return f"{plain(value * 100)} %"
