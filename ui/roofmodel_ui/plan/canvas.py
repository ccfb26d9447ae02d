"""The plan canvas: pan, zoom, millimetres to pixels, and events handed to the tool."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QPixmap,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QFrame,
    QGraphicsItem,
    QGraphicsPixmapItem,
    QGraphicsScene,
    QGraphicsView,
    QStyleOptionGraphicsItem,
    QWidget,
)

from roofmodel.document import Point, Underlay
from roofmodel_ui import theme
from roofmodel_ui.plan.drawing import draw_roof
from roofmodel_ui.plan.foreground import draw_foreground, draw_grid
from roofmodel_ui.plan.labels import plane_anchors
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import TEXT, Key, PlanEvent, Tool

SNAP_PX = 10.0
WORLD_MM = 1e6
LEAST_SCALE, MOST_SCALE = 2e-4, 4.0
"""Pixels per millimetre: from 5 m a pixel to 4 pixels a millimetre."""


class PlanCanvas(QGraphicsView):
    """Plan of the job, x to the right, y up, millimetres."""

    pointer_moved = Signal(float, float)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.tool: Tool | None = None
        self.anchors = plane_anchors(session.results)
        self._pan_from: QPoint | None = None
        self._space = False
        self._fitted = False
        self._pixmaps: dict[str, tuple[bytes, QPixmap]] = {}
        self._shown_underlays: tuple[Underlay, ...] = ()
        self._pictures: list[QGraphicsPixmapItem] = []
        scene = QGraphicsScene(self)
        scene.setSceneRect(-WORLD_MM, -WORLD_MM, 2 * WORLD_MM, 2 * WORLD_MM)
        self.setScene(scene)
        self._roof = _RoofItem(self)
        scene.addItem(self._roof)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.AnchorViewCenter)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Plan")
        self.setTransform(QTransform.fromScale(0.03, -0.03))
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self._redraw)
        self._show_underlays()

    def set_tool(self, tool: Tool) -> None:
        """Make this the tool that gets the events."""
        if self.tool is not None and self.tool is not tool:
            self.tool.typed = ""
            if self.tool.takes_text() or self.tool.overlay().line:
                self.tool.cancel()
            self.tool.changed.disconnect(self._redraw)
        if self.tool is not tool:
            self.tool = tool
            tool.changed.connect(self._redraw)
        self.setCursor(
            Qt.CursorShape.ArrowCursor if tool.name == "Select" else Qt.CursorShape.CrossCursor
        )
        self._redraw()

    def refresh(self) -> None:
        """Draw the session's results again."""
        self.anchors = plane_anchors(self.session.results)
        self._show_underlays()
        self._redraw()

    def scale_now(self) -> float:
        """Pixels per millimetre."""
        return math.hypot(self.transform().m11(), self.transform().m12())

    def to_pixel(self, p: Point) -> QPointF:
        """Where a plan point (mm) lies in the viewport."""
        return self.viewportTransform().map(QPointF(p[0], p[1]))

    def to_plan(self, p: QPointF) -> Point:
        """The plan point (mm) under a viewport point."""
        inverse, _ = self.viewportTransform().inverted()
        q = inverse.map(p)
        return q.x(), q.y()

    def zoom_to_fit(self) -> None:
        """Show everything there is."""
        points = [c for s in self.session.project.sections() for r in s.rings for c in r.corners]
        points += [
            (float(x), float(y))
            for plane in self.session.results.surface.planes
            for x, y in plane.outline[:, :2]
        ]
        rect = QRectF()
        if points:
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            rect = QRectF(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
        for item in self._pictures:
            if item.isVisible() and not points:
                rect = rect.united(item.sceneBoundingRect())
        if rect.isEmpty():
            rect = QRectF(-10_000, -10_000, 20_000, 20_000)
        size = self.viewport().size()
        scale = min(
            max(size.width() - 90, 50) / max(rect.width(), 1.0),
            max(size.height() - 110, 50) / max(rect.height(), 1.0),
        )
        scale = min(max(scale, LEAST_SCALE), MOST_SCALE)
        self.setTransform(QTransform.fromScale(scale, -scale))
        self.centerOn(rect.center())
        self._redraw()

    def _redraw(self) -> None:
        self.viewport().update()

    def _show_underlays(self) -> None:
        underlays = self.session.results.project.underlays
        if underlays == self._shown_underlays:
            return
        for item in self._pictures:
            self.scene().removeItem(item)
        self._pictures = []
        self._shown_underlays = underlays
        for index, underlay in enumerate(underlays):
            item = QGraphicsPixmapItem(self._pixmap(underlay.file))
            item.setTransformationMode(Qt.TransformationMode.SmoothTransformation)
            place = QTransform.fromTranslate(*underlay.origin)
            place.rotate(underlay.turn)
            place.scale(underlay.mm_per_pixel, -underlay.mm_per_pixel)
            item.setTransform(place)
            item.setOpacity(underlay.opacity)
            item.setVisible(underlay.visible)
            item.setZValue(-100 + index)
            self.scene().addItem(item)
            self._pictures.append(item)

    def _pixmap(self, file: str) -> QPixmap:
        data = self.session.pictures.get(file, b"")
        known = self._pixmaps.get(file)
        if known is not None and known[0] is data:
            return known[1]
        pixmap = QPixmap()
        pixmap.loadFromData(data)
        self._pixmaps[file] = (data, pixmap)
        return pixmap

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.fillRect(rect, QColor(theme.PAPER))
        draw_grid(painter, QRectF(rect), self.scale_now(), self.session.project.units.system)

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.save()
        painter.resetTransform()
        draw_foreground(painter, self)
        painter.restore()

    def _event(self, event: QMouseEvent) -> PlanEvent:
        held = event.modifiers()
        return PlanEvent(
            self.to_plan(event.position()), SNAP_PX / self.scale_now(),
            free=bool(held & Qt.KeyboardModifier.ShiftModifier),
            add=bool(held & Qt.KeyboardModifier.ControlModifier),
        )  # fmt: skip

    def mousePressEvent(self, event: QMouseEvent) -> None:
        button = event.button()
        if button == Qt.MouseButton.MiddleButton or (
            self._space and button == Qt.MouseButton.LeftButton
        ):
            self._pan_from = event.position().toPoint()
        elif button == Qt.MouseButton.LeftButton and self.tool is not None:
            self.tool.press(self._event(event))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pan_from is not None:
            now = event.position().toPoint()
            moved, self._pan_from = now - self._pan_from, now
            across, up = self.horizontalScrollBar(), self.verticalScrollBar()
            across.setValue(across.value() - moved.x())
            up.setValue(up.value() - moved.y())
        elif self.tool is not None:
            at = self._event(event)
            self.pointer_moved.emit(*at.at)
            self.tool.move(at)
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._pan_from is not None:
            self._pan_from = None
        elif event.button() == Qt.MouseButton.LeftButton and self.tool is not None:
            self.tool.release(self._event(event))
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        factor = 1.0015 ** event.angleDelta().y()
        new = min(max(self.scale_now() * factor, LEAST_SCALE), MOST_SCALE)
        before = self.to_plan(event.position())
        self.setTransform(QTransform.fromScale(new, -new))
        moved = self.to_pixel(before) - event.position()
        across, up = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() + round(moved.x()))
        up.setValue(up.value() + round(moved.y()))
        event.accept()

    def event(self, event: QEvent) -> bool:
        # While a length is typed its letters (ft, mm) are text and no shortcuts of commands.
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self.tool is not None
            and self.tool.takes_text()
            and not event.modifiers() & Qt.KeyboardModifier.ControlModifier
            and event.text().lower() in TEXT
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        keys: dict[int, Key] = {
            Qt.Key.Key_Escape: "escape", Qt.Key.Key_Backspace: "backspace",
            Qt.Key.Key_Return: "enter", Qt.Key.Key_Enter: "enter",
        }  # fmt: skip
        typing = self.tool is not None and bool(self.tool.typed)
        if event.key() == Qt.Key.Key_Space and not typing:
            self._space = True
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif self.tool is None or not self.tool.key(keys.get(event.key(), "text"), event.text()):
            event.ignore()
            return
        event.accept()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat() and self._space:
            self._space = False
            if self.tool is not None:
                self.set_tool(self.tool)
        super().keyReleaseEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if not self._fitted and self.isVisible():
            self._fitted = True
            self.zoom_to_fit()


class _RoofItem(QGraphicsItem):
    """The roof as one item: it is drawn whole from the results each time."""

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__()
        self._canvas = canvas

    def boundingRect(self) -> QRectF:
        return QRectF(-WORLD_MM, -WORLD_MM, 2 * WORLD_MM, 2 * WORLD_MM)

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        session = self._canvas.session
        tool = self._canvas.tool
        hover = tool.overlay().hover if tool is not None else None
        over = any(u.visible for u in session.results.project.underlays)
        painter.setPen(QPen(Qt.PenStyle.NoPen))
        draw_roof(painter, session.results, session.selection, hover, over_picture=over)
