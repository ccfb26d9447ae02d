"""Named houses for the tests: outlines in feet, made into sections and projects in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.document import Building, OutlineEdge, Point, Project, Ring, Section, Step
from roofmodel.systems import EdgeKind, RoofingSystem, TrimRule

FT = 304.8
GABLE = math.inf

RECTANGLE: tuple[Point, ...] = ((0, 0), (40, 0), (40, 24), (0, 24))
L_SHAPE: tuple[Point, ...] = ((0, 0), (40, 0), (40, 24), (16, 24), (16, 40), (0, 40))


def plain_system(coverage_in: float = 36.0) -> RoofingSystem:
    """A system without set-backs, laps of 4 in and stock of 10.5 ft for every kind of edge."""
    trim = {k: TrimRule(f"{k} trim", 126 * 25.4, 4 * 25.4) for k in EdgeKind}
    return RoofingSystem("plain", "Plain panel", coverage_in * 25.4, 0.0, {}, trim)


def section(
    corners_ft: Sequence[Point],
    slopes: Sequence[float],
    *,
    section_id: str = "s1",
    courtyards_ft: Sequence[Sequence[Point]] = (),
) -> Section:
    """A section at eave height 0 with one plain slope per edge, ring after ring."""
    rest = list(slopes)
    rings = []
    number = 0
    for ring in (corners_ft, *courtyards_ft):
        edges = []
        for _ in ring:
            number += 1
            slope = rest.pop(0)
            step = Step(0.0, None if math.isinf(slope) else slope)
            edges.append(OutlineEdge(f"e{number}", (step,)))
        rings.append(Ring(tuple((x * FT, y * FT) for x, y in ring), tuple(edges)))
    return Section(section_id, section_id.upper(), tuple(rings), eave_height=0.0)


def project(*sections: Section, system: RoofingSystem | None = None) -> Project:
    """A project of one building."""
    return Project(system or plain_system(), buildings=(Building("b1", "House", sections),))
