"""The 3D view in the window. pyvista takes seconds to import, so that happens in the background
after the window shows; until then a line of text stands in its place."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QLabel, QStackedLayout, QWidget

from roofmodel.scene import Scene, scene_of
from roofmodel_ui.selection import expanded
from roofmodel_ui.session import Session
from roofmodel_ui.view3d.picking import pick

if TYPE_CHECKING:
    from roofmodel_ui.view3d.drawing import SceneActors

CLICK_PX = 4.0
EDGE_PX = 8.0


class View3D(QWidget):
    """Orbit with the left button, move with the middle one or Shift, zoom with the wheel."""

    drawn = Signal()
    _imported = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.scene: Scene = _scene(session)
        self.interactor: Any = None
        self._actors: SceneActors | None = None
        self._press: QPointF | None = None
        self._framed = False
        self._closed = False
        self._render = QTimer(self, interval=0, singleShot=True)
        self._render.timeout.connect(self._render_now)
        self._waiting = QLabel("Preparing the 3D view …", self)
        self._waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._layout = QStackedLayout(self)
        self._layout.addWidget(self._waiting)
        self.setAccessibleName("3D view")
        self._imported.connect(self._create)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self._show)

    def start(self) -> None:
        """Begin to prepare the view; call it once the window is on screen."""
        threading.Thread(target=self._import, daemon=True).start()

    def refresh(self) -> None:
        """Bring the meshes up to the session's results."""
        self.scene = _scene(self.session)
        if not len(self.scene.triangles):
            self._framed = False
        self._show()
        if self._actors is not None and not self._framed and len(self.scene.triangles):
            self.fit(turn=True)

    def fit(self, *, turn: bool = False) -> None:
        """Frame the house."""
        if self._actors is not None:
            self._actors.fit(self.scene, turn=turn)
            self._framed = bool(len(self.scene.triangles))
            self._render.start()

    def shut_down(self) -> None:
        """Give back the graphics resources; the view is of no use afterwards."""
        self._closed = True
        self._render.stop()
        if self.interactor is not None:
            self.interactor.removeEventFilter(self)
            self.interactor.close()
            self.interactor, self._actors = None, None

    def _import(self) -> None:
        try:
            import pyvista
            import pyvistaqt  # noqa: F401

            pyvista.global_theme.allow_empty_mesh = True
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
        from pyvistaqt import QtInteractor

        from roofmodel_ui.view3d.drawing import SceneActors

        self.interactor = QtInteractor(self, auto_update=False)
        self.interactor.enable_terrain_style(mouse_wheel_zooms=True, shift_pans=True)
        self._layout.addWidget(self.interactor)
        self._layout.setCurrentWidget(self.interactor)
        self.interactor.installEventFilter(self)
        self._actors = SceneActors(self.interactor)
        self._show()
        self.fit(turn=True)
        QTimer.singleShot(0, self, self._first_frame)

    def _first_frame(self) -> None:
        if self.interactor is not None:
            self.interactor.render()
            self.drawn.emit()

    def _show(self) -> None:
        if self._actors is None:
            return
        chosen = expanded(self.session.results, self.session.selection)
        self._actors.show(self.scene, chosen)
        self._render.start()

    def _render_now(self) -> None:
        # Qt's repaint draws once; the plotter's render() would make it twice.
        if self.interactor is not None:
            self.interactor.update()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QMouseEvent) and event.button() == Qt.MouseButton.LeftButton:
            if event.type() == QEvent.Type.MouseButtonPress:
                self._press = event.position()
            elif event.type() == QEvent.Type.MouseButtonRelease and self._press is not None:
                way = event.position() - self._press
                self._press = None
                if abs(way.x()) + abs(way.y()) <= CLICK_PX:
                    self._click(event)
        return super().eventFilter(watched, event)

    def _click(self, event: QMouseEvent) -> None:
        width, height = float(self.interactor.width()), float(self.interactor.height())
        camera = self.interactor.renderer.GetActiveCamera()
        vtk = camera.GetCompositeProjectionTransformMatrix(width / height, -1, 1)
        matrix = np.array([[vtk.GetElement(i, j) for j in range(4)] for i in range(4)])
        at = (event.position().x(), event.position().y())
        item = pick(self.scene, matrix, (width, height), at, EDGE_PX)
        if item is None:
            self.session.select(())
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.session.toggle(item)
        else:
            self.session.select((item,))


def _scene(session: Session) -> Scene:
    return scene_of(session.results.surface, session.results.project)
