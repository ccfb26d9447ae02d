"""Time of the whole take-off of the largest sample (34 planes) in both systems: from nothing, with
every line and the exact cutting plans (limit 1 s, both systems together); and what follows a
corner that is dragged: roof, panels, trim and its estimate (limit 100 ms), lines apart.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "io")]

from roofmodel.chain import _roof  # noqa: E402
from roofmodel.document import Project, edits  # noqa: E402
from roofmodel.document.cover_edits import cover_job, put_system  # noqa: E402
from roofmodel.quoting import price_of  # noqa: E402
from roofmodel.results import results_of  # noqa: E402
from roofmodel_io.defaults import built_in_systems  # noqa: E402
from roofmodel_io.project_file import read_project  # noqa: E402

SAMPLE = ROOT / "sample_projects" / "fern_hill_manor.roof"
MOVES = 15
WHOLE_MS, DRAG_MS = 1000.0, 100.0


def main() -> int:
    """Print the times; 1 if a limit is missed."""
    project = read_project(SAMPLE).project
    jobs = [cover_job(put_system(project, s), s.id) for s in built_in_systems()]
    whole = 0.0
    for job in jobs:
        results_of(_moved(job, 50.0), planner=None)  # loads what is loaded late
    for job in jobs:
        _roof.cache_clear()
        job = _moved(job, 3.0)  # nothing of this roof is known yet
        start = time.perf_counter()
        results = results_of(job)
        counted = time.perf_counter()
        lines = len(results.take_off.quantities)
        looked = time.perf_counter()
        price = price_of(results)
        end = time.perf_counter()
        assert price is not None
        whole += 1e3 * (end - start)
        sys.stdout.write(
            f"take-off of {len(results.surface.planes)} planes, {job.system.name}:"
            f" {1e3 * (end - start):.0f} ms (roof, panels, trim, cutting plans"
            f" {1e3 * (counted - start):.0f}, {lines} lines {1e3 * (looked - counted):.0f}, price"
            f" {1e3 * (end - looked):.0f})\n"
        )
    sys.stdout.write(f"both systems together: {whole:.0f} ms (limit {WHOLE_MS:.0f})\n")
    result = int(whole > WHOLE_MS)
    for job in jobs:
        moves, lines_too = [], []
        for move in range(1, MOVES + 1):
            moved = _moved(job, 17.3 * move)
            start = time.perf_counter()
            results = results_of(moved, planner=None)
            middle = time.perf_counter()
            tuple(results.take_off.quantities)
            lines_too.append(1e3 * (time.perf_counter() - middle))
            moves.append(1e3 * (middle - start))
        median = statistics.median(moves)
        sys.stdout.write(
            f"one move of a corner, {job.system.name}: median {median:.0f} ms (limit"
            f" {DRAG_MS:.0f}), its lines {statistics.median(lines_too):.0f} ms more\n"
        )
        result |= int(median > DRAG_MS)
    return result


def _moved(project: Project, by: float) -> Project:
    section = project.sections()[0]
    x, y = section.rings[0].corners[0]
    return edits.move_corner(project, section.id, 0, 0, (x - by, y - by))


if __name__ == "__main__":
    sys.exit(main())
