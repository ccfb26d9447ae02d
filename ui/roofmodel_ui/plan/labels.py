"""Words in the plan, placed so that none lies on another. Everything here is in pixels."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from roofmodel.results import Results
from roofmodel.surface import PlaneId
from roofmodel.units import format_length, format_slope
from roofmodel_ui import theme

Style = Literal["plain", "strong", "small"]
Box = tuple[tuple[float, float], ...]
"""The four corners of a box, turned or not, pixels."""
Bounds = tuple[float, float, float, float]
_CELL_PX = 64.0
"""Boxes are looked for by squares of this size: a roof with panels has hundreds of them."""


@dataclass(frozen=True, slots=True)
class Label:
    """Words centred at a point, turned by `turn` degrees (clockwise on screen)."""

    text: str
    at: QPointF
    turn: float = 0.0
    style: Style = "plain"


def plane_anchors(results: Results) -> dict[PlaneId, tuple[float, float]]:
    """Where each plane's name stands, mm: deep inside it."""
    found = {}
    for plane in results.surface.planes:
        shape = shapely.Polygon(plane.outline[:, :2], [h[:, :2] for h in plane.holes])
        spot = shape.centroid
        if not shape.is_valid or not shape.contains(spot):
            spot = shape.representative_point()
        found[plane.id] = (spot.x, spot.y)
    return found


class Placer:
    """Draws labels one after another; a label that would touch an earlier one is left out."""

    def __init__(self, painter: QPainter) -> None:
        self._painter = painter
        self._taken: list[tuple[Box, Bounds]] = []
        self._near: dict[tuple[int, int], list[tuple[Box, Bounds]]] = {}
        self._fonts: dict[Style, QFont] = {
            "plain": theme.plan_font(8.5), "strong": theme.plan_font(9.5, bold=True),
            "small": theme.plan_font(7.5, bold=True),
        }  # fmt: skip
        self._metrics = {k: QFontMetricsF(f) for k, f in self._fonts.items()}

    def width(self, text: str, style: Style = "plain") -> float:
        """Width of the widest line, pixels."""
        return max(self._metrics[style].horizontalAdvance(line) for line in text.split("\n"))

    def place(self, label: Label) -> bool:
        """Draw the label if there is room."""
        metrics = self._metrics[label.style]
        lines = label.text.count("\n") + 1
        w, h = self.width(label.text, label.style) + 8, metrics.height() * lines + 2
        box = _turned_box(label.at, w, h, label.turn)
        if self._is_taken(box):
            return False
        self._take(box)
        p = self._painter
        p.save()
        p.translate(label.at)
        p.rotate(label.turn)
        rect = QRectF(-w / 2, -h / 2, w, h)
        ground = QColor(theme.PAPER)
        ground.setAlpha(205)
        p.setPen(Qt.PenStyle.NoPen)
        p.setBrush(ground)
        p.drawRoundedRect(rect, 3, 3)
        p.setPen(QColor(theme.INK))
        p.setFont(self._fonts[label.style])
        p.drawText(rect, Qt.AlignmentFlag.AlignCenter, label.text)
        p.restore()
        return True

    def claim(self, at: QPointF, wide: float, high: float, turn: float) -> bool:
        """Take a turned rectangle (pixels, degrees) about a point, if nothing has it yet."""
        box = _turned_box(at, wide, high, turn)
        free = not self._is_taken(box)
        if free:
            self._take(box)
        return free

    def block(self, rect: QRectF) -> None:
        """Keep a screen rectangle free of labels."""
        x1, y1, x2, y2 = rect.left(), rect.top(), rect.right(), rect.bottom()
        self._take(((x1, y1), (x2, y1), (x2, y2), (x1, y2)))

    def _take(self, box: Box) -> None:
        taken = box, _bounds(box)
        self._taken.append(taken)
        for cell in _cells(taken[1]):
            self._near.setdefault(cell, []).append(taken)

    def _is_taken(self, box: Box) -> bool:
        left, top, right, bottom = bounds = _bounds(box)
        for cell in _cells(bounds):
            for other, (x1, y1, x2, y2) in self._near.get(cell, ()):
                # most are told by their bounds, which is much quicker
                near = left < x2 and x1 < right and top < y2 and y1 < bottom
                if near and _touch(box, other):
                    return True
        return False


def edge_label(text: str, a: QPointF, b: QPointF, room: float) -> Label | None:
    """A label along the line a b, readable from below or the right; None if it is too long."""
    dx, dy = b.x() - a.x(), b.y() - a.y()
    size = math.hypot(dx, dy)
    if size < room + 10:
        return None
    turn = math.degrees(math.atan2(dy, dx))
    if turn > 90.0 - 1e-6:
        turn -= 180.0
    elif turn <= -90.0 - 1e-6:
        turn += 180.0
    return Label(text, QPointF((a.x() + b.x()) / 2, (a.y() + b.y()) / 2), turn)


def paint_legs(painter: QPainter, legs: Iterable[tuple[QPointF, QPointF, str]]) -> None:
    """Words along lines; level, beside the middle, where a line is too short for them."""
    placer = Placer(painter)
    for a, b, text in legs:
        label = edge_label(text, a, b, placer.width(text, "strong"))
        middle = QPointF((a.x() + b.x()) / 2, (a.y() + b.y()) / 2)
        found = Label(text, middle + QPointF(0.0, 16.0)) if label is None else label
        for down in (0.0, 18.0, -36.0, 36.0):
            if placer.place(replace(found, at=found.at + QPointF(0.0, down), style="strong")):
                break


def plane_text(results: Results, index: int) -> str:
    """Name and pitch of a plane, on two lines."""
    plane = results.surface.planes[index]
    return f"{plane.name}\n{format_slope(plane.slope)}"


def edge_text(results: Results, index: int) -> str:
    """True length of an edge."""
    return format_length(results.surface.edges[index].length, results.project.units)


def broken(text: str, metrics: QFontMetricsF, room: float) -> str:
    """A line of parts, broken between them where it is wider than `room` pixels; a part that is
    wider itself is broken between its words."""
    lines: list[str] = []
    for line in _packed(text.split(" · "), " · ", metrics, room):
        lines.extend(_packed(line.split(" "), " ", metrics, room))
    return "\n".join(lines)


def _packed(parts: Iterable[str], by: str, metrics: QFontMetricsF, room: float) -> list[str]:
    """Lines of as many parts as there is room for, pixels; never less than one."""
    lines = [""]
    for part in parts:
        longer = f"{lines[-1]}{by}{part}" if lines[-1] else part
        if lines[-1] and metrics.horizontalAdvance(longer) > room:
            lines.append(part)
        else:
            lines[-1] = longer
    return lines


def _turned_box(at: QPointF, w: float, h: float, turn: float) -> Box:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    x, y = at.x(), at.y()
    ax, ay, bx, by = w / 2 * c, w / 2 * s, -h / 2 * s, h / 2 * c
    return (
        (x - ax - bx, y - ay - by),
        (x + ax - bx, y + ay - by),
        (x + ax + bx, y + ay + by),
        (x - ax + bx, y - ay + by),
    )


def _bounds(box: Box) -> Bounds:
    """Left, top, right and bottom of a box."""
    xs, ys = zip(*box, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _cells(bounds: Bounds) -> list[tuple[int, int]]:
    """The squares that a box with these bounds may reach into."""
    x1, y1, x2, y2 = (math.floor(way / _CELL_PX) for way in bounds)
    return [(x, y) for x in range(x1, x2 + 1) for y in range(y1, y2 + 1)]


def _touch(first: Box, second: Box) -> bool:
    """Whether two convex boxes overlap (no line along any of their sides parts them)."""
    for box in (first, second):
        for (x1, y1), (x2, y2) in ((box[0], box[1]), (box[1], box[2])):
            ax, ay = x2 - x1, y2 - y1
            one = [x * ax + y * ay for x, y in first]
            two = [x * ax + y * ay for x, y in second]
            if max(one) <= min(two) or max(two) <= min(one):
                return False
    return True
