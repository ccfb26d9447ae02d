"""What a layout sheet says in words: where its zero lies, and lengths that found no room in the
drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.shop.layout import PlaneSheet
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_length

_ALIKE_MM: Final = 0.05
_LEAST_RUN: Final = 3
_STEP_OFF_MM: Final = 0.8
"""1/32 in: what the written step may be off by at the last of a run."""


def zero_words(sheet: PlaneSheet, units: Units) -> str:
    """Where the running dimensions begin, by the corner of the plane that is nearest to it."""
    zero = sheet.sides[0]
    at = min(
        ((float(u), float(v)) for u, v in sheet.outline.tolist()),
        key=lambda p: (round(abs(p[0] - zero), 1), p[1]),
    )
    apart = at[0] - zero
    meeting = [
        e.edge.name
        for e in sheet.edges
        if min(math.dist(at, e.start), math.dist(at, e.end)) <= 2.0 * HEAL_MM
    ]
    corner = f"the corner of {' and '.join(meeting)}" if meeting else "the nearest corner"
    if abs(apart) <= HEAL_MM:
        return f"Zero is straight below {corner}." if at[1] > HEAL_MM else f"Zero is at {corner}."
    side = "left" if apart > 0.0 else "right"
    return f"Zero lies {format_length(abs(apart), units)} to the {side} of {corner}."


def sides_words(sheet: PlaneSheet, units: Units) -> str:
    """How far the sides of all panels lie from zero, those at equal steps in one go."""
    ats = [sheet.from_start(u) for u in sheet.sides]
    said, k = [], 0
    while k < len(ats):
        last = _run_from(ats, k, units)
        if last - k >= _LEAST_RUN:
            step = format_length(ats[k + 1] - ats[k], units)
            first, end = (format_length(ats[j], units) for j in (k, last))
            said.append(f"{first} and every {step} from there to {end}")
            k = last + 1
        else:
            said.append(format_length(ats[k], units))
            k += 1
    return "; ".join(said) + "."


def _run_from(ats: Sequence[float], k: int, units: Units) -> int:
    """The last side of a run at equal steps whose written step leads to every one of them."""
    if k + 1 >= len(ats):
        return k
    step = ats[k + 1] - ats[k]
    off = abs(step - _as_written(step, units))
    last = k + 1
    while (
        last + 1 < len(ats)
        and abs(ats[last + 1] - ats[last] - step) <= _ALIKE_MM
        and off * (last + 1 - k) <= _STEP_OFF_MM
    ):
        last += 1
    return last


def _as_written(mm: float, units: Units) -> float:
    """The length that is written for a length, mm."""
    unit = 25.4 / units.fraction if units.system == "feet" else 1.0
    return round(mm / unit) * unit


def lengths_words(shapes: Sequence[PanelShape], units: Units) -> str:
    """The lengths of panels by their numbers, neighbours of one length together."""
    runs: list[tuple[str, int, int]] = []
    for shape in shapes:
        text, number = format_length(shape.panel.length, units), shape.panel.number
        if runs and runs[-1][0] == text and runs[-1][2] + 1 == number:
            runs[-1] = (text, runs[-1][1], number)
        else:
            runs.append((text, number, number))
    said = [f"{a}: {text}" if a == b else f"{a} to {b}: {text}" for text, a, b in runs]
    return "; ".join(said) + "."
