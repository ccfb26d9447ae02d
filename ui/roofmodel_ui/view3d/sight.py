"""What is seen where in 3D: numpy on the camera's own sums, no renderer needed.

Vocabulary
----------
depth
    Distance in mm along the view, as `Camera.project` gives it.
reach
    Pixels within which the pointer is taken to mean an edge or a corner.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from roofmodel.scene import Scene
from roofmodel_ui.selection import PartId, Selectable
from roofmodel_ui.view3d.camera import Array, Camera, Pixel, Size

BEHIND_MM: Final = 60.0
"""An edge this little behind the surface in front of it is seen: it lies on that surface."""

_MOST_TRIED: Final = 8

Word = Literal["corner", "edge", "plane", "wall"]


class Spot(NamedTuple):
    """A point (3,) of the house under the pointer, and in a word what it was taken for."""

    place: tuple[float, float, float]
    word: Word


class Sight:
    """A scene as one camera sees it in a view of `size` pixels. Make it once per look."""

    def __init__(self, scene: Scene, camera: Camera, size: Size) -> None:
        self.scene, self.camera, self.size = scene, camera, size
        self._roof = camera.project(scene.points, size)
        self._solids = camera.project(scene.solid_points, size)
        ends = camera.project(scene.segments.reshape(-1, 3), size)
        self._segments = ends.reshape(-1, 2, 3)

    def item(self, at: Pixel, reach: float) -> Selectable | None:
        """The edge near the pixel, or else the plane, opening or walled part in front there."""
        edge = self._edge(at, reach)
        if edge is not None:
            return self.scene.edges[edge[0]]
        roof, solid = self._front(at)
        if roof[1] < np.inf and roof[1] <= solid[1]:
            return self.scene.planes[int(self.scene.triangle_plane[roof[0]])]
        if solid[1] < np.inf:
            part = self.scene.parts[int(self.scene.solid_part[solid[0]])]
            return PartId(part) if part else None
        return None

    def spot(self, at: Pixel, reach: float) -> Spot | None:
        """The point of the house under the pixel: a corner or an edge if one is near."""
        corner = self._corner(at, reach)
        if corner is not None:
            return Spot(_triple(corner), "corner")
        edge = self._edge(at, reach)
        if edge is not None:
            index, share = edge
            a, b = self.scene.segments[index]
            return Spot(_triple(a + share * (b - a)), "edge")
        roof, solid = self._front(at)
        depth = min(roof[1], solid[1])
        if not depth < np.inf:
            return None
        place = self.camera.place(at, depth, self.size)
        return Spot(_triple(place), "plane" if roof[1] <= solid[1] else "wall")

    def sees(self, place: Array) -> bool:
        """Whether nothing stands in front of a point (3,) of the house, and it is in view."""
        ((x, y, depth),) = self.camera.project(place, self.size)
        if not (0 <= x <= self.size[0] and 0 <= y <= self.size[1]):
            return False
        return bool(depth <= self.front_depth((x, y)) + BEHIND_MM)

    def plane_at(self, at: Pixel) -> int:
        """Number of the plane in front at a pixel; -1 where there is none or it is hidden."""
        roof, solid = self._front(at)
        if not roof[1] < np.inf or solid[1] < roof[1]:
            return -1
        return int(self.scene.triangle_plane[roof[0]])

    def front_depth(self, at: Pixel) -> float:
        """Depth of what stands in front at a pixel; infinite where there is nothing."""
        roof, solid = self._front(at)
        return min(roof[1], solid[1])

    def _front(self, at: Pixel) -> tuple[tuple[int, float], tuple[int, float]]:
        """Nearest roof triangle and nearest solid triangle with their depths."""
        flat = self.camera.parallel
        return (
            _nearest(self._roof, self.scene.triangles, at, flat),
            _nearest(self._solids, self.scene.solid_triangles, at, flat),
        )

    def _edge(self, at: Pixel, reach: float) -> tuple[int, float] | None:
        """The nearest seen edge and how far along it (share in space), if one is in reach."""
        if not len(self._segments):
            return None
        a, along = self._segments[:, 0], self._segments[:, 1] - self._segments[:, 0]
        spot = np.array(at)
        square = np.maximum(np.sum(along[:, :2] ** 2, axis=1), 1e-12)
        t = np.clip(np.sum((spot - a[:, :2]) * along[:, :2], axis=1) / square, 0.0, 1.0)
        foot = a[:, :2] + t[:, None] * along[:, :2]
        gap = np.hypot(*(foot - spot).T)
        for index in np.argsort(gap)[:_MOST_TRIED].tolist():
            if not gap[index] <= reach:
                return None
            near, far = self._segments[index, 0, 2], self._segments[index, 1, 2]
            share = float(t[index])
            if not self.camera.parallel:
                share = share * near / (far + share * (near - far))
            depth = near + share * (far - near)
            x, y = foot[index].tolist()
            if depth <= self.front_depth((x, y)) + BEHIND_MM:
                return index, share
        return None

    def _corner(self, at: Pixel, reach: float) -> Array | None:
        """The nearest seen end of an edge in reach, (3,) mm."""
        ends = self._segments.reshape(-1, 3)
        if not len(ends):
            return None
        gap = np.hypot(ends[:, 0] - at[0], ends[:, 1] - at[1])
        points = self.scene.segments.reshape(-1, 3)
        for index in np.argsort(gap)[:_MOST_TRIED].tolist():
            if not gap[index] <= reach:
                return None
            x, y, depth = ends[index].tolist()
            if depth <= self.front_depth((x, y)) + BEHIND_MM:
                corner: Array = points[index]
                return corner
        return None


def _nearest(
    points: Array, triangles: NDArray[np.int64], at: Pixel, flat: bool
) -> tuple[int, float]:
    """The triangle under the pixel that is nearest, and its depth there; (-1, inf) if none."""
    if not len(triangles):
        return -1, np.inf
    a, b, c = (points[triangles[:, k]] for k in range(3))
    det = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    safe = np.where(det == 0, 1.0, det)
    px, py = at[0] - a[:, 0], at[1] - a[:, 1]
    u = (px * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * py) / safe
    v = ((b[:, 0] - a[:, 0]) * py - px * (b[:, 1] - a[:, 1])) / safe
    # A hair of room, so that no ray slips between two neighbours.
    room = 1e-9
    inside = (det != 0) & (u >= -room) & (v >= -room) & (u + v <= 1 + room)
    if not inside.any():
        return -1, np.inf
    found = np.flatnonzero(inside)
    u, v = u[found], v[found]
    za, zb, zc = a[found, 2], b[found, 2], c[found, 2]
    if flat:
        depth = za + u * (zb - za) + v * (zc - za)
    else:
        # In a perspective view one over depth is what runs evenly over the picture.
        depth = 1.0 / ((1.0 - u - v) / za + u / zb + v / zc)
    best = int(np.argmin(depth))
    return int(found[best]), float(depth[best])


def _triple(point: Array) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])
