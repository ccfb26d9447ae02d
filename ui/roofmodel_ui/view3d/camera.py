"""Where the 3D view is looked at from: plain numbers, no renderer.

Vocabulary
----------
bearing
    Degrees clockwise from north: the side of the house on which the camera stands.
elevation
    Degrees above the horizon from which it looks down; 90 is from straight above.
pixel
    Measured from the upper left corner of the view, to the right and down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Size = tuple[float, float]
Pixel = tuple[float, float]

VIEW_ANGLE: Final = 30.0
"""Degrees from the lower to the upper side of a perspective view."""

FILL: Final = 0.86
"""Share of the view that the house takes when framed."""

LOWEST, HIGHEST = -10.0, 90.0
NEAREST_MM, FARTHEST_MM = 1500.0, 2e6
PARALLEL_BACK_MM: Final = 3e5
"""A parallel view looks the same from any distance; from this far nothing lies behind it."""

_TALL: Final = math.tan(math.radians(VIEW_ANGLE / 2.0))


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera that looks at `focal` (mm) from `distance` mm away; up is always up."""

    focal: tuple[float, float, float] = (0.0, 0.0, 0.0)
    bearing: float = 217.0
    elevation: float = 30.0
    distance: float = 40_000.0
    parallel: bool = False

    def axes(self) -> tuple[Array, Array, Array]:
        """Unit vectors (3,) to the right and up in the view, and back towards the eye.

        >>> right, up, back = Camera(bearing=180.0, elevation=90.0).axes()
        >>> right.round(6).tolist(), back.round(6).tolist()
        ([1.0, 0.0, 0.0], [0.0, -0.0, 1.0])
        """
        a, e = math.radians(self.bearing), math.radians(self.elevation)
        back = np.array([math.sin(a) * math.cos(e), math.cos(a) * math.cos(e), math.sin(e)])
        right = np.array([-math.cos(a), math.sin(a), 0.0])
        return right, np.cross(back, right), back

    def eye(self) -> Array:
        """Where the camera stands, (3,) mm."""
        away = self.distance + (PARALLEL_BACK_MM if self.parallel else 0.0)
        eye: Array = np.array(self.focal) + away * self.axes()[2]
        return eye

    def half_height(self) -> float:
        """Half of what the view shows from bottom to top at the focal point, mm."""
        return self.distance * _TALL

    def scale(self, size: Size) -> float:
        """Pixels per mm at the focal point."""
        return size[1] / 2.0 / self.half_height()

    def project(self, points: Array, size: Size) -> Array:
        """Points (n, 3) mm to (n, 3): pixel x, pixel y, depth.

        Depth is the distance in mm along the view; in a perspective view what lies behind the
        eye gets no pixel (nan).
        """
        right, up, back = self.axes()
        seen = np.asarray(points, float).reshape(-1, 3) - self.eye()
        x, y, depth = seen @ right, seen @ up, -(seen @ back)
        if self.parallel:
            factor = np.full(len(depth), self.scale(size))
        else:
            factor = np.where(depth > 1.0, size[1] / 2.0 / _TALL, np.nan)
            factor = factor / np.where(depth > 1.0, depth, 1.0)
        return np.column_stack([size[0] / 2 + factor * x, size[1] / 2 - factor * y, depth])

    def place(self, at: Pixel, depth: float, size: Size) -> Array:
        """The point (3,) mm seen at a pixel and this depth: the inverse of `project`."""
        right, up, back = self.axes()
        factor = self.scale(size) if self.parallel else size[1] / 2.0 / _TALL / max(depth, 1.0)
        x, y = (at[0] - size[0] / 2) / factor, (size[1] / 2 - at[1]) / factor
        point: Array = self.eye() + right * x + up * y - back * depth
        return point

    def focal_depth(self) -> float:
        """Depth of the focal point."""
        return self.distance + (PARALLEL_BACK_MM if self.parallel else 0.0)

    def orbited(self, dx: float, dy: float, size: Size) -> Camera:
        """Turned by a drag of (dx, dy) pixels: half a turn over the width of the view."""
        bearing = (self.bearing + 180.0 * dx / max(size[0], 1.0)) % 360.0
        elevation = self.elevation + 120.0 * dy / max(size[1], 1.0)
        return replace(self, bearing=bearing, elevation=min(max(elevation, LOWEST), HIGHEST))

    def panned(self, dx: float, dy: float, size: Size) -> Camera:
        """Moved by a drag of (dx, dy) pixels: what was under the pointer stays there."""
        right, up, _ = self.axes()
        moved = np.array(self.focal) + (up * dy - right * dx) / self.scale(size)
        return replace(self, focal=_triple(moved))

    def zoomed(self, factor: float, at: Pixel, size: Size) -> Camera:
        """`factor` times nearer, what lies under the pixel (as deep as the focal point) stays."""
        distance = min(max(self.distance / factor, NEAREST_MM), FARTHEST_MM)
        share = 1.0 - distance / self.distance
        under = self.place(at, self.focal_depth(), size)
        focal = np.array(self.focal) + (under - np.array(self.focal)) * share
        return replace(self, focal=_triple(focal), distance=distance)

    def framed(self, points: Array, size: Size) -> Camera:
        """Moved along its direction, and sideways, until the points (n, 3) just fill the view."""
        if not len(points):
            return self
        right, up, back = self.axes()
        tall = _TALL * FILL
        wide = tall * size[0] / max(size[1], 1.0)
        middle = (points.min(axis=0) + points.max(axis=0)) / 2.0
        distance = self.distance
        for _ in range(3):
            seen = points - middle
            x, y, z = seen @ right, seen @ up, seen @ back
            if self.parallel:
                middle = middle + right * (x.max() + x.min()) / 2 + up * (y.max() + y.min()) / 2
                distance = max(np.ptp(x) / 2 / wide, np.ptp(y) / 2 / tall)
                break
            distance = max(
                float(np.max(np.abs(x) / wide + z)), float(np.max(np.abs(y) / tall + z))
            )
            # What is nearer looks larger: move the aim to the middle of the picture.
            depth = distance - z
            shift_x = (np.max(x / depth) + np.min(x / depth)) / 2 * distance
            shift_y = (np.max(y / depth) + np.min(y / depth)) / 2 * distance
            middle = middle + right * shift_x + up * shift_y
        kept = min(max(float(distance), NEAREST_MM), FARTHEST_MM)
        return replace(self, focal=_triple(middle), distance=kept)

    def height_under(self, at: Pixel, foot: Array, size: Size) -> float:
        """Height (mm) on the upright line through `foot` (3,) that is nearest to a pixel.

        Seen from straight above the line is a point and the height stays that of `foot`.
        """
        low, high = foot, foot + np.array([0.0, 0.0, 1000.0])
        ends = self.project(np.array([low, high]), size)
        along = ends[1, :2] - ends[0, :2]
        span = float(along @ along)
        if not span > 1.0:
            return float(foot[2])
        share = float((np.array(at) - ends[0, :2]) @ along) / span
        if self.parallel:
            return float(foot[2] + 1000.0 * share)
        # Equal steps on screen are unequal in space: depth goes with the share.
        near, far = float(ends[0, 2]), float(ends[1, 2])
        below = far + share * (near - far)
        if below <= 0.0:
            return float(foot[2])
        return float(foot[2] + 1000.0 * share * near / below)


def _triple(point: Array) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])
