"""Sentences that a blank carries, from figures."""

from __future__ import annotations

from typing import Final

from roofmodel.systems import TrimProfile
from roofmodel.units import MM_PER_IN, LengthUnits, format_angle, format_length

SEEN_MM: Final = 0.4
"""1/64 in: less nobody measures on a piece of this length."""


def small_words(mm: float, units: LengthUnits) -> str:
    """A length too small for the fraction of the lists."""
    return f"{mm / MM_PER_IN:.2f} in" if units.system == "feet" else f"{mm:.1f} mm"


def bent_off_line(profile: TrimProfile, fold: float, units: LengthUnits) -> str:
    """Where a part with a raised leg is laid: its bend lies off the line of the roof."""
    off, _ = profile.past_line(fold)
    if off == 0.0:
        return ""
    if fold > 0.0:
        return f"its bend lies {format_length(off, units)} down the slope past the line"
    return (
        f"its bend lies {format_length(off, units)} up the slope from the line, the upper panels"
        " end above it"
    )


def too_flat_words(part: str, edge: str, fold: float) -> str:
    """Why nothing is bent where the roof's fold (degrees) is too small for a part."""
    return (
        f"No blank of {part} on {edge}: the roof bends by {format_angle(abs(fold))} only; carry"
        " the panels over the line in one length, or take the panel maker's detail."
    )


def past_stock(over: float, units: LengthUnits) -> str:
    """What a blank is longer than its stock, mm. A piece more for what its rounds reach past a
    stock length would only be worse."""
    if over <= SEEN_MM:
        return ""
    return (
        f"its farthest corners reach {small_words(over, units)} past its stock length: they may be"
        " missing"
    )
