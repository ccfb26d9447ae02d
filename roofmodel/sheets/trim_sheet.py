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
)
from roofmodel.sheets.trim_words import (
    bend_words,
    between_seams,
    both_words,
    end_words,
    for_words,
    hem_words,
    is_slanted,
    short_end_words,
    stock_words,
)
from roofmodel.shop.blanks import Blank, BlankBend
from roofmodel.shop.job import ShopJob, TrimDrawing
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_angle, format_length

_ROW_MM: Final = 3.9
"""Between running dimensions beside each other, on paper."""
_LEADER_MM: Final = 9.0
_PITCH: Final = 2.2
"""Between running dimensions side by side, over the height of text: a drawing has each text beside
its line."""
_HEM_DEG: Final = 179.9
_SAME_MM: Final = 0.75
"""Half of what trim may be off by: corners so near to each other are one to whoever marks them."""
_STRAIGHT_MM: Final = 0.4
"""1/64 in: what the outline may leave a line by without turning."""
_NEAR_BEND_MM: Final = 2.5
"""Corners nearer to a bend line lie in its round, and are marked on it."""
_BELOW_MM: Final = 26.0
"""From the blank to its overall length, past the longest running dimension."""
_RIGHT_MM: Final = 40.0
"""What running dimensions at the right take."""


def blank_plan(job: ShopJob, drawing: TrimDrawing) -> SheetPlan:
    """The sheet of a blank, not yet drawn."""
    blank = drawing.blank
    rows = max(len(_rows(blank)), len(_right_rows(blank)))
    right = _RIGHT_MM if _right_rows(blank) else 14.0
    return SheetPlan(
        f"blank {drawing.name}",
        f"{drawing.name}: blank",
        "trim blank",
        (_length(blank), blank.girth),
        (62.0, max(_BELOW_MM + 8.0, rows * _ROW_MM / 2.0), right, max(12.0, rows * _ROW_MM / 2.0)),
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


def _short_words(bend: BlankBend) -> str:
    if bend.angle >= _HEM_DEG:
        return f"hem {bend.direction}"
    return f"{bend.direction} {format_angle(bend.angle)}"


def _length(blank: Blank) -> float:
    return float(blank.outline[:, 1].max())


def _across(blank: Blank) -> list[tuple[float, str, BlankBend | None]]:
    """The bend lines across the blank, from its first border, and its second border."""
    along = [b for b in blank.bends if abs(b.start[0] - b.end[0]) <= HEAL_MM]
    rows: list[tuple[float, str, BlankBend | None]] = [
        (b.start[0], _short_words(b), b) for b in sorted(along, key=lambda b: b.start[0])
    ]
    return [*rows, (blank.girth, "second border", None)]


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
    longest = max((r.written for r in along), key=lambda t: len(t.text), default=None)
    below = -10.0 * scale
    if longest is not None:
        below = min(y for _, y in longest.box) - 3.6 * scale
    whole = both_words(long, units)
    dimensions = [SheetDimension((0.0, 0.0), (long, 0.0), (0.0, below), 0.0, whole, height)]
    if _has_girth(blank, units, scale):
        aside, words = long + 9.0 * scale, exact_words(girth, units)
        dimensions.append(
            SheetDimension((long, 0.0), (long, girth), (aside, 0.0), 90.0, words, height)
        )
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


def _has_girth(blank: Blank, units: Units, scale: float) -> bool:
    """Whether the girth has room for a dimension at the right: running dimensions say it too."""
    size = (len(exact_words(blank.girth, units)) + 1) * TEXT_MM * scale * WIDTH_PER_HEIGHT
    return size <= blank.girth and not _right_rows(blank)


def _running_across(blank: Blank, units: Units, scale: float) -> list[SheetRunning]:
    """How far bend lines and corners lie from the first border, written at the left, apart;
    corners of the right end are written there."""
    small, girth, long = SMALL_TEXT_MM * scale, blank.girth, _length(blank)
    corners = _corners(blank)
    out = []
    number = 0
    for rows, to in ((_rows(blank), -_LEADER_MM), (_right_rows(blank), _LEADER_MM)):
        ys = spread([girth - at for at, _, _ in rows], _ROW_MM * scale)
        for (at, words, bend), y in zip(rows, ys, strict=True):
            number += bend is not None
            ends = [c[1] for c in corners if abs(c[0] - at) <= _SAME_MM]
            ends += [bend.start[1], bend.end[1]] if bend is not None else []
            x = (min if to < 0.0 else max)(ends, default=0.0)
            what = words if bend is None else f"{number} {words}"
            out.append(
                SheetRunning(
                    (0.0, girth),
                    (x, girth - at),
                    (to * scale + (long if to > 0.0 else 0.0), y),
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
    places, free = [], 1.6 * small  # right of the left end's own line
    for place in spread(ys[::-1], _PITCH * small)[::-1]:
        places.append(max(place, free))
        free = places[-1] + _PITCH * small
    room = end - 0.9 * small  # left of the overall length's own line
    for k in range(len(places) - 1, -1, -1):
        if places[k] <= room or places[k] < end / 2.0:
            break
        places[k], room = room, room - _PITCH * small
    return [
        SheetRunning(
            (0.0, 0.0), (y, blank.girth - across), (x, -5.0 * scale), exact_words(y, units), small
        )
        for (across, y), x in zip(kept, places, strict=True)
    ]


def _corners(blank: Blank) -> list[XY]:
    """Where the outline turns and where bend lines of ends begin; (x, y) as the blank has them.
    The few chords of a bend's round are one corner or two, as far as anyone can tell."""
    plain = shapely.simplify(shapely.Polygon(blank.outline), _STRAIGHT_MM)
    corners = [(float(x), float(y)) for x, y in shapely.get_coordinates(plain)[:-1].tolist()]
    return corners + [place for bend in _tabs(blank) for place in (bend.start, bend.end)]


def _tabs(blank: Blank) -> list[BlankBend]:
    """The bend lines of its ends."""
    return [b for b in blank.bends if abs(b.start[0] - b.end[0]) > HEAL_MM]


def _rows(blank: Blank) -> list[tuple[float, str, BlankBend | None]]:
    """What is measured at the left: `_across`, and the corners between bend lines and borders but
    those of the right end."""
    rows = [(0.0, "first border", None), *_across(blank)]
    middle = _length(blank) / 2.0
    found = [at for at, y in _between_bends(blank) if y < middle]
    more = ((at, _corner_words(blank, at), None) for at in _once(found))
    return sorted([*rows, *more], key=lambda r: r[0])


def _right_rows(blank: Blank) -> list[tuple[float, str, BlankBend | None]]:
    """What is measured at the right: corners of that end which are not at the left one too."""
    middle = _length(blank) / 2.0
    known = [at for at, _, _ in _rows(blank)]
    found = [at for at, y in _between_bends(blank) if y >= middle]
    return [
        (at, _corner_words(blank, at), None)
        for at in _once(found)
        if all(abs(at - k) > _SAME_MM for k in known)
    ]


def _corner_words(blank: Blank, at: float) -> str:
    """What lies so far across the blank between its bend lines: a corner, or the end of a tab's
    bend line where none is."""
    outline = _corners(blank)[: -2 * len(_tabs(blank)) or None]
    return "corner" if any(abs(x - at) <= _SAME_MM for x, _ in outline) else "end of bend"


def _between_bends(blank: Blank) -> list[XY]:
    """Corners that lie neither on a bend line nor on a border."""
    known = [0.0, *(at for at, _, _ in _across(blank))]
    return [c for c in _corners(blank) if all(abs(c[0] - at) > _NEAR_BEND_MM for at in known)]


def _once(places: Sequence[float]) -> list[float]:
    """Rising places, those that nobody can tell apart once."""
    out: list[float] = []
    for at in sorted(places):
        if not out or at - out[-1] > _SAME_MM:
            out.append(at)
    return out


def _texts(blank: Blank, units: Units, scale: float) -> list[SheetText]:
    """What is said beside the blank: its borders, and both ends."""
    small, girth, long = SMALL_TEXT_MM * scale, blank.girth, _length(blank)
    first = f"left end: {short_end_words(blank.start, units)}"
    last = f"right end: {short_end_words(blank.end, units)}"
    above = girth + 3.0 * scale
    beside = [girth - at for at, _, _ in _right_rows(blank)]
    if beside:
        above = max(above, spread(beside, _ROW_MM * scale)[0] + 2.2 * small)
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
    for number, (_, _, bend) in enumerate(_across(blank), 1):
        if bend is not None:
            out.append(
                f"{number}: {bend_words(bend, units)}, between {bend.between[0]} and"
                f" {bend.between[1]}."
            )
    said: dict[str, None] = {}
    for tab in _tabs(blank):
        leg, what = tab.between
        down = what == "turned-down end"
        where = "on every leg" if down else f"of leg '{leg}' around the corner"
        said[f"Ends: {bend_words(tab, units)}, {where}."] = None
    out += said
    for side, end in (("Left", blank.start), ("Right", blank.end)):
        if is_slanted(end):
            out.append(f"{side} end: {end_words(end, units)}.")
    metal = blank.profile.metal
    allowance = f"K-factor {metal.k_factor:g}" if metal.deducts else "no allowance for bends"
    out.append(
        f"The colour side lies up; bend lines lie in the middle of the bends ({allowance}),"
        " measured from the first border."
    )
    seams = between_seams([b.run for b in drawing.blanks], job.project)
    remarks = dict.fromkeys([*([seams] if seams else []), *(b.remark for b in drawing.blanks)])
    remarks.pop("", None)
    out += [f"{r[:1].upper()}{r[1:]}." for r in remarks]
    return [*out, FIELD_MEASURE]
