"""How long from starting the program until its window is there, beside the least any such program
needs: importing PySide6, numpy, shapely and msgspec and painting an empty window.

Two moments are timed: the *frame* is painted (the ground of the window, nothing in it yet), and
the *window* is painted and takes clicks: plan, tools, menus, the panel of its stage. What follows
then in idle slices (the panels of the other stages, the 3D view) is made at once if it is clicked.

Each is a process of its own, timed from outside; they take turns, and medians are compared, of the
time on the clock and of the processor's. Byte code is kept, as it is for a program that was
installed. Needs a display; `make bench` runs it under one.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
RUNS = 9
AIM = 1.3
"""Times the empty window."""

SAY = """
import os, time
def say():
    print("painted", time.process_time(), flush=True)
    os._exit(0)
"""
EMPTY = f"""{SAY}
import msgspec, numpy, shapely
from PySide6 import QtGui, QtWidgets
from PySide6.QtCore import QTimer
class Window(QtWidgets.QMainWindow):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, say)
app = QtWidgets.QApplication([])
window = Window()
window.resize(1280, 800)
window.show()
app.exec()
"""
FRAME = f"""{SAY}
from PySide6.QtCore import QTimer
from roofmodel_ui import first
class Seen(first.Frame):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, say)
first.Frame = Seen
frame = first.show_frame()
first.bare_application().exec()
"""
# The slices begin once the plan was painted and no event is left.
WHOLE = f"""{SAY}
import gc
gc.disable()
from roofmodel_ui import begin, first
show_frame = first.show_frame
def then_watch():
    frame = show_frame()
    from roofmodel_ui import later
    later.Slices.start = lambda self: say()
    return frame
first.show_frame = then_watch
begin.main([])
"""


class Took(NamedTuple):
    """Seconds on the clock and of the processor."""

    wall: float
    cpu: float


def took(program: str, home: str) -> Took:
    """From starting a process with this program until it says that it has painted."""
    paths = os.pathsep.join(str(ROOT / p) for p in ("", "ui", "io"))
    where = {
        **os.environ, "PYTHONPATH": paths, "PYTHONPYCACHEPREFIX": f"{home}/bytecode",
        "XDG_DATA_HOME": home, "XDG_CONFIG_HOME": home,
    }  # fmt: skip
    where.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, text=True, env=where
    ) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        seconds = time.perf_counter() - began
    word, _, cpu = line.partition(" ")
    if word != "painted":
        raise SystemExit("The window did not come up.")
    return Took(seconds, float(cpu))


def main() -> int:
    """Print the medians; 1 if the window takes too long."""
    with tempfile.TemporaryDirectory() as home:
        times: dict[str, list[Took]] = {EMPTY: [], FRAME: [], WHOLE: []}
        for run in range(RUNS + 1):
            for program, found in times.items():
                one = took(program, home)
                if run:  # the first reads everything from the disk
                    found.append(one)
    least, frame, whole = (_median(times[p]) for p in (EMPTY, FRAME, WHOLE))
    for name, one in (("frame painted", frame), ("window usable", whole)):
        sys.stdout.write(
            f"start: {name} after {one.wall * 1e3:.0f} ms ({one.cpu * 1e3:.0f} ms of the"
            f" processor); an empty window with the same libraries {least.wall * 1e3:.0f} ms"
            f" ({least.cpu * 1e3:.0f} ms): {one.wall / least.wall:.2f} and"
            f" {one.cpu / least.cpu:.2f} times (aim {AIM})\n"
        )
    return int(whole.wall > AIM * least.wall)


def _median(times: list[Took]) -> Took:
    return Took(statistics.median(t.wall for t in times), statistics.median(t.cpu for t in times))


if __name__ == "__main__":
    sys.exit(main())
