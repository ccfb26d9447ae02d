"""The roof plan as DXF (release R2010): inches, one drawing unit to the inch; mm in metric jobs.

Every kind of roof edge has a layer by its whole name in capitals, with the colour and the line
pattern it has everywhere. An edge is one LINE in plan; the text beside it is its true length.
PLANES holds the planes' outlines and their texts, NOTES the title block.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from ezdxf.document import Drawing as DxfDocument
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_dxf
from ezdxf.layouts.layout import Modelspace

from roofmodel.results import Results
from roofmodel.scene import EDGE_LOOKS
from roofmodel.sheets import Drawing, plan_drawing, roofing_words
from roofmodel.systems import EdgeKind
from roofmodel_io.atomic import write_whole
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

MM_PER_IN: Final = 25.4
PLANES_LAYER: Final = "PLANES"
NOTES_LAYER: Final = "NOTES"

XY = tuple[float, float]
Place = Callable[[XY], XY]

_PATTERN_SCALE = 30.0  # between 1/2 in and 1/4 in to the foot, the usual scales of roof plans


def layer_of(kind: EdgeKind) -> str:
    """The layer for a kind of edge: its whole name in capitals."""
    return kind.value.upper()


def write_plan_dxf(path: str | Path, results: Results, date: str = "") -> None:
    """Write the roof plan; FileError if it cannot be written. `date` is printed as it is given."""
    write_whole(Path(path), plan_dxf(results, date))


def plan_dxf(results: Results, date: str = "") -> bytes:
    """The bytes of the DXF file; the same results give the same bytes."""
    with fixed_meta_data():
        return encode(_document(results, date))


def _document(results: Results, date: str) -> DxfDocument:
    drawing = plan_drawing(results)
    metric = results.project.units.system == "metric"
    per = 1.0 if metric else 1.0 / MM_PER_IN

    def place(point: XY) -> XY:
        return point[0] * per, point[1] * per

    document = new_dxf("R2010", units=INSUNITS_MM if metric else INSUNITS_INCHES)
    document.header["$MEASUREMENT"] = 1 if metric else 0
    document.header["$LUNITS"] = 2 if metric else 4
    document.header["$LTSCALE"] = _PATTERN_SCALE * per * MM_PER_IN
    _add_layers(document)
    space = document.modelspace()
    _draw_planes(space, results, place)
    for line in drawing.lines:
        space.add_line(
            place(line.start), place(line.end), dxfattribs={"layer": layer_of(line.kind)}
        )
    layers: dict[object, str] = {line.edge: layer_of(line.kind) for line in drawing.lines}
    for text in drawing.texts:
        space.add_text(
            text.text,
            height=text.height * per,
            rotation=text.turn,
            dxfattribs={"layer": layers.get(text.of, PLANES_LAYER)},
        ).set_placement(place(text.at), align=TextEntityAlignment.MIDDLE_CENTER)
    bottom, right = _draw_title(space, drawing, results, date, per)
    low, high = place(drawing.low), place(drawing.high)
    low, high = (low[0], bottom), (max(high[0], right), high[1])
    space.reset_extents((*low, 0.0), (*high, 0.0))  # goes to the header when written
    document.set_modelspace_vport(
        height=max(high[1] - low[1], high[0] - low[0], 1.0) * 1.1,
        center=((low[0] + high[0]) / 2, (low[1] + high[1]) / 2),
    )
    return document


def _add_layers(document: DxfDocument) -> None:
    patterns: dict[tuple[float, ...], str] = {(): "CONTINUOUS"}
    for kind in EdgeKind:
        look = EDGE_LOOKS[kind]
        if look.pattern not in patterns:
            name = f"PATTERN {len(patterns)}"
            patterns[look.pattern] = name
            add_pattern(document, name, [p / 20 for p in look.pattern])
        layer = document.layers.add(layer_of(kind), linetype=patterns[look.pattern])
        layer.rgb = rgb_of(look.color)
        layer.dxf.lineweight = line_weight(look.width * 12)
        layer.description = f"Roof edges: {kind}"
    planes = document.layers.add(PLANES_LAYER, linetype="CONTINUOUS")
    planes.rgb = (96, 96, 96)
    planes.dxf.lineweight = 13
    planes.description = "Roof planes: outline, name, pitch, true area"
    notes = document.layers.add(NOTES_LAYER, linetype="CONTINUOUS")
    notes.description = "Title and notes"


def _draw_planes(space: Modelspace, results: Results, place: Place) -> None:
    for plane in results.surface.planes:
        for ring in (plane.outline, *plane.holes):
            space.add_lwpolyline(
                [place((float(p[0]), float(p[1]))) for p in ring],
                close=True,
                dxfattribs={"layer": PLANES_LAYER},
            )


def _draw_title(
    space: Modelspace, drawing: Drawing, results: Results, date: str, per: float
) -> XY:
    """A framed block of notes below the plan; `per` drawing units are a millimetre. Its lower
    and its right border."""
    unit = "millimetre" if per == 1.0 else "inch"
    job = results.project.job
    heading = [job.name or "Job without a name"]
    heading += [f"{word}: {text}" for word, text in _particulars(job.client, job.place, date)]
    lines = [
        "ROOF PLAN",
        *(one_line(text) for text in heading),
        f"Roofing: {one_line(roofing_words(results))}",
        f"One drawing unit is one {unit}. Plan view, north up.",
        "Lengths beside edges are true lengths, measured along the roof, not in plan.",
        "Areas of planes are true areas, along the slope.",
        "Field-measure before cutting.",
    ]
    serious = [p.sentence for p in results.problems if p.serious]
    lines += [f"NOT COMPLETE: {one_line(sentence)}" for sentence in serious]
    height = max((t.height for t in drawing.texts), default=100.0) * per
    left, top = drawing.low[0] * per, drawing.low[1] * per
    top -= 4 * height  # clear of the plan
    step = 1.8 * height
    for number, line in enumerate(lines):
        space.add_text(
            line,
            height=height * (1.4 if number == 0 else 1.0),
            dxfattribs={"layer": NOTES_LAYER},
        ).set_placement((left + height, top - (number + 1) * step), align=TextEntityAlignment.LEFT)
    width = max(len(line) for line in lines) * 0.85 * height + 2 * height
    bottom = top - (len(lines) + 1) * step
    space.add_lwpolyline(
        [(left, bottom), (left + width, bottom), (left + width, top), (left, top)],
        close=True,
        dxfattribs={"layer": NOTES_LAYER},
    )
    return bottom, left + width


def _particulars(client: str, place: str, date: str) -> list[tuple[str, str]]:
    rows = (("Client", client), ("Place", place), ("Date", date))
    return [(word, text) for word, text in rows if text.strip()]
