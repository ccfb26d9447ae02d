"""Bodies: what is joined to one roof. Each is a set of facets over a drip line, and solid down to
the ground inside its wall line.

Vocabulary
----------
facet
    A piece of one plane over a polygon in plan.
body
    The facets of one section, of one drawn plane or of one saddle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from roofmodel.document import ByEdge, ByHeights, BySlope, DrawnPlane, Section
from roofmodel.document.outlines import wall_rings
from roofmodel.errors import OutlineError
from roofmodel.geometry import rolled
from roofmodel.skeleton import DECK
from roofmodel.surface.sections import SolvedSection, solve_section
from roofmodel.surface.types import Array
from roofmodel.tolerance import SAME_POINT_MM

Vector = tuple[float, float]

_WIDE_OVERHANG = (
    "Its overhangs leave no room for walls below, so they are taken as 0. Make them smaller, or"
    " draw the wall line instead."
)


@dataclass(frozen=True, slots=True, eq=False)
class Facet:
    """A piece of the plane through `through` (3,) that rises by `gradient`; `polygon` in plan."""

    edge: str
    step: int
    gradient: Vector
    through: Vector3
    polygon: shapely.Polygon
    is_deck: bool = False

    def height(self, xy: Array) -> Array:
        """Heights (n,) of its plane over (n, 2) plan points, mm."""
        x, y, z = self.through
        gx, gy = self.gradient
        out: Array = z + gx * (xy[:, 0] - x) + gy * (xy[:, 1] - y)
        return out


Vector3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """A plane that a body could have, seen or not; `word` is its name where it has no bearing."""

    edge: str
    step: int
    gradient: Vector
    word: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Segments in plan, (n, 2, 2) mm, each with the id of the outline edge it belongs to."""

    ids: tuple[str, ...]
    segments: Array

    def nearest(self, x: float, y: float) -> tuple[str, float]:
        """Id of the segment nearest to a point, and how far it is, mm."""
        return _nearest(self, x, y)


@lru_cache(maxsize=4096)  # asked again for all that an edit leaves alone
def _nearest(lines: Lines, x: float, y: float) -> tuple[str, float]:
    best, least = "", math.inf
    for edge, ((ax, ay), (bx, by)) in zip(lines.ids, lines.segments.tolist(), strict=True):
        wx, wy, px, py = bx - ax, by - ay, x - ax, y - ay
        square = wx * wx + wy * wy or 1.0
        share = min(max((px * wx + py * wy) / square, 0.0), 1.0)
        miss = math.hypot(px - wx * share, py - wy * share)
        if miss < least:
            best, least = edge, miss
    return best, least


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """What is joined: `drip` is where its facets lie, `wall` where it is solid below."""

    part: str
    name: str
    building: str
    facets: tuple[Facet, ...]
    sides: tuple[Side, ...]
    drip: shapely.Polygon
    wall: shapely.Polygon
    drip_lines: Lines
    wall_lines: Lines
    open_below: bool
    remarks: tuple[tuple[str, Vector], ...] = ()

    @property
    def corner(self) -> Vector:
        """The first corner of its drip line."""
        x, y = self.drip.exterior.coords[0][:2]
        return x, y


@lru_cache(maxsize=256)
def section_body(section: Section, building: str = "") -> Body:
    """The body of a section; OutlineError if its outline cannot carry a roof. Cached by value."""
    one = solve_section(section)
    facets = []
    for face in one.solved.faces:
        if face.vertical:
            continue
        polygon = shapely.Polygon(face.vertices[:, :2], [h[:, :2] for h in face.holes])
        if polygon.area <= SAME_POINT_MM * polygon.length:
            continue
        sound: shapely.Geometry = polygon
        if not polygon.is_valid:
            sound = shapely.make_valid(polygon, method="structure")
        x, y, z = (float(v) for v in face.vertices[0])
        gradient = one.gradient(face)
        parts = [p for p in shapely.get_parts(sound) if p.geom_type == "Polygon"]
        facets += [
            Facet(one.edge_name(face), face.step, gradient, (x, y, z), p, face.edge == DECK)
            for p in parts
        ]
    remarks = list(one.solved.remarks)
    rings = one.rings
    try:
        walls = wall_rings(section)
        wall = shapely.Polygon(walls[0], walls[1:])
    except OutlineError as error:
        wall = shapely.Polygon()
        remarks.append((str(error), section.rings[0].corners[0]))
    drip = shapely.Polygon(rings[0], rings[1:])
    if wall.is_empty or not wall.is_valid:
        if len(remarks) == len(one.solved.remarks):
            remarks.append((_WIDE_OVERHANG, section.rings[0].corners[0]))
        wall, walls = drip, rings
    return Body(
        section.id,
        section.name,
        building,
        tuple(facets),
        _section_sides(one),
        drip,
        wall,
        _lines(one.edges, rings),
        _lines(one.edges, walls),
        section.open_below,
        tuple(remarks),
    )


def _section_sides(one: SolvedSection) -> tuple[Side, ...]:
    sides = [
        Side(edge, step, (slope * float(n[0]), slope * float(n[1])))
        for edge, n, slopes in zip(one.edges, one.normals, one.slopes, strict=True)
        for step, slope in enumerate(slopes)
        if math.isfinite(slope)
    ]
    if any(f.edge == DECK for f in one.solved.faces):
        sides.append(Side("deck", 0, (0.0, 0.0), "Deck"))
    return tuple(sides)


def _lines(ids: tuple[str, ...], rings: tuple[Array, ...]) -> Lines:
    return Lines(ids, np.concatenate([np.stack([r, rolled(r)], axis=1) for r in rings]))


def plane_body(plane: DrawnPlane, building: str = "", line: Array | None = None) -> Body:
    """The body of a drawn plane. `line` is the (2, 3) roof edge that it is tied to, if it is.

    OutlineError where the polygon crosses itself or its height cannot be told.
    """
    polygon = shapely.Polygon(plane.corners)
    if not polygon.is_valid or polygon.area <= SAME_POINT_MM * polygon.length:
        raise OutlineError("Its corners cross each other or lie on one line; move one.")
    polygon = shapely.orient_polygons(polygon)
    gradient, through = _lies(plane, polygon, line)
    is_flat = math.hypot(*gradient) == 0.0
    wall = polygon
    remarks: tuple[tuple[str, Vector], ...] = ()
    if plane.overhang > 0.0:
        inner = polygon.buffer(-plane.overhang, join_style="mitre", mitre_limit=20.0)
        if inner.geom_type == "Polygon" and not inner.is_empty:
            wall = inner
        else:
            remarks = ((_WIDE_OVERHANG, plane.corners[0]),)
    facet = Facet("plane", 0, gradient, through, polygon, is_flat)
    side = Side("plane", 0, gradient, "Deck" if is_flat else "")
    drip_lines, wall_lines = (ring_lines(p) for p in (polygon, wall))
    return Body(
        plane.id,
        plane.name,
        building,
        (facet,),
        (side,),
        polygon,
        wall,
        drip_lines,
        wall_lines,
        plane.open_below,
        remarks,
    )


def ring_lines(polygon: shapely.Polygon) -> Lines:
    """The sides of a polygon, called side 1, side 2 ..."""
    ring = np.array(polygon.exterior.coords)[:-1, :2]
    return _lines(tuple(f"side {k + 1}" for k in range(len(ring))), (ring,))


def _lies(
    plane: DrawnPlane, polygon: shapely.Polygon, line: Array | None
) -> tuple[Vector, Vector3]:
    """Uphill gradient and a point of a drawn plane."""
    lies = plane.lies
    if isinstance(lies, BySlope):
        angle = math.radians(lies.bearing)
        # exact zeros for the main bearings, so that square roofs stay square
        sine, cosine = (0.0 if abs(v) < 1e-15 else v for v in (math.sin(angle), math.cos(angle)))
        return (-lies.slope * sine, -lies.slope * cosine), lies.through
    if isinstance(lies, ByHeights):
        p = np.array(lies.points)
        gradient = np.linalg.solve(p[1:, :2] - p[0, :2], p[1:, 2] - p[0, 2])
        return (float(gradient[0]), float(gradient[1])), lies.points[0]
    assert isinstance(lies, ByEdge)
    if line is None:
        raise OutlineError("The roof edge it is tied to is gone; tie it to another edge.")
    way = line[1] - line[0]
    length = math.hypot(way[0], way[1])
    if length <= SAME_POINT_MM:
        raise OutlineError("The roof edge it is tied to is plumb; tie it to another edge.")
    d = (float(way[0]) / length, float(way[1]) / length)
    rise = float(way[2]) / length
    centre = polygon.centroid
    left = (-d[1], d[0])
    side = (centre.x - line[0][0]) * left[0] + (centre.y - line[0][1]) * left[1]
    rest = lies.slope * lies.slope - rise * rise
    if rest < -1e-12:
        raise OutlineError(
            "The roof edge it is tied to is steeper than its pitch; give it a steeper one."
        )
    across = math.copysign(math.sqrt(max(rest, 0.0)), lies.slope) * math.copysign(1.0, side)
    uphill = (rise * d[0] + across * left[0], rise * d[1] + across * left[1])
    return uphill, (float(line[0][0]), float(line[0][1]), float(line[0][2]))
