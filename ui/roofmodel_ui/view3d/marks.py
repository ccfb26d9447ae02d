"""What is painted over the frame: names of planes, tips, handles, what is being measured."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from roofmodel.results import Results
from roofmodel.surface import EdgeId, Plane, PlaneId
from roofmodel_ui import theme
from roofmodel_ui.plan.labels import Label, Placer, broken, paint_legs
from roofmodel_ui.selection import Selectable
from roofmodel_ui.view3d.camera import Array
from roofmodel_ui.view3d.sight import Sight

LEAST_NAME_PX = 20.0
"""A plane that looks narrower than this, or less wide than its name, goes without."""
HANDLE_PX = 8.0
_SPOTS = (
    (0.0, 0.0), (0.0, 1.0), (0.0, -1.0), (-0.3, 0.0), (0.3, 0.0), (-0.3, 1.0), (0.3, 1.0),
    (-0.6, 0.0), (0.6, 0.0), (-0.6, 1.0), (0.6, 1.0), (0.0, 2.0), (-1.0, 0.0), (1.0, 0.0),
)  # fmt: skip
"""Where a name may stand besides its plane's centre: shares of its width, and lines."""


def heights(plane: Plane, points: Array) -> Array:
    """Heights (n,) of a plane over plan points (n, 2), mm."""
    bearing = math.radians(plane.bearing)
    way = np.array([math.sin(bearing), math.cos(bearing)])
    found: Array = plane.outline[0, 2] - plane.slope * ((points - plane.outline[0, :2]) @ way)
    return found


def name_places(
    results: Results, anchors: dict[PlaneId, tuple[float, float]]
) -> list[tuple[int, Array]]:
    """Number of each plane and the place (3,) of its name, the largest first."""
    planes = results.surface.planes
    order = sorted(range(len(planes)), key=lambda k: -planes[k].true_area)
    out = []
    for k in order:
        spot = np.array(anchors[planes[k].id])
        out.append((k, np.append(spot, heights(planes[k], spot[None])[0])))
    return out


def paint_names(
    painter: QPainter, sight: Sight, results: Results, places: Sequence[tuple[int, Array]],
    keep_free: Sequence[QRectF],
) -> None:  # fmt: skip
    """Names of the planes at their centres: only where the centre is seen, there is room in the
    plane, and no other name or button stands."""
    planes = results.surface.planes
    if not places:
        return
    placer = Placer(painter)
    for rect in keep_free:
        placer.block(rect)
    at = sight.camera.project(np.array([p for _, p in places]), sight.size)
    for (index, _), (x, y, _) in zip(places, at.tolist(), strict=True):
        if not (0 < x < sight.size[0] and 0 < y < sight.size[1]):
            continue
        plane = planes[index]
        ring = sight.camera.project(plane.outline, sight.size)[:, :2]
        if not np.isfinite(ring).all():
            continue
        wide, tall = np.ptp(ring, axis=0).tolist()
        after = np.roll(ring, -1, axis=0)
        area = abs(float(np.sum(ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]))) / 2.0
        narrow = area / max(math.hypot(wide, tall), 1.0)
        if narrow < LEAST_NAME_PX or wide < placer.width(plane.name, "small"):
            continue
        for across, down in _SPOTS:
            spot = x + across * placer.width(plane.name, "small"), y + down * 14.0
            if _stands(sight, index, spot, placer.width(plane.name, "small")) and placer.place(
                Label(plane.name, QPointF(*spot), style="small")
            ):
                break


def _stands(sight: Sight, index: int, at: tuple[float, float], wide: float) -> bool:
    """Whether a name this wide (pixels) would stand on what is seen of its plane."""
    return all(
        sight.plane_at((at[0] + way * wide / 2.0, at[1])) == index for way in (0.0, -0.9, 0.9)
    )


def paint_hover(
    painter: QPainter, sight: Sight, results: Results, item: Selectable | None
) -> None:
    """A line on what is under the pointer."""
    if isinstance(item, EdgeId):
        edge = next((e for e in results.surface.edges if e.id == item), None)
        rings = [] if edge is None else [np.array([edge.start, edge.end])]
    elif isinstance(item, PlaneId):
        plane = next((p for p in results.surface.planes if p.id == item), None)
        rings = [] if plane is None else [plane.outline[[*range(len(plane.outline)), 0]]]
    else:
        return
    color = QColor(theme.ACCENT)
    color.setAlpha(170)
    painter.setPen(QPen(color, 4.0 if isinstance(item, EdgeId) else 2.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for ring in rings:
        pixels = sight.camera.project(ring, sight.size)[:, :2]
        if np.isfinite(pixels).all():
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in pixels.tolist()]))


def paint_empty(painter: QPainter, rect: QRect) -> None:
    """What the view is for, as long as there is no roof."""
    painter.setPen(QColor(theme.QUIET))
    painter.setFont(theme.plan_font(11))
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, "The roof appears here.")


def paint_tip(painter: QPainter, text: str, at: QPointF, size: tuple[float, float]) -> QRectF:
    """A small box with a line of text beside a point, kept inside the view; where it stands."""
    font = theme.plan_font(9.5)
    metrics = QFontMetricsF(font)
    lines = broken(text, metrics, size[0] - 24.0).split("\n")
    width = max(metrics.horizontalAdvance(line) for line in lines) + 16
    height = metrics.height() * len(lines) + 8
    x = at.x() + 14 if at.x() + 14 + width < size[0] - 4 else at.x() - 14 - width
    y = at.y() - height - 8 if at.y() - height - 8 > 4 else at.y() + 18
    x = min(max(x, 4.0), max(4.0, size[0] - width - 4))
    box = QRectF(x, min(max(y, 4.0), max(4.0, size[1] - height - 4)), width, height)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.INK))
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(QColor(theme.PAPER))
    painter.setFont(font)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "\n".join(lines))
    return box


def paint_handle(
    painter: QPainter, at: QPointF, text: str, size: tuple[float, float], *, hot: bool
) -> None:
    """A round mark with a peak above and one below: it goes up and down."""
    radius = HANDLE_PX + (1.5 if hot else 0.0)
    painter.setPen(QPen(QColor(theme.PAPER), 2.0))
    painter.setBrush(QColor(theme.ACCENT))
    painter.drawEllipse(at, radius, radius)
    for way in (-1.0, 1.0):
        tip = at + QPointF(0.0, way * (radius + 11.0))
        low = at + QPointF(-6.0, way * (radius + 4.0))
        right = at + QPointF(6.0, way * (radius + 4.0))
        painter.drawPolygon(QPolygonF([low, tip, right]))
    paint_tip(painter, text, at + QPointF(6.0, 0.0), size)


def paint_chain(
    painter: QPainter, sight: Sight, chain: Array, legs: Sequence[str], text: str, *, closed: bool
) -> None:
    """The points (n, 3) being measured, the line through them, what its first stretches measure,
    and what it comes to."""
    pixels = sight.camera.project(chain, sight.size)[:, :2]
    if not len(pixels) or not np.isfinite(pixels).all():
        return
    points = [QPointF(x, y) for x, y in pixels.tolist()]
    line = QPolygonF([*points, points[0]] if closed else points)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(theme.PAPER), 5.0))
    painter.drawPolyline(line)
    painter.setPen(QPen(QColor(theme.ACCENT), 2.4))
    painter.drawPolyline(line)
    painter.setPen(QPen(QColor(theme.PAPER), 1.5))
    painter.setBrush(QColor(theme.ACCENT))
    for point in points:
        painter.drawEllipse(point, 5.0, 5.0)
    ends = itertools.pairwise([*points, points[0]])
    paint_legs(painter, ((a, b, words) for (a, b), words in zip(ends, legs, strict=False)))
    if text:
        paint_tip(painter, text, points[-1], sight.size)
