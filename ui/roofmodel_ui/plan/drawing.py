"""Painting the roof and its outlines in plan. Pens are cosmetic: widths are pixels."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF

from roofmodel.document import Point
from roofmodel.results import Results
from roofmodel.scene import EDGE_LOOKS
from roofmodel.surface import EdgeId
from roofmodel.systems import EdgeKind
from roofmodel_ui import theme
from roofmodel_ui.plan.panel_lines import draw_apart, draw_panels
from roofmodel_ui.plan.parts import draw_openings, draw_parts
from roofmodel_ui.plan.picking import outline_segments
from roofmodel_ui.selection import CornerId, PartId, Selectable, Selection, expanded

if TYPE_CHECKING:
    from numpy.typing import NDArray


def edge_pen(kind: EdgeKind) -> QPen:
    """The pen of a kind of edge."""
    look = EDGE_LOOKS[kind]
    pen = QPen(QColor(theme.line_color(look.color)), look.width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap if look.pattern else Qt.PenCapStyle.RoundCap)
    if look.pattern:
        pen.setDashPattern(list(look.pattern))
    return pen


def accent_pen(width: float, alpha: int = 255) -> QPen:
    """A pen in the accent colour."""
    color = QColor(theme.ACCENT)
    color.setAlpha(alpha)
    pen = QPen(color, width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    return pen


def draw_roof(
    painter: QPainter,
    results: Results,
    selection: Selection,
    hover: Selectable | CornerId | None,
    *,
    over_picture: bool,
    panels: bool = False,
) -> None:
    """Planes, edges, outlines and what is selected, in plan millimetres; `panels` too if they
    are wanted."""
    chosen = expanded(results, selection)
    layings = {x.plane: x for x in results.take_off.layings} if panels else {}
    for plane in results.surface.planes:
        path = _plane_path(plane.outline, plane.holes)
        fill = QColor(theme.ROOF_FILL)
        if over_picture:
            fill.setAlpha(150)
        painter.fillPath(path, QBrush(fill))
        if plane.id in chosen or plane.id == hover:
            tint = QColor(theme.ACCENT)
            tint.setAlpha(80 if plane.id in chosen else 28)
            painter.fillPath(path, QBrush(tint))
        if panels:
            draw_panels(painter, layings.get(plane.id))
            draw_apart(painter, path, results.take_off.coverings.get(plane.id, ""))
    _draw_outlines(painter, results)
    draw_parts(painter, results.project, chosen, hover)
    _draw_highlights(painter, results, selection | _around(chosen), hover)
    for kind in EdgeKind:
        lines = [
            QLineF(e.start[0], e.start[1], e.end[0], e.end[1])
            for e in results.surface.edges
            if e.kind is kind
        ]
        if lines:
            painter.setPen(edge_pen(kind))
            painter.drawLines(lines)
    draw_openings(painter, results.project, chosen, hover)


def _around(chosen: Selection) -> Selection:
    """The parts as a whole, and the edges around openings, among what is chosen."""
    return frozenset(
        item
        for item in chosen
        if isinstance(item, PartId) or (isinstance(item, EdgeId) and isinstance(item.second, str))
    )


def _plane_path(
    outline: NDArray[np.float64], holes: Iterable[NDArray[np.float64]]
) -> QPainterPath:
    path = QPainterPath()
    for ring in (outline, *holes):
        path.addPolygon(QPolygonF([QPointF(x, y) for x, y in ring[:, :2].tolist()]))
        path.closeSubpath()
    return path


def _draw_outlines(painter: QPainter, results: Results) -> None:
    pen = QPen(QColor(theme.QUIET), 1.0)
    pen.setCosmetic(True)
    painter.setPen(pen)
    painter.drawLines([_line(a, b) for _, a, b in outline_segments(results.project)])


def _draw_highlights(
    painter: QPainter, results: Results, selection: Selection, hover: Selectable | CornerId | None
) -> None:
    marked: dict[bool, list[QLineF]] = {True: [], False: []}
    for edge in results.surface.edges:
        if edge.id in selection or edge.id == hover:
            marked[edge.id in selection].append(
                QLineF(edge.start[0], edge.start[1], edge.end[0], edge.end[1])
            )
    for target, a, b in outline_segments(results.project):
        mark = target in selection or PartId(target.section) in selection
        if mark or target == hover:
            marked[mark].append(_line(a, b))
    for chosen, lines in marked.items():
        if lines:
            painter.setPen(accent_pen(11.0 if chosen else 8.0, 190 if chosen else 80))
            painter.drawLines(lines)


def _line(a: Point, b: Point) -> QLineF:
    return QLineF(a[0], a[1], b[0], b[1])
