"""Dormers: small sections that stand on a roof, said by what one sees of them.

Vocabulary
----------
front
    The dormer's front wall in plan; its middle is where the dormer stands.
face
    Height of the front wall, from the roof below the middle of the front up to the wall plate.
foot
    Height of the roof below the middle of the front, above the job's datum.
back
    The edge at the other end: it lies inside the roof, as far in as it must to be hidden there
    (`roofmodel.surface.reach`).

A dormer is an ordinary section whose `face` and `back` are known, so that it can be put on the
roof again when it is dragged or the roof below it changes.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final

import msgspec

from roofmodel.document.changes import changed, free_name, in_part
from roofmodel.document.edits import new_section
from roofmodel.document.parts import Point
from roofmodel.document.types import OutlineEdge, Project, Ring, Section, Step
from roofmodel.errors import DocumentError

FIRST_DEPTH_MM: Final = 1000.0
"""How far a new dormer goes back before it is stretched to the roof."""

_FRONT, _RIGHT, _BACK, _LEFT = range(4)


class DormerKind(StrEnum):
    """Gabled, hipped or shed."""

    GABLE = "gable"
    HIP = "hip"
    SHED = "shed"


class Dormer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A dormer: `front` is the middle of its front wall (mm), which looks towards `bearing`
    (degrees clockwise from north); `width` and `face` in mm are those of the front wall, `slope`
    (rise over run) that of its planes, `overhang` (mm) beyond its front and side walls."""

    kind: DormerKind
    front: Point
    bearing: float
    width: float = 2438.4
    slope: float = 0.5
    face: float = 914.4
    overhang: float = 0.0

    def __post_init__(self) -> None:
        if not all(math.isfinite(v) for v in (*self.front, self.bearing)):
            raise DocumentError("A dormer must stand somewhere and look some way.")
        if not 1.0 <= self.width <= 100_000:
            raise DocumentError("The width of a dormer must be more than 0 and less than 100 m.")
        if not 0 <= self.face <= 20_000:
            raise DocumentError("The face of a dormer must be between 0 and 20 m high.")
        if not 0.001 <= self.slope <= 1000.0:
            raise DocumentError("A dormer needs a pitch above 0.012/12.")


def outline_of(dormer: Dormer, depth: float) -> tuple[Point, Point, Point, Point]:
    """The corners of its walls, counter-clockwise from the left end of the front (mm)."""
    (ux, uy), (x, y), half = uphill_of(dormer), dormer.front, dormer.width / 2.0
    rx, ry = uy, -ux
    a, b = (x - half * rx, y - half * ry), (x + half * rx, y + half * ry)
    return a, b, (b[0] + depth * ux, b[1] + depth * uy), (a[0] + depth * ux, a[1] + depth * uy)


def uphill_of(dormer: Dormer) -> Point:
    """Unit vector from its front to its back; exact for the four main bearings."""
    angle = math.radians(dormer.bearing)
    sine, cosine = (0.0 if abs(v) < 1e-12 else v for v in (math.sin(angle), math.cos(angle)))
    return -sine, -cosine


def new_dormer(
    project: Project,
    dormer: Dormer,
    foot: float,
    name: str | None = None,
    building: str | None = None,
) -> tuple[Project, str]:
    """Add the dormer as a section that stands on a roof `foot` mm high; returns the project and
    the section's id. It is short yet: `roofmodel.surface.reach` stretches it to the roof."""
    free = free_name({s.name for s in project.sections()}, name, "Dormer")
    corners = outline_of(dormer, FIRST_DEPTH_MM)
    project, section_id = new_section(project, corners, free, building=building)
    return set_dormer(project, section_id, dormer, foot), section_id


def set_dormer(project: Project, section_id: str, dormer: Dormer, foot: float) -> Project:
    """Make the section this dormer, standing on a roof `foot` mm high, as deep as it was."""
    return in_part(project, project.section(section_id), lambda s: as_dormer(s, dormer, foot))


def dormer_section(dormer: Dormer, foot: float, depth: float = FIRST_DEPTH_MM) -> Section:
    """A dormer as a section by itself, in no project yet."""
    edges = tuple(OutlineEdge(f"e{k}") for k in range(1, 5))
    section = Section("s0", "The dormer", (Ring(outline_of(dormer, depth), edges),))
    return as_dormer(section, dormer, foot)


def as_dormer(section: Section, dormer: Dormer, foot: float) -> Section:
    """The section made this dormer, with its own id, name and depth."""
    ring = section.rings[0]
    if len(section.rings) != 1 or len(ring.corners) != 4:
        raise DocumentError(f"{section.name} is no dormer: it has no four plain corners.")
    depth = max(math.dist(ring.corners[_RIGHT], ring.corners[_BACK]), 1.0)
    edges = tuple(_edge(old, dormer, number) for number, old in enumerate(ring.edges))
    return changed(
        section,
        rings=(changed(ring, corners=outline_of(dormer, depth), edges=edges),),
        line="wall",
        level="plates",
        eave_height=foot + dormer.face,
        overhang=dormer.overhang,
        face=dormer.face,
        back=edges[_BACK].id,
    )


def dormer_of(section: Section) -> Dormer | None:
    """The dormer that a section is, or None if it is another body."""
    ring = section.rings[0]
    if section.face is None or len(ring.corners) != 4 or len(section.rings) != 1:
        return None
    if ring.edges[_BACK].id != section.back:
        return None
    (ax, ay), (bx, by) = ring.corners[_FRONT], ring.corners[_RIGHT]
    front, side = ring.edges[_FRONT].profile[0].slope, ring.edges[_RIGHT].profile[0].slope
    kind = DormerKind.GABLE
    if front is not None:
        kind = DormerKind.SHED if side is None else DormerKind.HIP
    slope = front if side is None else side
    if slope is None:
        return None
    # it looks to the right of its front edge, seen along it
    bearing = round(math.degrees(math.atan2(by - ay, ax - bx)) % 360.0, 9) % 360.0
    middle = (ax + bx) / 2.0, (ay + by) / 2.0
    width = math.dist((ax, ay), (bx, by))
    return Dormer(kind, middle, bearing, width, slope, section.face, section.overhang)


def foot_of(section: Section) -> float:
    """Height of the roof that a dormer was put on, mm above the datum."""
    return section.eave_height - (section.face or 0.0)


def stretched(section: Section, edge_id: str, by: float) -> Section:
    """The section with one edge moved outwards by `by` mm (inwards if negative), its neighbours
    going along their own lines; the edge becomes a gable end without overhang: its back.

    DocumentError where its neighbours do not run towards it.
    """
    for ring in section.rings:
        for k, edge in enumerate(ring.edges):
            if edge.id == edge_id:
                moved = _moved(section, ring, k, by)
                rings = tuple(moved if r is ring else r for r in section.rings)
                return changed(section, rings=rings, back=edge_id)
    raise DocumentError(f"{section.name} has no edge {edge_id}.")


def _moved(section: Section, ring: Ring, k: int, by: float) -> Ring:
    n = len(ring.corners)
    before, a, b, after = (ring.corners[(k + step) % n] for step in (-1, 0, 1, 2))
    long = math.dist(a, b)
    out = ((b[1] - a[1]) / long, (a[0] - b[0]) / long)
    ends = []
    for corner, from_ in ((a, before), (b, after)):
        way = (corner[0] - from_[0], corner[1] - from_[1])
        share = way[0] * out[0] + way[1] * out[1]
        if share < 0.5 * math.hypot(*way):
            raise DocumentError(
                f"{section.name} cannot reach back at this edge: the edges beside it do not run"
                " towards it. Choose the edge at the end of the wing."
            )
        ends.append((corner[0] + by * way[0] / share, corner[1] + by * way[1] / share))
    corners = list(ring.corners)
    corners[k], corners[(k + 1) % n] = ends
    steps = (Step(ring.edges[k].profile[0].height, None),)
    edge = changed(ring.edges[k], profile=steps, overhang=0.0)
    return changed(
        ring, corners=tuple(corners), edges=(*ring.edges[:k], edge, *ring.edges[k + 1 :])
    )


def _edge(old: OutlineEdge, dormer: Dormer, number: int) -> OutlineEdge:
    slope: float | None = dormer.slope
    if number == _BACK:
        return changed(old, profile=(Step(0.0, None),), overhang=0.0)
    if number == _FRONT and dormer.kind is DormerKind.GABLE:
        slope = None
    if number in (_RIGHT, _LEFT) and dormer.kind is DormerKind.SHED:
        slope = None
    return changed(old, profile=(Step(0.0, slope),))
