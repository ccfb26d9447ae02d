"""Sizes typed in fields and in the plan."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import Final, Literal

from roofmodel.document import Point, Units
from roofmodel.errors import TextError
from roofmodel.units import parse_length

PLACE_HINT: Final = "Type how far east and how far north it lies: 26', -12'."
_PARTS: Final = re.compile(r"\s*[,;]\s*")
BETWEEN: Final = re.compile(r"\s*(?:x|×|\*|by|,|;)\s*", re.IGNORECASE)
"""What may stand between a width and a depth."""


def default_unit(units: Units) -> Literal["ft", "mm"]:
    """The unit that a bare number is in."""
    return "ft" if units.system == "feet" else "mm"


def parse_small_length(typed: str, units: Units) -> float:
    """The length typed, mm; a bare number is inches, in metric jobs millimetres."""
    if units.system == "feet":
        # A closing inch mark changes the sense of a bare number only.
        with suppress(TextError):
            return parse_length(f'{typed.strip()}"')
    return parse_length(typed, default_unit(units))


def begins_place(text: str) -> bool:
    """Whether what is typed may be the beginning of a place: a number or its sign."""
    return text[:1].isdigit() or text[:1] in ("-", "\u2212", ".")


def parse_place(typed: str, units: Units) -> Point:
    """The place typed, mm: how far east and how far north of the plan's origin it lies.

    >>> parse_place("26, -12", Units())
    (7924.8, -3657.6)
    """
    parts = _PARTS.split(typed.strip())
    if len(parts) != 2:
        raise TextError(f"'{typed.strip()}' is no place for a first corner. {PLACE_HINT}")
    east, north = (parse_length(part, default_unit(units)) for part in parts)
    return east, north
