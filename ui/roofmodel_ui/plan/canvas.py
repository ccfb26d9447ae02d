"""The plan canvas: pan, zoom, millimetres to pixels, and events handed to the tool."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QResizeEvent,
    QShowEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QFrame,
    QGraphicsScene,
    QGraphicsView,
    QWidget,
)

from roofmodel.document import Point
from roofmodel_ui import theme
from roofmodel_ui.plan.foreground import draw_foreground, draw_grid
from roofmodel_ui.plan.labels import plane_anchors
from roofmodel_ui.plan.parts import polygons
from roofmodel_ui.plan.roof_item import RoofItem
from roofmodel_ui.plan.underlays import UnderlayItem, placed_box
from roofmodel_ui.session import Session
from roofmodel_ui.settings import NAMES_PLAN
from roofmodel_ui.tools.base import Key, PlanEvent, Tool

SNAP_PX = 10.0
WORLD_MM = 1e6
LEAST_SCALE, MOST_SCALE = 2e-4, 4.0
PICTURE_MARGIN = 0.05
"""Share of the plan left free on each side of a picture."""
"""Pixels per millimetre: from 5 m a pixel to 4 pixels a millimetre."""


class PlanCanvas(QGraphicsView):
    """Plan of the job, x to the right, y up, millimetres."""

    pointer_moved = Signal(float, float)
    resized = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # Of one that Qt made, PySide would try every kind of widget to find out what it is.
        self.setViewport(QWidget())
        self.session = session
        self.tool: Tool | None = None
        self.anchors = plane_anchors(session.results)
        self._pan_from: QPoint | None = None
        self._pan_button = Qt.MouseButton.NoButton
        self._held = False  # the left button is down, and the tool has taken its press
        self._space = False
        self._own_view = False  # zoomed or panned by hand since the last fit
        self._left: list[Tool] = []
        self.names = NAMES_PLAN.get()
        self.panels = False
        self._job = session.pictures
        self._had_picture = bool(session.project.underlays)
        scene = QGraphicsScene(self)
        scene.setSceneRect(-WORLD_MM, -WORLD_MM, 2 * WORLD_MM, 2 * WORLD_MM)
        self.setScene(scene)
        self._roof = RoofItem(self)
        scene.addItem(UnderlayItem(session, scene.sceneRect()))
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
        session.project_changed.connect(self._let_go)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self._redraw)
        session.highlight.changed.connect(self._redraw)

    def set_tool(self, tool: Tool) -> None:
        """Make this the tool that gets the events."""
        if self.tool is not None and self.tool is not tool:
            self.tool.leave()
            self.tool.changed.disconnect(self._redraw)
            self.tool.fit_wanted.disconnect(self.zoom_to_fit)
            self._left.append(self.tool)
        if self.tool is not tool:
            self.tool = tool
            self._left = [t for t in self._left if t is not tool and t.kept()]
            tool.changed.connect(self._redraw)
            tool.fit_wanted.connect(self.zoom_to_fit)
        points = tool.name in ("Select", "Lay panels")
        shape = Qt.CursorShape.ArrowCursor if points else Qt.CursorShape.CrossCursor
        self.setCursor(shape)
        self._redraw()

    def set_names(self, shown: bool) -> None:
        """Show or hide the planes' names."""
        self.names = shown
        NAMES_PLAN.put(shown)
        self._redraw()

    def set_panels(self, shown: bool) -> None:
        """Show or hide the panels."""
        self.panels = shown
        self._redraw()

    def kept(self) -> list[tuple[Point, ...]]:
        """Lines begun with tools that were left, mm."""
        return [tool.kept() for tool in self._left]

    def show_places(self, places: Sequence[tuple[float, float]], room: float) -> None:
        """Zoom to some plan points (mm) with this much room, mm, around them."""
        xs, ys = [p[0] for p in places], [p[1] for p in places]
        size = self.viewport().size()
        scale = min(
            size.width() / (max(xs) - min(xs) + room), size.height() / (max(ys) - min(ys) + room)
        )
        self.setTransform(QTransform.fromScale(scale, -scale))
        self.centerOn((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        self._own_view = True
        self.viewport().update()

    def take_back(self) -> bool:
        """Undo inside the tool; whether the tool had begun something to take back."""
        return self.tool is not None and self.tool.busy() and self.tool.key("undo")

    def _let_go(self) -> None:
        """The project changed. A drag in progress was made from the one before and would undo the
        change on release; a press or release of the tool's own is past or yet to come."""
        if self._held and self.tool is not None:
            self.tool.let_go()

    def refresh(self) -> None:
        """Draw the session's results again."""
        if self.session.pictures is not self._job:
            # Another project was opened: what was begun belongs to the one before.
            self._job = self.session.pictures
            for tool in (*self._left, *([self.tool] if self.tool else [])):
                if tool.busy():
                    tool.typed = ""
                    tool.cancel()
            self._left = []
        self.anchors = plane_anchors(self.session.results)
        had, self._had_picture = self._had_picture, bool(self.session.project.underlays)
        if self._had_picture and not had and not self.session.project.sections():
            self.zoom_to_fit()
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
        project = self.session.project
        points = [c for s in project.sections() for r in s.rings for c in r.corners]
        points += [c for p in polygons(project) for c in p.corners]
        points += [
            (float(x), float(y))
            for plane in self.session.results.surface.planes
            for x, y in plane.outline[:, :2]
        ]
        rect = QRectF()
        if points:
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            rect = QRectF(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
        for underlay in project.underlays:
            if underlay.visible and not points:
                rect = rect.united(placed_box(underlay))
        if rect.isEmpty():
            rect = QRectF(-10_000, -10_000, 20_000, 20_000)
        for begun in (*self.kept(), *([self.tool.kept()] if self.tool else [])):
            for x, y in begun:
                rect = rect.united(QRectF(x - 1, y - 1, 2, 2))
        size = self.viewport().size()
        # A picture fills the plan; a roof wants room for the lengths about it.
        wide, high = size.width() - 132, size.height() - 110
        if not points and project.underlays:
            share = 1.0 - 2.0 * PICTURE_MARGIN
            wide, high = round(size.width() * share), round(size.height() * share)
        scale = min(
            max(wide, 50) / max(rect.width(), 1.0), max(high, 50) / max(rect.height(), 1.0)
        )
        scale = min(max(scale, LEAST_SCALE), MOST_SCALE)
        self.setTransform(QTransform.fromScale(scale, -scale))
        self.centerOn(rect.center())
        self._own_view = False
        self._redraw()

    def _redraw(self) -> None:
        self.viewport().update()

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.fillRect(rect, QColor(theme.PAPER))
        draw_grid(painter, QRectF(rect), self.scale_now(), self.session.project.units.system)

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.save()
        painter.resetTransform()
        try:
            draw_foreground(painter, self)
        finally:
            # A painter left saved takes the whole program down.
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
            if self._pan_from is None:
                self._pan_from, self._pan_button = event.position().toPoint(), button
        elif button == Qt.MouseButton.LeftButton and self.tool is not None:
            self._held = False
            self.tool.press(self._event(event))
            self._held = True
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pan_from is not None:
            now = event.position().toPoint()
            moved, self._pan_from = now - self._pan_from, now
            self._own_view = True
            across, up = self.horizontalScrollBar(), self.verticalScrollBar()
            across.setValue(across.value() - moved.x())
            up.setValue(up.value() - moved.y())
        elif self.tool is not None:
            at = self._event(event)
            self.pointer_moved.emit(*at.at)
            self.tool.move(at)
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        # Each button ends what it began: the plan can be moved in the middle of a drag.
        if self._pan_from is not None and event.button() == self._pan_button:
            self._pan_from = None
        elif event.button() == Qt.MouseButton.LeftButton and self.tool is not None:
            self._held = False
            self.tool.release(self._event(event))
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        left = event.button() == Qt.MouseButton.LeftButton
        if left and self.tool is not None and not self._space:
            self._held = False
            self.tool.double_click(self._event(event))
            self._held = True
            event.accept()
            return
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        factor = 1.0015 ** event.angleDelta().y()
        new = min(max(self.scale_now() * factor, LEAST_SCALE), MOST_SCALE)
        self._own_view = True
        before = self.to_plan(event.position())
        self.setTransform(QTransform.fromScale(new, -new))
        moved = self.to_pixel(before) - event.position()
        across, up = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() + round(moved.x()))
        up.setValue(up.value() + round(moved.y()))
        event.accept()

    def event(self, event: QEvent) -> bool:
        # While something is begun its keys are text, or take it back: no shortcuts of commands.
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self.tool is not None
            and (self.tool.busy() or self.tool.claims(_key_of(event)))
            and (_key_of(event) != "text" or _is_plain(event))
        ):
            event.accept()
            return True
        if (
            event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Tab
            and self.tool is not None
            and self.tool.key("tab")
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        tool = self.tool
        typing = tool is not None and bool(tool.typed)
        key = _key_of(event)
        if event.key() == Qt.Key.Key_Space and not typing:
            self._space = True
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif (
            tool is None
            or (key == "text" and not _is_plain(event))
            or not tool.key(key, event.text())
        ):
            event.ignore()
            return
        event.accept()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._let_space_go()
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        # Its release goes to whoever has the focus then.
        self._let_space_go()
        super().focusOutEvent(event)

    def _let_space_go(self) -> None:
        if self._space:
            self._space = False
            if self.tool is not None:
                self.set_tool(self.tool)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.isVisible() and not self._own_view:
            self.zoom_to_fit()
        self.resized.emit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._own_view:
            self.zoom_to_fit()


def _key_of(event: QKeyEvent) -> Key:
    """What a key means to a tool."""
    keys: dict[int, Key] = {
        Qt.Key.Key_Escape: "escape", Qt.Key.Key_Backspace: "backspace",
        Qt.Key.Key_Delete: "backspace", Qt.Key.Key_Return: "enter", Qt.Key.Key_Enter: "enter",
    }  # fmt: skip
    if event.matches(QKeySequence.StandardKey.Undo):
        return "undo"
    if event.matches(QKeySequence.StandardKey.Redo):
        return "redo"
    return keys.get(event.key(), "text")


def _is_plain(event: QKeyEvent) -> bool:
    """Whether the key writes a character. Control and Alt together are a key of some keyboards
    that does; either alone makes a command."""
    held = event.modifiers()
    control = bool(held & Qt.KeyboardModifier.ControlModifier)
    alt = bool(held & Qt.KeyboardModifier.AltModifier)
    return control == alt and bool(event.text()) and event.text().isprintable()
