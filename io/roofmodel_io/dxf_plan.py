"""The roof plan as DXF (release R2010): inches, one drawing unit to the inch.

Every kind of roof edge has a layer by its whole name in capitals, with the colour and the line
pattern it has everywhere. An edge is one LINE in plan; the text beside it is its true length.
PLANES holds the planes' outlines and their texts, NOTES the title block.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from ezdxf._options import options
from ezdxf.document import Drawing as DxfDocument
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_dxf
from ezdxf.layouts.layout import Modelspace

from roofmodel.results import Results
from roofmodel.scene import EDGE_LOOKS
from roofmodel.sheets import Drawing, plan_drawing, roofing_words
from roofmodel.systems import EdgeKind
from roofmodel_io.atomic import write_whole

MM_PER_IN: Final = 25.4
PLANES_LAYER: Final = "PLANES"
NOTES_LAYER: Final = "NOTES"

_INSUNITS_INCHES = 1
_PATTERN_SCALE = 30.0  # between 1/2 in and 1/4 in to the foot, the usual scales of roof plans
_LINE_WEIGHTS = (13, 18, 25, 35, 50)  # hundredths of a mm that DXF knows
_FIXED_ID = "{00000000-0000-0000-0000-000000000000}"
_FIXED_DAY = 2451545.0  # a Julian date; nothing in the file comes from the clock


def layer_of(kind: EdgeKind) -> str:
    """The layer for a kind of edge: its whole name in capitals."""
    return kind.value.upper()


def write_plan_dxf(path: str | Path, results: Results, date: str = "") -> None:
    """Write the roof plan; FileError if it cannot be written. `date` is printed as it is given."""
    write_whole(Path(path), plan_dxf(results, date))


def plan_dxf(results: Results, date: str = "") -> bytes:
    """The bytes of the DXF file; the same results give the same bytes."""
    with _fixed_meta_data():
        return _encode(_document(results, date))


def _document(results: Results, date: str) -> DxfDocument:
    drawing = plan_drawing(results)
    document = new_dxf("R2010", units=_INSUNITS_INCHES)
    document.header["$MEASUREMENT"] = 0
    document.header["$LUNITS"] = 4 if results.project.units.system == "feet" else 2
    document.header["$LTSCALE"] = _PATTERN_SCALE
    _add_layers(document)
    space = document.modelspace()
    _draw_planes(space, results)
    for line in drawing.lines:
        space.add_line(
            _inches(line.start), _inches(line.end), dxfattribs={"layer": layer_of(line.kind)}
        )
    layers: dict[object, str] = {line.edge: layer_of(line.kind) for line in drawing.lines}
    for text in drawing.texts:
        space.add_text(
            text.text,
            height=text.height / MM_PER_IN,
            rotation=text.turn,
            dxfattribs={"layer": layers.get(text.of, PLANES_LAYER)},
        ).set_placement(_inches(text.at), align=TextEntityAlignment.MIDDLE_CENTER)
    _draw_title(space, drawing, results, date)
    low, high = _inches(drawing.low), _inches(drawing.high)
    document.header["$EXTMIN"] = (*low, 0.0)
    document.header["$EXTMAX"] = (*high, 0.0)
    document.set_modelspace_vport(
        height=max(high[1] - low[1], high[0] - low[0], 1.0) * 1.3,
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
            _add_pattern(document, name, look.pattern)
        layer = document.layers.add(layer_of(kind), linetype=patterns[look.pattern])
        layer.rgb = _rgb(look.color)
        layer.dxf.lineweight = min(_LINE_WEIGHTS, key=lambda w: abs(w - look.width * 12))
        layer.description = f"Roof edges: {kind}"
    planes = document.layers.add(PLANES_LAYER, linetype="CONTINUOUS")
    planes.rgb = (96, 96, 96)
    planes.dxf.lineweight = 13
    planes.description = "Roof planes: outline, name, pitch, true area"
    notes = document.layers.add(NOTES_LAYER, linetype="CONTINUOUS")
    notes.description = "Title and notes"


def _add_pattern(document: DxfDocument, name: str, pattern: tuple[float, ...]) -> None:
    """A line pattern of dashes and gaps in turn; a unit of it is 1/20 in on paper."""
    lengths = [p / 20 * (1 if i % 2 == 0 else -1) for i, p in enumerate(pattern)]
    total = sum(abs(length) for length in lengths)
    document.linetypes.add(
        name, [total, *lengths], description=" ".join(f"{p:g}" for p in pattern)
    )


def _draw_planes(space: Modelspace, results: Results) -> None:
    for plane in results.surface.planes:
        for ring in (plane.outline, *plane.holes):
            space.add_lwpolyline(
                [_inches((float(p[0]), float(p[1]))) for p in ring],
                close=True,
                dxfattribs={"layer": PLANES_LAYER},
            )


def _draw_title(space: Modelspace, drawing: Drawing, results: Results, date: str) -> None:
    """A framed block of notes below the plan."""
    job = results.project.job
    heading = [job.name or "Job without a name"]
    heading += [f"{word}: {text}" for word, text in _particulars(job.client, job.place, date)]
    lines = [
        "ROOF PLAN",
        *(_one_line(text) for text in heading),
        f"Roofing: {_one_line(roofing_words(results))}",
        "One drawing unit is one inch. Plan view, north up.",
        "Lengths beside edges are true lengths, measured along the roof, not in plan.",
        "Areas of planes are true areas, along the slope.",
        "Field-measure before cutting.",
    ]
    serious = [p.sentence for p in results.problems if p.serious]
    lines += [f"NOT COMPLETE: {_one_line(sentence)}" for sentence in serious]
    height = max((t.height for t in drawing.texts), default=100.0) / MM_PER_IN
    left, top = _inches(drawing.low)
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


def _particulars(client: str, place: str, date: str) -> list[tuple[str, str]]:
    rows = (("Client", client), ("Place", place), ("Date", date))
    return [(word, text) for word, text in rows if text.strip()]


def _encode(document: DxfDocument) -> bytes:
    for name in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
        document.header[name] = _FIXED_DAY
    for name in ("$FINGERPRINTGUID", "$VERSIONGUID"):
        document.header[name] = _FIXED_ID
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


@contextmanager
def _fixed_meta_data() -> Iterator[None]:
    """ezdxf writes the time and a random id into files; the same roof must give the same file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _one_line(text: str) -> str:
    """Text without line breaks and control codes, which would break a DXF file."""
    return re.sub(r"\s+", " ", re.sub(r"[\x00-\x1f\x7f]", " ", text)).strip()


def _inches(point: tuple[float, float]) -> tuple[float, float]:
    return point[0] / MM_PER_IN, point[1] / MM_PER_IN


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
