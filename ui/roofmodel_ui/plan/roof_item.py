"""The roof as one item of the plan's scene: it is drawn whole from the results each time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.drawing import draw_roof

if TYPE_CHECKING:
    from roofmodel_ui.plan.canvas import PlanCanvas

WORLD_MM: Final = 1e6


class RoofItem(QGraphicsItem):
    """Planes, edges, outlines, and panels where the plan shows them."""

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__()
        self._canvas = canvas

    def boundingRect(self) -> QRectF:
        return QRectF(-WORLD_MM, -WORLD_MM, 2 * WORLD_MM, 2 * WORLD_MM)

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        session, tool = self._canvas.session, self._canvas.tool
        hover = tool.overlay().hover if tool is not None else None
        over = any(u.visible for u in session.results.project.underlays)
        painter.setPen(QPen(Qt.PenStyle.NoPen))
        chosen = session.selection | session.highlight.items
        draw_roof(
            painter, shown(session.results), chosen, hover,
            over_picture=over, panels=self._canvas.panels,
        )  # fmt: skip
