"""The solver against pysfcgal, a general geometry library, live.

Its weighted call wants, for each vertex, the slope of the edge that ends there, 0 for a vertical
gable. It merges coplanar faces, so plan area, surface and area per plane are compared.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from roofmodel.geometry import signed_area
from roofmodel.skeleton import solve
from tests.houses import GABLE, L_SHAPE, RECTANGLE

sfcgal = pytest.importorskip("pysfcgal.sfcgal")

Outline = Sequence[tuple[float, float]]

FAR = 1000.0


def reference_areas(outline: Outline, slopes: Sequence[float]) -> dict[tuple[float, ...], float]:
    """Plan area per plane, keyed by its gradient, from the reference library."""
    n = len(outline)
    # weight i belongs to the edge that ends at vertex i
    weights = [0.0 if math.isinf(slopes[i - 1]) else slopes[i - 1] for i in range(n)]
    polygon = sfcgal.Polygon(list(outline))
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


PLUS = (
    (10, 0),
    (20, 0),
    (20, 10),
    (30, 10),
    (30, 20),
    (20, 20),
    (20, 30),
    (10, 30),
    (10, 20),
    (0, 20),
    (0, 10),
    (10, 10),
)
TRAPEZOID = ((0, 0), (30, 0), (24, 14), (5, 14))
T_SHAPE = ((0, 0), (44, 0), (44, 20), (30, 20), (30, 36), (14, 36), (14, 20), (0, 20))

CASES = [
    (RECTANGLE, [0.5] * 4),
    (RECTANGLE, [0.5, GABLE, 0.5, GABLE]),
    (RECTANGLE, [0.5, 0.75, 0.5, 0.75]),
    (L_SHAPE, [0.5] * 6),
    (L_SHAPE, [0.5, 0.75, 0.5, 1.0, 0.6, 0.25]),
    (L_SHAPE, [0.5, GABLE, 0.5, 0.5, GABLE, 0.5]),
    (((0, 0), (30, 0), (30, 14), (0, 14)), [0.25, GABLE, GABLE, GABLE]),
    (((0, 0), (30, 0), (30, 24), (0, 24)), [1.0, GABLE, 1 / 3, GABLE]),
    (PLUS, [0.5] * 12),
    (TRAPEZOID, [0.5, 0.75, 0.4, 1.0]),
    (T_SHAPE, [0.5] * 8),
    (T_SHAPE, [0.5, GABLE, 0.5, 0.7, GABLE, 0.7, 0.5, GABLE]),
]


@pytest.mark.parametrize(("outline", "slopes"), CASES)
def test_same_area_per_plane(outline: Outline, slopes: list[float]) -> None:
    theirs, ours = reference_areas(outline, slopes), our_areas(outline, slopes)
    total = abs(signed_area(outline))
    assert ours.keys() == theirs.keys()
    for g, area in theirs.items():
        assert ours[g] == pytest.approx(area, abs=1e-9 * total)


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


@given(st.lists(st.tuples(st.integers(3, 20), st.integers(3, 12)), min_size=5, max_size=12))
@settings(max_examples=60, deadline=None)
def test_star_outlines_with_random_pitches(arms: list[tuple[int, int]]) -> None:
    """Outlines with a corner per direction, pitches 3/12 to 12/12."""
    n = len(arms)
    outline = [
        (r * math.cos(2 * math.pi * (k + 0.3) / n), r * math.sin(2 * math.pi * (k + 0.3) / n))
        for k, (r, _) in enumerate(arms)
    ]
    slopes = [x / 12 for _, x in arms]
    assume(is_unique(outline, slopes))
    theirs, ours = reference_areas(outline, slopes), our_areas(outline, slopes)
    total = abs(signed_area(outline))
    for g in theirs.keys() | ours.keys():
        assert ours.get(g, 0.0) == pytest.approx(theirs.get(g, 0.0), abs=1e-7 * total)
