"""Writing and drawing on one page, in mm from its lower left corner, type sizes in points."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Final, Literal

from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from roofmodel_io.pdf.fonts import (
    BELOW,
    CAPITALS,
    MM_PER_POINT,
    font,
    printable,
    shortened,
    width_of,
)

XY = tuple[float, float]
Anchor = Literal["left", "centre", "right"]

BLACK: Final = "#000000"
GREY: Final = "#595959"
PALE: Final = "#D9D9D9"

_UNIT: Final = 1.0 / MM_PER_POINT
_LEFT: Final = {"left": 0.0, "centre": -0.5, "right": -1.0}


class Writer:
    """Draws on the current page of a canvas."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas

    def text(
        self,
        at: XY,
        text: str,
        points: float = 8.0,
        *,
        bold: bool = False,
        anchor: Anchor = "left",
        turn: float = 0.0,
        color: str = BLACK,
        room: float | None = None,
        middle: bool = False,
        masked: bool = False,
    ) -> None:
        """One line of text on the line through `at` (`middle`: capitals are centred on it).

        A text wider than `room` is squeezed a little, then cut short with "…". `masked`: what is
        below it is hidden.
        """
        text = printable(text)
        wide = width_of(text, points, bold)
        squeeze = 1.0
        if room is not None and wide > room:
            squeeze = max(room / wide, 0.85)
            text = shortened(text, room / squeeze, points, bold)
            wide = width_of(text, points, bold) * squeeze
        left = _LEFT[anchor] * wide
        high = CAPITALS * points * MM_PER_POINT
        down = high / 2.0 if middle else 0.0
        c = self._canvas
        c.saveState()
        c.translate(at[0] * _UNIT, at[1] * _UNIT)
        if turn:
            c.rotate(turn)
        if masked:
            pad = 0.12 * high
            c.setFillColor(HexColor("#FFFFFF"))
            c.rect(
                (left - pad) * _UNIT, (-down - pad) * _UNIT,
                (wide + 2.0 * pad) * _UNIT, (high + 2.0 * pad) * _UNIT,
                stroke=0, fill=1,
            )  # fmt: skip
        c.setFillColor(HexColor(color))
        out = c.beginText(left * _UNIT, -down * _UNIT)
        out.setFont(font(bold), points)
        if squeeze != 1.0:
            out.setHorizScale(100.0 * squeeze)
        out.textOut(text)
        c.drawText(out)
        c.restoreState()

    def lines(
        self,
        at: XY,
        lines: Sequence[str],
        points: float = 8.0,
        *,
        bold: bool = False,
        color: str = BLACK,
    ) -> None:
        """Lines of text below each other; `at` is the upper left corner of the first."""
        for k, line in enumerate(lines):
            down = k * line_height(points) + baseline(points)
            self.text((at[0], at[1] - down), line, points, bold=bold, color=color)

    def line(
        self,
        points: Sequence[XY],
        width: float = 0.18,
        *,
        color: str = BLACK,
        pattern: Sequence[float] = (),
        closed: bool = False,
        fill: str | None = None,
        round_caps: bool = False,
    ) -> None:
        """A polyline; `pattern` is dash, gap, … in mm. With `fill` its inside is filled; a line
        of no width is not drawn."""
        c = self._canvas
        c.saveState()
        c.setStrokeColor(HexColor(color))
        c.setLineWidth(width * _UNIT)
        c.setLineCap(1 if round_caps else 0)
        c.setLineJoin(1)
        if pattern:
            c.setDash([p * _UNIT for p in pattern])
        if fill is not None:
            c.setFillColor(HexColor(fill))
        path = c.beginPath()
        for k, (x, y) in enumerate(points):
            (path.moveTo if k == 0 else path.lineTo)(x * _UNIT, y * _UNIT)
        if closed:
            path.close()
        c.drawPath(path, stroke=int(width > 0.0), fill=int(fill is not None))
        c.restoreState()

    def box(
        self, at: XY, size: XY, width: float = 0.18, *, color: str = BLACK, fill: str | None = None
    ) -> None:
        """A rectangle; `at` is its lower left corner."""
        (x, y), (w, h) = at, size
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        self.line(corners, width, color=color, closed=True, fill=fill)

    def arc(
        self,
        centre: XY,
        radius: float,
        start: float,
        end: float,
        width: float,
        *,
        color: str,
        pattern: Sequence[float] = (),
    ) -> None:
        """An arc, counter-clockwise from `start` to `end` degrees."""
        sweep = (end - start) % 360.0 or 360.0
        count = max(4, math.ceil(sweep / 5.0))
        turns = [math.radians(start + sweep * k / count) for k in range(count + 1)]
        x, y = centre
        self.line(
            [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns],
            width,
            color=color,
            pattern=pattern,
        )

    def picture(self, png: bytes, at: XY, room: XY) -> float:
        """A picture as large as fits into `room` below its upper left corner `at`, in the middle
        of it; its height."""
        image = ImageReader(io.BytesIO(png))
        wide, high = image.getSize()
        share = min(room[0] / wide, room[1] / high)
        w, h = wide * share, high * share
        left = at[0] + (room[0] - w) / 2.0
        self._canvas.drawImage(
            image, left * _UNIT, (at[1] - h) * _UNIT, w * _UNIT, h * _UNIT, mask="auto"
        )
        return float(h)


def line_height(points: float) -> float:
    """From one line of text to the next, mm."""
    return 1.32 * points * MM_PER_POINT


def baseline(points: float) -> float:
    """From the top of a line of text down to where its letters stand, mm."""
    return line_height(points) - (BELOW + 0.04) * points * MM_PER_POINT
