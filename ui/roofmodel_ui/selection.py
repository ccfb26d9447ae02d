"""What can be selected, and which outline edges stand behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from roofmodel.document import OutlineEdge, Problem, Project, Section
from roofmodel.results import Results
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.tolerance import SAME_POINT_MM


class OutlineEdgeId(NamedTuple):
    """An edge of an outline: selectable even where no roof could be built."""

    section: str
    edge: str


class CornerId(NamedTuple):
    """Corner number `corner` of ring `ring` of a section's outline."""

    section: str
    ring: int
    corner: int
    kind: str = "corner"


Point: TypeAlias = tuple[float, float]
Selectable: TypeAlias = PlaneId | EdgeId | OutlineEdgeId
Selection: TypeAlias = frozenset[Selectable]


def outline_edge(project: Project, target: OutlineEdgeId) -> tuple[Section, OutlineEdge] | None:
    """The section and edge meant, or None if they are gone."""
    for section in project.sections():
        if section.id == target.section:
            for ring in section.rings:
                for edge in ring.edges:
                    if edge.id == target.edge:
                        return section, edge
    return None


def outline_edges_of(project: Project, selection: Iterable[Selectable]) -> list[OutlineEdgeId]:
    """The outline edges that give the selected things their shape, each once, in a fixed order.

    A plane stands on its outline edge; a plane's own end (eave, rake) names the outline edge
    below it. An edge between two planes has none.
    """
    found: set[OutlineEdgeId] = set()
    for item in selection:
        if isinstance(item, OutlineEdgeId):
            found.add(item)
        elif isinstance(item, PlaneId):
            found.add(OutlineEdgeId(item.section, item.edge))
        elif isinstance(item.second, str):
            found.add(OutlineEdgeId(item.first.section, item.second))
    return sorted(f for f in found if outline_edge(project, f) is not None)


def culprit(results: Results, problem: Problem) -> list[Selectable]:
    """What a problem is about: the roof edge whose middle it names, or else the outline edge of
    its section nearest to its first place."""
    if not problem.places:
        return []
    place = problem.places[0]
    for edge in results.surface.edges:
        middle = (edge.start + edge.end) / 2.0
        same_section = edge.planes[0].section == problem.section
        if same_section and math.dist(place, middle[:2]) <= SAME_POINT_MM:
            return [edge.id]
    near = [
        (_distance(place, ring.corners[k - 1], corner), OutlineEdgeId(section.id, edge.id))
        for section in results.project.sections()
        if section.id == problem.section
        for ring in section.rings
        for k, corner in enumerate(ring.corners)
        for edge in (ring.edges[k - 1],)
    ]
    return [min(near)[1]] if near else []


def _distance(p: Point, a: Point, b: Point) -> float:
    """From a point to the stretch between two others, mm."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square if square else 0.0
    along = min(max(along, 0.0), 1.0)
    return math.dist(p, (a[0] + along * dx, a[1] + along * dy))
