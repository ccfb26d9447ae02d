"""The picture of the 3D view as a widget: it turns, moves and zooms, and paints over the frame."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from roofmodel_ui.view3d.camera import Array, Camera, Pixel, Size
from roofmodel_ui.view3d.frames import Frames

CLICK_PX = 4.0
STILL_MS = 160
"""After so long without motion the frame is drawn smoothly."""
KEY_PX = 24.0
KEY_ZOOM = 1.25


class Hand(Protocol):
    """Takes a drag of the left button before the camera does."""

    def press(self, at: Pixel) -> bool:
        """Whether it takes this drag."""

    def drag(self, at: Pixel, *, free: bool) -> None:
        """The pointer moved with the button down."""

    def release(self) -> None:
        """The button went up."""

    def cancel(self) -> bool:
        """Give the drag up; whether there was one."""


class Canvas3D(QWidget):
    """Orbit with the left button; move with the middle or right one, or with Shift; zoom with
    the wheel. Arrow keys orbit, plus and minus zoom."""

    clicked = Signal(object, bool)
    hovered = Signal(object)
    looked = Signal()
    resized = Signal()
    key_left = Signal(int)
    """A key that means nothing to the camera."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.frames = Frames()
        self.camera = Camera()
        self.own_look = False  # turned or zoomed by hand since it was framed
        self.hand: Hand | None = None
        self.paint_words: Callable[[QPainter], None] = lambda _: None
        self.paint_marks: Callable[[QPainter], None] = lambda _: None
        self._frame = QImage()
        self._picture: QPixmap | None = None
        self._wanted = self._moved = self._closed = False
        self._strips: Iterator[QImage | None] | None = None
        self._press: QPointF | None = None
        self._last: QPointF | None = None
        self._way = ""
        self._still = QTimer(self, interval=STILL_MS, singleShot=True)
        self._still.timeout.connect(self._when_still)
        self.setMouseTracking(True)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("3D view")
        self.setAccessibleDescription(
            "Drag to turn, with Shift to move, the wheel or plus and minus to zoom."
        )

    def view_size(self) -> Size:
        """Width and height in Qt's pixels."""
        return float(max(self.width(), 1)), float(max(self.height(), 1))

    def look(self, camera: Camera, *, by_hand: bool = False) -> None:
        """Look from here."""
        self.camera = camera
        self.own_look = by_hand
        self.request()
        self.looked.emit()

    def frame(self, points: Array) -> None:
        """Move back or forth until these points (n, 3) fill the view."""
        self.look(self.camera.framed(points, self.view_size()))

    def request(self) -> None:
        """Something changed: draw again, soon and quickly, then smoothly."""
        self._wanted, self._strips = True, None
        self._still.start(STILL_MS)
        self.update()

    def draw_now(self) -> None:
        """Draw the scene smoothly at once."""
        self._still.stop()
        self._wanted, self._strips = False, self.frames.still(self.camera, self._device_size())
        while self._strips is not None:
            self._next_strip()
        self.repaint()

    def refresh_words(self) -> None:
        """Paint the words over the last frame again, without drawing the scene."""
        self._picture = None
        self.update()

    def close_frames(self) -> None:
        """Give back the graphics resources."""
        self._still.stop()
        self._closed = True
        self.frames.close()

    def _when_still(self) -> None:
        """Nothing moved for a while: the next strip of a smooth picture."""
        if self._closed or not self.isVisible():
            return
        if self._strips is None:
            self._strips = self.frames.still(self.camera, self._device_size())
        self._next_strip()
        if self._strips is not None:
            self._still.start(0)

    def _next_strip(self) -> None:
        image = next(self._strips, None) if self._strips is not None else None
        if image is not None:
            self._frame, self._picture, self._strips = image, None, None
            self.update()

    def _device_size(self) -> tuple[int, int]:
        ratio = self.devicePixelRatioF()
        return round(self.width() * ratio), round(self.height() * ratio)

    def _draw(self) -> None:
        """Draw the scene quickly."""
        self._wanted = False
        self._frame, self._picture = self.frames.quick(self.camera, self._device_size()), None

    def _compose(self) -> QPixmap:
        """The frame with its words, kept until one of them changes."""
        ratio = self.devicePixelRatioF()
        picture = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
        painter = QPainter(picture)
        try:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(picture.rect(), self._frame)
            painter.scale(ratio, ratio)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self.paint_words(painter)
        finally:
            painter.end()
        picture.setDevicePixelRatio(ratio)
        return picture

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._closed:
            return
        if self._wanted or self._frame.isNull():
            self._draw()
        if self._picture is None:
            self._picture = self._compose()
        painter = QPainter(self)
        try:
            painter.drawPixmap(0, 0, self._picture)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self.paint_marks(painter)
        finally:
            painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()
        self.request()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        left = event.button() == Qt.MouseButton.LeftButton
        if self._way == "hand" and not left:
            event.accept()  # the hand keeps hold until its own button goes up
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._press = self._last = event.position()
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if left and self.hand is not None and self.hand.press(_pixel(event)):
            self._way = "hand"
        else:
            self._way = "orbit" if left and not shift else "pan"
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        now = event.position()
        if self._press is None or self._last is None:
            self.hovered.emit(_pixel(event))
            return
        if self._way == "hand":
            if self.hand is not None:
                free = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
                self.hand.drag(_pixel(event), free=free)
            return
        if self._way not in ("orbit", "pan"):
            return
        if not self._moved and (now - self._press).manhattanLength() <= CLICK_PX:
            return
        step, self._last = now - self._last, now
        if not self._moved:
            self._moved = True
            self.hovered.emit(None)
        turn = self.camera.orbited if self._way == "orbit" else self.camera.panned
        self.look(turn(step.x(), step.y(), self.view_size()), by_hand=True)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        way, moved = self._way, self._moved
        if way == "hand" and event.button() != Qt.MouseButton.LeftButton:
            event.accept()
            return
        self._press = self._last = None
        self._way, self._moved = "", False
        if way == "hand":
            if self.hand is not None:
                self.hand.release()
        elif way and way != "done" and not moved and event.button() == Qt.MouseButton.LeftButton:
            add = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.clicked.emit(_pixel(event), add)
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        at = event.position()
        factor = 1.0015 ** event.angleDelta().y()
        zoomed = self.camera.zoomed(factor, (at.x(), at.y()), self.view_size())
        self.look(zoomed, by_hand=True)
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.hovered.emit(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        size = self.view_size()
        middle = size[0] / 2, size[1] / 2
        turns = {
            Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
        }  # fmt: skip
        zooms = {
            Qt.Key.Key_Plus: KEY_ZOOM, Qt.Key.Key_Equal: KEY_ZOOM, Qt.Key.Key_Minus: 1 / KEY_ZOOM
        }  # fmt: skip
        if key in turns:
            dx, dy = (KEY_PX * s for s in turns[Qt.Key(key)])
            shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            turn = self.camera.panned if shift else self.camera.orbited
            self.look(turn(dx, dy, size), by_hand=True)
        elif key in zooms:
            self.look(self.camera.zoomed(zooms[Qt.Key(key)], middle, size), by_hand=True)
        elif key == Qt.Key.Key_Escape and self.hand is not None and self.hand.cancel():
            self._way = "done"
        else:
            event.ignore()
            self.key_left.emit(key)
            return
        event.accept()


def _pixel(event: QMouseEvent) -> Pixel:
    return event.position().x(), event.position().y()
