"""Drawings with very many lines, as tiles: painted outside the window's thread, a few at a time.

Up to some thousand lines the plan draws as they are; more would hold it up at every move.
"""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QLineF
from PySide6.QtGui import QColor, QImage, QPainter, QPen

from roofmodel_io.underlays.drawings import Drawing
from roofmodel_io.underlays.levels import TILE
from roofmodel_ui.plan.underlays import LEAST_PX, visible_lines

STEPS = 14
"""Levels finer than the one at which all is one tile."""
AT_ONCE = 150
"""Lines painted in one go: between two goes the window's thread gets its turn."""


def levels_of(drawing: Drawing) -> tuple[int, int]:
    """The finest and the coarsest level of a drawing."""
    coarsest = math.ceil(math.log2(max(drawing.width, drawing.height) / TILE))
    return coarsest - STEPS, coarsest


def line_tile(
    drawing: Drawing, hidden: frozenset[str], color: str, tile: tuple[int, int, int]
) -> QImage:
    """A tile (level, column, row) of the drawing's lines, on nothing."""
    level, column, row = tile
    step = TILE * 2.0**level
    left, top = column * step, row * step
    pixel = step / TILE
    lines = drawing.pixels(hidden)
    seen = visible_lines(lines, (left, top, step, step), LEAST_PX * pixel)
    on_tile = (seen - np.array([left, top])) / pixel
    image = QImage(TILE, TILE, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(color), 1.4))
    for first in range(0, len(on_tile), AT_ONCE):
        ends = on_tile[first : first + AT_ONCE].reshape(-1, 4).tolist()
        painter.drawLines([QLineF(*e) for e in ends])
    painter.end()
    return image
