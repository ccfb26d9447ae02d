"""What can be measured between points picked on a plan or a roof.

Points are (x, y, z) in mm, z above the job's datum; lengths come out in mm, areas in mm², angles
in degrees. Sums are made of the points as they are, nothing is rounded.

Vocabulary
----------
distance
    Between two points in plan, as a tape held level measures it.
slope length
    Between two points in space, as a tape laid on the roof measures it.
height difference
    How much higher the second point lies; negative where it lies lower.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Point3 = tuple[float, float, float]


def distance(a: Sequence[float], b: Sequence[float]) -> float:
    """From a to b in plan.

    >>> distance((0.0, 0.0, 5.0), (3.0, 4.0, 17.0))
    5.0
    """
    return math.hypot(b[0] - a[0], b[1] - a[1])


def slope_length(a: Sequence[float], b: Sequence[float]) -> float:
    """From a to b in space.

    >>> slope_length((0.0, 0.0, 5.0), (3.0, 4.0, 17.0))
    13.0
    """
    return math.dist(a[:3], b[:3])


def height_difference(a: Sequence[float], b: Sequence[float]) -> float:
    """How much higher b lies than a."""
    return b[2] - a[2]


def slope(a: Sequence[float], b: Sequence[float]) -> float | None:
    """Rise over run from a up or down to b, never negative; None where it is upright.

    >>> slope((0.0, 0.0, 6.0), (12.0, 0.0, 0.0))
    0.5
    """
    run = distance(a, b)
    return abs(b[2] - a[2]) / run if run > 0.0 else None


def angle(a: Sequence[float], corner: Sequence[float], b: Sequence[float]) -> float | None:
    """The angle at `corner` between the ways to a and to b, in space, 0 to 180 degrees.

    None where one of them is no way at all. With heights of 0 it is the angle in plan.

    >>> angle((1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 2.0, 0.0))
    90.0
    """
    u = np.asarray(a, float)[:3] - np.asarray(corner, float)[:3]
    v = np.asarray(b, float)[:3] - np.asarray(corner, float)[:3]
    if not np.any(u) or not np.any(v):
        return None
    # The arc tangent stays exact where the cosine is flat.
    across = float(np.linalg.norm(np.cross(u, v)))
    return math.degrees(math.atan2(across, float(u @ v)))


def true_area(points: Sequence[Sequence[float]]) -> float:
    """Area of the ring through the points, n >= 3, not repeated at the end.

    It is the length of the ring's vector area: exact where the points lie in one plane.

    >>> true_area([(0.0, 0.0, 0.0), (4.0, 0.0, 3.0), (4.0, 2.0, 3.0), (0.0, 2.0, 0.0)])
    10.0
    """
    return float(np.linalg.norm(_vector_area(points)))


def plan_area(points: Sequence[Sequence[float]]) -> float:
    """Area of the ring in plan.

    >>> plan_area([(0.0, 0.0, 0.0), (4.0, 0.0, 3.0), (4.0, 2.0, 3.0), (0.0, 2.0, 0.0)])
    8.0
    """
    return abs(float(_vector_area(points)[2]))


def _vector_area(points: Sequence[Sequence[float]]) -> np.ndarray:
    p = np.asarray([q[:3] for q in points], float)
    if len(p) < 3:
        return np.zeros(3)
    p = p - p[0]
    area: np.ndarray = np.cross(p[1:-1], p[2:]).sum(axis=0) / 2.0
    return area


@dataclass(frozen=True, slots=True)
class Measured:
    """What a chain of points comes to. `distance`, `slope_length`, `height_difference` and
    `slope` are of the last stretch, `angle` is at the last corner but one (in space), `total` is
    the slope length of the whole chain. The areas are given where the chain is closed to a ring;
    its total then is the length all around."""

    distance: float
    slope_length: float
    height_difference: float
    slope: float | None
    angle: float | None
    total: float
    plan_area: float | None = None
    true_area: float | None = None


def measured(points: Sequence[Sequence[float]], *, closed: bool = False) -> Measured | None:
    """Measure a chain of points; None below two of them. `closed` wants three."""
    if len(points) < 2:
        return None
    ring = closed and len(points) >= 3
    chain = [*points, points[0]] if ring else list(points)
    a, b = points[-2], points[-1]
    return Measured(
        distance(a, b),
        slope_length(a, b),
        height_difference(a, b),
        slope(a, b),
        angle(points[-3], a, b) if len(points) > 2 else None,
        sum(slope_length(p, q) for p, q in itertools.pairwise(chain)),
        plan_area(points) if ring else None,
        true_area(points) if ring else None,
    )
