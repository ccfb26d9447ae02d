"""What is said of pieces of trim: bends, hems, ends, lengths, and the edges they are for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from roofmodel.document import Project
from roofmodel.sheets.panel_sheet import runs_words
from roofmodel.sheets.panel_words import is_seamed
from roofmodel.sheets.shop_words import exact_words, radius_words
from roofmodel.shop.blanks import Blank, BlankBend, BlankEnd
from roofmodel.systems import EdgeKind, Hem
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.units import LengthUnits, format_angle, format_length

_SQUARE_DEG: Final = 0.05
_HEM_DEG: Final = 179.9
_UP_THE_SLOPE: Final = (EdgeKind.SIDEWALL, EdgeKind.SIDE)


def bend_words(bend: BlankBend, units: LengthUnits) -> str:
    """A bend with both its angles."""
    if bend.angle >= _HEM_DEG:
        turn = "tight" if bend.inside_radius <= 0.0 else "open"
        return f"hem folded {bend.direction}, {turn}"
    return (
        f"bend {format_angle(bend.angle)} {bend.direction} (included"
        f" {format_angle(bend.included)}), inside radius {radius_words(bend.inside_radius, units)}"
    )


def hem_words(start: Hem | None, end: Hem | None, units: LengthUnits) -> str:
    """The hems at both borders."""
    said = []
    for where, hem in (("first border", start), ("second border", end)):
        if hem is not None:
            gap = f", gap {format_length(hem.gap, units)}" if hem.kind == "open" else ""
            said.append(f"{hem.kind} {exact_words(hem.width, units)} {hem.to}{gap} at {where}")
    return "; ".join(said) or "none"


def both_words(mm: float, units: LengthUnits) -> str:
    """A decimal for the shear with the tape's fraction behind it."""
    if units.system != "feet":
        return exact_words(mm, units)
    return f"{exact_words(mm, units)} ({format_length(mm, units)})"


def end_words(end: BlankEnd, units: LengthUnits) -> str:
    """How an end is cut; a slant is said of the leg at each border, and whether that is the
    shorter for it."""
    if end.kind == "square":
        return "square"
    if end.kind == "lap":
        return f"square, lap {format_length(end.lap, units)}"
    if end.kind == "cut lap":
        return f"lap {format_length(end.lap, units)}, cut along the end of the piece over it"
    if end.kind in ("turned down", "turned around the corner", "runs on along the wall"):
        return f"{end.kind}, notched"
    first, second = _slant_words(end.first), _slant_words(end.second)
    if first == second:
        return f"{end.kind}, {first}{'' if first == 'square' else ' on both sides'}"
    return f"{end.kind}, first side {first}, second side {second}"


def short_end_words(end: BlankEnd, units: LengthUnits) -> str:
    """The same beside a drawing, where angles alone do."""
    if end.kind in ("square", "lap", "cut lap") or not is_slanted(end):
        return end_words(end, units)
    first, second = format_angle(abs(end.first)), format_angle(abs(end.second))
    return f"{end.kind}, {first if first == second else f'{first} and {second}'}"


def is_slanted(end: BlankEnd) -> bool:
    """Is it cut off square on either side, other than to lap?"""
    slants = end.kind in ("mitre", "along the edge", "along the valley")
    return slants and max(abs(end.first), abs(end.second)) > _SQUARE_DEG


def _slant_words(degrees: float) -> str:
    if abs(degrees) <= _SQUARE_DEG:
        return "square"
    way = "shorter" if degrees > 0.0 else "longer"
    return f"{format_angle(abs(degrees))} off square, {way} at its border"


def stock_words(blanks: Sequence[Blank], units: LengthUnits) -> str:
    """What pieces are cut to from their bars, before their ends are: each length with its number
    of pieces where there are several."""
    count: dict[str, int] = {}
    for b in sorted(blanks, key=lambda b: -b.cut_length):
        words = format_length(b.cut_length, units)
        count[words] = count.get(words, 0) + 1
    if len(count) == 1:
        return next(iter(count))
    return "; ".join(f"{n} × {words}" for words, n in count.items())


def between_seams(runs: Sequence[TrimRun], project: Project) -> str:
    """How closures of one part on seamed panels are cut; empty for all else, and for those beside
    walls and openings, which run up the slope as the seams do."""
    run = runs[0]
    system = next((s for s in project.systems() if s.id == run.system), None)
    if system is None or not is_seamed(system) or not run.part.endswith("closure"):
        return ""
    across = [r for r in runs if r.kind not in _UP_THE_SLOPE]
    if not across:
        return ""
    pan = system.coverage - system.panel.rib_width
    which = "cut" if len(across) == len(runs) else "but beside walls and openings cut"
    return (
        f"{which} to fit between the seams, which leave about"
        f" {format_length(pan, project.units)} square to them"
    )


def for_words(blanks: Sequence[Blank]) -> str:
    """Which edges some blanks are for, each with its number of pieces."""
    count: dict[str, int] = {}
    for b in blanks:
        count[b.run.edge_name] = count.get(b.run.edge_name, 0) + 1
    return "; ".join(name if n == 1 else f"{n} × {name}" for name, n in count.items())


def edges_words(blanks: Sequence[Blank]) -> str:
    """Which edges some blanks are for, without their numbers of pieces: "Hip 1 to 4, 7; Eave 2".

    Sides of an edge count as the edge."""
    known: dict[str, set[int]] = {}
    for b in blanks:
        name = re.sub(r", .* side$", "", b.run.edge_name)
        found = re.fullmatch(r"(.*\S) (\d+)", name)
        numbers = known.setdefault(found[1] if found else name, set())
        if found:
            numbers.add(int(found[2]))
    return "; ".join(f"{what} {runs_words(sorted(n))}" if n else what for what, n in known.items())
