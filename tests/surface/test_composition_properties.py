"""What must hold for every composed roof, on random houses by seed: motion, numbering and order
change nothing; nothing is lost or counted twice; nothing raises."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable
from functools import lru_cache
from unittest import mock

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from roofmodel.document import Project
from roofmodel.results import results_of
from roofmodel.surface import PlaneId, Surface, gathered
from roofmodel.surface.arrangement import arrange
from roofmodel.surface.layers import layers_of
from roofmodel.systems import EdgeKind
from tests.houses import project as project_of
from tests.surface.random_compositions import composition
from tests.surface.random_houses import Motion, house, moved, relisted, renumbered, wild

REL = 1e-6
NEAR_MM = 3.0
"""Lines that pass each other closer than this, but not exactly, may be healed either way."""
SAME_MM = 1e-3

Change = Callable[[Project, int], Project]
CHANGES: dict[str, Change] = {
    "moved": lambda p, s: moved(p, Motion(dx=1234.5 * s, dy=-777.7, dz=333.3)),
    "moved far away": lambda p, s: moved(p, Motion(dx=1e7, dy=-1e7 + s)),
    "turned": lambda p, s: moved(p, Motion(degrees=37.0 * s + 11.3)),
    "turned square": lambda p, s: moved(p, Motion(degrees=90.0)),
    "mirrored": lambda p, s: moved(p, Motion(mirrored=True, degrees=s)),
    "renumbered": renumbered,
    "relisted": relisted,
}


def lines_of(project: Project) -> NDArray[np.float64]:
    """Every line of the plan before anything is cut or healed, (n, 2, 2)."""
    parts = gathered(project)
    with mock.patch("roofmodel.surface.layers.arrange", wraps=arrange) as spy:
        layers_of(parts.bodies, parts.holes)
    out: NDArray[np.float64] = spy.call_args.args[0]
    return out


def nearly_meets(project: Project) -> bool:
    """Do lines of the plan pass each other closely, but not exactly?"""
    lines = shapely.linestrings(lines_of(project))
    parts = shapely.get_parts(shapely.union_all(lines, grid_size=SAME_MM))
    corners = np.unique(shapely.get_coordinates(parts), axis=0)
    ends = np.array([shapely.Point(p) for p in corners.tolist()], dtype=object)
    tree = shapely.STRtree(ends)
    pieces, points = tree.query(parts, predicate="dwithin", distance=NEAR_MM)
    if (shapely.distance(parts[pieces], ends[points]) > 2.0 * SAME_MM).any():
        return True
    return len(tree.query(ends, predicate="dwithin", distance=NEAR_MM)[0]) > len(ends)


@lru_cache
def houses(count: int) -> list[tuple[int, Project]]:
    """The first houses without near misses, with their seeds."""
    out: list[tuple[int, Project]] = []
    seed = 0
    while len(out) < count:
        project = house(seed)
        if not nearly_meets(project):
            out.append((seed, project))
        seed += 1
    return out


def measured(surface: Surface) -> tuple[float, Counter[EdgeKind]]:
    """Total true area and total length per kind."""
    lengths: Counter[EdgeKind] = Counter()
    for e in surface.edges:
        lengths[e.kind] += e.length  # type: ignore[assignment]
    return sum(p.true_area for p in surface.planes), lengths


@pytest.mark.parametrize("name", CHANGES)
def test_areas_and_lengths_stay(name: str) -> None:
    for seed, project in houses(12):
        area, lengths = measured(results_of(project).surface)
        changed, other = measured(results_of(CHANGES[name](project, seed)).surface)
        assert changed == pytest.approx(area, rel=REL), f"seed {seed}"
        total = sum(lengths.values())
        for kind in {*lengths, *other}:
            assert other[kind] == pytest.approx(lengths[kind], rel=REL, abs=REL * total), (
                f"seed {seed}, {kind}"
            )


def perimeter(surface: Surface, plane: PlaneId) -> float:
    """Length of the rings around a plane, in space."""
    p = surface.plane(plane)
    return sum(
        math.dist(a, b)
        for ring in (p.outline, *p.holes)
        for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)
    )


@pytest.mark.parametrize("first", range(0, 60, 10))
def test_without_overhangs_nothing_is_lost_or_counted_twice(first: int) -> None:
    """Planes in plan add up to the union of the outlines; the edges around a plane are its
    perimeter; ridges, hips and valleys lie between two planes. A millimetre may be healed."""
    for seed in range(first, first + 10):
        recipes = composition(seed)
        sections = [r.section(f"s{k}") for k, r in enumerate(recipes)]
        surface = results_of(project_of(*sections)).surface
        outlines = [shapely.Polygon(s.rings[0].corners) for s in sections]
        whole = shapely.union_all(outlines)
        plan = sum(p.plan_area for p in surface.planes)
        assert abs(plan - whole.area) <= whole.length, f"seed {seed}"
        around: dict[PlaneId, float] = defaultdict(float)
        for edge in surface.edges:
            if edge.kind in (EdgeKind.RIDGE, EdgeKind.HIP, EdgeKind.VALLEY):
                assert len(edge.planes) == 2, f"seed {seed}, {edge.name}"
            for plane in edge.planes:
                around[plane] += edge.length
        for p in surface.planes:
            assert {e for e in p.edges} == {e.id for e in surface.edges if p.id in e.planes}
            slack = 2.0 * (1.0 + p.slope) * len(p.edges)
            assert around[p.id] == pytest.approx(perimeter(surface, p.id), abs=slack), (
                f"seed {seed}, {p.id}"
            )


@pytest.mark.parametrize("first", range(0, 60, 10))
def test_nothing_raises(first: int) -> None:
    """Lines a hair apart, walls almost parallel, sections twice, tiny or far away, openings
    across everything: no exception, and what could be built is there, once."""
    for seed in range(first, first + 10):
        project = wild(seed)
        results = results_of(project)
        assert results.surface.planes, f"seed {seed}"
        left_out = [p.sentence for p in results.problems if "left out" in p.sentence]
        joined = [p.sentence for p in results.problems if "could not be joined" in p.sentence]
        assert not left_out, f"seed {seed}"
        assert not joined, f"seed {seed}"
        for p in results.surface.planes:
            assert p.plan_area > 0.0, f"seed {seed}, {p.id}"
            flat = shapely.Polygon(p.outline[:, :2], [h[:, :2] for h in p.holes])
            assert flat.area == pytest.approx(p.plan_area, rel=1e-9), f"seed {seed}, {p.id}"
