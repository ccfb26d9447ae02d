"""Small roofs put down by hand, plane by plane, in feet: what the take-off gets to count."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from roofmodel.document import Point
from roofmodel.surface import EdgeId, Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind
from tests.houses import FT

Ring = Sequence[Point]


def plane_id(name: str) -> PlaneId:
    return PlaneId("s1", name, 0, 0)


def edge(
    plane: PlaneId | Sequence[PlaneId],
    kind: EdgeKind,
    start: Sequence[float],
    end: Sequence[float],
    number: int,
    beyond: PlaneId | str = "e1",
    fold: float = 90.0,
) -> RoofEdge:
    """An edge between two (x, y, z) in feet, of one plane or several."""
    planes = (plane,) if isinstance(plane, PlaneId) else tuple(plane)
    a, b = np.array(start, float) * FT, np.array(end, float) * FT
    name = f"{kind.capitalize()} {number}"
    length = float(np.linalg.norm(b - a))
    return RoofEdge(EdgeId(planes[0], beyond, number), name, kind, a, b, length, fold, planes)


def south_plane(
    outline: Ring,
    kinds: Sequence[EdgeKind],
    slope: float,
    holes: Sequence[tuple[str, Ring, Sequence[EdgeKind]]] = (),
    *,
    name: str = "South 1",
    building: str = "b1",
) -> tuple[Plane, list[RoofEdge]]:
    """A plane that rises to the north from y = 0, with one edge per side.

    `outline` is counter-clockwise in plan; a hole is (what its edges lie against, a clockwise
    ring, kinds).
    """
    ident = plane_id(name)
    edges: list[RoofEdge] = []
    rings = []
    for beyond, ring, some in (("e1", outline, kinds), *holes):
        raised = [(x, y, y * slope) for x, y in ring]
        rings.append(np.array(raised) * FT)
        for k, kind in enumerate(some):
            ends = raised[k], raised[(k + 1) % len(raised)]
            edges.append(edge(ident, kind, *ends, len(edges) + 1, beyond))
    area = abs(_area(outline)) - sum(abs(_area(h)) for _, h, _ in holes)
    plan = area * FT**2
    true = plan * math.sqrt(1 + slope**2)
    ids = tuple(e.id for e in edges)
    plane = Plane(ident, name, building, rings[0], tuple(rings[1:]), slope, 180.0, plan, true, ids)
    return plane, edges


def box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """A rectangle, counter-clockwise from its lower left corner: south, east, north, west."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def hole(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """The same, clockwise: west, north, east, south side."""
    return ((x0, y0), (x0, y1), (x1, y1), (x1, y0))


def _area(ring: Ring) -> float:
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2
