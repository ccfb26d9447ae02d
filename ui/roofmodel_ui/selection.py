"""What can be selected, the parts it belongs to, and which outline edges stand behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from roofmodel.document import OutlineEdge, Problem, Project, Section
from roofmodel.results import Results
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.tolerance import SAME_POINT_MM

_OPENING = "opening "
"""How an edge names the opening it runs around in place of a second plane."""


class PartId(NamedTuple):
    """A section, drawn plane or opening as a whole, or a building."""

    part: str


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
Selectable: TypeAlias = PlaneId | EdgeId | OutlineEdgeId | PartId
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
    below it. An edge between two planes has none, nor has a part as a whole.
    """
    found: set[OutlineEdgeId] = set()
    for item in selection:
        if isinstance(item, OutlineEdgeId):
            found.add(item)
        elif isinstance(item, PlaneId):
            found.add(OutlineEdgeId(item.section, item.edge))
        elif isinstance(item, EdgeId) and isinstance(item.second, str):
            found.add(OutlineEdgeId(item.first.section, item.second))
    return sorted(f for f in found if outline_edge(project, f) is not None)


def part_of(item: Selectable) -> str:
    """Id of the part (or building) that a selected thing is or belongs to."""
    if isinstance(item, PartId):
        return item.part
    if isinstance(item, EdgeId):
        if isinstance(item.second, str) and item.second.startswith(_OPENING):
            return item.second.removeprefix(_OPENING)
        return item.first.section
    return item.section


def parts_of(project: Project, selection: Iterable[Selectable]) -> list[str]:
    """Ids of the parts and buildings that selected things belong to, in the job's order."""
    wanted = {part_of(item) for item in selection}
    order = [i for b in project.buildings for i in (b.id, *b.part_ids())]
    return [i for i in order if i in wanted]


def between_parts(selection: Iterable[Selectable]) -> bool:
    """Is a roof edge selected at which two parts meet, so that it says not which is meant?"""
    for item in selection:
        if isinstance(item, EdgeId):
            other = item.second
            part = other.section if isinstance(other, PlaneId) else other.removeprefix("wall ")
            meets = isinstance(other, PlaneId) or other.startswith("wall ")
            if meets and part != item.first.section:
                return True
    return False


def parts_meant(project: Project, selection: Iterable[Selectable]) -> list[str]:
    """Ids of the sections, drawn planes and openings that selected things belong to; a building
    stands for all its parts."""
    owners = {b.id: b.part_ids() for b in project.buildings}
    found = [i for c in parts_of(project, selection) for i in owners.get(c, (c,))]
    return list(dict.fromkeys(found))


def only_part(project: Project, selection: Selection) -> str:
    """The one part that is meant: that of all selected things, or the only one there is."""
    if not selection:
        parts = [i for b in project.buildings for i in b.part_ids()]
        return parts[0] if len(parts) == 1 else ""
    found = parts_of(project, selection)
    return found[0] if len(found) == 1 else ""


def building_of(project: Project, selection: Selection) -> str | None:
    """The building that a new part goes into: that of what is selected, or None for the first."""
    buildings = {
        b.id
        for b in project.buildings
        for part in parts_of(project, selection)
        if part == b.id or part in b.part_ids()
    }
    return buildings.pop() if len(buildings) == 1 else None


def expanded(results: Results, selection: Selection) -> Selection:
    """The selection with what it covers on the roof: planes of parts as a whole, edges around
    openings, and roof edges that lie on selected outline edges."""
    parts = {s.part for s in selection if isinstance(s, PartId)}
    for building in results.project.buildings:
        if building.id in parts:
            parts.update(building.part_ids())
    outline = {s for s in selection if isinstance(s, OutlineEdgeId)}
    found: set[Selectable] = set()
    if parts:
        found.update(p.id for p in results.surface.planes if p.id.section in parts)
        found.update(PartId(i) for i in parts)
    for edge in results.surface.edges if parts or outline else ():
        second = edge.id.second
        if isinstance(second, str) and (
            OutlineEdgeId(edge.id.first.section, second) in outline
            or (second.startswith(_OPENING) and second.removeprefix(_OPENING) in parts)
        ):
            found.add(edge.id)
    return selection | found


def culprit(results: Results, problem: Problem) -> list[Selectable]:
    """What a problem is about: the roof edge whose middle it names, or else the outline edge of
    its section nearest to its first place, or else its part as a whole."""
    project = results.project
    known = {i for b in project.buildings for i in (b.id, *b.part_ids())}
    whole: list[Selectable] = [PartId(problem.section)] if problem.section in known else []
    if not problem.places:
        return whole
    place = problem.places[0]
    for edge in results.surface.edges:
        middle = (edge.start + edge.end) / 2.0
        same_section = edge.planes[0].section == problem.section
        if same_section and math.dist(place, middle[:2]) <= SAME_POINT_MM:
            return [edge.id]
    near = [
        (_distance(place, ring.corners[k - 1], corner), OutlineEdgeId(section.id, edge.id))
        for section in project.sections()
        if section.id == problem.section
        for ring in section.rings
        for k, corner in enumerate(ring.corners)
        for edge in (ring.edges[k - 1],)
    ]
    return [min(near)[1]] if near else whole


def _distance(p: Point, a: Point, b: Point) -> float:
    """From a point to the stretch between two others, mm."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square if square else 0.0
    along = min(max(along, 0.0), 1.0)
    return math.dist(p, (a[0] + along * dx, a[1] + along * dy))
