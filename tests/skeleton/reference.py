"""Plan area per plane, from pysfcgal and from us, for outlines with one pitch per edge.

pysfcgal's weighted call wants, for each vertex, the slope of the edge that ends there, 0 for a
vertical gable. It merges coplanar faces, so areas are summed per plane, named by its gradient.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from pysfcgal.geometry import Polygon

from roofmodel.geometry import signed_area
from roofmodel.skeleton import solve

Outline = Sequence[tuple[float, float]]

FAR = 1000.0


def reference_areas(outline: Outline, slopes: Sequence[float]) -> dict[tuple[float, ...], float]:
    """Plan area per plane, keyed by its gradient, from the reference library."""
    n = len(outline)
    # weight i belongs to the edge that ends at vertex i
    weights = [0.0 if math.isinf(slopes[i - 1]) else slopes[i - 1] for i in range(n)]
    polygon = Polygon(list(outline))
    solid = polygon.extrude_straight_skeleton_with_weights(FAR, [weights])
    return _areas(solid.to_coordinates())


def _areas(faces: Sequence[object]) -> dict[tuple[float, ...], float]:
    out: dict[tuple[float, ...], float] = defaultdict(float)
    for face in _rings(faces):
        a = np.array(face)[:-1]
        if np.ptp(a[:, 2]) < 1e-9:
            continue
        normal = np.zeros(3)
        for i in range(len(a)):
            normal += np.cross(a[i] - a[0], a[(i + 1) % len(a)] - a[0])
        if abs(normal[2]) < 1e-9 * np.linalg.norm(normal):
            continue
        g = (-normal[0] / normal[2], -normal[1] / normal[2])
        out[_key(g)] += abs(signed_area(a[:, :2]))
    return dict(out)


def _rings(coordinates: Sequence[object]) -> list[list[tuple[float, float, float]]]:
    """All rings in nested coordinates, however deep."""
    first = coordinates[0]
    if isinstance(first, (tuple, list)) and isinstance(first[0], float):
        return [list(coordinates)]  # type: ignore[arg-type]
    return [r for c in coordinates for r in _rings(c)]  # type: ignore[arg-type]


def _key(g: tuple[float, float]) -> tuple[float, ...]:
    # the odd offset keeps exact halves of the last digit from rounding either way
    return tuple(round(float(v) + 3.7e-6, 5) for v in g)


def our_areas(outline: Outline, slopes: Sequence[float]) -> dict[tuple[float, ...], float]:
    solved = solve([outline], [[(0.0, s)] for s in slopes])
    out: dict[tuple[float, ...], float] = defaultdict(float)
    for f in solved.faces:
        if f.vertical:
            continue
        (x0, y0), (x1, y1) = outline[f.edge], outline[(f.edge + 1) % len(outline)]
        length = math.hypot(x1 - x0, y1 - y0)
        g = (-(y1 - y0) / length * slopes[f.edge], (x1 - x0) / length * slopes[f.edge])
        out[_key(g)] += signed_area(f.vertices[:, :2])
    return dict(out)


def is_unique(outline: Outline, slopes: Sequence[float]) -> bool:
    """Two parallel edges of unlike pitch may become neighbours: there the weighted skeleton is
    not unique, ours puts a step wall where the library lets one plane win."""
    a = np.array(outline)
    d = np.roll(a, -1, axis=0) - a
    d /= np.hypot(d[:, 0], d[:, 1])[:, None]
    for i in range(len(a)):
        for j in range(i):
            parallel = abs(d[i, 0] * d[j, 1] - d[i, 1] * d[j, 0]) < 1e-6 and d[i] @ d[j] > 0
            if parallel and slopes[i] != slopes[j]:
                return False
    return True
