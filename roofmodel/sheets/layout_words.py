"""What a layout sheet says in words: where its zero lies, and lengths that found no room in the
drawing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.panel_sheet import runs_words
from roofmodel.sheets.shop_words import FIELD_MEASURE
from roofmodel.shop.layout import PlaneSheet
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.takeoff import start_words
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_length

_ALIKE_MM: Final = 0.05
_LEAST_RUN: Final = 3
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
        f"Running dimensions are along the eave line from the {end} end of the metal to the"
        f" sides of the panels. {zero_words(sheet, units)}"
    )
    if sides_shown < len(sheet.sides):
        some = f"{sides_shown} of {len(sheet.sides)} sides have room for theirs; all: "
        yield some + sides_words(sheet, units)
    if unsaid:
        yield f"Lengths of panels that have no room above: {lengths_words(unsaid, units)}"
    if unnamed:
        yield f"Edges that have no room for their names: {'; '.join(unnamed)}."
    yield from _ripped_words(sheet, units)
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


def _ripped_words(sheet: PlaneSheet, units: Units) -> Iterator[str]:
    """Panels with both sides whole that are cut narrower than their sheet."""
    widths: dict[str, list[int]] = {}
    for shape in sheet.shapes:
        if shape.is_ripped and min(shape.left, shape.right) > HEAL_MM:
            widths.setdefault(format_length(shape.width, units), []).append(shape.panel.number)
    if widths:
        said = "; ".join(f"{runs_words(some)} to {width}" for width, some in widths.items())
        yield f"Panels cut narrower than the sheet comes: {said}."


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
