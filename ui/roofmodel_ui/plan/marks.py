"""The mark and the words for what the pointer snapped to, and handles, in screen pixels."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from roofmodel.document import Point
from roofmodel.geometry.snapping import Snap
from roofmodel_ui import theme
from roofmodel_ui.plan.drawing import accent_pen

ToPixel = Callable[[Point], QPointF]
_RING = 7.0


def draw_snap(painter: QPainter, snap: Snap, to_pixel: ToPixel, size: QSizeF) -> None:
    """A ring where the pointer snapped to, guides to what it is in line with, and words below;
    a point has a dot in its ring, a line a stroke through it."""
    at = to_pixel(snap.at)
    pen = accent_pen(1.2, 170)
    pen.setStyle(Qt.PenStyle.DashLine)
    painter.setPen(pen)
    for a, b in snap.guides:
        painter.drawLine(to_pixel(a), to_pixel(b))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.veil(220), 4.5))
    painter.drawEllipse(at, _RING, _RING)
    painter.setPen(accent_pen(2.0))
    painter.drawEllipse(at, _RING, _RING)
    if {"corner", "middle", "crossing"}.intersection(snap.kinds) or len(snap.kinds) > 1:
        painter.setBrush(QColor(theme.ACCENT))
        painter.drawEllipse(at, 2.2, 2.2)
    else:
        painter.drawLine(at - QPointF(_RING + 4, 0), at + QPointF(_RING + 4, 0))
    _draw_words(painter, snap.words, at, size)


def draw_handles(painter: QPainter, handles: Sequence[Point], to_pixel: ToPixel) -> None:
    """Small discs with a plus: press one for a new corner there."""
    for handle in handles:
        at = to_pixel(handle)
        painter.setPen(QPen(QColor(theme.ACCENT), 1.4))
        painter.setBrush(QColor(theme.PAPER))
        painter.drawEllipse(at, 6.0, 6.0)
        painter.drawLine(at - QPointF(3, 0), at + QPointF(3, 0))
        painter.drawLine(at - QPointF(0, 3), at + QPointF(0, 3))


def _draw_words(painter: QPainter, words: str, at: QPointF, size: QSizeF) -> None:
    font = theme.plan_font(8.5)
    metrics = QFontMetricsF(font)
    wide, high = metrics.horizontalAdvance(words) + 12, metrics.height() + 4
    x = min(max(at.x() + 14, 4.0), size.width() - wide - 4)
    y = min(max(at.y() + 14, 4.0), size.height() - high - 4)
    box = QRectF(x, y, wide, high)
    ground = QColor(theme.PAPER)
    ground.setAlpha(225)
    painter.setPen(QPen(QColor(theme.ACCENT), 1.0))
    painter.setBrush(ground)
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(QColor(theme.INK))
    painter.setFont(font)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
