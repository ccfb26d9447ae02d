"""What each plane is covered with, and which building and covering an edge counts with.

An edge counts with one of its planes, its owner: the first that a roofing system covers, a deck
only where there is no other (it takes no panels), else the first in the job. So the edges of all
buildings, and of all coverings, add up to those of the job. An edge of planes that are all not in
the job counts nowhere.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from roofmodel.document import NOT_IN_JOB, OTHER, Project
from roofmodel.surface import EdgeId, Plane, PlaneId, RoofEdge, Surface
from roofmodel.systems import RoofingSystem, TrimProfile


def covering_names(project: Project) -> dict[str, str]:
    """Names of the job's coverings by id, each name once: its systems, then `OTHER` and
    `NOT_IN_JOB`, which are their own names."""
    names = _told_apart([(s.id, s.name) for s in project.systems()], {OTHER, NOT_IN_JOB})
    return {**names, OTHER: OTHER, NOT_IN_JOB: NOT_IN_JOB}


def building_names(project: Project) -> dict[str, str]:
    """Names of the job's buildings by id, each name once."""
    return _told_apart([(b.id, b.name) for b in project.buildings], set())


def _told_apart(named: Sequence[tuple[str, str]], taken: set[str]) -> dict[str, str]:
    """Names by id; one that occurs again, or is taken, gets a number."""
    used = set(taken)
    out: dict[str, str] = {}
    for key, name in named:
        number, own = 2, name
        while own in used:
            own, number = f"{name} ({number})", number + 1
        used.add(own)
        out[key] = own
    return out


@dataclass(frozen=True, slots=True)
class Owner:
    """Building and covering (ids) that something counts with."""

    building: str
    covering: str


@dataclass(frozen=True, slots=True, eq=False)
class Coverings:
    """The coverings of a roof's planes, and the names to show.

    `planes` holds the owner of every plane, `edges` that of every edge in the job; `parts` the
    cross-sections of trim by name.
    """

    systems: Mapping[str, RoofingSystem]
    names: Mapping[str, str]
    buildings: Mapping[str, str]
    planes: Mapping[PlaneId, Owner]
    edges: Mapping[EdgeId, Owner]
    pipes: frozenset[str]
    parts: Mapping[str, TrimProfile]

    @classmethod
    def of(cls, surface: Surface, project: Project) -> Coverings:
        """Look up the covering of every plane; DocumentError if its building is unknown."""
        systems = {s.id: s for s in project.systems()}
        planes = {
            p.id: Owner(p.building, project.covering(p.building, str(p.id)))
            for p in surface.planes
        }
        decks = {p.id for p in surface.planes if p.slope == 0.0}
        edges: dict[EdgeId, Owner] = {}
        for edge in surface.edges:
            sides = [(planes[p], p in decks) for p in edge.planes if p in planes]
            inside = [(o, is_deck) for o, is_deck in sides if o.covering != NOT_IN_JOB]
            # what a system covers comes first, and of that what is no deck
            order = sorted(inside, key=lambda side: (side[0].covering not in systems, side[1]))
            if order:
                edges[edge.id] = order[0][0]
        pipes = frozenset(f"opening {o.id}" for o in project.openings() if o.kind == "pipe")
        names, parts = covering_names(project), {p.name: p for p in project.parts}
        return cls(systems, names, building_names(project), planes, edges, pipes, parts)

    def system_of(self, plane: Plane) -> RoofingSystem | None:
        """The system that covers a plane; None for other coverings and outside the job."""
        return self.systems.get(self.planes[plane.id].covering)

    def trim_system(self, edge: RoofEdge) -> RoofingSystem | None:
        """The system whose trim an edge takes; None if it takes none, as at a pipe's boot."""
        owner = self.edges.get(edge.id)
        if owner is None or self.is_pipe(edge):
            return None
        return self.systems.get(owner.covering)

    def is_pipe(self, edge: RoofEdge) -> bool:
        """Does the edge lie around a pipe?"""
        return edge.id.second in self.pipes

    def is_in_job(self, plane: Plane) -> bool:
        """Does the plane count at all?"""
        return self.planes[plane.id].covering != NOT_IN_JOB

    def shared_words(self, edge: RoofEdge) -> str:
        """ "between A and B, counted with A" where an edge's planes in the job differ in covering
        or building, else nothing."""
        owner = self.edges.get(edge.id)
        if owner is None:
            return ""
        sides = [self.planes[p] for p in edge.planes if p in self.planes]
        others = [o for o in sides if o != owner]
        if not others:
            return ""
        if others[0].covering != owner.covering:
            own, other = self.names[owner.covering], self.names[others[0].covering]
        else:
            own, other = self.buildings[owner.building], self.buildings[others[0].building]
        return f"between {own} and {other}, counted with {own}"
