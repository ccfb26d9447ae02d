"""Drawings for shop and crew on paper, at their true scale."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from roofmodel.scene import EDGE_LOOKS
from roofmodel.sheets.shop_types import (
    DIMENSIONS,
    LAYER_LOOKS,
    NOTES,
    XY,
    SheetDimension,
    SheetRunning,
    SheetText,
    ShopSheet,
)
from roofmodel.systems import EdgeKind
from roofmodel.units import MM_PER_FT, LengthUnits
from roofmodel_io.pdf.flow import Item
from roofmodel_io.pdf.fonts import CAPITALS, MM_PER_POINT, width_of
from roofmodel_io.pdf.writer import BLACK, Writer

PX_MM: Final = 0.15
"""Width of a roof edge's line on paper, for one pixel on screen."""
PATTERN_MM: Final = 0.5
"""A unit of a roof edge's line pattern on paper."""

TICK: Final = 1.1
"""Half of the stroke across each end of a dimension line reaches less far than this, mm."""
_GAP: Final = 0.8
_LEGEND_POINTS: Final = 7.5
_LEGEND_ROW: Final = 4.2
_SAMPLE: Final = 12.0

_EDGES: Final = {kind.value.upper(): kind for kind in EdgeKind}


def look_of(layer: str) -> tuple[str, float, tuple[float, ...], str]:
    """Colour, width of lines and pattern (mm on paper) of a layer, and what it holds."""
    kind = _EDGES.get(layer)
    if kind is None:
        look = LAYER_LOOKS[layer]
        return look.color, look.width, look.pattern, look.words
    edge = EDGE_LOOKS[kind]
    pattern = tuple(PATTERN_MM * p for p in edge.pattern)
    return edge.color, PX_MM * edge.width, pattern, kind.capitalize()


def draw_sheet(writer: Writer, sheet: ShopSheet, at: XY) -> None:
    """Draw a sheet with the lower left corner of its box at `at`."""
    left, bottom, _, _ = sheet.box()
    _Drawn(writer, sheet, (at[0] - left / sheet.scale, at[1] - bottom / sheet.scale)).draw()


class _Drawn:
    def __init__(self, writer: Writer, sheet: ShopSheet, origin: XY) -> None:
        self.writer, self.sheet, self.origin = writer, sheet, origin

    def place(self, p: XY) -> XY:
        """A place of the drawing on the page."""
        s = self.sheet.scale
        return self.origin[0] + p[0] / s, self.origin[1] + p[1] / s

    def draw(self) -> None:
        """All of it: texts last, since some hide what is below them."""
        sheet = self.sheet
        for outline in sheet.outlines:
            self.stroke(outline.layer, outline.polyline(), closed=True)
        for line in sheet.lines:
            self.stroke(line.layer, (line.start, line.end))
        for arc in sheet.arcs:
            color, width, pattern, _ = look_of(arc.layer)
            self.writer.arc(
                self.place(arc.centre), arc.radius / sheet.scale, arc.start, arc.end,
                width, color=color, pattern=pattern,
            )  # fmt: skip
        for dimension in sheet.dimensions:
            self.dimension(dimension)
        for running in sheet.running:
            self.running(running)
        for text in sheet.all_texts():
            # lines out to a dimension may run through the words of another one
            self.text(text, masked=text.is_masked or text.layer == DIMENSIONS)

    def stroke(self, layer: str, points: Iterable[XY], closed: bool = False) -> None:
        color, width, pattern, _ = look_of(layer)
        self.writer.line(
            [self.place(p) for p in points], width, color=color, pattern=pattern, closed=closed
        )

    def dimension(self, d: SheetDimension) -> None:
        """Its line with a slanted tick at each end, and lines out to it from what it measures."""
        color, width, _, _ = look_of(d.layer)
        ends = [self.place(p) for p in d.line]
        self.writer.line(ends, width, color=color)
        turn = math.radians(d.turn + 45.0)
        c, s = TICK * math.cos(turn), TICK * math.sin(turn)
        for (x, y), measured in zip(ends, (d.start, d.end), strict=True):
            self.writer.line([(x - c, y - s), (x + c, y + s)], 2.0 * width, color=color)
            mx, my = self.place(measured)
            far = math.hypot(x - mx, y - my)
            if far > 2.0 * _GAP:
                ux, uy = (x - mx) / far, (y - my) / far
                self.writer.line(
                    [(mx + _GAP * ux, my + _GAP * uy), (x + _GAP * ux, y + _GAP * uy)],
                    width,
                    color=color,
                )

    def running(self, r: SheetRunning) -> None:
        color, width, _, _ = look_of(r.layer)
        self.writer.line([self.place(p) for p in r.leader], width, color=color)

    def text(self, t: SheetText, *, masked: bool) -> None:
        scale = self.sheet.scale
        points = t.height / scale / CAPITALS / MM_PER_POINT
        corner, other = t.box[0], t.box[1]
        color = BLACK if t.layer in _EDGES or t.layer == NOTES else look_of(t.layer)[0]
        self.writer.text(
            self.place(t.at),
            t.text,
            points,
            anchor=t.anchor,
            turn=t.turn,
            color=_dark(color),
            room=math.dist(corner, other) / scale,
            middle=True,
            masked=masked,
        )


def _dark(color: str) -> str:
    """Thin letters in pale colours cannot be read on paper: those are written in black."""
    r, g, b = (int(color[k : k + 2], 16) for k in (1, 3, 5))
    return color if 0.3 * r + 0.59 * g + 0.11 * b < 110.0 else BLACK


def legend(sheet: ShopSheet, room: float) -> Item:
    """What the lines of a sheet mean, in rows."""
    used = [o.layer for o in sheet.outlines] + [line.layer for line in sheet.lines]
    layers = [layer for layer in (*_EDGES, *LAYER_LOOKS) if layer in used and layer != NOTES]
    rows: list[list[tuple[float, str]]] = [[]]
    x = 0.0
    for layer in layers:
        wide = _SAMPLE + 1.5 + width_of(look_of(layer)[3], _LEGEND_POINTS) + 5.0
        if rows[-1] and x + wide - 5.0 > room:
            rows.append([])
            x = 0.0
        rows[-1].append((x, layer))
        x += wide

    def draw(writer: Writer, left: float, top: float) -> None:
        for k, row in enumerate(rows):
            y = top - (k + 0.5) * _LEGEND_ROW
            for across, layer in row:
                color, width, pattern, words = look_of(layer)
                start = left + across
                writer.line(
                    [(start, y), (start + _SAMPLE, y)], width, color=color, pattern=pattern
                )
                writer.text((start + _SAMPLE + 1.5, y), words, _LEGEND_POINTS, middle=True)

    return Item(len(rows) * _LEGEND_ROW if layers else 0.0, draw)


def scale_bar(scale: float, units: LengthUnits, *, north: bool = False) -> Item:
    """A length to check the print by, and an arrow to the north where that is up."""
    feet = units.system == "feet"
    longer = (1, 2, 5, 10, 20, 50, 100)
    steps = (1 / 12, 0.25, 0.5, *longer) if feet else (0.02, 0.05, 0.1, 0.2, 0.5, *longer)
    unit = MM_PER_FT if feet else 1000.0
    size = max((n for n in steps if n * unit / scale <= 42.0), default=steps[0])
    wide = size * unit / scale
    if size >= 1:
        said = f"{size:g} ft" if feet else f"{size:g} m"
    else:
        said = f"{size * 12:g} in" if feet else f"{size * 1000:g} mm"

    def draw(writer: Writer, left: float, top: float) -> None:
        y = top - 3.4
        for k in range(4):
            fill = BLACK if k % 2 == 0 else "#FFFFFF"
            writer.box((left + wide * k / 4.0, y), (wide / 4.0, 1.1), 0.13, fill=fill)
        writer.text((left + wide + 1.5, y + 0.55), said, _LEGEND_POINTS, middle=True)
        if north:
            x = left + wide + 17.0
            writer.line([(x, y - 0.8), (x, y + 1.4)], 0.25)
            head = [(x, y + 3.4), (x - 0.9, y + 0.9), (x + 0.9, y + 0.9)]
            writer.line(head, 0.0, closed=True, fill=BLACK)
            writer.text((x + 2.0, y + 0.55), "north", _LEGEND_POINTS, middle=True)

    return Item(5.0, draw)
