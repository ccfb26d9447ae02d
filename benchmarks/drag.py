"""Median time from mouse move to updated plan, 3D data and quantities in the real window, while a
corner is dragged, for houses of 8, 25 and 60 planes. Needs a display; `make bench` runs it under
one.

Printed twice: without the pictures' own drawing (the roof, the quantities, the plan's words, the
meshes, the table), and with both views painted.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

from msgspec.structs import replace
from PySide6.QtCore import QPoint, QStandardPaths, Qt, QTimer
from PySide6.QtTest import QTest

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "benchmarks")]

from composition import FT, house  # noqa: E402

from roofmodel.document import Building, Project, Section  # noqa: E402
from roofmodel.results import results_of  # noqa: E402
from roofmodel_ui.app import application, make_window  # noqa: E402
from roofmodel_ui.window import MainWindow  # noqa: E402

CORNER = (0.0, 32.0 * FT)
"""The corner that is dragged, of the first section: nothing else stands there."""
APART_MM = 130 * FT
MOVES = 30
AIMS_MS = {8: 16.0, 25: 40.0, 60: 100.0}


def house_of(planes: int) -> Project:
    """The first sections of the house of benchmarks/composition.py, and copies of them beside
    it, until it has so many planes."""
    project = house()
    building = project.buildings[0]
    sections: list[Section] = []
    number = 0
    while True:
        name, copy = divmod(number, len(building.sections))[::-1]
        sections.append(_moved(building.sections[name], copy))
        made = replace(project, buildings=(Building("b1", "House", tuple(sections)),))
        if len(results_of(made).surface.planes) >= planes:
            return made
        number += 1


def _moved(section: Section, copy: int) -> Section:
    rings = tuple(
        replace(r, corners=tuple((x + copy * APART_MM, y) for x, y in r.corners))
        for r in section.rings
    )
    words = f"{section.id} {copy}"
    return replace(section, id=words, name=words, rings=rings)


def main() -> int:
    """Print medians; 1 if an aim is missed."""
    QStandardPaths.setTestModeEnabled(True)
    app = application()
    window = make_window()
    result = 0

    def run() -> None:
        nonlocal result
        for planes, aim in AIMS_MS.items():
            window.session.open(house_of(planes), None)
            window.after_open()
            window.show_stage("Shape")
            app.processEvents()
            count = len(window.session.results.surface.planes)
            for painted in (False, True):
                times = drag(window, painted=painted)
                median = statistics.median(times)
                words = "both views painted" if painted else "without painting"
                sys.stdout.write(
                    f"drag of a corner, {count} planes, {words}: median {median:.1f} ms per move,"
                    f" slowest {max(times):.1f} ms (aim {aim:.0f} without painting)\n"
                )
                sys.stdout.flush()
                if not painted and median > aim:
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
    view, before = window.plan.viewport(), window.session.project
    start = window.plan.to_pixel(CORNER).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    times = []
    for k in range(1, MOVES + 1):
        began = time.perf_counter()
        QTest.mouseMove(view, start + QPoint(-k, k // 2))
        if painted:
            view.repaint()
            window.view3d.repaint()
        times.append((time.perf_counter() - began) * 1000)
        app.processEvents()
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(-MOVES, MOVES // 2))
    if window.session.project is before:
        raise SystemExit("Nothing was dragged.")
    window.session.undo_stack.undo()
    app.processEvents()
    return times[3:]  # the first pay for what is loaded late


if __name__ == "__main__":
    sys.exit(main())
