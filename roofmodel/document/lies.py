"""How a drawn plane lies, said in another of the ways there are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import msgspec

from roofmodel.document.parts import ByEdge, ByHeights, BySlope, Point, Point3


def by_slope(lies: BySlope | ByHeights | ByEdge) -> BySlope | None:
    """The same plane by pitch and bearing; None for one tied to an edge, which does not say.

    >>> by_slope(ByHeights(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 2.0, 1.0))))
    BySlope(through=(0.0, 0.0, 0.0), slope=0.5, bearing=180.0)
    """
    if isinstance(lies, BySlope):
        return lies
    if isinstance(lies, ByEdge):
        return None
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = lies.points
    ux, uy, uz, vx, vy, vz = bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az
    area = ux * vy - uy * vx
    gx, gy = (uz * vy - vz * uy) / area, (ux * vz - vx * uz) / area
    # downhill is against the gradient; a level plane looks south
    bearing = math.degrees(math.atan2(-gx, -gy)) % 360.0 if gx or gy else 180.0
    return BySlope((ax, ay, az), math.hypot(gx, gy), bearing)


def height_at(lies: BySlope, p: Point) -> float:
    """Height of the plane over a point, mm."""
    bearing = math.radians(lies.bearing)
    x, y, z = lies.through
    down = (p[0] - x) * math.sin(bearing) + (p[1] - y) * math.cos(bearing)
    return z - lies.slope * down


def through(lies: BySlope, p: Point) -> BySlope:
    """The same plane, its known height over another point."""
    return msgspec.structs.replace(lies, through=(*p, height_at(lies, p)))


def by_heights(lies: BySlope, corners: Sequence[Point]) -> ByHeights:
    """The same plane by its heights at the three corners that lie farthest from one line."""
    a, b, c = max(itertools.combinations(corners, 3), key=_doubled_area)
    return ByHeights((_over(lies, a), _over(lies, b), _over(lies, c)))


def _over(lies: BySlope, p: Point) -> Point3:
    return p[0], p[1], height_at(lies, p)


def _doubled_area(triangle: Sequence[Point]) -> float:
    (ax, ay), (bx, by), (cx, cy) = triangle
    return abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
