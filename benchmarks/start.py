"""How long from starting the program until its window is there: first its frame, then all of it,
beside the least any such program needs: importing PySide6, numpy, shapely and msgspec and painting
an empty window.

Each is a process of its own, timed from outside; the two take turns, and medians are compared.
Needs a display; `make bench` runs it under one.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUNS = 9
AIM = 1.3
"""Times the empty window."""

EMPTY = """
import msgspec, numpy, shapely
from PySide6 import QtGui, QtWidgets
from PySide6.QtCore import QTimer
class Window(QtWidgets.QMainWindow):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, say)
def say():
    print("painted", flush=True)
    app.quit()
app = QtWidgets.QApplication([])
window = Window()
window.resize(1280, 800)
window.show()
app.exec()
"""
FRAME = """
import os
from PySide6.QtCore import QEvent, QObject, QTimer
from roofmodel_ui import first
class Seen(first.Frame):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, say)
def say():
    print("painted", flush=True)
    os._exit(0)
first.Frame = Seen
frame = first.show_frame()
first.bare_application().exec()
"""
OURS = """
import os
from PySide6.QtCore import QEvent, QObject, QTimer
from roofmodel_ui.app import application, make_window
class Watch(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint:
            QTimer.singleShot(0, say)
        return False
def say():
    print("painted", flush=True)
    os._exit(0)
app = application()
window = make_window()
watch = Watch()
window.plan.viewport().installEventFilter(watch)
window.show()
app.exec()
"""


def took(program: str, home: str) -> float:
    """Seconds from starting a process with this program until it says that it has painted."""
    paths = os.pathsep.join(str(ROOT / p) for p in ("", "ui", "io"))
    where = {**os.environ, "PYTHONPATH": paths, "XDG_DATA_HOME": home, "XDG_CONFIG_HOME": home}
    began = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, text=True, env=where
    ) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        seconds = time.perf_counter() - began
    if line != "painted\n":
        raise SystemExit("The window did not come up.")
    return seconds


def main() -> int:
    """Print both medians; 1 if ours takes too long."""
    with tempfile.TemporaryDirectory() as home:
        times: dict[str, list[float]] = {EMPTY: [], FRAME: [], OURS: []}
        for run in range(RUNS + 1):
            for program, found in times.items():
                seconds = took(program, home)
                if run:  # the first reads everything from the disk
                    found.append(seconds)
    least, first, ours = (statistics.median(times[p]) for p in (EMPTY, FRAME, OURS))
    sys.stdout.write(
        f"start: the window's frame is painted after {first * 1e3:.0f} ms, the whole window after"
        f" {ours * 1e3:.0f} ms; an empty window with the same libraries {least * 1e3:.0f} ms:"
        f" {first / least:.2f} and {ours / least:.2f} times (aim {AIM})\n"
    )
    return int(first > AIM * least)


if __name__ == "__main__":
    sys.exit(main())
