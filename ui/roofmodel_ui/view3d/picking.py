"""What lies under a click in 3D: numpy on the camera's matrix, no renderer needed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roofmodel.scene import Scene
from roofmodel.surface import EdgeId, PlaneId

Array = NDArray[np.float64]


def project(points: Array, matrix: Array, size: tuple[float, float]) -> Array:
    """Points (n, 3) mm to (n, 3): pixel x, pixel y (down), depth; `matrix` (4, 4) maps to the
    clip space -1..1."""
    clip = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    w = np.where(np.abs(clip[:, 3:]) < 1e-12, 1e-12, clip[:, 3:])
    ndc = clip[:, :3] / w
    return np.column_stack(
        [(ndc[:, 0] + 1) / 2 * size[0], (1 - ndc[:, 1]) / 2 * size[1], ndc[:, 2]]
    )


def pick(
    scene: Scene, matrix: Array, size: tuple[float, float], at: tuple[float, float], reach: float
) -> EdgeId | PlaneId | None:
    """The roof edge within `reach` pixels of the pixel `at`, or else the nearest plane there.

    An edge behind the plane, wall or chimney under the pointer cannot be seen and is not picked.
    """
    roof = project(scene.points, matrix, size)
    solids = project(scene.solid_points, matrix, size)
    depths = _depths(roof, scene.triangles, at)
    solid_depths = _depths(solids, scene.solid_triangles, at)
    nearest = int(np.argmin(depths)) if len(depths) else -1
    roof_depth = float(depths[nearest]) if nearest >= 0 else np.inf
    solid_depth = float(solid_depths.min()) if len(solid_depths) else np.inf
    front = min(roof_depth, solid_depth)
    edge = _nearest_edge(scene, matrix, size, at, reach, front)
    if edge is not None:
        return edge
    if np.isfinite(roof_depth) and roof_depth <= solid_depth:
        return scene.planes[int(scene.triangle_plane[nearest])]
    return None


def _depths(points: Array, triangles: NDArray[np.int64], at: tuple[float, float]) -> Array:
    """Depth of each triangle under the pixel; infinite where it is not."""
    if not len(triangles):
        return np.zeros(0)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    det = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    safe = np.where(det == 0, 1.0, det)
    px, py = at[0] - a[:, 0], at[1] - a[:, 1]
    u = (px * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * py) / safe
    v = ((b[:, 0] - a[:, 0]) * py - px * (b[:, 1] - a[:, 1])) / safe
    inside = (det != 0) & (u >= 0) & (v >= 0) & (u + v <= 1)
    depth = a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2])
    return np.where(inside & (np.abs(depth) <= 1), depth, np.inf)


def _nearest_edge(
    scene: Scene, matrix: Array, size: tuple[float, float], at: tuple[float, float],
    reach: float, front: float,
) -> EdgeId | None:  # fmt: skip
    if not len(scene.segments):
        return None
    flat = project(scene.segments.reshape(-1, 3), matrix, size).reshape(-1, 2, 3)
    a, along = flat[:, 0], flat[:, 1] - flat[:, 0]
    spot = np.array(at)
    size2 = np.maximum(np.sum(along[:, :2] ** 2, axis=1), 1e-12)
    t = np.clip(np.sum((spot - a[:, :2]) * along[:, :2], axis=1) / size2, 0, 1)
    foot = a + t[:, None] * along
    gap = np.hypot(*(foot[:, :2] - spot).T)
    # Depth is not even along a perspective view, so a little is allowed behind the surface.
    seen = foot[:, 2] <= front + 2e-3
    gap = np.where(seen, gap, np.inf)
    best = int(np.argmin(gap))
    return scene.edges[best] if gap[best] <= reach else None
