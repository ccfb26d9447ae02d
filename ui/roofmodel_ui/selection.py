"""What can be selected, and which outline edges stand behind it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from roofmodel.document import OutlineEdge, Project, Section
from roofmodel.surface import EdgeId, PlaneId


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
