"""The roof as plain arrays that any renderer can draw.

Vocabulary
----------
segment
    A straight piece of a roof edge to draw, (2, 3).
house wall
    A wall from the ground up to the underside of the roof, drawn so the roof reads as a house;
    it stands on the wall line, the outline set in by the overhang.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.document import Point, Section
from roofmodel.scene.look import EDGE_LOOKS
from roofmodel.surface import EdgeId, Plane, PlaneId, Surface
from roofmodel.systems import EdgeKind

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

DASH_MM = 60.0
"""One line width of a dash pattern in 3D: legible at the distance of a whole house."""

INSET_MM = 2.0
"""House walls stand at least this far inside the outline, so they never fight with its edge."""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Arrays to draw, mm, z above the job's datum. Triangles index into their own points.

    `triangle_plane` (m,) says which of `planes` each triangle of `triangles` (m, 3) belongs to;
    `segments` (k, 2, 3) are the roof edges with `edges` and `kinds` beside them; `walls_*` are
    the roof's own vertical faces and the house walls below it.
    """

    planes: tuple[PlaneId, ...]
    points: Array
    triangles: Indices
    triangle_plane: Indices
    edges: tuple[EdgeId, ...]
    kinds: tuple[EdgeKind, ...]
    segments: Array
    wall_points: Array
    wall_triangles: Indices

    def bounds(self) -> tuple[Array, Array]:
        """Lowest and highest corner (3,) of everything drawn; zeros if there is nothing."""
        stacks = [a for a in (self.points, self.wall_points) if len(a)]
        if not stacks:
            return np.zeros(3), np.zeros(3)
        both = np.vstack(stacks)
        return both.min(axis=0), both.max(axis=0)


def scene_of(surface: Surface, sections: Sequence[Section] = (), ground: float = 0.0) -> Scene:
    """The scene of a roof; with `sections` given, house walls reach down to `ground` (mm)."""
    points, triangles, owner = _roof_mesh(surface.planes)
    kept = [e for e in surface.edges if e.length > 0]
    segments = (
        np.array([[e.start, e.end] for e in kept]) if kept else np.zeros((0, 2, 3), np.float64)
    )
    faces = [w.outline for w in surface.walls if not _is_open_gable(w.section, w.edge, sections)]
    wall_points, wall_triangles = _faces_mesh(faces + _house_walls(surface, sections, ground))
    arrays = (points, triangles, owner, segments, wall_points, wall_triangles)
    for array in arrays:
        array.flags.writeable = False
    return Scene(
        tuple(p.id for p in surface.planes), points, triangles, owner,
        tuple(e.id for e in kept), tuple(e.kind for e in kept), segments,
        wall_points, wall_triangles,
    )  # fmt: skip


def dashed_segments(scene: Scene) -> tuple[Array, Indices]:
    """The edges cut into the dashes of their patterns: (n, 2, 3) and the edge index of each (n,).

    >>> from roofmodel.surface import Surface
    >>> dashed_segments(scene_of(Surface((), (), ())))[0].shape
    (0, 2, 3)
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
    points: list[Array] = []
    triangles: list[Indices] = []
    owner: list[Indices] = []
    base = 0
    for index, plane in enumerate(planes):
        corners = np.vstack([plane.outline, *plane.holes])
        rings = [plane.outline[:, :2], *(h[:, :2] for h in plane.holes)]
        flat = _triangulate(rings, corners[:, :2])
        points.append(corners)
        triangles.append(flat + base)
        owner.append(np.full(len(flat), index))
        base += len(corners)
    if not points:
        return np.zeros((0, 3)), np.zeros((0, 3), np.int64), np.zeros(0, np.int64)
    return np.vstack(points), np.vstack(triangles), np.concatenate(owner)


def _triangulate(rings: Sequence[Array], corners: Array) -> Indices:
    """Triangles (m, 3) over `corners` (n, 2), counter-clockwise, of a polygon with holes."""
    if len(rings) == 1 and len(corners) == 3:
        return np.array([[0, 1, 2]])
    polygon = shapely.Polygon(rings[0], list(rings[1:]))
    # A ring that touches itself at a corner is split there; the area stays the same.
    sound = polygon if polygon.is_valid else shapely.make_valid(polygon)
    found = shapely.get_parts(shapely.constrained_delaunay_triangles(sound))
    if not len(found):
        return np.zeros((0, 3), np.int64)
    coords = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3]
    gaps = np.linalg.norm(coords[:, :, None, :] - corners[None, None, :, :], axis=3)
    indices: Indices = gaps.argmin(axis=2).astype(np.int64)
    a, b, c = (corners[indices[:, k]] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    indices[area < 0] = indices[area < 0][:, ::-1]
    return indices


def _faces_mesh(faces: Sequence[Array]) -> tuple[Array, Indices]:
    """Vertical faces (n, 3) each, triangulated on their own plane."""
    points: list[Array] = []
    triangles: list[Indices] = []
    base = 0
    for face in faces:
        span = face[:, :2] - face[0, :2]
        reach = span[np.hypot(*span.T).argmax()]
        size = math.hypot(*reach)
        if len(face) < 3 or size == 0.0:
            continue
        flat = np.column_stack([span @ (reach / size), face[:, 2]])
        found = _triangulate([flat], flat)
        points.append(face)
        triangles.append(found + base)
        base += len(face)
    if not points:
        return np.zeros((0, 3)), np.zeros((0, 3), np.int64)
    return np.vstack(points), np.vstack(triangles)


def _is_open_gable(section_id: str, edge_id: str, sections: Sequence[Section]) -> bool:
    """Whether a vertical face stands on the outline, where the house wall already takes its place
    further in under the overhang."""
    return any(
        s.id == section_id and any(e.id == edge_id for r in s.rings for e in r.edges)
        for s in sections
    )


def _wall_rings(section: Section) -> list[Array]:
    """The section's wall line, ring after ring, (n, 2)."""
    rings = []
    for ring in section.rings:
        if section.line == "wall":
            distances = [INSET_MM] * len(ring.edges)
        else:
            distances = [
                max(INSET_MM, section.overhang if e.overhang is None else e.overhang)
                for e in ring.edges
            ]
        rings.append(_inset(ring.corners, distances, hole=ring is not section.rings[0]))
    return rings


def _inset(corners: Sequence[Point], distances: Sequence[float], *, hole: bool) -> Array:
    """The ring with edge k moved by `distances[k]` towards the roof; unmoved if that fails."""
    ring = np.array(corners, float)
    following = np.roll(ring, -1, axis=0)
    signed = float(np.sum(ring[:, 0] * following[:, 1] - following[:, 0] * ring[:, 1]))
    along = following - ring
    lengths = np.maximum(np.hypot(*along.T), 1e-9)
    left = np.column_stack([-along[:, 1], along[:, 0]]) / lengths[:, None]
    inward = left if (signed > 0) != hole else -left
    moved = []
    for k in range(len(ring)):
        before, n0, n1 = along[k - 1], inward[k - 1], inward[k]
        p0, p1 = ring[k] + n0 * distances[k - 1], ring[k] + n1 * distances[k]
        cross = before[0] * along[k][1] - before[1] * along[k][0]
        if abs(cross) < 1e-6 * lengths[k - 1] * lengths[k]:
            moved.append(p1)
            continue
        d = p1 - p0
        t = (d[0] * along[k][1] - d[1] * along[k][0]) / cross
        moved.append(p0 + before * t)
    result = np.array(moved)
    return result if shapely.Polygon(result).is_valid else ring


def _house_walls(surface: Surface, sections: Sequence[Section], ground: float) -> list[Array]:
    """Wall pieces from the ground up to the planes above, (4, 3) each."""
    faces: list[Array] = []
    for section in sections:
        planes = [p for p in surface.planes if p.id.section == section.id]
        shapes = [shapely.Polygon(p.outline[:, :2], [h[:, :2] for h in p.holes]) for p in planes]
        for ring in _wall_rings(section):
            for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
                line = shapely.LineString([a, b])
                for plane, shape in zip(planes, shapes, strict=True):
                    if not shape.intersects(line):
                        continue
                    for part in shapely.get_parts(shape.intersection(line)):
                        if part.geom_type == "LineString" and part.length > 1.0:
                            faces.append(_wall_under(plane, np.array(part.coords), ground))
    return faces


def _wall_under(plane: Plane, line: Array, ground: float) -> Array:
    """The upright face between the ground and a plane over a line (n, 2)."""
    bearing = math.radians(plane.bearing)
    downhill = np.array([math.sin(bearing), math.cos(bearing)])
    origin = plane.outline[0]
    tops = origin[2] - plane.slope * ((line - origin[:2]) @ downhill)
    low = np.column_stack([line, np.full(len(line), min(ground, float(tops.min())))])
    return np.vstack([low, np.column_stack([line, tops])[::-1]])
