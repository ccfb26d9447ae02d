"""The text of a printed formula evaluated as a reader with a pocket calculator would, twice:
with its numbers as they stand, and as an interval, each number anywhere within its rounding.

It knows the grammar (`roofmodel.takeoff.formula` tells it in words) and nothing else of the
program.

Exact are: whole numbers without a unit or with a word as their unit (``14 panels``), whole per
cents, areas without decimals (``100 sq ft``), and inches that stand alone (``16"``: a size of
goods or of a rule). Every other number lies within half of its last digit, feet and inches within
half of the project's fraction of an inch.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import NoReturn, Protocol

IN, FT = 25.4, 304.8
_SLACK = 1e-5
"""Share of a half digit by which a tie may fall on the other side."""
_REL = 1e-9
"""Computing with doubles."""

_UNITS = {
    "mm": (1.0, 1), "cm": (10.0, 1), "m": (1000.0, 1), "ft": (FT, 1), "in": (IN, 1),
    "sq ft": (FT**2, 2), "m²": (1e6, 2), "sq in": (IN**2, 2), "%": (0.01, 0),
}  # fmt: skip
"""Size in mm, mm² or 1, and the power of a length."""

_NUMBER = r"(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)"
_FEET = re.compile(rf"({_NUMBER})'-([0-9]+)(?: ([0-9]+)/([0-9]+))?\"")
_INCHES = re.compile(rf"(?:({_NUMBER})(\.[0-9]+)?(?: ([0-9]+)/([0-9]+))?|([0-9]+)/([0-9]+))\"")
_PLAIN = re.compile(rf"({_NUMBER})(\.[0-9]+)?")
_WORD = re.compile(r" ?(?!rounded up|larger of|smaller of)(?:%|[A-Za-z°][A-Za-z°/.'-]*²?)")
_REMARK = re.compile(r" \(([^\W\d_][^()]*)\)")
_ROUNDED = re.compile(r",? rounded up(?![a-z])")
_CHOICE = re.compile(r"(larger|smaller) of \(")
_SIGN = re.compile(r" [+−] ")
_SPACED = re.compile(r" ?([+−×÷]) ?")


class Units(Protocol):
    """How the project shows lengths."""

    @property
    def system(self) -> str:
        """Feet or metric."""

    @property
    def fraction(self) -> int:
        """Inches are shown to 1/`fraction`."""


class Line(Protocol):
    """What is looked at of a quantity."""

    @property
    def group(self) -> str:
        """As in the take-off."""

    @property
    def item(self) -> str:
        """As in the take-off."""

    @property
    def unit(self) -> str:
        """ "mm", "mm²", "squares", "share" or "count"."""

    @property
    def quantity(self) -> float:
        """In that unit."""

    @property
    def how(self) -> str:
        """The printed formula."""

    @property
    def packs(self) -> int:
        """0 where there are none."""

    @property
    def pack_how(self) -> str:
        """The printed formula of the packs."""


class FormulaError(AssertionError):
    """The text is no formula: what, and where."""


@dataclass(frozen=True)
class Value:
    """`point` is what the numbers give as they stand, `low` and `high` what they can give; mm,
    mm² or 1 by `power` (1, 2, 0)."""

    low: float
    point: float
    high: float
    power: int = 0

    @property
    def width(self) -> float:
        return self.high - self.low

    def each(self, function: Callable[[float], float], power: int) -> Value:
        """Of a function that does not fall."""
        return Value(function(self.low), function(self.point), function(self.high), power)


def evaluate(text: str, units: Units) -> Value:
    """What a formula gives; FormulaError if it is none."""
    reader = _Reader(text, units)
    value = reader.sum()
    if reader.at != len(text):
        reader.fail("nothing may follow here but + − × ÷ ² or a remark in brackets")
    return value


def check(quantity: Line, units: Units) -> None:
    """The printed formula of a line gives its quantity, closely; a count it gives exactly."""
    name = f"{quantity.group} / {quantity.item}"
    value = _read(name, quantity.how, units)
    expected_power, per, unit = _expected(quantity.unit, units)
    _compare(name, quantity.how, quantity.quantity, value, (expected_power, per, unit))
    if quantity.unit == "count":
        _compare_count(name, quantity.how, quantity.quantity, value)
    if quantity.packs or quantity.pack_how:
        check_packs(quantity, units)


def check_packs(quantity: Line, units: Units) -> None:
    """The printed formula of the packs gives their number."""
    name = f"{quantity.group} / {quantity.item}, packs"
    value = _read(name, quantity.pack_how, units)
    _compare(name, quantity.pack_how, quantity.packs, value, (0, 1.0, 1.0))
    _compare_count(name, quantity.pack_how, quantity.packs, value)


def _read(name: str, text: str, units: Units) -> Value:
    try:
        return evaluate(text, units)
    except FormulaError as error:
        raise FormulaError(f"{name}: {error}") from None


def _expected(unit: str, units: Units) -> tuple[int, float, float]:
    """Power, size in the unit of `Value`, and what one unit of rounding is, of a quantity."""
    if unit == "mm":
        return 1, 1.0, 1.0 if units.system == "metric" else IN / units.fraction
    if unit == "mm²":
        return 2, 1.0, 1e4 if units.system == "metric" else 0.1 * FT**2
    if unit == "kg":
        return 0, 1.0 if units.system == "metric" else 1.0 / 0.45359237, 0.1
    if unit == "mm³":  # in cubic yards or cubic metres
        return 0, 1e-9 if units.system == "metric" else 1.0 / 914.4**3, 0.01
    return {"squares": (0, 1.0, 0.01), "share": (0, 1.0, 0.001), "count": (0, 1.0, 1.0)}.get(
        unit, (0, 1.0, 0.1)
    )


def _compare(
    name: str, text: str, quantity: float, value: Value, expected: tuple[int, float, float]
) -> None:
    power, per, unit = expected
    wanted = quantity * per
    kinds = {0: "a number", 1: "a length", 2: "an area"}
    assert value.power == power, (
        f"{name}: the formula gives {kinds.get(value.power, f'a length to {value.power}')}, the"
        f" line is {kinds[power]}: {text}"
    )
    slack = _REL * max(abs(value.low), abs(value.high), 1.0)
    assert value.low - slack <= wanted <= value.high + slack, (
        f"{name}: the formula gives {value.point:.6g} ({value.low:.6g} to {value.high:.6g}), the"
        f" line says {wanted:.6g}: {text}"
    )
    # terms of a sum each have their own rounding
    terms = len(_SIGN.findall(_REMARK.sub("", text))) + 1
    units = 1.0 if unit == 1.0 and not power else max(2.0, terms) * (1.0 + 2.0 * _SLACK)
    most = max(0.01 * abs(wanted), units * unit)
    assert value.width <= most + slack, (
        f"{name}: the formula gives anything from {value.low:.6g} to {value.high:.6g} for"
        f" {wanted:.6g}; print more digits: {text}"
    )


def _compare_count(name: str, text: str, quantity: float, value: Value) -> None:
    assert abs(value.point - quantity) <= 1e-6 * max(1.0, abs(quantity)), (
        f"{name}: the numbers as they stand give {value.point:.6g}, the line says"
        f" {quantity:g}: {text}"
    )


class _Reader:
    """Reads from left to right; `at` is the next character."""

    def __init__(self, text: str, units: Units) -> None:
        self.text, self.units, self.at = text, units, 0

    def fail(self, why: str) -> NoReturn:
        rest = self.text[self.at :] or "its end"
        raise FormulaError(f"cannot read {rest!r} of {self.text!r}: {why}")

    def _take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.match(self.text, self.at)
        if found:
            self.at = found.end()
        return found

    def _skip(self, literal: str) -> bool:
        if self.text.startswith(literal, self.at):
            self.at += len(literal)
            return True
        return False

    def _operator(self, which: str) -> str:
        found = _SPACED.match(self.text, self.at)
        if found is None or found[1] not in which:
            return ""
        self.at = found.end()
        return found[1]

    def sum(self) -> Value:
        value = self.product()
        while sign := self._operator("+−"):
            other = self.product()
            if other.power != value.power:
                self.fail("lengths, areas and numbers cannot be added to one another")
            if sign == "−":
                other = Value(-other.high, -other.point, -other.low, other.power)
            value = Value(
                value.low + other.low,
                value.point + other.point,
                value.high + other.high,
                value.power,
            )
        return value

    def product(self) -> Value:
        """Factors from left to right; "rounded up" is for all that stands before it in the
        product."""
        value = self._rounded(self.factor())
        while sign := self._operator("×÷"):
            value = self._rounded(self._times(value, self.factor(), sign))
        return value

    def _times(self, one: Value, two: Value, sign: str) -> Value:
        if sign == "÷":
            if two.low <= 0.0 <= two.high:
                self.fail("this divides by what may be 0")
            two = Value(1.0 / two.high, 1.0 / two.point, 1.0 / two.low, -two.power)
        corners = [a * b for a in (one.low, one.high) for b in (two.low, two.high)]
        return Value(min(corners), one.point * two.point, max(corners), one.power + two.power)

    def _rounded(self, value: Value) -> Value:
        while self._take(_ROUNDED):
            if value.power:
                self.fail("only numbers are rounded up, neither lengths nor areas")
            value = value.each(lambda x: float(math.ceil(x - _REL * max(1.0, abs(x)))), 0)
            self._remarks()
        return value

    def factor(self) -> Value:
        if self._skip("√"):
            value = self.factor()
            if value.power % 2 or value.point < 0.0:
                self.fail("no root of this")
            return value.each(lambda x: math.sqrt(max(x, 0.0)), value.power // 2)
        value = self.operand()
        self._remarks()
        while self._skip("²"):
            ends = [value.low**2, value.high**2]
            low = 0.0 if value.low <= 0.0 <= value.high else min(ends)
            value = Value(low, value.point**2, max(ends), 2 * value.power)
            self._remarks()
        return value

    def operand(self) -> Value:
        if choice := self._take(_CHOICE):
            values = [self.sum()]
            while self._skip(", "):
                values.append(self.sum())
            if not self._skip(")") or len(values) < 2:
                self.fail("larger of and smaller of want two or more, in brackets")
            if len({v.power for v in values}) > 1:
                self.fail("lengths, areas and numbers cannot be compared")
            best = max if choice[1] == "larger" else min
            return Value(
                best(v.low for v in values),
                best(v.point for v in values),
                best(v.high for v in values),
                values[0].power,
            )
        if self._skip("("):
            value = self.sum()
            if not self._skip(")"):
                self.fail("a bracket is not closed")
            return value
        return self.number()

    def number(self) -> Value:
        if found := self._take(_FEET):
            inches = _whole(found[1]) * 12 + int(found[2]) + _part(found[3], found[4])
            return _around(inches * IN, 0.5 / self.units.fraction * IN, 1)
        if found := self._take(_INCHES):
            whole, decimals, up, down, only, under = found.groups()
            inches = _whole(whole or "0") + float(decimals or 0)
            inches += _part(up, down) + _part(only, under)
            return _around(inches * IN, _half(decimals) * IN if decimals else 0.0, 1)
        found = self._take(_PLAIN)
        if not found:
            self.fail("a number is wanted here")
        return self._with_unit(_whole(found[1]) + float(found[2] or 0), found[2] or "")

    def _with_unit(self, number: float, decimals: str) -> Value:
        """A number and the unit or the words after it."""
        start = self.at
        while self._take(_WORD):
            pass
        words = self.text[start : self.at].strip()
        if words == "mm²":
            self.fail("write (3000 mm)² or m²")
        if self.text[self.at : self.at + 1].isdigit():
            self.fail("a number within words")
        size, power = _UNITS.get(words, (1.0, 0))
        exact = not decimals and (power != 1)
        half = 0.0 if exact else _half(decimals)
        if words not in _UNITS and " per " in f" {words}":
            per, under = _UNITS.get(words.rpartition("per ")[2], (1.0, 0))
            size, power = 1.0 / per, -under
        return _around(number * size, half * size, power)

    def _remarks(self) -> None:
        while self._take(_REMARK):
            pass


def _whole(text: str) -> int:
    return int(text.replace(",", ""))


def _part(up: str | None, down: str | None) -> float:
    return int(up) / int(down) if up and down else 0.0


def _half(decimals: str) -> float:
    """Half of the last digit shown; `decimals` with its point, "" for none."""
    return 0.5 * 10.0 ** -max(len(decimals) - 1, 0)


def _around(middle: float, half: float, power: int) -> Value:
    half *= 1.0 + _SLACK
    return Value(middle - half, middle, middle + half, power)
