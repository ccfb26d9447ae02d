"""The printed formula of how many panels a plane takes, from the width of its metal.

Strips are counted across the metal; a strip that falls apart beside a dormer or a chimney, or is
longer than the longest panel, is several panels, and one that only crosses a gap is none.
"""

from __future__ import annotations

from functools import partial

from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.formula import fine_enough, labelled, length, rounded_up, size
from roofmodel.takeoff.types import Laying
from roofmodel.units import MM_PER_IN, LengthUnits

_LEEWAY_MM = 0.05 * MM_PER_IN
"""What stays beyond the last sheet is no panel if it is no more than `HEAL_MM`. Printed is a
little more, so that rounding the other numbers does not bring it back."""


def strip_count(laying: Laying, system: RoofingSystem, units: LengthUnits) -> str:
    """The formula of the number of panels: width ÷ coverage, rounded up, and what strips have
    more or less than one. The laying has panels."""
    first = 1 if laying.offset > 0.0 else 0
    text = _across(laying, laying.strips - first, system, units)
    if first:
        text += " + 1 (first panel)"
    laps = sum(1 for p in laying.panels if p.end_lap > 0.0)
    filled = len({p.strip for p in laying.panels})
    apart = len(laying.panels) - laps - filled
    if apart:
        text += f" + {apart} (strips that fall apart)"
    if laps:
        text += f" + {laps} (end laps)"
    if laying.strips > filled:
        text += f" − {laying.strips - filled} (strips without metal)"
    return text


def _across(laying: Laying, strips: int, system: RoofingSystem, units: LengthUnits) -> str:
    """The formula of the strips beside the first panel, if that is no whole one."""
    metal = laying.panels[0].field_width
    if strips == 0 or metal - laying.offset - system.lap_leg <= 0.0:
        return labelled(str(strips), "strips")
    cover = labelled(size(system.coverage, units), "coverage")

    def written(leeway: float, finer: int) -> tuple[str, float]:
        terms = [(*length(metal, units, finer), "metal")]
        if laying.offset > 0.0:
            terms.append((*length(laying.offset, units, finer), "first panel"))
        for less, words in ((system.lap_leg, "last lap leg"), (leeway, "may stay open")):
            if less > 0.0:
                terms.append((size(less, units), less, words))
        width = terms[0][1] - sum(value for _, value, _ in terms[1:])
        up = " − ".join(labelled(number, words) for number, _, words in terms)
        up = f"({up})" if len(terms) > 1 else up
        return f"{up} ÷ {cover} rounded up", rounded_up(width / system.coverage)

    for leeway in (0.0, _LEEWAY_MM):
        text = fine_enough(partial(written, leeway), strips)
        if text:
            return text
    return labelled(str(strips), "strips")
