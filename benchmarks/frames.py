"""Frame times of the 3D view in the real window, for a sample of 34 planes, under whatever draws
here (software drawing where there is no graphics card). Needs a display: run it under Xvfb.

Printed: number of actors; time of a frame in motion, and of a smooth one with its strips, at two
sizes of window; time of a hover (no frame is drawn); time of a step of a dragged eave from pointer
to painted picture, with how often meshes were built anew; the longest that one step took.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PySide6.QtCore import QPoint, QStandardPaths, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from roofmodel_io.project_file import read_project
from roofmodel_ui.app import application
from roofmodel_ui.selection import PartId
from roofmodel_ui.view3d.canvas import Canvas3D
from roofmodel_ui.window import MainWindow

SAMPLE = Path(__file__).parents[1] / "sample_projects" / "fern_hill_manor.roof"
SIZES = ((1280, 800), (1920, 1080))
FRAMES = 12
MOST_ACTORS, MOST_MS = 60, 100.0


def main() -> int:
    QStandardPaths.setTestModeEnabled(True)
    app = application()
    opened = read_project(SAMPLE)
    window = MainWindow(opened.project)
    window.session.open(opened.project, None, opened.pictures)
    window.after_open()
    result = 0

    def run() -> None:
        nonlocal result
        try:
            result = measure(window)
        finally:
            window.session.undo_stack.setClean()
            window.close()
            app.quit()

    window.show()
    window.view3d.drawn.connect(lambda: QTimer.singleShot(0, run))
    app.exec()
    return result


def measure(window: MainWindow) -> int:
    """Print everything; 1 if there are too many actors or a frame in motion takes too long."""
    view, canvas = window.view3d, window.view3d.canvas
    actors = view._actors
    assert canvas is not None
    assert actors is not None
    planes = len(view.scene.planes)
    sys.stdout.write(f"3D view of {planes} planes: {actors.count()} actors (at most 60)\n")
    worst, moving = 0.0, 0.0
    for width, height in SIZES:
        window.resize(width, height)
        _settle()
        window.zoom_to_fit()
        motion = _times(lambda k: _turn(canvas, k))
        still = _times(lambda _: canvas.draw_now())
        hover = _times(lambda k: _hover(canvas, k))
        strips = [ms for smooth, _, ms in canvas.frames.times[-3 * FRAMES :] if smooth]
        sys.stdout.write(
            f"window {width} x {height}, view {canvas.width()} x {canvas.height()}:"
            f" frame in motion {statistics.median(motion):.0f} ms,"
            f" smooth once still {statistics.median(still):.0f} ms in strips of"
            f" {statistics.median(strips):.0f} ms,"
            f" hover without a frame {statistics.median(hover):.1f} ms\n"
        )
        worst = max(worst, *motion[2:], *strips[2:], *hover)
        moving = max(moving, statistics.median(motion))
        dragged, rebuilt = _drag_eave(window, canvas)
        sys.stdout.write(
            f"  dragged eave, pointer to both views painted: {statistics.median(dragged):.0f} ms"
            f" a step; {rebuilt} meshes built anew in {len(dragged)} steps\n"
        )
        worst = max(worst, *dragged[2:])
    sys.stdout.write(f"longest that one step held the window: {worst:.0f} ms (aim 100)\n")
    return int(actors.count() > MOST_ACTORS or moving > MOST_MS)


def _settle() -> None:
    for _ in range(5):
        QApplication.processEvents()


def _times(step: Callable[[int], object]) -> list[float]:
    """Milliseconds of each of some steps."""
    found = []
    for k in range(FRAMES):
        began = time.perf_counter()
        step(k)
        found.append((time.perf_counter() - began) * 1000.0)
    return found


def _turn(canvas: Canvas3D, k: int) -> None:
    canvas.look(canvas.camera.orbited(6.0 if k % 2 else 9.0, 1.0, canvas.view_size()))
    canvas.repaint()


def _hover(canvas: Canvas3D, k: int) -> None:
    middle = QPoint(canvas.width() // 2, canvas.height() // 2)
    QTest.mouseMove(canvas, middle + QPoint(7 * k - 40, 3 * k - 20))
    canvas.repaint()


def _drag_eave(window: MainWindow, canvas: Canvas3D) -> tuple[list[float], int]:
    """Times of the steps of a drag of the first section's eave, and meshes built anew."""
    view, actors = window.view3d, window.view3d._actors
    assert actors is not None
    view.look_from("south")
    window.session.select([PartId(window.session.project.sections()[0].id)])
    _settle()
    handle = view.grip.shown()
    assert handle is not None
    ((x, y, _),) = view.camera.project(np.array([handle.place]), canvas.view_size())
    at = QPoint(round(x), round(y))
    meshes = (actors.planes, actors.under, actors.solids, actors.edges, actors.ground)
    before = sum(m.rebuilt for m in meshes)
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=at)

    def step(k: int) -> None:
        QTest.mouseMove(canvas, at - QPoint(0, k + 1))
        canvas.repaint()
        window.plan.viewport().repaint()

    found = _times(step)
    rebuilt = sum(m.rebuilt for m in meshes) - before
    QTest.keyClick(canvas, Qt.Key.Key_Escape)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=at)
    _settle()
    return found, rebuilt


if __name__ == "__main__":
    sys.exit(main())
