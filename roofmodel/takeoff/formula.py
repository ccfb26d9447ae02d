"""How a quantity's formula is written, so that anybody can check it with a pocket calculator.

A formula is made of numbers with their units, ``+ − × ÷ √ ² ( )`` and the words ``rounded up``
(for all that stands before them in a product: ``40'-0" ÷ 36" rounded up + 2``),
``larger of (a, b)`` and ``smaller of (a, b)``. Numbers are written as on every sheet: ``13'-5"``,
``4 1/2"``, ``536.66 sq ft``, ``3,048 mm``, ``12 %``. A remark stands in round brackets and begins
with a letter: ``536.66 sq ft (South 1) + 536.66 sq ft (North 1)``; words that follow a number
without brackets are its unit (``14 panels``), digits are no part of them. Nothing else stands in a
formula; whatever else is to be said goes into the line's note.

Numbers show enough digits that the formula gives the quantity to within their rounding, and a
count exactly, taken as they stand. Exact are whole numbers without a unit or with a word as their
unit, whole per cents, areas without decimals (``100 sq ft``) and inches that stand alone
(``16"``); so sizes of goods and rules are written by `size`, lengths of the roof with feet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from roofmodel.units import MM2_PER_SQ_FT, MM_PER_IN, LengthUnits, format_length, round_half_up

Term = tuple[str, float]
"""A number as it is printed, and what the printed digits say (mm)."""


def remark(words: str) -> str:
    """Words in brackets that no one takes for numbers.

    >>> remark("South 1"), remark("2nd garage")
    ('(South 1)', '(at 2nd garage)')
    """
    clean = words.replace("(", "").replace(")", "").strip()
    return f"({clean})" if clean[:1].isalpha() else f"(at {clean})"


def labelled(number: str, words: str) -> str:
    """A number and what it belongs to.

    >>> labelled("536.66 sq ft", "South 1")
    '536.66 sq ft (South 1)'
    """
    return f"{number} {remark(words)}"


def sum_of(terms: Iterable[str]) -> str:
    """Terms of a sum."""
    return " + ".join(terms)


def counted(counts: Iterable[tuple[int, str]]) -> str:
    """A sum of counts with what each belongs to.

    >>> counted([(14, "South 1"), (12, "North 1")])
    '14 (South 1) + 12 (North 1)'
    """
    return sum_of(labelled(str(count), words) for count, words in counts)


def squared(number: str) -> str:
    """The square of a number; the brackets keep ``3000 mm`` from turning into mm².

    >>> squared("3000 mm")
    '(3000 mm)²'
    """
    return f"({number})²"


def area(mm2: float, units: LengthUnits, places: int = 0) -> str:
    """An area with a hundredth of a square foot or a thousandth of a square metre, and `places`
    more decimals."""
    if units.system == "feet":
        return f"{_decimal(mm2 / MM2_PER_SQ_FT, 2 + places)} sq ft"
    return f"{_decimal(mm2 / 1e6, 3 + places)} m²"


def size(mm: float, units: LengthUnits) -> str:
    """A size of goods or of a rule, which is exact as it is printed: ``16"``, ``4 1/2"``, and
    ``406.4 mm`` or ``39.3701"`` where it is none in the project's units."""
    if units.system == "metric":
        return f"{_decimal(mm, 4).rstrip('0').rstrip('.')} mm"
    inches = mm / MM_PER_IN
    parts = round_half_up(inches * 32)
    if abs(inches * 32 - parts) > 1e-6:
        return f'{_decimal(inches, 4).rstrip("0")}"'
    whole, rest = divmod(parts, 32)
    if not rest:
        return f'{whole}"'
    shared = math.gcd(rest, 32)
    return f'{f"{whole} " if whole else ""}{rest // shared}/{32 // shared}"'


def length(mm: float, units: LengthUnits, finer: int = 0) -> Term:
    """A length as on every sheet, or `finer` by 2, 4, 6 … decimals of an inch or millimetre."""
    if finer:
        places = 2 * finer
        if units.system == "metric":
            text = _decimal(mm, places)
            return f"{text} mm", float(text)
        text = _decimal(mm / MM_PER_IN, places)
        return f'{text}"', float(text) * MM_PER_IN
    if units.system == "metric":
        return format_length(mm, units), float(round_half_up(mm))
    parts = round_half_up(mm / MM_PER_IN * units.fraction)
    return format_length(mm, units), parts / units.fraction * MM_PER_IN


def fine_enough(write: Callable[[int], tuple[str, float]], count: float) -> str:
    """The formula with the fewest digits that gives a count, taken as they stand; empty if none
    does. `write` makes the text and what it gives with lengths of a fineness (see `length`)."""
    for finer in range(4):
        text, value = write(finer)
        if abs(value - count) < 0.5:
            return text
    return ""


def rounded_up(value: float) -> int:
    """What a reader rounds up to: computing leaves no hair above a whole number."""
    return math.ceil(value - 1e-9 * max(1.0, abs(value)))


def _decimal(value: float, places: int) -> str:
    return f"{round_half_up(value * 10**places) / 10**places:.{places}f}"
