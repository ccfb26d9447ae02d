"""What the panels of one plane or several come to, as rows of words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff import Laying, cut_list
from roofmodel.units import format_area, format_length

MOST_LENGTHS: Final = 6
"""So many cut lengths are told; of more how many there are."""

Row = tuple[str, str]


def facts(
    layings: Sequence[Laying], systems: Mapping[str, RoofingSystem], units: Units
) -> list[Row]:
    """Rows of label and words for panels laid on one plane, or on several taken together."""
    panels = [p for x in layings for p in x.panels]
    if not panels:
        return []
    rows = [("Panels", _count(layings, len(panels)))]
    cuts = cut_list(panels, units)
    told = ", ".join(map(_whole, cuts[:MOST_LENGTHS]))
    if len(cuts) > MOST_LENGTHS:
        told += f" and {len(cuts) - MOST_LENGTHS} more lengths"
    rows.append(("Cut to", told))
    gross, net = sum(p.gross_area for p in panels), sum(p.net_area for p in panels)
    metal = f"{format_area(gross, units)} gross", f"{format_area(net, units)} net"
    rows.append(("Metal", ", ".join(map(_whole, metal))))
    rows.append(("Waste", f"{100.0 * (gross / net - 1.0):.1f} % over net"))
    laps = sum(p.end_lap > 0.0 for p in panels)
    if laps:
        rows.append(("End laps", str(laps)))
    narrow = sum(x.narrow for x in layings)
    if narrow:
        rows.append(("Narrow", _narrow(layings, systems, narrow, units)))
    if len(layings) == 1:
        first, last = (
            format_length(w, units) for w in (layings[0].first_width, layings[0].last_width)
        )
        rows.insert(1, ("First, last", f"{first} and {last} wide"))
        if layings[0].remark:
            remark = layings[0].remark
            rows.append(("Remark", f"{remark[:1].upper()}{remark[1:]}."))
    return rows


def _whole(words: str) -> str:
    """Words that are not broken at the end of a line."""
    return words.replace(" ", "\u00a0")


def _count(layings: Sequence[Laying], panels: int) -> str:
    strips = sum(x.strips for x in layings)
    words = str(panels) if strips == panels else f"{panels} in {strips} strips"
    return words if len(layings) == 1 else f"{words} on {len(layings)} planes"


def _narrow(
    layings: Sequence[Laying], systems: Mapping[str, RoofingSystem], count: int, units: Units
) -> str:
    least = {
        systems[x.system].panel.least_width for x in layings if x.narrow and x.system in systems
    }
    words = "1 piece" if count == 1 else f"{count} pieces"
    if len(least) != 1:
        return f"{words} under the system's least width"
    return f"{words} under {format_length(least.pop(), units)}"
