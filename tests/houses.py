"""Named houses for the tests: outlines in feet, made into sections and projects in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from roofmodel.document import (
    Building,
    ByEdge,
    ByHeights,
    BySlope,
    DrawnPlane,
    Opening,
    OutlineEdge,
    Point,
    Project,
    Ring,
    Section,
    Step,
)
from roofmodel.systems import EdgeKind, RoofingSystem, TrimRule

FT = 304.8
GABLE = math.inf

RECTANGLE: tuple[Point, ...] = ((0, 0), (40, 0), (40, 24), (0, 24))
L_SHAPE: tuple[Point, ...] = ((0, 0), (40, 0), (40, 24), (16, 24), (16, 40), (0, 40))


def plain_system(coverage_in: float = 36.0) -> RoofingSystem:
    """A system without set-backs, laps of 4 in and stock of 10.5 ft for every kind of edge."""
    trim: dict[EdgeKind, tuple[TrimRule, ...]] = {
        k: (TrimRule(f"{k} trim", 126 * 25.4, 4 * 25.4),) for k in EdgeKind
    }
    return RoofingSystem("plain", "Plain panel", coverage_in * 25.4, 0.0, {}, trim)


def box(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """A rectangle; its edges run along the south, east, north and west."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def section(
    corners_ft: Sequence[Point],
    slopes: Sequence[float],
    *,
    section_id: str = "s1",
    courtyards_ft: Sequence[Sequence[Point]] = (),
    eave_ft: float = 0.0,
    overhang_ft: float = 0.0,
    overhangs_ft: Sequence[float] = (),
    line: Literal["drip", "wall"] = "drip",
    level: Literal["fascias", "plates"] = "fascias",
    open_below: bool = False,
) -> Section:
    """A section with one plain slope per edge, ring after ring; edges are e1, e2 ...

    `overhangs_ft`, if given, has one overhang per edge.
    """
    rest = list(slopes)
    own: list[float | None] = [x * FT for x in overhangs_ft]
    own = own or [None] * len(rest)
    rings = []
    number = 0
    for ring in (corners_ft, *courtyards_ft):
        edges = []
        for _ in ring:
            slope = rest.pop(0)
            step = Step(0.0, None if math.isinf(slope) else slope)
            edges.append(OutlineEdge(f"e{number + 1}", (step,), own[number]))
            number += 1
        rings.append(Ring(tuple((x * FT, y * FT) for x, y in ring), tuple(edges)))
    return Section(
        section_id,
        section_id.upper(),
        tuple(rings),
        line,
        eave_ft * FT,
        overhang_ft * FT,
        level=level,
        open_below=open_below,
    )


def drawn_plane(
    corners_ft: Sequence[Point],
    lies: BySlope | ByHeights | ByEdge,
    *,
    plane_id: str = "p1",
    open_below: bool = False,
) -> DrawnPlane:
    """A plane drawn by hand; how it `lies` is in mm already (`by_slope`, `by_heights`)."""
    corners = tuple((x * FT, y * FT) for x, y in corners_ft)
    return DrawnPlane(plane_id, plane_id.upper(), corners, lies, open_below=open_below)


def by_slope(x: float, y: float, z: float, slope: float, bearing: float) -> BySlope:
    """Through (x, y, z) feet, falling at `slope` towards `bearing` degrees."""
    return BySlope((x * FT, y * FT, z * FT), slope, bearing)


def by_heights(*points_ft: tuple[float, float, float]) -> ByHeights:
    """Through three points in feet."""
    (a, b, c) = ((x * FT, y * FT, z * FT) for x, y, z in points_ft)
    return ByHeights((a, b, c))


def opening(
    corners_ft: Sequence[Point],
    kind: Literal["chimney", "skylight", "pipe"] = "chimney",
    *,
    opening_id: str = "o1",
    saddle: bool = False,
) -> Opening:
    """Something that comes through the roof."""
    corners = tuple((x * FT, y * FT) for x, y in corners_ft)
    return Opening(opening_id, opening_id.upper(), kind, corners, saddle)


def project(
    *parts: Section | DrawnPlane | Opening, system: RoofingSystem | None = None
) -> Project:
    """A project of one building."""
    building = Building(
        "b1",
        "House",
        tuple(p for p in parts if isinstance(p, Section)),
        tuple(p for p in parts if isinstance(p, DrawnPlane)),
        tuple(p for p in parts if isinstance(p, Opening)),
    )
    return Project(system or plain_system(), buildings=(building,))
