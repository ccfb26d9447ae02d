"""The 3D view in the window. pyvista takes seconds to import, so that happens in the background
after the window shows; until then a line of text stands in its place."""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QPainter, QShowEvent
from PySide6.QtWidgets import QLabel, QStackedLayout, QWidget

from roofmodel.document import Point
from roofmodel.scene import Scene, scene_of
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.labels import plane_anchors
from roofmodel_ui.selection import Selectable, expanded
from roofmodel_ui.session import Session
from roofmodel_ui.settings import NAMES_3D
from roofmodel_ui.tools.base import Tool
from roofmodel_ui.tools.measure import MeasureTool, height_at
from roofmodel_ui.view3d import marks
from roofmodel_ui.view3d.bar import Bar
from roofmodel_ui.view3d.camera import Array, Camera, Pixel
from roofmodel_ui.view3d.grip import REACH_PX, Grip
from roofmodel_ui.view3d.ribs import RibsInView
from roofmodel_ui.view3d.sight import Sight
from roofmodel_ui.view3d.views import LOOKS, clear_look
from roofmodel_ui.view3d.words import tip

if TYPE_CHECKING:
    from roofmodel_ui.view3d.canvas import Canvas3D
    from roofmodel_ui.view3d.drawing import SceneActors

EDGE_PX = 8.0


class View3D(QWidget):
    """The roof in 3D: looked at from all sides, pointed at, selected, measured, dragged."""

    drawn = Signal()
    look_changed = Signal()
    """Parallel or perspective, names shown or not."""
    _imported = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.scene: Scene = _scene(session)
        self.canvas: Canvas3D | None = None
        self.camera = Camera()
        self.names = NAMES_3D.get()
        self.grip, self.ribs = Grip(session), RibsInView()
        self.hover: Selectable | None = None
        self.tool: Tool | None = None
        self._pointer: Pixel | None = None
        self._actors: SceneActors | None = None
        self._sight: Sight | None = None
        self._name_places: list[tuple[int, Array]] | None = None
        self._actions: tuple[Sequence[QAction], Sequence[QAction]] = ((), ())
        self._bars: tuple[Bar, ...] = ()
        self._framed = False
        self._closed = False
        self._waiting = QLabel("Preparing the 3D view …", self)
        self._waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._waiting.setWordWrap(True)
        self._layout = QStackedLayout(self)
        self._layout.addWidget(self._waiting)
        self.setAccessibleName("3D view")
        self._imported.connect(self._create)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self._show)
        session.highlight.changed.connect(self._show)

    def start(self) -> None:
        """Begin to prepare the view; call it once the window is on screen."""
        threading.Thread(target=self._import, daemon=True).start()

    def set_buttons(self, looks: Sequence[QAction], switches: Sequence[QAction]) -> None:
        """The actions of the small buttons at the top and at the bottom of the view."""
        self._actions = (looks, switches)

    def set_tool(self, tool: Tool) -> None:
        """The tool at hand; only measuring works here too."""
        if self.tool is not None:
            self.tool.changed.disconnect(self._mark)
        self.tool = tool
        tool.changed.connect(self._mark)
        if self.canvas is not None:
            self.canvas.hand = self.grip if self._reshaping() else None
            measuring = self._measuring() is not None
            shape = Qt.CursorShape.CrossCursor if measuring else Qt.CursorShape.ArrowCursor
            self.canvas.setCursor(shape)
        self._mark()

    def refresh(self) -> None:
        """Bring the meshes up to the session's results."""
        self.scene = _scene(self.session)
        self._bring_ribs()
        self._name_places = None
        if not len(self.scene.triangles):
            self._framed = False
        self._show()
        if self.canvas is not None and not self._framed and len(self.scene.triangles):
            self.fit(turn=True)

    def fit(self, *, turn: bool = False) -> None:
        """Frame the house; with `turn`, also look from the first direction again."""
        if turn:
            first = Camera()
            self.camera = replace(
                self.camera, bearing=first.bearing, elevation=first.elevation
            )  # fmt: skip
        if self.canvas is not None:
            self.canvas.camera = self.camera
            points = self.scene.house_points()
            if not len(points):
                points = np.array([[-8e3, -8e3, 0.0], [8e3, 8e3, 5e3]])
            self._framed = bool(len(self.scene.triangles))
            self.canvas.frame(points)

    def look_from(self, side: str) -> None:
        """Look from "north", "east", "south", "west", "above" or the "corner", and frame."""
        bearing, elevation = LOOKS[side]
        self.camera = replace(self.camera, bearing=bearing, elevation=elevation)
        self.fit()

    def set_parallel(self, parallel: bool) -> None:
        """Draw without perspective: what is equally long looks equally long."""
        if parallel != self.camera.parallel:
            self._look(replace(self.camera, parallel=parallel))
            self.look_changed.emit()

    def set_names(self, shown: bool) -> None:
        """Show or hide the planes' names."""
        if shown != self.names:
            self.names = shown
            NAMES_3D.put(shown)
            if self.canvas is not None:
                self.canvas.refresh_words()
            self.look_changed.emit()

    def set_panels(self, shown: bool) -> None:
        """Show or hide the ribs of panels."""
        self.ribs.wanted = shown
        if self._bring_ribs():
            self._show()

    def show_places(self, places: Sequence[Point], room: float) -> None:
        """Look at plan points (mm) with this much room, mm, from a side that sees the first."""
        if self.canvas is None or not places:
            return
        heights = [height_at(self.session.results, p) for p in places]
        high = self.scene.bounds()[1]
        known = [
            (x, y, float(high[2]) if math.isnan(z) else z)
            for (x, y), z in zip(places, heights, strict=True)
        ]
        spots = np.array(known)
        around = np.vstack([spots - room / 2, spots + room / 2])
        self._look(clear_look(self.scene, self.camera, self.canvas.view_size(), spots[0], around))
        self._framed = True

    def shut_down(self) -> None:
        """Give back the graphics resources; the view is of no use afterwards."""
        self._closed = True
        if self.canvas is not None:
            self.canvas.close_frames()
            self._actors = None

    def sight(self) -> Sight | None:
        """The scene as it is seen now; None before the view is there."""
        if self.canvas is None:
            return None
        camera, size, known = self.camera, self.canvas.view_size(), self._sight
        if (
            known is None or known.scene is not self.scene
            or known.camera is not camera or known.size != size
        ):  # fmt: skip
            self._sight = Sight(self.scene, camera, size)
        return self._sight

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._stand_bars()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._actors is not None:
            self._actors.dress()
            self._show()

    def _import(self) -> None:
        try:
            import pyvista

            pyvista.global_theme.allow_empty_mesh = True
            import roofmodel_ui.view3d.canvas
            import roofmodel_ui.view3d.drawing  # noqa: F401
        except Exception as error:
            self._report(str(error) or type(error).__name__)
            return
        self._report("")

    def _report(self, failure: str) -> None:
        try:
            self._imported.emit(failure)
        except RuntimeError:
            return  # the window was closed meanwhile

    def _create(self, failure: str) -> None:
        if self._closed:
            return
        if failure:
            self._waiting.setText(
                "There is no 3D view on this computer; the plan works without it."
            )
            return
        from roofmodel_ui.view3d.canvas import Canvas3D
        from roofmodel_ui.view3d.drawing import SceneActors

        self.canvas = canvas = Canvas3D(self)
        canvas.paint_words, canvas.paint_marks = self._paint_words, self._paint_marks
        self._actors = SceneActors(canvas.frames.plotter)
        self._actors.widen(self.devicePixelRatioF())
        self._bars = tuple(
            Bar(canvas, name, actions)
            for name, actions in zip(("Look from", "Switches"), self._actions, strict=True)
            if actions
        )
        self._layout.addWidget(canvas)
        self._layout.setCurrentWidget(canvas)
        canvas.looked.connect(self._after_look)
        canvas.resized.connect(self._after_resize)
        canvas.clicked.connect(self._click)
        canvas.hovered.connect(self._hover)
        canvas.key_left.connect(self._key)
        if self.tool is not None:
            self.set_tool(self.tool)
        else:
            canvas.hand = self.grip
        self._show()
        self._after_resize()
        self.fit()
        QTimer.singleShot(0, self, self._first_frame)

    def _first_frame(self) -> None:
        if self.canvas is not None and not self._closed:
            self.canvas.draw_now()
            self.drawn.emit()

    def _bring_ribs(self) -> bool:
        return self.ribs.refresh(self.session.results, dragged=self.session.is_preview())

    def _look(self, camera: Camera) -> None:
        self.camera = camera
        if self.canvas is not None:
            self.canvas.look(camera, by_hand=True)

    def _show(self) -> None:
        if self._actors is None or self.canvas is None:
            return
        chosen = expanded(self.session.results, self.session.selection)
        chosen |= self.session.highlight.items
        self._actors.show(self.scene, chosen)
        self._actors.show_ribs(self.ribs.ribs, self.scene, chosen)
        self.grip.sight = self.sight()
        self.canvas.request()

    def _after_look(self) -> None:
        assert self.canvas is not None
        self.camera = self.canvas.camera
        self.grip.sight = self.sight()

    def _after_resize(self) -> None:
        assert self.canvas is not None
        self._stand_bars()
        self.grip.sight = self.sight()
        if self._framed and not self.canvas.own_look:
            self.fit()

    def _stand_bars(self) -> None:
        for bar, bottom in zip(self._bars, (False, True), strict=False):
            bar.stand(bottom=bottom)
            bar.show()

    def _mark(self) -> None:
        if self.canvas is not None:
            self.canvas.update()

    def _measuring(self) -> MeasureTool | None:
        return self.tool if isinstance(self.tool, MeasureTool) else None

    def _reshaping(self) -> bool:
        """Whether the tool at hand is one for the shape of the roof."""
        return self.tool is None or self.tool.name not in ("Measure", "Lay panels")

    def _click(self, at: Pixel, add: bool) -> None:
        sight, measuring = self.sight(), self._measuring()
        if sight is None:
            return
        if measuring is not None:
            spot = sight.spot(at, EDGE_PX)
            if spot is not None:
                measuring.add(spot.place, EDGE_PX / sight.camera.scale(sight.size))
            return
        item = self._item(sight, at)
        if item is None:
            self.session.select(())
        elif add:
            self.session.toggle(item)
        else:
            self.session.select((item,))

    def _item(self, sight: Sight, at: Pixel) -> Selectable | None:
        """What a click means; with the tool that lays panels it is always a plane."""
        if self.tool is None or self.tool.name != "Lay panels":
            return sight.item(at, EDGE_PX)
        index = sight.plane_at(at)
        return sight.scene.planes[index] if index >= 0 else None

    def _hover(self, at: Pixel | None) -> None:
        sight, measuring = self.sight(), self._measuring()
        self._pointer = at
        if measuring is not None:
            spot = None if at is None or sight is None else sight.spot(at, EDGE_PX)
            measuring.hover(None if spot is None else spot.place)
        before = self.hover
        self.hover = None
        if at is not None and sight is not None and measuring is None:
            self.hover = self._item(sight, at)
        if self.hover is not None or before is not None:
            self._mark()

    def _key(self, key: int) -> None:
        """Keys that mean nothing to the camera go to the tool at hand."""
        measuring = self._measuring()
        if measuring is None:
            if key == Qt.Key.Key_Escape:
                self.session.select(())
            return
        if key == Qt.Key.Key_Escape:
            measuring.key("escape")
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            measuring.key("enter")
        elif key == Qt.Key.Key_Backspace:
            measuring.key("backspace")

    def _paint_words(self, painter: QPainter) -> None:
        if self.canvas is not None and not self.session.results.surface.planes:
            marks.paint_empty(painter, self.canvas.rect())
        sight = self.sight()
        if sight is None or not self.names:
            return
        results = shown(self.session.results)
        if self._name_places is None:
            self._name_places = marks.name_places(results, plane_anchors(results))
        free = [bar.place() for bar in self._bars]
        marks.paint_names(painter, sight, results, self._name_places, free)

    def _paint_marks(self, painter: QPainter) -> None:
        sight = self.sight()
        if sight is None:
            return
        measuring = self._measuring()
        if measuring is not None:
            chain = np.array(measuring.chain() or np.zeros((0, 3)), float)
            chain[np.isnan(chain)] = 0.0
            words = measuring.words()
            legs = [leg for *_, leg in measuring.legs()]
            marks.paint_chain(painter, sight, chain, legs, words, closed=measuring.closed)
            return
        marks.paint_hover(painter, sight, self.session.results, self.hover)
        handle = self.grip.shown() if self._reshaping() else None
        pixel = None if handle is None else self.grip.pixel(handle)
        if handle is not None and pixel is not None:
            words = self.grip.words(handle)
            hot = self.grip.held is not None
            marks.paint_handle(painter, QPointF(*pixel), words, sight.size, hot=hot)
        text = tip(self.session.results, self.hover)
        on_handle = (
            pixel is not None
            and self._pointer is not None
            and (self.grip.held is not None or math.dist(pixel, self._pointer) <= REACH_PX)
        )
        if text and self._pointer is not None and not on_handle:
            marks.paint_tip(painter, text, QPointF(*self._pointer), sight.size)


def _scene(session: Session) -> Scene:
    results = shown(session.results)
    return scene_of(results.surface, results.project)
