"""Sizes typed in fields and in the plan."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import Final, Literal

from roofmodel.document import Units
from roofmodel.errors import TextError
from roofmodel.units import parse_length

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
