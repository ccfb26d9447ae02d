"""Median time from mouse move to updated plan, 3D data and table in the real window, while a
corner of an L is dragged. Needs a display; `make bench` runs it under one.

Printed twice: without the pictures' own drawing (the roof, the quantities, the plan's words, the
meshes, the table), and with both views painted.
"""

from __future__ import annotations

import statistics
import sys
import time

from PySide6.QtCore import QPoint, QStandardPaths, Qt, QTimer
from PySide6.QtTest import QTest

from roofmodel.document.edits import new_section
from roofmodel_io.defaults import default_project
from roofmodel_ui.app import application
from roofmodel_ui.window import MainWindow

FT = 304.8
L_SHAPE = ((0, 0), (40, 0), (40, 24), (24, 24), (24, 40), (0, 40))
MOVES = 40
AIM_MS = 50.0


def main() -> int:
    QStandardPaths.setTestModeEnabled(True)
    app = application()
    project, _ = new_section(default_project(), [(x * FT, y * FT) for x, y in L_SHAPE])
    window = MainWindow(project)
    result = 0

    def run() -> None:
        nonlocal result
        window.zoom_to_fit()
        app.processEvents()
        for painted in (False, True):
            times = drag(window, painted=painted)
            median = statistics.median(times)
            words = "with both views painted" if painted else "without painting"
            sys.stdout.write(
                f"drag of a corner, {words}: median {median:.1f} ms per move,"
                f" slowest {max(times):.1f} ms (aim {AIM_MS:.0f} without painting)\n"
            )
            if not painted and median > AIM_MS:
                result = 1
        window.session.undo_stack.setClean()
        window.close()
        app.quit()

    window.show()
    window.view3d.drawn.connect(lambda: QTimer.singleShot(0, run))
    app.exec()
    return result


def drag(window: MainWindow, *, painted: bool) -> list[float]:
    """Times of every move in ms; the edit is undone afterwards."""
    app = application()
    view = window.plan.viewport()
    start = window.plan.to_pixel((0.0, 0.0)).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    times = []
    for k in range(1, MOVES + 1):
        began = time.perf_counter()
        QTest.mouseMove(view, start + QPoint(-k, k // 2))
        if painted:
            view.repaint()
            window.view3d.interactor.repaint()
        times.append((time.perf_counter() - began) * 1000)
        app.processEvents()
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(-MOVES, MOVES // 2))
    window.session.undo_stack.undo()
    app.processEvents()
    return times


if __name__ == "__main__":
    sys.exit(main())
