"""What stands on the pages of a PDF file, read back by a library that did not write it."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pypdfium2  # type: ignore[import-untyped]
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]
import shapely

MM = 25.4 / 72.0

XY = tuple[float, float]


@dataclass(frozen=True)
class Written:
    """A piece of text, the box it fills (mm from the page's lower left corner), its size."""

    text: str
    box: shapely.Polygon
    points: float


class PageRead:
    """One page; lengths in mm."""

    def __init__(self, page: pypdfium2.PdfPage) -> None:
        wide, high = page.get_size()
        self.size = (wide * MM, high * MM)
        text_page = page.get_textpage()
        kinds = (pdfium.FPDF_PAGEOBJ_TEXT,)
        self.texts = [_written(o, text_page) for o in page.get_objects(filter=kinds)]
        kinds = (pdfium.FPDF_PAGEOBJ_PATH,)
        self.paths = [_points(o) for o in page.get_objects(filter=kinds)]
        self.pictures = len(list(page.get_objects(filter=(pdfium.FPDF_PAGEOBJ_IMAGE,))))

    @property
    def words(self) -> list[str]:
        """All texts."""
        return [t.text for t in self.texts]

    @property
    def scale(self) -> float:
        """The scale that the page states, as so many to one."""
        at = self.words.index("Scale")
        return scale_of(self.words[at + 1])

    def lines(self) -> Iterator[tuple[XY, XY]]:
        """All straight strokes of two points."""
        for p in self.paths:
            if len(p) == 2:
                yield p[0], p[1]

    def line_lengths(self) -> np.ndarray:
        """Their lengths on paper."""
        return np.array([math.dist(a, b) for a, b in self.lines()])

    def outside(self, margin: float) -> list[str]:
        """Texts that reach into the margin."""
        inner = shapely.box(margin, margin, self.size[0] - margin, self.size[1] - margin)
        return [t.text for t in self.texts if not inner.contains(t.box)]

    def overlapping(self) -> list[tuple[str, str]]:
        """Texts that cover each other; letters that only touch do not."""
        boxes = [t.box.buffer(-0.12) for t in self.texts]
        first, second = shapely.STRtree(boxes).query(boxes, predicate="intersects")
        return [
            (self.texts[i].text, self.texts[j].text)
            for i, j in zip(first.tolist(), second.tolist(), strict=True)
            if i < j and boxes[i].intersection(boxes[j]).area > 0.05
        ]


def read_pages(data: bytes) -> list[PageRead]:
    """All pages of a file."""
    document = pypdfium2.PdfDocument(data)
    pages = [PageRead(page) for page in document]
    document.close()
    return pages


def scale_of(words: str) -> float:
    """What a stated scale means: 1/4" = 1'-0", 1:50, half size."""
    if words in ("full size", "half size"):
        return 1.0 if words == "full size" else 2.0
    if found := re.fullmatch(r"1:(\d+)", words):
        return float(found[1])
    found = re.fullmatch(r"(?:(\d+) )?(?:(\d+)/(\d+)|(\d+))\" = 1'-0\"", words)
    assert found is not None, words
    inches = float(found[1] or 0) + (
        float(found[4]) if found[4] else int(found[2]) / int(found[3])
    )
    return 12.0 / inches


def _written(item: pypdfium2.PdfObject, page: pypdfium2.PdfTextPage) -> Written:
    count = pdfium.FPDFTextObj_GetText(item, page, None, 0)
    buffer = ctypes.create_string_buffer(count)
    short = ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))
    pdfium.FPDFTextObj_GetText(item, page, short, count)
    quad, size = pdfium.FS_QUADPOINTSF(), ctypes.c_float()
    assert pdfium.FPDFPageObj_GetRotatedBounds(item, quad)
    assert pdfium.FPDFTextObj_GetFontSize(item, size)
    corners = [(getattr(quad, f"x{k}") * MM, getattr(quad, f"y{k}") * MM) for k in (1, 2, 3, 4)]
    text = buffer.raw[: count - 2].decode("utf-16-le").strip()  # words that follow bring a space
    return Written(text, shapely.Polygon(corners), size.value)


def _points(item: pypdfium2.PdfObject) -> list[XY]:
    x, y = ctypes.c_float(), ctypes.c_float()
    placed = item.get_matrix()
    out = []
    for k in range(pdfium.FPDFPath_CountSegments(item)):
        segment = pdfium.FPDFPath_GetPathSegment(item, k)
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        right, up = placed.on_point(x.value, y.value)
        out.append((right * MM, up * MM))
    return out
