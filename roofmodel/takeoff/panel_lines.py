"""The take-off's lines about the panels of each plane, end laps and cut-offs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.cut_offs import Shared, shared_sheets
from roofmodel.takeoff.formula import counted, labelled, length, sum_of
from roofmodel.takeoff.strip_count import strip_count
from roofmodel.takeoff.totals import GEOMETRY
from roofmodel.takeoff.types import EndCut, Laying, Panel, Quantity
from roofmodel.units import LengthUnits, format_angle, format_area, format_length

_SHORT_MM = 320.0
"""From here on half of 1/8 in is less than half a per cent."""


def laying_lines(
    layings: Sequence[Laying], system: RoofingSystem, group: str, units: LengthUnits
) -> list[Quantity]:
    """Per plane its panels and the ends that are not square, then end laps and what cut-offs
    save, of one system's panels."""
    out = [_plane_line(laying, system, group, units) for laying in layings if laying.panels]
    out += _end_lines(layings, group)
    lapped = [p for laying in layings for p in laying.panels if p.end_lap > 0.0]
    if lapped and system.panel.longest is not None:
        how = _counts(lapped)
        note = f"panels no longer than {format_length(system.panel.longest, units)}"
        source = system.source_of("panel.longest")
        planes = tuple(dict.fromkeys(p.plane for p in lapped))
        out.append(
            Quantity(group, "End laps", "count", len(lapped), how, source, planes, note=note)
        )
    pairs = shared_sheets(layings, system)
    if pairs:
        saved = sum(p.saved for p in pairs)
        how = sum_of(_saved(pairs, units))
        note = "two panels out of one sheet, one cut between them; not taken off what is ordered"
        source = system.source_of("panel.cut_offs_serve")
        planes = tuple(dict.fromkeys(p.plane for pair in pairs for p in (pair.first, pair.second)))
        item = "Panel length that cut-offs can save"
        out.append(Quantity(group, item, "mm", saved, how, source, planes, note=note))
    return out


def _plane_line(laying: Laying, system: RoofingSystem, group: str, units: LengthUnits) -> Quantity:
    panels = laying.panels
    net, gross = sum(p.net_area for p in panels), sum(p.gross_area for p in panels)
    note = (
        f"cut to {sum_of(cut_list(panels, units))}; {start_words(laying, units)};"
        f" gross {format_area(gross, units)}, net {format_area(net, units)}"
    )
    return Quantity(
        *(group, f"Panels on {laying.plane_name}", "count", len(panels)),
        *(strip_count(laying, system, units), f"{system.name}: {system.source}", (laying.plane,)),
        note=note,
    )


def _end_lines(layings: Sequence[Laying], group: str) -> list[Quantity]:
    """One line per plane that has ends cut other than square."""
    out = []
    for laying in layings:
        count: dict[str, int] = {}
        for panel in laying.panels:
            for end, cut in (("upper", panel.upper), ("lower", panel.lower)):
                if cut.shape != "square":
                    words = f"{end} end {cut_words(cut)}"
                    count[words] = count.get(words, 0) + 1
        if count:
            how = counted((n, words) for words, n in count.items())
            item = f"Ends not cut square on {laying.plane_name}"
            total = sum(count.values())
            out.append(Quantity(group, item, "count", total, how, GEOMETRY, (laying.plane,)))
    return out


def start_words(laying: Laying, units: LengthUnits) -> str:
    """Where the first panel begins and which way they go, as words."""
    end, way = ("right", "left") if laying.from_right else ("left", "right")
    begins = f"laid from the {end} end to the {way}"
    if laying.offset > 0.0:
        begins += f", first panel {format_length(laying.first_width, units)} wide"
    if laying.start not in ("first end", "by hand"):
        begins += f" ({laying.start})"
    return f"{begins}, {laying.remark}" if laying.remark else begins


def cut_list(panels: Sequence[Panel], units: LengthUnits) -> list[str]:
    """Quantity × cut length of some panels, longest first, as words: ``4 × 13'-5"``.

    Lengths are rounded only here, to the fraction shown.
    """
    count: dict[str, int] = {}
    for p in sorted(panels, key=lambda p: -p.length):
        text = format_length(p.length, units)
        count[text] = count.get(text, 0) + 1
    return [f"{n} × {text}" for text, n in count.items()]


def cut_words(cut: EndCut) -> str:
    """An end cut as words: square, its angle and the side it rises to, or its lines."""
    if cut.angle is None:
        return f"along {len(cut.lines)} lines"
    if cut.shape == "square":
        return "square"
    return f"{format_angle(cut.angle)} up to the {cut.hand}"


def _counts(panels: Iterable[Panel]) -> str:
    count: dict[str, int] = {}
    for p in panels:
        count[p.plane_name] = count.get(p.plane_name, 0) + 1
    return counted((n, plane) for plane, n in count.items())


def _saved(pairs: Iterable[Shared], units: LengthUnits) -> list[str]:
    """Saving × times, by the planes of both panels."""
    count: dict[tuple[str, str, str], int] = {}
    for first, second, saved in pairs:
        # several short ones add up their rounding
        text, _ = length(saved, units, 1 if saved < _SHORT_MM else 0)
        key = (text, first.plane_name, second.plane_name)
        count[key] = count.get(key, 0) + 1
    return [
        labelled(f"{n} × {saved}", f"{first} with {second}" if first != second else first)
        for (saved, first, second), n in count.items()
    ]
