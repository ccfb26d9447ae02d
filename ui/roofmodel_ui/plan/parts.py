"""Parts of the job as lines in plan, also where they carry no roof of their own: openings, drawn
planes, and the wall line or drip line that an overhang gives."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF

from roofmodel.document import DrawnPlane, Opening, Point, Project, Section
from roofmodel.document.outlines import drip_rings, wall_rings
from roofmodel.errors import OutlineError
from roofmodel_ui import theme
from roofmodel_ui.selection import CornerId, OutlineEdgeId, PartId, Selectable, Selection

Segment = tuple[OutlineEdgeId, Point, Point]


@lru_cache(maxsize=256)
def other_line(section: Section) -> tuple[Segment, ...]:
    """The line of a section that is not drawn (wall line of a drip line and the reverse), each
    piece with the outline edge it belongs to; empty without an overhang."""
    try:
        rings = wall_rings(section) if section.line == "drip" else drip_rings(section)
    except OutlineError:
        return ()
    found = []
    for ring, moved in zip(section.rings, rings, strict=True):
        corners = [(float(x), float(y)) for x, y in moved]
        if all(
            abs(a[0] - b[0]) + abs(a[1] - b[1]) < 1.0
            for a, b in zip(corners, ring.corners, strict=True)
        ):
            continue
        for k, edge in enumerate(ring.edges):
            pair = corners[k], corners[(k + 1) % len(corners)]
            found.append((OutlineEdgeId(section.id, edge.id), *pair))
    return tuple(found)


def other_lines(project: Project) -> Iterator[Segment]:
    """The lines that overhangs give, of all sections."""
    for section in project.sections():
        yield from other_line(section)


def polygons(project: Project) -> tuple[DrawnPlane | Opening, ...]:
    """Everything that is a single ring: drawn planes, and over them openings."""
    return (*project.planes(), *project.openings())


def sides(corners: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    """The sides of a ring."""
    return list(zip(corners, (*corners[1:], corners[0]), strict=True))


def draw_parts(
    painter: QPainter,
    project: Project,
    chosen: Selection,
    hover: Selectable | CornerId | None,
) -> None:
    """Wall lines, drawn planes and openings, in plan millimetres; `chosen` stand out."""
    painter.setPen(_pen(QColor(theme.QUIET), 1.0, Qt.PenStyle.DashLine))
    painter.drawLines([_line(a, b) for _, a, b in other_lines(project)])
    for plane in project.planes():
        _draw_ring(painter, plane, chosen, hover)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(_pen(QColor(theme.QUIET), 1.0))
        painter.drawPolygon(_polygon(plane.corners))


def draw_openings(
    painter: QPainter,
    project: Project,
    chosen: Selection,
    hover: Selectable | CornerId | None,
) -> None:
    """Openings lie over the roof's edges: small, they would vanish below them."""
    for opening in project.openings():
        _draw_ring(painter, opening, chosen, hover)
        fill = {"skylight": theme.GLASS, "pipe": theme.QUIET}.get(opening.kind, theme.PAPER)
        tint = QColor(fill)
        tint.setAlpha(170)
        painter.setBrush(QBrush(tint))
        painter.setPen(_pen(QColor(theme.INK), 1.4))
        painter.drawPolygon(_polygon(opening.corners))
        if opening.kind == "chimney":
            # a cross, as plans mark what comes through
            half = len(opening.corners) // 2
            pairs = zip(opening.corners[:half], opening.corners[half:], strict=False)
            painter.setPen(_pen(QColor(theme.INK), 1.0))
            painter.drawLines([_line(a, b) for a, b in pairs])


def _draw_ring(
    painter: QPainter,
    part: DrawnPlane | Opening,
    chosen: Selection,
    hover: Selectable | CornerId | None,
) -> None:
    target = PartId(part.id)
    if target not in chosen and target != hover:
        return
    color = QColor(theme.ACCENT)
    color.setAlpha(190 if target in chosen else 80)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(color, 9.0 if target in chosen else 7.0))
    path = QPainterPath()
    path.addPolygon(_polygon(part.corners))
    path.closeSubpath()
    painter.drawPath(path)


def _polygon(corners: tuple[Point, ...]) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in corners])


def _line(a: Point, b: Point) -> QLineF:
    return QLineF(a[0], a[1], b[0], b[1])


def _pen(color: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    pen = QPen(color, width, style)
    pen.setCosmetic(True)
    return pen
