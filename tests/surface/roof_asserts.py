"""What the tests of composed roofs compare: planes, edges and walls in feet, to 1e-9."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from roofmodel.document import DrawnPlane, Opening, Section
from roofmodel.results import results_of
from roofmodel.surface import Plane, RoofEdge, Surface
from roofmodel.systems import EdgeKind
from tests.houses import FT, project

REL = 1e-9
ABS = 1e-9


def roof(*parts: Section | DrawnPlane | Opening) -> Surface:
    """The composed roof of one building; nothing may have been left out."""
    results = results_of(project(*parts))
    assert [p.sentence for p in results.problems if p.serious] == []
    return results.surface


def sf(slope: float) -> float:
    """True area or length up the slope per unit of plan."""
    return math.sqrt(1.0 + slope * slope)


def angle(slope: float) -> float:
    """Degrees of a slope."""
    return math.degrees(math.atan(slope))


def square_bend(m1: float, m2: float) -> float:
    """Bend of a hip or valley between planes square to each other: cos b = cos a1 · cos a2."""
    return math.degrees(math.acos(1.0 / (sf(m1) * sf(m2))))


def check_planes(surface: Surface, expected: Mapping[str, tuple[float, float]]) -> None:
    """Planes by name: (plan area in sq ft, rise over run). True areas are measured on the
    outlines in space and must be plan area × slope factor."""
    found = {p.name: (p.plan_area / FT**2, p.slope) for p in surface.planes}
    assert found.keys() == expected.keys()
    for plane in surface.planes:
        plan, slope = expected[plane.name]
        assert plane.plan_area / FT**2 == pytest.approx(plan, rel=REL), plane.name
        assert plane.slope == pytest.approx(slope, rel=REL), plane.name
        assert plane.true_area / FT**2 == pytest.approx(plan * sf(slope), rel=REL), plane.name
        measured = area_in_space(plane) / FT**2
        assert measured == pytest.approx(plan * sf(slope), rel=REL), plane.name


def area_in_space(plane: Plane) -> float:
    """Area of a plane's outline less its holes, from the corners in space, mm²."""
    rings = (plane.outline, *plane.holes)
    return float(np.linalg.norm(sum(_vector_area(r) for r in rings)))


def _vector_area(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    p = ring - ring[0]
    out: NDArray[np.float64] = np.cross(p[1:-1], p[2:]).sum(axis=0) / 2.0
    return out


def total_plan(surface: Surface) -> float:
    """Plan area of all planes, sq ft."""
    return sum(p.plan_area for p in surface.planes) / FT**2


def check_edges(surface: Surface, expected: Mapping[EdgeKind, Sequence[float]]) -> None:
    """Every edge: lengths in feet by kind, in any order, and no other kind."""
    found: dict[EdgeKind, list[float]] = defaultdict(list)
    for e in surface.edges:
        found[e.kind].append(e.length / FT)
    assert found.keys() == expected.keys()
    for kind, values in expected.items():
        assert sorted(found[kind]) == pytest.approx(sorted(values), rel=REL), kind


def of_kind(surface: Surface, kind: EdgeKind) -> list[RoofEdge]:
    """All edges of a kind."""
    return [e for e in surface.edges if e.kind is kind]


def check_folds(surface: Surface, kind: EdgeKind, *degrees: float) -> None:
    """Folds of all edges of a kind; one value stands for every edge."""
    found = sorted(e.fold for e in of_kind(surface, kind))
    expected = sorted(degrees) if len(degrees) > 1 else list(degrees) * len(found)
    assert found
    assert found == pytest.approx(expected, rel=REL), kind


def heights(surface: Surface, name: str) -> tuple[float, float]:
    """Lowest and highest point of a plane, feet."""
    (plane,) = [p for p in surface.planes if p.name == name]
    z = plane.outline[:, 2] / FT
    return float(z.min()), float(z.max())


def ends(edge: RoofEdge) -> tuple[tuple[float, ...], ...]:
    """Both ends of an edge in feet, the lower (or western, southern) one first."""
    points = [tuple(float(round(v / FT, 9)) for v in p) for p in (edge.start, edge.end)]
    return tuple(sorted(points, key=lambda p: (p[2], p[0], p[1])))


def node(surface: Surface, x: float, y: float) -> str:
    """Kinds of the nodes over a place in plan, feet, from the lowest up."""
    found = [n for n in surface.nodes if math.dist(n.place[:2] / FT, (x, y)) < 1e-6]
    return ", ".join(n.kind for n in sorted(found, key=lambda n: float(n.place[2])))


def walls(surface: Surface) -> dict[tuple[str, str], float]:
    """Wall areas, sq ft, by section and the outline edge above."""
    out: dict[tuple[str, str], float] = defaultdict(float)
    for w in surface.walls:
        out[w.section, w.edge] += w.area / FT**2
    return dict(out)


def check_walls(surface: Surface, expected: Mapping[tuple[str, str], float]) -> None:
    """All walls there are."""
    found = walls(surface)
    assert found.keys() == expected.keys()
    assert found == pytest.approx(dict(expected), rel=REL)
