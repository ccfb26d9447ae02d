"""The flat shapes of a system's panels, each that differs once, in rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.panel_words import (
    is_seamed,
    lap_words,
    seam_notes,
    width_words,
)
from roofmodel.sheets.shop_types import (
    BEND_DOWN,
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
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import FIELD_MEASURE, end_fields, job_fields, system_name
from roofmodel.sheets.unbroken import unbroken
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff import cut_words
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import LengthUnits, format_length

_ROW_MM: Final = 3.4  # from one line of words to the next, on paper
_WORDS_MM: Final = 34.0  # words below each shape are about so wide
_ANY_UNITS: Final = Units()
_LINE: Final = 22
"""Letters in a line of words below a shape."""


def panel_shapes_plan(job: ShopJob, system: str) -> SheetPlan:
    """The sheet of all shapes of one system's panels, not yet drawn."""
    groups = [g for g in job.shape_groups if g[0].panel.system == system]
    name = system_name(job.project, system)
    # room for the words beside each shape at the scale that panels are usually drawn in
    rows = _rows(groups, 48.0)
    size = (
        max(sum(_step(g[0], 48.0) for g in row) for row in rows),
        sum(_height(row, 48.0) for row in rows),
    )
    return SheetPlan(
        f"panels {name}",
        f"{name}: flat shapes of panels",
        "panel shapes",
        size,
        (12.0, 6.0, 6.0, 6.0),
        lambda scale: _drawn(job, groups, name, scale),
        tuple(dict.fromkeys(s.panel.plane for g in groups for s in g)),
    )


def mark_words(group: Sequence[PanelShape]) -> str:
    """The marks of some panels, runs of numbers on one plane as one.

    A plane is named once: "South 1 - 2 to 5, 9; North 1 - 3".
    """
    by_plane: dict[str, list[int]] = {}
    for shape in group:
        by_plane.setdefault(shape.panel.plane_name, []).append(shape.panel.number)
    return "; ".join(f"{plane} - {runs_words(sorted(some))}" for plane, some in by_plane.items())


def runs_words(numbers: Sequence[int]) -> str:
    """Rising numbers, runs of three and more as one.

    >>> runs_words([1, 2, 4, 5, 6])
    '1, 2, 4 to 6'
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    said = []
    for run in runs:
        if len(run) < 3:
            said += [str(n) for n in run]
        else:
            said.append(f"{run[0]} to {run[-1]}")
    return ", ".join(said)


def _step(shape: PanelShape, scale: float) -> float:
    """How much a shape takes across, with its words."""
    return max(shape.width + 16.0 * scale, (_WORDS_MM + 12.0) * scale)


def _rows(groups: Sequence[list[PanelShape]], scale: float) -> list[list[list[PanelShape]]]:
    """Groups in rows that make a sheet about twice as wide as high."""
    wanted = math.sqrt(sum(_step(g[0], scale) * _height([g], scale) for g in groups) * 2.0)
    rows: list[list[list[PanelShape]]] = [[]]
    across = 0.0
    for group in sorted(groups, key=lambda g: -g[0].length):
        step = _step(group[0], scale)
        if rows[-1] and across + step > wanted:
            rows.append([])
            across = 0.0
        rows[-1].append(group)
        across += step
    return rows


def _height(row: Sequence[list[PanelShape]], scale: float) -> float:
    """How much a row takes upwards."""
    words = (max(len(_words(g)) for g in row) + 1) * _ROW_MM
    return max(g[0].length for g in row) + (words + 20.0) * scale


def _words(
    group: Sequence[PanelShape], units: LengthUnits = _ANY_UNITS, scale: float = 0.0
) -> list[str]:
    """What is written below a shape; what is too small for a dimension is said here."""
    shape = group[0]
    out = [f"quantity {len(group)}", f"cut length {format_length(shape.length, units)}"]
    small = [
        format_length(math.dist(a, b), units)
        for a, b, _, _ in _measured(shape, scale)
        if not _fits(format_length(math.dist(a, b), units), math.dist(a, b), TEXT_MM * scale)
    ]
    if small:
        width = format_length(shape.width, units)
        sides = [format_length(x, units) for x in (shape.left, shape.right)]
        out.append(f"{width} wide, sides {sides[0]}, {sides[1]}")
    out.append(f"upper end {cut_words(shape.panel.upper)}")
    out.append(f"lower end {cut_words(shape.panel.lower)}")
    if shape.is_ripped:
        out.append(width_words(shape, units))
    lap = lap_words(shape, units)
    out += [lap] if lap else []
    for x0, y0, x1, y1 in shape.notches:
        wide, high, up = (format_length(v, units) for v in (x1 - x0, y1 - y0, y0))
        out.append(f"cut out {wide} by {high}, {up} up")
    out += mark_words(group).split("; ")
    return [line for words in out for line in _wrapped(words)]


def _wrapped(text: str) -> list[str]:
    lines = [""]
    for word in unbroken(text):
        longer = f"{lines[-1]} {word}".strip()
        if len(longer) > _LINE and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _drawn(job: ShopJob, groups: Sequence[list[PanelShape]], name: str, scale: float) -> ShopSheet:
    units = job.project.units
    outlines: list[SheetOutline] = []
    lines: list[SheetLine] = []
    texts: list[SheetText] = []
    dimensions: list[SheetDimension] = []
    y = 0.0
    for row in _rows(groups, scale):
        y -= _height(row, scale)
        x = 0.0
        base = y + (_height(row, scale) - max(g[0].length for g in row) - 4.0 * scale)
        for group in row:
            at = (x + 10.0 * scale, base)
            outlines += _outlines(group[0], at)
            lines += [
                SheetLine(BEND_DOWN, _moved(f.start, at), _moved(f.end, at))
                for f in group[0].folds
            ]
            dimensions += _dimensions(group[0], at, scale, units)
            for k, words in enumerate(_words(group, units, scale)):
                place = (at[0], base - (12.0 + k * _ROW_MM) * scale)
                texts.append(SheetText(NOTES, words, place, SMALL_TEXT_MM * scale, 0.0, "left"))
            x += _step(group[0], scale)
    count = sum(len(g) for g in groups)
    system = next(s for s in job.project.systems() if s.id == groups[0][0].panel.system)
    wide = ("Sheet width", format_length(groups[0][0].sheet_width, units))
    if is_seamed(system):
        wide = ("Coverage", f"{wide[1]} from seam to seam, before the legs are formed")
    elif groups[0][0].lap_leg > 0.0:
        wide = (wide[0], f"{wide[1]} with the lap leg")
    fields = (
        *job_fields(job),
        ("Part", f"panels of {name}"),
        ("Quantity", f"{count} in {len(groups)} shapes"),
        wide,
        *end_fields(job, "panels"),
    )
    return ShopSheet(
        f"panels {name}",
        f"{name}: flat shapes of panels",
        "panel shapes",
        scale,
        fields,
        tuple(_notes(groups, system, units)),
        tuple(outlines),
        tuple(lines),
        (),
        tuple(texts),
        tuple(dimensions),
    )


def _notes(
    groups: Sequence[list[PanelShape]], system: RoofingSystem, units: LengthUnits
) -> Iterator[str]:
    yield "Shapes are seen as someone looks up the slope, hems still flat."
    if any(s.folds for g in groups for s in g):
        yield "Ends are folded down along the bend lines."
    yield from seam_notes(system, [g[0] for g in groups], units)
    yield "Marks: plane - number in laying order, as on the layout sheets."
    yield FIELD_MEASURE


def _outlines(shape: PanelShape, at: XY) -> list[SheetOutline]:
    return [
        SheetOutline(CUT, tuple(_moved((x, y), at) for x, y in ring.tolist()))
        for ring in (shape.outline, *shape.holes)
    ]


def _dimensions(
    shape: PanelShape, at: XY, scale: float, units: LengthUnits
) -> list[SheetDimension]:
    """Width below; both sides where the sheet reaches them, and the whole where neither does."""
    height = TEXT_MM * scale
    out = []
    for start, end, base, turn in _measured(shape, scale):
        size = math.dist(start, end)
        text = format_length(size, units)
        if _fits(text, size, height):
            out.append(
                SheetDimension(
                    *(_moved(start, at), _moved(end, at), _moved(base, at), turn, text, height)
                )
            )
    return out


def _measured(shape: PanelShape, scale: float) -> list[tuple[XY, XY, XY, float]]:
    """What is measured of a shape: from, to, where its line passes, and its way in degrees."""
    points = shape.outline
    out = [((0.0, 0.0), (shape.width, 0.0), (0.0, -8.0 * scale), 0.0)]
    for x, size, away in (
        (0.0, shape.left, -3.0 * scale),
        (shape.width, shape.right, 6.0 * scale),
    ):
        if size > HEAL_MM:
            on_side = points[abs(points[:, 0] - x) <= HEAL_MM, 1]
            low, high = float(on_side.min()), float(on_side.max())
            out.append(((x, low), (x, high), (x + away, 0.0), 90.0))
    return out


def _fits(text: str, size: float, height: float) -> bool:
    return (len(text) + 1) * height * WIDTH_PER_HEIGHT <= size


def _moved(point: XY, by: XY) -> XY:
    return point[0] + by[0], point[1] + by[1]
