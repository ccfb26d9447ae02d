"""The drawing of a blank of trim: its outline to cut, its bend lines, its lengths."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import shapely

from roofmodel.document import Units
from roofmodel.sheets.placing import spread
from roofmodel.sheets.shop_types import (
    BEND_DOWN,
    BEND_UP,
    CUT,
    NOTES,
    SMALL_TEXT_MM,
    TEXT_MM,
    WIDTH_PER_HEIGHT,
    XY,
    SheetDimension,
    SheetLine,
    SheetOutline,
    SheetPlan,
    SheetRunning,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import (
    FIELD_MEASURE,
    end_fields,
    exact_words,
    job_fields,
    metal_words,
    radius_words,
)
from roofmodel.shop.blanks import Blank, BlankBend, BlankEnd
from roofmodel.shop.job import ShopJob, TrimDrawing
from roofmodel.systems import Hem
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import LengthUnits, format_angle, format_length

_ROW_MM: Final = 3.9
"""Between running dimensions beside each other, on paper."""
_LEADER_MM: Final = 9.0
_HEM_DEG: Final = 179.9
_SQUARE_DEG: Final = 0.05
_SAME_MM: Final = 0.1
"""Corners so near to each other are one to whoever marks them."""
_STRAIGHT_MM: Final = 0.4
"""1/64 in: what the outline may leave a line by without turning."""
_NEAR_BEND_MM: Final = 2.5
"""Corners nearer to a bend line lie in its round, and are marked on it."""
_BELOW_MM: Final = 26.0
"""From the blank to its overall length, past running dimensions."""


def blank_plan(job: ShopJob, drawing: TrimDrawing) -> SheetPlan:
    """The sheet of a blank, not yet drawn."""
    blank = drawing.blank
    rows = len(_rows(blank))
    return SheetPlan(
        f"blank {drawing.name}",
        f"{drawing.name}: blank",
        "trim blank",
        (_length(blank), blank.girth),
        (62.0, max(_BELOW_MM + 8.0, rows * _ROW_MM / 2.0), 14.0, max(12.0, rows * _ROW_MM / 2.0)),
        lambda scale: _drawn(job, drawing, scale),
        (),
    )


def trim_fields(job: ShopJob, drawing: TrimDrawing) -> tuple[tuple[str, str], ...]:
    """What the title block of a part says."""
    blank, units = drawing.blank, job.project.units
    profile = blank.profile
    return (
        *job_fields(job),
        ("Part", drawing.name),
        ("Quantity", str(drawing.count)),
        ("Metal", metal_words(profile.metal, units)),
        ("Girth", both_words(blank.girth, units)),
        ("Finished", f"{format_length(_length(blank), units)} long"),
        ("From stock", f"cut to {stock_words(drawing.blanks, units)}"),
        ("Hems", hem_words(profile.start_hem, profile.end_hem, units)),
        ("Painted", profile.painted),
        *end_fields(job, "trim"),
    )


def bend_words(bend: BlankBend, units: LengthUnits) -> str:
    """A bend with both its angles."""
    if bend.angle >= _HEM_DEG:
        turn = "tight" if bend.inside_radius <= 0.0 else "open"
        return f"hem folded {bend.direction}, {turn}"
    return (
        f"bend {format_angle(bend.angle)} {bend.direction} (included"
        f" {format_angle(bend.included)}), inside radius {radius_words(bend.inside_radius, units)}"
    )


def _short_words(bend: BlankBend) -> str:
    if bend.angle >= _HEM_DEG:
        return f"hem {bend.direction}"
    return f"{bend.direction} {format_angle(bend.angle)}"


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
    """How an end is cut."""
    if end.kind == "square":
        return "square"
    if end.kind == "lap":
        return f"square, lap {format_length(end.lap, units)}"
    if end.kind in ("turned down", "turned around the corner"):
        return f"{end.kind}, notched"
    angles = f"{format_angle(abs(end.first))} and {format_angle(abs(end.second))} off square"
    slants = [a for a in (end.first, end.second) if abs(a) > _SQUARE_DEG]
    if slants and all(a > 0.0 for a in slants):
        return f"{end.kind}, {angles}, shorter at the borders"
    if slants and all(a < 0.0 for a in slants):
        return f"{end.kind}, {angles}, longer at the borders"
    return f"{end.kind}, {angles}"


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


def for_words(blanks: Sequence[Blank]) -> str:
    """Which edges some blanks are for, each with its number of pieces."""
    count: dict[str, int] = {}
    for b in blanks:
        count[b.run.edge_name] = count.get(b.run.edge_name, 0) + 1
    return "; ".join(name if n == 1 else f"{n} × {name}" for name, n in count.items())


def _length(blank: Blank) -> float:
    return float(blank.outline[:, 1].max())


def _across(blank: Blank) -> list[tuple[float, str, BlankBend | None]]:
    """The bend lines across the blank, from its first border, and its second border."""
    along = [b for b in blank.bends if abs(b.start[0] - b.end[0]) <= HEAL_MM]
    rows: list[tuple[float, str, BlankBend | None]] = [
        (b.start[0], _short_words(b), b) for b in sorted(along, key=lambda b: b.start[0])
    ]
    return [*rows, (blank.girth, "border", None)]


def _drawn(job: ShopJob, drawing: TrimDrawing, scale: float) -> ShopSheet:
    blank, units = drawing.blank, job.project.units
    girth, long = blank.girth, _length(blank)

    def placed(point: XY) -> XY:
        """The blank lies with its run to the right, its first border above."""
        return float(point[1]), girth - float(point[0])

    lines = []
    for bend in blank.bends:
        layer = BEND_UP if bend.direction == "up" else BEND_DOWN
        lines.append(SheetLine(layer, placed(bend.start), placed(bend.end)))
    height, small = TEXT_MM * scale, SMALL_TEXT_MM * scale
    along = _running_along(blank, units, small, scale)
    below = -(_BELOW_MM if along else 10.0) * scale
    dimensions = [
        SheetDimension((0.0, 0.0), (long, 0.0), (0.0, below), 0.0,
                       both_words(long, units), height),
        SheetDimension((long, 0.0), (long, girth), (long + 9.0 * scale, 0.0), 90.0,
                       exact_words(girth, units), height),
    ]  # fmt: skip
    return ShopSheet(
        f"blank {drawing.name}",
        f"{drawing.name}: blank",
        "trim blank",
        scale,
        trim_fields(job, drawing),
        tuple(_notes(job, drawing)),
        (SheetOutline(CUT, tuple(placed((x, y)) for x, y in blank.outline.tolist())),),
        tuple(lines),
        (),
        tuple(_texts(blank, units, scale)),
        tuple(dimensions),
        (*_running_across(blank, units, scale), *along),
    )


def _running_across(blank: Blank, units: Units, scale: float) -> list[SheetRunning]:
    """How far bend lines and corners lie from the first border, written at the left, apart."""
    small, girth = SMALL_TEXT_MM * scale, blank.girth
    rows = _rows(blank)
    wanted = [girth - at for at, _, _ in rows]
    ys = spread(wanted, _ROW_MM * scale)
    out = []
    number, corners = 0, _corners(blank)
    for (at, words, bend), y in zip(rows, ys, strict=True):
        number += bend is not None
        left = 0.0 if bend is None else min(bend.start[1], bend.end[1])
        if words == "corner":
            left = min(c[1] for c in corners if abs(c[0] - at) <= _SAME_MM)
        what = words if bend is None else f"{number} {words}"
        out.append(
            SheetRunning(
                (0.0, girth),
                (left, girth - at),
                (-_LEADER_MM * scale, y),
                f"{what}: {exact_words(at, units)}",
                small,
                "y",
            )
        )
    return out


def _running_along(blank: Blank, units: Units, small: float, scale: float) -> list[SheetRunning]:
    """How far every corner of the end cuts lies from the left end, measured at the corner that is
    nearest to the words; corners of one length share theirs."""
    end = _length(blank)
    kept: list[XY] = []
    for across, y in sorted(_corners(blank), key=lambda c: (c[1], -c[0])):
        if not _SAME_MM < y < end - _SAME_MM:
            continue
        if kept and y - kept[-1][1] <= _SAME_MM:
            kept[-1] = max(kept[-1], (across, kept[-1][1]))
        else:
            kept.append((across, y))
    ys = [y for _, y in kept]
    places, free = [], 0.9 * small  # right of the left end's own line
    for place in spread(ys[::-1], 1.5 * small)[::-1]:
        places.append(max(place, free))
        free = places[-1] + 1.5 * small
    return [
        SheetRunning(
            (0.0, 0.0), (y, blank.girth - across), (x, -5.0 * scale), exact_words(y, units), small
        )
        for (across, y), x in zip(kept, places, strict=True)
    ]


def _corners(blank: Blank) -> list[XY]:
    """Where the outline turns; (x, y) as the blank has them. The few chords of a bend's round
    are one corner or two, as far as anyone can tell."""
    plain = shapely.simplify(shapely.Polygon(blank.outline), _STRAIGHT_MM)
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(plain)[:-1].tolist()]


def _rows(blank: Blank) -> list[tuple[float, str, BlankBend | None]]:
    """`_across` with the corners between bend lines and borders, from the first border on."""
    rows = _across(blank)
    known = [0.0, *(at for at, _, _ in rows)]
    found: list[float] = []
    for at in sorted(x for x, _ in _corners(blank)):
        if all(abs(at - x) > _NEAR_BEND_MM for x in known) and (
            not found or at - found[-1] > _SAME_MM
        ):
            found.append(at)
    return sorted([*rows, *((at, "corner", None) for at in found)], key=lambda row: row[0])


def _texts(blank: Blank, units: Units, scale: float) -> list[SheetText]:
    """What is said beside the blank: its borders, and both ends."""
    small, girth, long = SMALL_TEXT_MM * scale, blank.girth, _length(blank)
    first = f"left end: {end_words(blank.start, units)}"
    last = f"right end: {end_words(blank.end, units)}"
    # the girth's dimension stands at the right, and may be longer than the girth itself
    written = len(exact_words(girth, units)) * TEXT_MM * scale * WIDTH_PER_HEIGHT
    above = girth + 3.0 * scale + max((written - girth) / 2.0, 0.0)
    if (len(first) + len(last) + 4) * small * WIDTH_PER_HEIGHT <= long:
        return [
            SheetText(NOTES, first, (0.0, above), small, 0.0, "left"),
            SheetText(NOTES, last, (long, above), small, 0.0, "right"),
        ]
    return [
        SheetText(NOTES, first, (0.0, above + 3.5 * scale), small, 0.0, "left"),
        SheetText(NOTES, last, (0.0, above), small, 0.0, "left"),
    ]


def _notes(job: ShopJob, drawing: TrimDrawing) -> list[str]:
    blank, units = drawing.blank, job.project.units
    out = [f"For: {for_words(drawing.blanks)}."]
    for number, (at, _, bend) in enumerate(_across(blank), 1):
        if bend is not None:
            out.append(
                f"{number}: {bend_words(bend, units)}; line {exact_words(at, units)} from the"
                f" first border, between {bend.between[0]} and {bend.between[1]}."
            )
    tabs = [b for b in blank.bends if abs(b.start[0] - b.end[0]) > HEAL_MM]
    if tabs:
        leg, what = tabs[0].between
        down = what == "turned-down end"
        where = "on every leg" if down else f"of leg '{leg}' around the corner"
        out.append(f"Ends: {bend_words(tabs[0], units)}, {where}.")
    metal = blank.profile.metal
    allowance = f"K-factor {metal.k_factor:g}" if metal.deducts else "no allowance for bends"
    out.append(
        f"The colour side lies up; bend lines lie in the middle of the bends ({allowance})."
    )
    remarks = dict.fromkeys(b.remark for b in drawing.blanks if b.remark)
    out += [f"{r[:1].upper()}{r[1:]}." for r in remarks]
    return [*out, FIELD_MEASURE]
