"""The roof as plain arrays that any renderer can draw.

Vocabulary
----------
segment
    A straight piece of a roof edge to draw, (2, 3).
solid
    What is drawn beside the roof planes: walls, fascias, posts, chimneys, skylights, pipes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from roofmodel.document import Project
from roofmodel.scene.ground import Ground, ground_of
from roofmodel.scene.look import EDGE_LOOKS
from roofmodel.scene.meshes import Array, Gathering, Indices, triangulate
from roofmodel.scene.solids import solids_of, underside
from roofmodel.surface import EdgeId, Plane, PlaneId, Surface
from roofmodel.systems import EdgeKind

DASH_MM = 60.0
"""One line width of a dash pattern in 3D: legible at the distance of a whole house."""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Arrays to draw, mm, z above the job's datum. Triangles index into their own points.

    `triangle_plane` (m,) says which of `planes` each triangle of `triangles` (m, 3) belongs to,
    `coverings` what each plane is covered with; `under_points` (n, 3) are `points` on the roof's
    underside. `segments` (k, 2, 3) are the roof edges with `edges` and `kinds` beside them.
    `solid_material` holds a `Material` per triangle of `solid_triangles`, `solid_part` (m,) says
    which of `parts` it belongs to: the id of a section, drawn plane or opening, "" for none.
    """

    planes: tuple[PlaneId, ...]
    coverings: tuple[str, ...]
    points: Array
    under_points: Array
    triangles: Indices
    triangle_plane: Indices
    edges: tuple[EdgeId, ...]
    kinds: tuple[EdgeKind, ...]
    segments: Array
    solid_points: Array
    solid_triangles: Indices
    solid_material: Indices
    parts: tuple[str, ...]
    solid_part: Indices
    ground: Ground

    def bounds(self) -> tuple[Array, Array]:
        """Lowest and highest corner (3,) of the house; zeros if there is nothing."""
        both = self.house_points()
        if not len(both):
            return np.zeros(3), np.zeros(3)
        return both.min(axis=0), both.max(axis=0)

    def house_points(self) -> Array:
        """All points (n, 3) but those of the ground."""
        return np.vstack([self.points, self.solid_points])


def scene_of(surface: Surface, project: Project) -> Scene:
    """The scene of a project's roof."""
    points, triangles, owner = _roof_mesh(surface.planes)
    kept = [e for e in surface.edges if e.length > 0]
    segments = (
        np.array([[e.start, e.end] for e in kept]) if kept else np.zeros((0, 2, 3), np.float64)
    )
    under = underside(points)
    solid_points, solid_triangles, material, parts, part = solids_of(surface, project)
    lowest = min((float(a[:, 2].min()) for a in (points, solid_points) if len(a)), default=0.0)
    ground = ground_of(surface, min(lowest, 0.0))
    solid = (solid_points, solid_triangles, material, part)
    for array in (
        points,
        under,
        triangles,
        owner,
        segments,
        *solid,
        ground.points,
        ground.triangles,
        ground.shade,
        ground.cover,
    ):
        array.flags.writeable = False
    return Scene(
        tuple(p.id for p in surface.planes),
        tuple(project.covering(p.building, str(p.id)) for p in surface.planes),
        points, under, triangles, owner,
        tuple(e.id for e in kept), tuple(e.kind for e in kept), segments,
        solid_points, solid_triangles, material, parts, part, ground,
    )  # fmt: skip


def dashed_segments(scene: Scene) -> tuple[Array, Indices]:
    """The edges cut into the dashes of their patterns: (n, 2, 3) and the edge index of each (n,).

    Each edge begins and ends with a dash, so that both its ends are drawn.
    """
    pieces: list[Array] = []
    owners: list[Indices] = []
    for index, (kind, segment) in enumerate(zip(scene.kinds, scene.segments, strict=True)):
        look = EDGE_LOOKS[kind]
        cuts = _dash_cuts(look.pattern, float(np.linalg.norm(segment[1] - segment[0])))
        start, along = segment[0], segment[1] - segment[0]
        pieces.append(start + cuts[:, :, None] * along)
        owners.append(np.full(len(cuts), index))
    if not pieces:
        return np.zeros((0, 2, 3)), np.zeros(0, np.int64)
    return np.concatenate(pieces), np.concatenate(owners)


def _dash_cuts(pattern: tuple[float, ...], length: float) -> Array:
    """Dashes as (n, 2) shares of the length, beginning and ending with a dash."""
    period = sum(pattern) * DASH_MM
    if not pattern or length <= period:
        return np.array([[0.0, 1.0]])
    repeats = min(400, max(1, round(length / period)))
    bounds = np.cumsum([0.0, *pattern[:-1]])
    dashes = np.array([[bounds[i], bounds[i] + pattern[i]] for i in range(0, len(pattern), 2)])
    # The last gap is left off, so both ends of the edge are drawn.
    total = repeats * sum(pattern) + pattern[0]
    all_dashes = (dashes[None] + np.arange(repeats)[:, None, None] * sum(pattern)).reshape(-1, 2)
    return np.vstack([all_dashes, [[total - pattern[0], total]]]) / total


def _roof_mesh(planes: Sequence[Plane]) -> tuple[Array, Indices, Indices]:
    out = Gathering()
    for index, plane in enumerate(planes):
        corners = np.vstack([plane.outline, *plane.holes])
        rings = [plane.outline[:, :2], *(h[:, :2] for h in plane.holes)]
        out.add(corners, triangulate(rings, corners[:, :2]), index)
    return out.arrays()
