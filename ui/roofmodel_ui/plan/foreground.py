"""What stands over the plan in screen pixels: labels, corners, the tool's overlay, scale bar."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from roofmodel.document import DrawnPlane, Opening, Point, Project
from roofmodel.surface import Plane
from roofmodel_ui import theme
from roofmodel_ui.expects import may_be_askew
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.drawing import accent_pen
from roofmodel_ui.plan.labels import (
    Label,
    Placer,
    Style,
    broken,
    edge_label,
    edge_text,
    paint_legs,
    plane_text,
)
from roofmodel_ui.plan.marks import draw_handles, draw_snap
from roofmodel_ui.plan.panel_lines import draw_panel_words, draw_start_lines
from roofmodel_ui.plan.parts import polygons
from roofmodel_ui.plan.picking import is_inside
from roofmodel_ui.plan.values import draw_values
from roofmodel_ui.selection import CornerId, only_part
from roofmodel_ui.tools.base import Overlay

if TYPE_CHECKING:
    from roofmodel_ui.plan.canvas import PlanCanvas

FOOT = 304.8
NUMBER_PX = 9.0
"""Radius of a corner's number."""
LEAST_OUTLINE_PX = 24.0
"""A smaller outline is seen from too far away to take its corners."""
WIDEST_TAG_PX = 340.0
_STEPS = {
    "feet": [FOOT * n for n in (1, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)],
    "metric": [n * 1000.0 for n in (0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)],
}


def nice_step(scale: float, system: Literal["feet", "metric"], pixels: float) -> float:
    """The smallest round length (mm) at least `pixels` wide at `scale` pixels per mm."""
    steps = _STEPS[system]
    return next((s for s in steps if s * scale >= pixels), steps[-1])


def draw_grid(
    painter: QPainter, rect: QRectF, scale: float, system: Literal["feet", "metric"]
) -> None:
    """Faint lines at a round spacing, in plan millimetres."""
    step = nice_step(scale, system, 44.0)
    pen = QPen(QColor(theme.GRID), 1.0)
    pen.setCosmetic(True)
    painter.setPen(pen)
    if max(rect.width(), rect.height()) / step > 500:
        return
    lines = []
    for k in range(math.floor(rect.left() / step), math.ceil(rect.right() / step) + 1):
        lines.append(QLineF(k * step, rect.top(), k * step, rect.bottom()))
    for k in range(math.floor(rect.top() / step), math.ceil(rect.bottom() / step) + 1):
        lines.append(QLineF(rect.left(), k * step, rect.right(), k * step))
    painter.drawLines(lines)


def draw_foreground(painter: QPainter, canvas: PlanCanvas) -> None:
    """Everything over the roof."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    overlay = canvas.tool.overlay() if canvas.tool is not None else Overlay()
    placer = Placer(painter)
    size = canvas.viewport().size()
    placer.block(QRectF(0, size.height() - 44, 200, 44))
    for at, _ in _numbers(canvas):
        placer.block(QRectF(at.x() - NUMBER_PX, at.y() - NUMBER_PX, 2 * NUMBER_PX, 2 * NUMBER_PX))
    for problem in canvas.session.results.problems:
        _draw_rings(painter, canvas, tuple(problem.places), 1.2)  # lengths stand over them
    draw_values(painter, placer, canvas, chosen=True)
    if canvas.panels and canvas.tool is not None and canvas.tool.name == "Lay panels":
        draw_start_lines(painter, placer, canvas)
    _draw_labels(placer, canvas)
    if canvas.panels:
        draw_panel_words(painter, placer, canvas)
    draw_values(painter, placer, canvas, chosen=False)
    _draw_corners(painter, canvas, overlay)
    _draw_numbers(painter, canvas)
    _draw_kept(painter, canvas)
    _draw_overlay(painter, canvas, overlay)
    _draw_scale_bar(painter, canvas)
    project = canvas.session.project
    drawn = project.sections() or project.planes()
    # Whoever has taken up a tool of drawing needs no telling.
    begun = bool(overlay.label) and not project.underlays
    if not drawn and not begun and not overlay.line and not canvas.kept():
        _draw_welcome(painter, canvas)


def _draw_labels(placer: Placer, canvas: PlanCanvas) -> None:
    results = shown(canvas.session.results)
    built = {plane.id.section for plane in results.surface.planes}
    if canvas.tool is not None and canvas.tool.name == "Select":
        for section in results.project.sections():
            for ring in section.rings:
                for corner in ring.corners:
                    at = canvas.to_pixel(corner)
                    placer.block(QRectF(at.x() - 4, at.y() - 4, 8, 8))
    for opening in results.project.openings():
        pixels = QPolygonF([canvas.to_pixel(c) for c in opening.corners])
        placer.block(pixels.boundingRect())
    for index, plane in enumerate(results.surface.planes if canvas.names else ()):
        longest = float(max(np.hypot(*(plane.outline - np.roll(plane.outline, 1, 0))[:, :2].T)))
        room = plane.plan_area / longest * canvas.scale_now()
        if room < 9:
            continue
        # A narrow plane has room for one line only.
        text = plane_text(results, index).replace("\n", "  " if room < 30 else "\n")
        # Where name and pitch find no room the name alone still may; panels want theirs too.
        words: tuple[tuple[str, Style], ...] = ((text, "strong"), (plane.name, "small"))
        words = words[1:] if canvas.panels else words
        for line, style in words:
            wide = placer.width(line, style)
            if longest * canvas.scale_now() > wide and any(
                placer.place(Label(line, at, style=style)) for at in _spots(canvas, plane, wide)
            ):
                break
    for part in polygons(results.project):
        if isinstance(part, DrawnPlane) and part.id in built:
            continue
        xs, ys = zip(*part.corners, strict=True)
        above = isinstance(part, Opening)
        at = canvas.to_pixel(((min(xs) + max(xs)) / 2, max(ys) if above else sum(ys) / len(ys)))
        wide = (max(xs) - min(xs)) * canvas.scale_now()
        if wide > placer.width(part.name, "small") / 2:
            placer.place(Label(part.name, at - QPointF(0.0, 12.0 * above), style="small"))
    order = sorted(
        range(len(results.surface.edges)), key=lambda k: -results.surface.edges[k].length
    )
    for index in order:
        edge = results.surface.edges[index]
        a = canvas.to_pixel((edge.start[0], edge.start[1]))
        b = canvas.to_pixel((edge.end[0], edge.end[1]))
        text = edge_text(results, index)
        label = edge_label(text, a, b, placer.width(text))
        if label is not None:
            placer.place(label)


def _spots(canvas: PlanCanvas, plane: Plane, wide: float) -> Iterator[QPointF]:
    """Where a plane's name may stand: its middle, or a label's width (pixels) beside it, where an
    opening leaves no room in the middle."""
    middle = canvas.to_pixel(canvas.anchors[plane.id])
    yield middle
    for x, y in ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)):
        at = middle + QPointF(x * wide, y * 36.0)
        ends = (canvas.to_plan(at + QPointF(side * wide / 2, 0.0)) for side in (-1, 0, 1))
        if all(is_inside(end, plane.outline) for end in ends):
            yield at


def _draw_corners(painter: QPainter, canvas: PlanCanvas, overlay: Overlay) -> None:
    if canvas.tool is None or canvas.tool.name != "Select":
        return
    for section in shown(canvas.session.results).project.sections():
        for r, ring in enumerate(section.rings):
            if _span(canvas, ring.corners) < LEAST_OUTLINE_PX:
                continue
            for k, corner in enumerate(ring.corners):
                hot = overlay.hover == CornerId(section.id, r, k)
                size = 5.0 if hot else 3.2
                at = canvas.to_pixel(corner)
                painter.setPen(QPen(QColor(theme.ACCENT), 1.4))
                painter.setBrush(QColor(theme.ACCENT if hot else theme.PAPER))
                painter.drawRect(QRectF(at.x() - size, at.y() - size, 2 * size, 2 * size))


def _span(canvas: PlanCanvas, corners: Sequence[Point]) -> float:
    """The longer side of the box about some corners, pixels."""
    xs, ys = zip(*corners, strict=True)
    return float(max(max(xs) - min(xs), max(ys) - min(ys)) * canvas.scale_now())


def _numbers(canvas: PlanCanvas) -> list[tuple[QPointF, str]]:
    """Where the corners of a drawn plane are, pixels, and their numbers as its form names them;
    none unless it alone is selected: only then its form shows."""
    selection = canvas.session.selection
    part = only_part(canvas.session.project, selection) if selection else ""
    return [
        (canvas.to_pixel(corner), str(number))
        for plane in canvas.session.project.planes()
        if plane.id == part
        for number, corner in enumerate(plane.corners, 1)
    ]


def _draw_numbers(painter: QPainter, canvas: PlanCanvas) -> None:
    painter.setFont(theme.plan_font(8.5, bold=True))
    for at, number in _numbers(canvas):
        painter.setPen(QPen(QColor(theme.ACCENT), 1.4))
        painter.setBrush(QColor(theme.PAPER))
        painter.drawEllipse(at, NUMBER_PX, NUMBER_PX)
        box = QRectF(at.x() - NUMBER_PX, at.y() - NUMBER_PX, 2 * NUMBER_PX, 2 * NUMBER_PX)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, number)


def _draw_rings(
    painter: QPainter, canvas: PlanCanvas, places: tuple[Point, ...], pen: float = 2.0
) -> None:
    """A ring about each place (mm) where something is wrong, by a pen so wide (pixels)."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(theme.ERROR_INK), pen))
    for place in places:
        painter.drawEllipse(canvas.to_pixel(place), 9.0, 9.0)


def _draw_kept(painter: QPainter, canvas: PlanCanvas) -> None:
    """Outlines begun and left, faint: they wait for their tool."""
    painter.setPen(QPen(QColor(theme.QUIET), 1.6, Qt.PenStyle.DashLine))
    for line in canvas.kept():
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF([canvas.to_pixel(p) for p in line]))
        painter.setBrush(QColor(theme.PAPER))
        for p in line:
            painter.drawEllipse(canvas.to_pixel(p), 3.0, 3.0)


def _draw_overlay(painter: QPainter, canvas: PlanCanvas, overlay: Overlay) -> None:
    def pixels(points: tuple[Point, ...]) -> QPolygonF:
        return QPolygonF([canvas.to_pixel(p) for p in points])

    if len(overlay.guide) > 1:
        pen = accent_pen(1.0, 150)
        pen.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.drawPolyline(pixels(overlay.guide))
    if len(overlay.line) > 1:
        painter.setPen(QPen(theme.veil(200), 5.0))
        painter.drawPolyline(pixels(overlay.line))
        painter.setPen(accent_pen(2.4))
        painter.drawPolyline(pixels(overlay.line))
    paint_legs(painter, ((canvas.to_pixel(a), canvas.to_pixel(b), w) for a, b, w in overlay.legs))
    painter.setPen(QPen(QColor(theme.ERROR_INK), 3.0))
    for wrong in overlay.wrong:
        painter.drawPolyline(pixels(wrong))
    _draw_rings(painter, canvas, overlay.marks)
    painter.setPen(QPen(QColor(theme.PAPER), 1.5))
    painter.setBrush(QColor(theme.ACCENT))
    for dot in overlay.dots:
        painter.drawEllipse(canvas.to_pixel(dot), 5.0, 5.0)
    draw_handles(painter, overlay.handles, canvas.to_pixel)
    if overlay.snap is not None:
        draw_snap(painter, overlay.snap, canvas.to_pixel, QSizeF(canvas.viewport().size()))
    if overlay.label or overlay.field is not None:
        _draw_tag(painter, canvas, overlay)


def _draw_tag(painter: QPainter, canvas: PlanCanvas, overlay: Overlay) -> None:
    """The label and the typed field beside the pointer, kept inside the canvas."""
    font = theme.plan_font(10, bold=overlay.field is not None)
    metrics = QFontMetricsF(font)
    label = overlay.label
    field = None if overlay.field is None else f"{overlay.field}|"
    label = broken(label, metrics, min(canvas.viewport().width() - 30.0, WIDEST_TAG_PX))
    label_w = metrics.size(0, label).width() + 14 if label else 0.0
    field_w = 0.0 if field is None else max(70.0, metrics.horizontalAdvance(field) + 14)
    height = metrics.height() * (label.count("\n") + 1) + 8
    at = canvas.to_pixel(overlay.at) + QPointF(16, -height - 10)
    size = canvas.viewport().size()
    x = min(max(at.x(), 4.0), max(4.0, size.width() - label_w - field_w - 4))
    y = min(max(at.y(), 4.0), size.height() - height - 4)
    painter.setFont(font)
    if label:
        box = QRectF(x, y, label_w, height)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.INK))
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(QColor(theme.PAPER))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)
    if field is not None:
        box = QRectF(x + label_w + 3, y, field_w, height)
        painter.setPen(QPen(QColor(theme.ACCENT), 2.0))
        painter.setBrush(QColor(theme.PAPER))
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(QColor(theme.INK))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, field)


def _draw_scale_bar(painter: QPainter, canvas: PlanCanvas) -> None:
    units = canvas.session.project.units
    step = nice_step(canvas.scale_now(), units.system, 60.0)
    width = step * canvas.scale_now()
    bottom = canvas.viewport().height() - 14.0
    if width > 400:
        return
    painter.setPen(QPen(theme.veil(220), 6.0))
    painter.drawLine(QPointF(14, bottom), QPointF(14 + width, bottom))
    painter.setPen(QPen(QColor(theme.INK), 2.0))
    painter.drawLine(QPointF(14, bottom), QPointF(14 + width, bottom))
    for x in (14.0, 14.0 + width):
        painter.drawLine(QPointF(x, bottom - 4), QPointF(x, bottom + 4))
    painter.setFont(theme.plan_font(8.5))
    in_feet = units.system == "feet"
    words = f"{round(step / FOOT)} ft" if in_feet else f"{step / 1000:g} m"
    painter.drawText(QPointF(14, bottom - 8), words)


def welcome(project: Project) -> str:
    """What there is to do first, while nothing is drawn."""
    underlays = project.underlays
    if may_be_askew(project):
        return "Draw the outline over the picture,\nor level the picture first."
    if underlays and all(u.scaled for u in underlays):
        return "Draw the outline over the picture."
    if underlays:
        return "Set the scale of the picture,\nthen draw the outline over it."
    return "Load a picture to trace,\nor draw an outline with typed lengths."


def _draw_welcome(painter: QPainter, canvas: PlanCanvas) -> None:
    painter.setPen(QColor(theme.QUIET))
    painter.setFont(theme.plan_font(11))
    underlays, words = canvas.session.project.underlays, welcome(canvas.session.project)
    rect = QRectF(canvas.viewport().rect())
    if underlays:
        rect = QRectF(rect.center().x() - 150, 12, 300, 52)
        painter.setBrush(theme.veil(220))
        painter.save()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawRoundedRect(rect, 6, 6)
        painter.restore()
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, words)
