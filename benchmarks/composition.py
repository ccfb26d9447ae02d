"""Median time to solve, compose and classify a house of 8 sections, 3 dormers, 2 chimneys and 6
skylights: from nothing, and when one corner of one section moves. Printed with where it goes.
"""

from __future__ import annotations

import gc
import math
import statistics
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from msgspec.structs import replace  # noqa: E402

from roofmodel.document import (  # noqa: E402
    Building,
    Opening,
    OutlineEdge,
    Point,
    Project,
    Ring,
    Section,
    Step,
)
from roofmodel.surface import bodies, classify, gather, sections  # noqa: E402
from roofmodel.surface.compose import compose  # noqa: E402
from roofmodel.surface.gather import gathered  # noqa: E402
from roofmodel.surface.layers import layers_of  # noqa: E402
from roofmodel.surface.patches import patches_of  # noqa: E402
from roofmodel.systems import EdgeKind, RoofingSystem, TrimRule  # noqa: E402

FT = 304.8
RUNS = 25
NOTHING_MS, MOVE_MS = 60.0, 15.0
GABLE = math.inf


def system() -> RoofingSystem:
    """A system without set-backs or laps."""
    trim = {k: (TrimRule(f"{k} trim", 3000.0, 0.0),) for k in EdgeKind}
    return RoofingSystem("plain", "Plain panel", 400.0, 0.0, {}, trim)


def section(
    name: str, corners: Sequence[Point], slopes: Sequence[float], eave: float, over: float = 1.0
) -> Section:
    """A section from wall lines, feet."""
    edges = tuple(
        OutlineEdge(f"e{k + 1}", (Step(0.0, None if math.isinf(s) else s),))
        for k, s in enumerate(slopes)
    )
    ring = Ring(tuple((x * FT, y * FT) for x, y in corners), edges)
    return Section(name, name, (ring,), line="wall", eave_height=eave * FT, overhang=over * FT)


def box(x: float, y: float, wide: float, deep: float) -> tuple[Point, ...]:
    """A rectangle's corners, feet."""
    return (x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)


def opening(name: str, kind: str, x: float, y: float, wide: float, deep: float) -> Opening:
    """An opening, feet; chimneys have saddles."""
    corners = tuple((px * FT, py * FT) for px, py in box(x, y, wide, deep))
    return Opening(name, name, kind, corners, saddle=kind == "chimney")  # type: ignore[arg-type]


def house() -> Project:
    """Two storeys with wings, a garage, a porch, a tower, a sunroom and an L behind."""
    ns, ew = (0.5, GABLE, 0.5, GABLE), (GABLE, 0.5, GABLE, 0.5)
    l_shape = ((20.0, 32.0), (50.0, 32.0), (50.0, 62.0), (36.0, 62.0), (36.0, 50.0), (20.0, 50.0))
    tower = tuple(
        (60.0 + 7.0 * math.cos(math.pi * k / 4.0), 7.0 * math.sin(math.pi * k / 4.0))
        for k in range(8)
    )
    parts = (
        section("main", box(0, 0, 60, 32), ns, 18.0),
        section("east wing", box(38, -14, 18, 30), (GABLE, 0.75, GABLE, 0.75), 18.0),
        section("west wing", box(-16, 4, 24, 22), (0.5,) * 4, 14.0),
        section("behind", l_shape, (0.5, 0.5, GABLE, 0.5, 0.5, 0.5), 16.0),
        section("garage", box(-40, -6, 26, 28), ns, 9.0),
        section("porch", box(6, -8, 26, 8), (0.25, GABLE, GABLE, GABLE), 9.0),
        section("tower", tower, (1.0,) * 8, 21.0),
        section("sunroom", box(50, 36, 12, 16), (GABLE, 0.25, GABLE, GABLE), 10.0),
        section("dormer 1", box(5, 4, 8, 12), ew, 20.5, 0.5),
        section("dormer 2", box(17, 4, 8, 12), (0.5,) * 4, 20.5, 0.5),
        section("dormer 3", box(26, 4, 9, 12), (0.25, GABLE, GABLE, GABLE), 21.0, 0.5),
    )
    openings = (
        opening("chimney 1", "chimney", 10, 22, 4, 2.5),
        opening("chimney 2", "chimney", -10, 10, 3, 3),
        *(opening(f"skylight {k}", "skylight", 14.0 + 3.5 * k, 26, 2, 3) for k in range(3)),
        *(opening(f"skylight {k}", "skylight", -36.0 + 5.0 * k, 0, 2, 4) for k in range(3, 6)),
    )
    return Project(system(), buildings=(Building("b1", "House", parts, (), openings),))


def with_moved_corner(project: Project, by: float) -> Project:
    """The main section's last corner `by` mm further west."""
    building = project.buildings[0]
    main = building.sections[0]
    (x, y), ring = main.rings[0].corners[3], main.rings[0]
    ring = replace(ring, corners=(*ring.corners[:3], (x - by, y)))
    main = replace(main, rings=(ring,))
    other = replace(building, sections=(main, *building.sections[1:]))
    return replace(project, buildings=(other,))


def forget() -> None:
    """Clear every cache of the model."""
    for module in (bodies, classify, gather, sections):
        for thing in vars(module).values():
            if hasattr(thing, "cache_clear"):
                thing.cache_clear()


def timed(project: Project) -> dict[str, float]:
    """Milliseconds of each step."""
    start = time.perf_counter()
    parts = gathered(project)
    solved = time.perf_counter()
    found = layers_of(parts.bodies, parts.holes)
    layered = time.perf_counter()
    patches_of(found)
    patched = time.perf_counter()
    compose(parts.bodies, parts.holes)
    whole = time.perf_counter() - patched
    return {
        "solve": 1e3 * (solved - start),
        "layers": 1e3 * (layered - solved),
        "patches": 1e3 * (patched - layered),
        "edges, walls, nodes": 1e3 * (whole - (patched - solved)),
        "whole": 1e3 * (solved - start + whole),
    }


def main() -> int:
    """Print medians; 1 if an aim is missed."""
    project = house()
    timed(project)  # loads what is loaded late
    gc.collect()
    gc.freeze()  # as the program does when its window is there
    cold, warm = [], []
    for run in range(RUNS + 2):
        forget()
        gc.collect()
        cold.append(timed(project))
        warm.append(timed(with_moved_corner(project, 10.0 * (run + 1))))
    result = 0
    for words, all_runs, aim in (
        ("from nothing", cold, NOTHING_MS),
        ("one corner of one section moved", warm, MOVE_MS),
    ):
        runs = all_runs[2:]  # the first pay for what is loaded late
        medians = {k: statistics.median(r[k] for r in runs) for k in runs[0]}
        whole = medians.pop("whole")
        detail = ", ".join(f"{k} {ms:.1f}" for k, ms in medians.items())
        sys.stdout.write(
            f"composed house, {words}: median {whole:.1f} ms, slowest"
            f" {max(r['whole'] for r in runs):.1f} ms (aim {aim:.0f}; {detail})\n"
        )
        result |= whole > aim
    return int(result)


if __name__ == "__main__":
    sys.exit(main())
