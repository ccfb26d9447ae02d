"""Degrees and bearings, typed and shown; pitches that may be none."""

from __future__ import annotations

import math
from typing import Final

from roofmodel.errors import DocumentError
from roofmodel.units import format_slope, parse_slope

COMPASS: Final = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)


def compass_word(bearing: float) -> str:
    """The nearest of eight directions.

    >>> compass_word(170.0)
    'south'
    """
    return COMPASS[round(bearing / 45.0) % 8]


def parse_degrees(text: str) -> float:
    """Degrees from 0 up to 360; DocumentError if the text says none."""
    plain = text.strip().lower().removesuffix("°").removesuffix("degrees").strip()
    try:
        value = float(plain.replace(",", "."))
    except ValueError:
        value = math.nan
    if not abs(value) <= 36_000:
        raise DocumentError(f"'{text.strip()[:30]}' is no angle; write degrees, such as 30.")
    return value % 360.0


def parse_bearing(text: str) -> float:
    """A bearing: degrees clockwise from north, or a word such as south-west.

    >>> parse_bearing("South"), parse_bearing("225°")
    (180.0, 225.0)
    """
    word = text.strip().lower().replace(" ", "-")
    if word in COMPASS:
        return COMPASS.index(word) * 45.0
    number, _, after = text.strip().partition("°")
    try:
        # as `show_bearing` writes it: what follows the degrees only says them again
        return parse_degrees(number if after.strip().lower() in COMPASS else text)
    except DocumentError as error:
        raise DocumentError(
            f"'{text.strip()[:30]}' is no direction; write degrees clockwise from north, such as"
            " 180, or a word such as south."
        ) from error


def show_degrees(value: float) -> str:
    """Degrees with as many decimals as they need, two at most."""
    return f"{round(value, 2):g}°"


def show_bearing(value: float) -> str:
    """Degrees, with the word where it is exactly one of eight directions."""
    exact = abs(value / 45.0 - round(value / 45.0)) < 1e-6
    return f"{show_degrees(value)} {compass_word(value)}" if exact else show_degrees(value)


def parse_pitch(text: str) -> float:
    """A slope that may be 0, written 0 or flat."""
    return 0.0 if text.strip().lower() in ("0", "0/12", "0:12", "flat") else parse_slope(text)


def show_pitch(slope: float) -> str:
    """A pitch, or the word flat."""
    return "flat" if slope == 0.0 else format_slope(slope)
