"""How a quantity's formula is written, so that anybody can check it with a pocket calculator.

A formula is made of numbers with their units, ``+ − × ÷ √ ² ( )`` and the words ``rounded up``
(after what is rounded), ``larger of (a, b)`` and ``smaller of (a, b)``. Numbers are written as on
every sheet: ``13'-5"``, ``4 1/2"``, ``536.66 sq ft``, ``3,048 mm``, ``12 %``. A remark stands in
round brackets and begins with a letter: ``536.66 sq ft (South 1) + 536.66 sq ft (North 1)``;
words that follow a number without brackets are its unit (``14 panels``). Nothing else stands in
a formula; whatever else is to be said goes into the line's note.

Numbers show enough digits that the formula gives the quantity to within their rounding.
"""

from __future__ import annotations

from collections.abc import Iterable


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
