"""What the Select tool shows over the plan: values to type in place, arrows of drawn planes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from roofmodel_ui.plan.labels import Placer
from roofmodel_ui.plan.spots import draw_arrow, draw_spots
from roofmodel_ui.selection import PartId
from roofmodel_ui.tools.edit import EditTool
from roofmodel_ui.tools.grips import arrow_of

if TYPE_CHECKING:
    from roofmodel_ui.plan.canvas import PlanCanvas


def draw_values(painter: QPainter, placer: Placer, canvas: PlanCanvas, *, chosen: bool) -> None:
    """First (`chosen`) what belongs to the selection, then all else that finds room."""
    tool = canvas.tool
    if not isinstance(tool, EditTool):
        return
    if chosen:
        tool.placed.boxes.clear()
    draw_spots(painter, placer, canvas, tool.placed, chosen=chosen)
    if not chosen:
        return
    results = canvas.session.results
    for plane in results.project.planes():
        if PartId(plane.id) not in canvas.session.selection:
            continue
        arrow = arrow_of(results, plane, 1.0 / canvas.scale_now())
        if arrow is not None:
            foot, tip = canvas.to_pixel(arrow[0]), canvas.to_pixel(arrow[1])
            draw_arrow(painter, foot, tip, hot=tool.holds(plane.id))
