"""Files to trace, made by the tests: pictures, plans in PDF, drawings in DXF."""

from __future__ import annotations

import io
from pathlib import Path

from ezdxf.document import Drawing as Document
from PIL import Image
from reportlab.pdfgen.canvas import Canvas


def png(width: int = 64, height: int = 48, mode: str = "RGB") -> bytes:
    return packed(noise(width, height).convert(mode), "PNG")


def noise(width: int, height: int) -> Image.Image:
    """Every pixel another colour than its neighbours, so that a shifted row shows."""
    across = Image.linear_gradient("L").resize((width, height))
    grain = Image.effect_noise((width, height), 80)
    return Image.merge("RGB", (across, across.rotate(180), grain))


def packed(picture: Image.Image, kind: str, **options: object) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, kind, **options)
    return stream.getvalue()


def pdf(*sizes: tuple[float, float], password: str | None = None) -> bytes:
    """A page of each size (points); a black square of 72 points, 72 from the left and the top."""
    stream = io.BytesIO()
    canvas = Canvas(stream, encrypt=password, invariant=1)
    for width, height in sizes:
        canvas.setPageSize((width, height))
        canvas.rect(72, height - 144, 72, 72, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def dxf(unit: int = 1, version: str = "R2010") -> Document:
    """An empty drawing in this unit ($INSUNITS)."""
    document = Document.new(version)
    document.header["$INSUNITS"] = unit
    return document


def saved(document: Document) -> bytes:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def on_disk(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path
