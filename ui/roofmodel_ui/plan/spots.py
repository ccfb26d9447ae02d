"""Values that stand in the plan and can be typed there: the pitch of each outline edge, and the
heights of a selected drawn plane's corners."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from roofmodel.document import ByHeights, Point, Project, Section, Step
from roofmodel.document.dormers import dormer_of
from roofmodel.document.lies import by_slope, height_at
from roofmodel.results import Results
from roofmodel.units import format_length, format_slope
from roofmodel_ui import theme
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.labels import Label, Placer
from roofmodel_ui.selection import OutlineEdgeId, PartId, Selection, outline_edges_of

if TYPE_CHECKING:
    from roofmodel_ui.plan.canvas import PlanCanvas

AWAY_PX = 7.0
"""Between an edge and the value beside it."""
LEAST_PX = 30.0
"""An edge shorter than this on screen has no value beside it."""
DORMER_PX = 72.0
"""A dormer narrower than this on screen has no values: they would cover all that can be held."""


class CornerHeight(NamedTuple):
    """The height of a drawn plane over one of its corners."""

    part: str
    corner: int


Target = OutlineEdgeId | CornerHeight


@dataclass(frozen=True, slots=True)
class Spot:
    """A value in the plan: `beside` (mm) is what it belongs to, `away` the unit vector on which
    its words stand; `along` (mm) is how far they may be moved to either side to find room."""

    target: Target
    text: str
    beside: Point
    away: Point
    along: Point = (0.0, 0.0)

    def middles(self, mm_per_px: float, wide: float, high: float) -> list[Point]:
        """Where its words may be centred, mm, the best place first; `wide` and `high` in
        pixels."""
        far = AWAY_PX + abs(self.away[0]) * wide / 2.0 + abs(self.away[1]) * high / 2.0
        x = self.beside[0] + self.away[0] * far * mm_per_px
        y = self.beside[1] + self.away[1] * far * mm_per_px
        dx, dy = self.along
        return [(x, y), (x + dx, y + dy), (x - dx, y - dy)] if dx or dy else [(x, y)]


def pitch_words(profile: tuple[Step, ...]) -> str:
    """The pitch of an edge, from below to above.

    >>> pitch_words((Step(0.0, None),)), pitch_words((Step(0.0, 1.0), Step(900.0, 0.5)))
    ('gable', '12/12 · 6/12')
    """
    if len(profile) == 1:
        return "gable" if profile[0].slope is None else format_slope(profile[0].slope)
    return " · ".join("gable" if s.slope is None else format_slope(s.slope) for s in profile)


def spots_of(results: Results, selection: Selection, mm_per_px: float) -> list[Spot]:
    """All values there are to type in the plan, the selected edges' first."""
    project = shown(results).project
    found = [spot for s in project.sections() for spot in _pitches(s, mm_per_px)]
    chosen = set(outline_edges_of(project, selection))
    found.sort(key=lambda spot: spot.target not in chosen)
    return [*_heights(project, selection), *found]


def _pitches(section: Section, mm_per_px: float) -> list[Spot]:
    found: list[Spot] = []
    dormer = dormer_of(section)
    if dormer is not None and dormer.width < DORMER_PX * mm_per_px:
        return found
    for ring in section.rings:
        for k, edge in enumerate(ring.edges):
            (ax, ay), (bx, by) = ring.corners[k], ring.corners[(k + 1) % len(ring.corners)]
            size = math.hypot(bx - ax, by - ay)
            if size < LEAST_PX * mm_per_px or edge.id == section.back:
                continue
            # the roof lies left of the edge, so the words stand at its right
            away = (by - ay) / size, (ax - bx) / size
            middle = (ax + bx) / 2.0, (ay + by) / 2.0
            target = OutlineEdgeId(section.id, edge.id)
            along = (bx - ax) / 4.0, (by - ay) / 4.0
            found.append(Spot(target, pitch_words(edge.profile), middle, away, along))
    return found


def _heights(project: Project, selection: Selection) -> list[Spot]:
    found = []
    for plane in project.planes():
        if PartId(plane.id) not in selection or not isinstance(plane.lies, ByHeights):
            continue
        flat = by_slope(plane.lies)
        xs, ys = zip(*plane.corners, strict=True)
        x0, y0 = sum(xs) / len(xs), sum(ys) / len(ys)
        for k, (x, y) in enumerate(plane.corners):
            size = math.hypot(x - x0, y - y0) or 1.0
            away = (x - x0) / size, (y - y0) / size
            height = 0.0 if flat is None else height_at(flat, (x, y))
            text = format_length(height, project.units)
            found.append(Spot(CornerHeight(plane.id, k), text, (x, y), away))
    return found


@dataclass
class Placed:
    """Where the values stand on screen since the plan was last drawn: rectangles in mm."""

    boxes: list[tuple[Spot, Point, float, float]]

    def at(self, p: Point) -> Spot | None:
        """The value under a plan point."""
        for spot, (x, y), half_w, half_h in self.boxes:
            if abs(p[0] - x) <= half_w and abs(p[1] - y) <= half_h:
                return spot
        return None


def draw_spots(
    painter: QPainter, placer: Placer, canvas: PlanCanvas, placed: Placed, *, chosen: bool
) -> None:
    """Draw the values of what is selected (`chosen`), or all others as far as there is room."""
    selection = canvas.session.selection
    mm_per_px = 1.0 / canvas.scale_now()
    if chosen:
        for section in shown(canvas.session.results).project.sections():
            for corner in (c for ring in section.rings for c in ring.corners):
                square = canvas.to_pixel(corner)
                placer.block(QRectF(square.x() - 4, square.y() - 4, 8, 8))
    wanted = set(outline_edges_of(canvas.session.project, selection))
    for spot in spots_of(canvas.session.results, selection, mm_per_px):
        is_height = isinstance(spot.target, CornerHeight)
        marked = is_height or spot.target in wanted
        if marked != chosen:
            continue
        wide, high = placer.width(spot.text, "small") + 10.0, 18.0
        middles = spot.middles(mm_per_px * (1.6 if is_height else 1.0), wide, high)
        spots = (_inside(canvas, canvas.to_pixel(m), wide) for m in middles)
        labels = (Label(spot.text, p, style="small") for p in spots if p is not None)
        at = next((label.at for label in labels if placer.place(label)), None)
        if at is None:
            continue
        middle = canvas.to_plan(at)
        placed.boxes.append((spot, middle, wide / 2.0 * mm_per_px, high / 2.0 * mm_per_px))
        color = QColor(theme.ACCENT if marked else theme.LINE)
        painter.setPen(QPen(color, 1.6 if marked else 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(at.x() - wide / 2, at.y() - high / 2, wide, high), 4.0, 4.0)


def _inside(canvas: PlanCanvas, at: QPointF, wide: float) -> QPointF | None:
    """The place, moved into the canvas if its words would be cut; None if it is not in view."""
    room = canvas.viewport().rect()
    if not QRectF(room).contains(at):
        return None
    half = wide / 2.0 + 2.0
    return QPointF(min(max(at.x(), half), room.width() - half), at.y())


def draw_arrow(painter: QPainter, foot: QPointF, tip: QPointF, *, hot: bool) -> None:
    """The arrow that says which way a drawn plane falls; it ends in a knob to drag."""
    painter.setPen(QPen(theme.veil(210), 6.0))
    painter.drawLine(foot, tip)
    painter.setPen(QPen(QColor(theme.ACCENT), 2.4))
    painter.drawLine(foot, tip)
    way = tip - foot
    size = math.hypot(way.x(), way.y()) or 1.0
    u = way / size
    side = QPointF(-u.y(), u.x())
    barb = tip - u * 16.0
    painter.drawLine(tip - u * 6.0, barb + side * 7.0)
    painter.drawLine(tip - u * 6.0, barb - side * 7.0)
    painter.setBrush(QColor(theme.ACCENT if hot else theme.PAPER))
    painter.drawEllipse(tip, 6.0, 6.0)
