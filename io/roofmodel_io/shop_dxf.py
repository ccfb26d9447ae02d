"""A sheet for shop or crew as DXF (release R2010), true size: inches, or mm in metric jobs.

Layers have whole words. Outlines are closed LWPOLYLINEs with arcs as bulges, and a layer of
outlines to cut holds nothing else; lengths are DIMENSIONs with their rendered block, so that
readers without a dimension engine show them as well. Nothing is drawn twice.
"""

from __future__ import annotations

import math
from typing import Final

from ezdxf.document import Drawing as DxfDocument
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_dxf
from ezdxf.layouts.layout import Modelspace

from roofmodel.document import Units
from roofmodel.scene import EDGE_LOOKS
from roofmodel.sheets.shop_types import (
    LAYER_LOOKS,
    NOTES,
    SMALL_TEXT_MM,
    TEXT_MM,
    WIDTH_PER_HEIGHT,
    XY,
    LayerLook,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import scale_words
from roofmodel.sheets.unbroken import unbroken
from roofmodel.units import MM_PER_IN
from roofmodel_io.dxf_kit import (
    INSUNITS_INCHES,
    INSUNITS_MM,
    add_pattern,
    encode,
    fixed_meta_data,
    line_weight,
    one_line,
    rgb_of,
)

STYLE: Final = "SHOP"
TEXT_FONT: Final = "txt"

_SAME_MM: Final = 1e-4
_ALIGN: Final = {
    "left": TextEntityAlignment.MIDDLE_LEFT,
    "centre": TextEntityAlignment.MIDDLE_CENTER,
    "right": TextEntityAlignment.MIDDLE_RIGHT,
}
_ATTACHED: Final = {"left": 4, "centre": 5, "right": 6}
_BLOCK_MM: Final = 150.0
"""Least width of the title block on paper."""
_ROW: Final = 1.9
"""From one line of words to the next, over the height of text."""
_GREY: Final = 8
_BACKGROUND_MASK: Final = 3  # the colour of the drawing's ground, whatever it is


def sheet_dxf(sheet: ShopSheet, units: Units) -> bytes:
    """The bytes of the file; the same sheet gives the same bytes."""
    with fixed_meta_data():
        return encode(_Writer(sheet, units).document)


class _Writer:
    def __init__(self, sheet: ShopSheet, units: Units) -> None:
        self.sheet, self.units = sheet, units
        self.is_metric = units.system == "metric"
        self.per_mm = 1.0 if self.is_metric else 1.0 / MM_PER_IN
        self.document: DxfDocument = new_dxf(
            "R2010", units=INSUNITS_MM if self.is_metric else INSUNITS_INCHES
        )
        self.space: Modelspace = self.document.modelspace()
        self._set_header()
        self._add_layers()
        self._add_dimension_style()
        self._seen: set[tuple[object, ...]] = set()
        self._draw()
        box = self._draw_title()
        self._set_view(box)

    def _set_header(self) -> None:
        header = self.document.header
        header["$MEASUREMENT"] = 1 if self.is_metric else 0
        header["$LUNITS"] = 2 if self.is_metric else 4
        header["$LTSCALE"] = self.sheet.scale

    def _add_layers(self) -> None:
        """Only the layers that are drawn on."""
        sheet = self.sheet
        parts = (sheet.outlines, sheet.lines, sheet.arcs, sheet.all_texts())
        used = dict.fromkeys([*(x.layer for some in parts for x in some), NOTES])
        patterns: dict[tuple[float, ...], str] = {(): "CONTINUOUS"}
        for name in used:
            look = look_of(name)
            if look.pattern not in patterns:
                patterns[look.pattern] = f"PATTERN {len(patterns)}"
                add_pattern(
                    self.document,
                    patterns[look.pattern],
                    [p * self.per_mm for p in look.pattern],
                )
            layer = self.document.layers.add(name, linetype=patterns[look.pattern])
            layer.rgb = rgb_of(look.color)
            layer.dxf.lineweight = line_weight(look.width * 100.0)
            layer.description = look.words

    def _add_dimension_style(self) -> None:
        self.document.styles.add(STYLE, font=TEXT_FONT)
        style = self.document.dimstyles.add(STYLE)
        height = SMALL_TEXT_MM * self.sheet.scale * self.per_mm
        for name, value in {
            "dimtxt": height,
            "dimtxsty": STYLE,
            "dimtad": 1,  # above the line
            "dimgap": 0.4 * height,
            "dimasz": 0.9 * height,
            "dimtsz": 0.6 * height,  # oblique strokes: they read on closely spaced lines
            "dimexo": 0.6 * height,
            "dimexe": 0.6 * height,
            "dimtix": 1,  # texts stay in the middle
            "dimtih": 0,
            "dimtoh": 0,
            "dimscale": 1.0,
            "dimclrd": _GREY,  # lines that cross the metal must not look like cuts
            "dimclre": _GREY,
            "dimlwd": 13,
            "dimlwe": 13,
        }.items():
            style.dxf.set(name, value)

    def _draw(self) -> None:
        for outline in self.sheet.outlines:
            corners = [self._place(p) for p in outline.corners]
            bulges = outline.bulges or (0.0,) * len(corners)
            if self._is_new("outline", outline.layer, *sorted(map(self._rounded, corners))):
                self.space.add_lwpolyline(
                    [(x, y, b) for (x, y), b in zip(corners, bulges, strict=True)],
                    format="xyb",
                    close=True,
                    dxfattribs={"layer": outline.layer},
                )
        for line in self.sheet.lines:
            if math.dist(line.start, line.end) <= _SAME_MM:
                continue
            ends = self._place(line.start), self._place(line.end)
            if self._is_new("line", line.layer, *sorted(map(self._rounded, ends))):
                self.space.add_line(*ends, dxfattribs={"layer": line.layer})
        for arc in self.sheet.arcs:
            self.space.add_arc(
                self._place(arc.centre),
                arc.radius * self.per_mm,
                arc.start,
                arc.end,
                dxfattribs={"layer": arc.layer},
            )
        self._draw_dimensions()
        for text in self.sheet.texts:
            self._write(text)

    def _draw_dimensions(self) -> None:
        for d in self.sheet.dimensions:
            turn = math.radians(d.turn)
            wide, high = d.end[0] - d.start[0], d.end[1] - d.start[1]
            start, end = self._place(d.start), self._place(d.end)
            if wide * math.cos(turn) + high * math.sin(turn) < 0.0:
                start, end = end, start  # words stand on the left of the way between them
            self.space.add_linear_dim(
                self._place(d.base),
                start,
                end,
                text=one_line(d.text),
                angle=d.turn,
                dimstyle=STYLE,
                override={"dimtxt": d.height * self.per_mm},
                dxfattribs={"layer": d.layer},
            ).render()
        for r in self.sheet.running:
            add = self.space.add_ordinate_x_dim if r.axis == "x" else self.space.add_ordinate_y_dim
            at, to = self._place(r.at), self._place(r.to)
            if r.axis == "x":  # from the border below: a line across the metal looks like a cut
                at = at[0], min(at[1], max(to[1], self._place(r.origin)[1]))
            add(
                at,
                (to[0] - at[0], to[1] - at[1]),
                origin=self._place(r.origin),
                text=one_line(r.text),
                dimstyle=STYLE,
                override={"dimtxt": r.height * self.per_mm},
                dxfattribs={"layer": r.layer},
            ).render()

    def _write(self, text: SheetText) -> None:
        height = text.height * self.per_mm
        if text.is_masked:
            entity = self.space.add_mtext(
                one_line(text.text),
                dxfattribs={
                    "layer": text.layer,
                    "style": STYLE,
                    "char_height": height,
                    "attachment_point": _ATTACHED[text.anchor],
                    "insert": self._place(text.at),
                    "rotation": text.turn,
                },
            )
            entity.dxf.bg_fill = _BACKGROUND_MASK
            entity.dxf.box_fill_scale = 1.15
            entity.dxf.bg_fill_color = 256
            return
        self.space.add_text(
            one_line(text.text),
            height=height,
            rotation=text.turn,
            dxfattribs={"layer": text.layer, "style": STYLE},
        ).set_placement(self._place(text.at), align=_ALIGN[text.anchor])

    def _draw_title(self) -> tuple[XY, XY]:
        """A framed block of words below the drawing; the box around both, in drawing units."""
        sheet, scale = self.sheet, self.sheet.scale
        left, bottom, right, top = sheet.box()
        height, row = TEXT_MM * scale, TEXT_MM * scale * _ROW
        width = max(right - left, _BLOCK_MM * scale)
        letters = int((width - 2.0 * height) / (height * WIDTH_PER_HEIGHT))
        y0 = bottom - 4.0 * height
        lines: list[tuple[str, float]] = [(sheet.title, 1.4)]
        unit = "millimetre" if self.is_metric else "inch"
        fields = [
            *sheet.fields,
            ("Drawn for", f"{scale_words(scale, self.units)}; one drawing unit is one {unit}"),
        ]
        texts = [f"{word}: {value}" for word, value in fields]
        for text in (*texts, *sheet.notes):
            lines += [(part, 1.0) for part in wrapped(one_line(text), letters)]
        y = y0 - row
        for words, size in lines:
            self._write(SheetText(NOTES, words, (left + height, y), height * size, 0.0, "left"))
            y -= row * (1.3 if size > 1.0 else 1.0)
        y += row - row * 0.5
        frame = [(left, y - row / 2.0), (left + width, y - row / 2.0), (left + width, y0),
                 (left, y0)]  # fmt: skip
        self.space.add_lwpolyline(
            [self._place(p) for p in frame], close=True, dxfattribs={"layer": NOTES}
        )
        return self._place((left, y - row / 2.0)), self._place((max(right, left + width), top))

    def _set_view(self, box: tuple[XY, XY]) -> None:
        low, high = box
        self.space.reset_extents((*low, 0.0), (*high, 0.0))  # goes to the header when written
        self.document.set_modelspace_vport(
            height=max(high[1] - low[1], high[0] - low[0], 1.0) * 1.1,
            center=((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0),
        )

    def _place(self, point: XY) -> XY:
        return point[0] * self.per_mm + 0.0, point[1] * self.per_mm + 0.0  # no minus before 0

    def _rounded(self, point: XY) -> XY:
        unit = _SAME_MM * self.per_mm
        return round(point[0] / unit), round(point[1] / unit)

    def _is_new(self, *key: object) -> bool:
        if key in self._seen:
            return False
        self._seen.add(key)
        return True


def look_of(layer: str) -> LayerLook:
    """How a layer is drawn: its own look, or that of the kind of roof edge it is named after."""
    known = LAYER_LOOKS.get(layer)
    if known is not None:
        return known
    for kind, look in EDGE_LOOKS.items():
        if kind.value.upper() == layer:
            pattern = tuple(p * 0.35 for p in look.pattern)
            return LayerLook(look.color, look.width * 0.14, pattern, f"Roof edges: {kind}")
    raise KeyError(layer)


def wrapped(text: str, letters: int) -> list[str]:
    """Text in lines of so many letters at most, cut between words."""
    lines = [""]
    for word in unbroken(text):
        longer = f"{lines[-1]} {word}".strip()
        if len(longer) > letters and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
