"""What a layout sheet says in words: where its zero lies, and lengths that found no room in the
drawing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import shapely

from roofmodel.document import Units
from roofmodel.sheets.panel_sheet import runs_words
from roofmodel.sheets.panel_words import folded_notes, is_lap_only, is_seamed, ripped_sides
from roofmodel.sheets.shop_words import FIELD_MEASURE
from roofmodel.shop.layout import PlaneSheet
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import start_words
from roofmodel.takeoff.lines import SHORT_PANEL_MM
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_length

_ALIKE_MM: Final = 0.05
_LEAST_RUN: Final = 3
_EDGE_WORDS: Final = {
    EdgeKind.VALLEY: "the centre of a valley",
    EdgeKind.UPHILL_SIDE: "the uphill side of an opening",
    EdgeKind.DOWNHILL_SIDE: "the downhill side of an opening",
    EdgeKind.SIDE: "the sides of an opening",
}
_HOOK_MM: Final = 300.0
"""So far off the end of an edge a tape's zero is marked on what lies beside it, no further."""
_STEP_OFF_MM: Final = 0.8
"""1/32 in: what the written step may be off by at the last of a run."""


def notes_of(
    sheet: PlaneSheet,
    units: Units,
    unsaid: Sequence[PanelShape],
    unnamed: Sequence[str],
    sides_shown: int,
) -> Iterator[str]:
    """The notes of a layout sheet. `unsaid` are panels whose length has no room in the drawing,
    `unnamed` the words of edges that have none; of the sides so many are shown."""
    words = start_words(sheet.laying, units)
    yield words[:1].upper() + words[1:] + ", as seen looking up the slope."
    yield from _start_words(sheet, units)
    end = "right" if sheet.laying.from_right else "left"
    yield (
        f"Running dimensions are along {_base_words(sheet)} from the {end} end of the metal to"
        f" the sides of the panels. {zero_words(sheet, units)}"
    )
    if sides_shown < len(sheet.sides):
        some = f"{sides_shown} of {len(sheet.sides)} sides have room for theirs; all: "
        yield some + sides_words(sheet, units)
    if unsaid:
        yield f"Lengths of panels that have no room above: {lengths_words(unsaid, units)}"
    if unnamed:
        yield f"Edges that have no room for their names: {'; '.join(unnamed)}."
    for opening in sheet.openings:  # their trim is listed by these names
        yield f"{opening.name}: {', '.join(opening.edges)}."
    yield from shift_words(sheet, units)
    yield from _ripped_words(sheet, units)
    yield from _short_words(sheet, units)
    yield from _tail_words(sheet, units)
    if sheet.square is not None:
        c = sheet.square
        yield (
            f"Square: {format_length(c.on_eave, units)} along the eave and"
            f" {format_length(c.on_side, units)} up the panel's side must be"
            f" {format_length(c.across, units)} apart."
        )
    elif sheet.diagonals is None:
        yield (
            "No 3-4-5 of use fits on an eave here: square the first panel to a level line"
            " snapped across the plane."
        )
    if sheet.diagonals is not None:
        yield f"Both diagonals of the plane must be {format_length(sheet.diagonals, units)}."
    if sheet.fixing is not None:
        f = sheet.fixing
        what = "Rows of screws" if f.fastener == "panel screw" else "Clips on every seam"
        words = f"{what} {format_length(f.spacing, units)} apart"
        if f.edge_spacing < f.spacing:
            words += (
                f", {format_length(f.edge_spacing, units)} in edge zones,"
                f" {format_length(f.zone, units)} wide in plan"
            )
        yield f"{words}; the maker's tested listing decides."
    if sheet.laps:
        laps = sorted({p.panel.end_lap for p in sheet.shapes if p.panel.end_lap > 0.0})
        said = " and ".join(format_length(lap, units) for lap in laps)
        yield f"End laps of {said}: the upper panel lies on the lower one."
    hems = [h for h in sheet.system.hems.values() if h > 0.0]
    if hems and any(s.folds for s in sheet.shapes):
        yield f"Panel lengths include hems of {format_length(max(hems), units)}."
    yield FIELD_MEASURE


def _start_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """Where the start line lies that panels before it are laid back from."""
    at = sheet.from_start(sheet.start[0][0])
    if at <= sheet.from_start(sheet.sides[0]) + HEAL_MM:
        return
    before = [
        shape.panel.number
        for shape, ring in zip(sheet.shapes, sheet.covered, strict=True)
        if max(sheet.from_start(u) for u in ring[:, 0].tolist()) <= at + HEAL_MM
    ]
    if not before:
        return
    what = f"panel {before[0]} lies" if len(before) == 1 else f"panels {runs_words(before)} lie"
    yield f"Start line {format_length(at, units)} from zero: square it first; {what} before it."


def shift_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """How far metal goes past each kind of edge of the plane or stops short of it, kinds alike
    together."""
    places: dict[str, list[str]] = {}
    nothing = format_length(0.0, units)
    for kind, shift in sorted(sheet.shifts, key=lambda item: -item[1]):
        size = format_length(abs(shift), units)
        if size == nothing:
            way = "ends at {}"
        else:
            way = f"passes {{}} by {size}" if shift > 0.0 else f"stops {size} short of {{}}"
        places.setdefault(way, []).append(_EDGE_WORDS.get(kind, f"the {kind}"))
    if places:
        said = "; ".join(way.format(_listed(some)) for way, some in places.items())
        yield f"Metal {said}; measured on the plane, square to the edge."


def _listed(some: Sequence[str]) -> str:
    return some[0] if len(some) == 1 else f"{', '.join(some[:-1])} and {some[-1]}"


def _ripped_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """Panels that are cut narrower along their whole length, and those that only lose their lap
    leg."""
    widths: dict[str, list[int]] = {}
    laps: list[int] = []
    for shape in sheet.shapes:
        if is_lap_only(shape):
            laps.append(shape.panel.number)
        elif ripped_sides(shape):
            widths.setdefault(format_length(shape.width, units), []).append(shape.panel.number)
    if widths:
        said = "; ".join(f"{runs_words(some)} to {width}" for width, some in widths.items())
        yield f"Panels cut narrower than the sheet comes: {said}."
    if laps:
        what = "Panel" if len(laps) == 1 else "Panels"
        yield f"{what} with the lap leg cut off: {runs_words(laps)}."
    beside = {EdgeKind.RAKE, EdgeKind.SIDEWALL} & {kind for kind, _ in sheet.shifts}
    if is_seamed(sheet.system) and (beside or widths):
        yield from folded_notes(sheet.system, units)


def _short_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """Panels that are hardly worth cutting."""
    some = [s for s in sheet.shapes if s.panel.length < SHORT_PANEL_MM]
    if some:
        under = format_length(SHORT_PANEL_MM, units)
        numbers = runs_words([s.panel.number for s in some])
        what = f"Panel {numbers} is" if len(some) == 1 else f"Panels {numbers} are"
        yield (
            f"{what} under {under} long: see whether trim or the next panel covers that corner."
        )


def _tail_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """Valleys that run on over the panels below, as those of a dormer do to its eave."""
    ring = shapely.MultiLineString([np.vstack([r, r[:1]]) for r in (sheet.outline, *sheet.holes)])
    near = shapely.buffer(ring, 2.0 * HEAL_MM)
    tails = []
    for e in sheet.edges:
        if e.edge.kind is EdgeKind.VALLEY and math.dist(e.start, e.end) > HEAL_MM:
            free = shapely.difference(shapely.LineString([e.start, e.end]), near)
            if free.length > 10.0 * HEAL_MM:
                tails.append(f"{e.edge.name} by {format_length(free.length, units)}")
    if tails:
        yield f"Running on over the panels, below what overhangs them: {_listed(tails)}."


def _base_words(sheet: PlaneSheet) -> str:
    """Along which level edge a tape can lie whose zero is where the metal begins."""
    zero = sheet.sides[0]
    level = [e for e in sheet.edges if abs(e.start[1] - e.end[1]) <= HEAL_MM]
    reach = [
        e
        for e in level
        if min(e.start[0], e.end[0]) - _HOOK_MM <= zero <= max(e.start[0], e.end[0]) + _HOOK_MM
    ]
    if any(e.edge.kind is EdgeKind.EAVE for e in reach):
        return "the eave line"
    if reach:
        return max(reach, key=lambda e: abs(e.start[0] - e.end[0])).edge.name
    return "a level line snapped across the plane"


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
    if format_length(abs(apart), units) == format_length(0.0, units):
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
