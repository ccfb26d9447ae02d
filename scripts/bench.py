"""What `make bench` prints: how long one mouse move takes while a corner is dragged, first the
model alone on the samples, then in the real window: its start (benchmarks/start.py) and the
same drag for houses of three sizes (benchmarks/drag.py).

Timed is everything between the move and what is drawn: the edit, the roof with its edges (the
lines of the plan), the quantities, the 3D scene as arrays, the tables; not the drawing on the
screen. Apart from it: the roof plan with its placed texts, which only drawings need.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import TypeVar

from virtual_display import needs_virtual_display, virtual_display

from roofmodel.document import Project, edits
from roofmodel.results import results_of
from roofmodel.scene import scene_of
from roofmodel.sheets import plan_drawing, summary_tables
from roofmodel_io.project_file import read_project

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ("birch_corner_l_hip", "cedar_bend_farmhouse", "dune_hollow_courtyard")
MOVES = 60
AIM_MS = 50.0

_T = TypeVar("_T")


def main() -> int:
    for name in SAMPLES:
        project = read_project(ROOT / "sample_projects" / f"{name}.roof").project
        drag(project)  # once to load and warm up what the first move would pay for
        times, parts = drag(project)
        detail = ", ".join(f"{part} {statistics.median(ms):.1f}" for part, ms in parts.items())
        sys.stdout.write(
            f"{name}: median {statistics.median(times):.1f} ms per move, slowest"
            f" {max(times):.1f} ms (aim {AIM_MS:.0f}; {detail})\n"
        )
    sys.stdout.flush()
    return in_the_window()


def in_the_window() -> int:
    """Run what needs the real window, on a virtual display if there is none: the start, and the
    drag of a corner."""
    with virtual_display() if needs_virtual_display() else nullcontext(dict(os.environ)) as where:
        codes = [
            subprocess.run(
                [sys.executable, str(ROOT / "benchmarks" / name)], env=where, check=False
            ).returncode
            for name in ("start.py", "drag.py")
        ]
    return max(codes)


def drag(project: Project) -> tuple[list[float], dict[str, list[float]]]:
    """Drag the first corner of the first section; times in ms, whole and per part."""
    section = project.sections()[0]
    x, y = section.rings[0].corners[0]
    whole: list[float] = []
    parts: dict[str, list[float]] = {}
    for move in range(1, MOVES + 1):
        start = time.perf_counter()
        to = (x - 13.7 * move, y - 7.3 * move)
        moved = edits.move_corner(project, section.id, 0, 0, to)
        results = timed(parts, "roof and quantities", partial(results_of, moved))
        timed(parts, "3D data", partial(scene_of, results.surface, moved))
        timed(parts, "tables", partial(summary_tables, results))
        whole.append((time.perf_counter() - start) * 1000)
        timed(parts, "roof plan as a drawing (apart)", partial(plan_drawing, results))
    return whole, parts


def timed(parts: dict[str, list[float]], word: str, run: Callable[[], _T]) -> _T:
    start = time.perf_counter()
    result = run()
    parts.setdefault(word, []).append((time.perf_counter() - start) * 1000)
    return result


if __name__ == "__main__":
    sys.exit(main())
