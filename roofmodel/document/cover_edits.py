"""Edits of what covers the roof, and of kinds of edges set by hand.

Roof planes and edges are meant by their identity in words (`str` of their ids). What is set for
one stays in the document when the plane or edge is gone; the results report it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import msgspec

from roofmodel.document.changes import changed, in_building
from roofmodel.document.types import (
    NOT_IN_JOB,
    OTHER,
    EdgeOverride,
    PlaneCovering,
    Project,
)
from roofmodel.errors import DocumentError
from roofmodel.systems import EdgeKind, RoofingSystem, TrimProfile


def set_building_covering(project: Project, building_id: str, covering: str) -> Project:
    """Cover a building: a system's id, "" for the job's first, `OTHER` or `NOT_IN_JOB`."""
    _check_covering(project, covering)
    return in_building(project, building_id, lambda b: changed(b, covering=covering))


def set_plane_covering(project: Project, plane: str, covering: str | None) -> Project:
    """Cover one roof plane by itself; None: as its building."""
    if covering is not None:
        _check_covering(project, covering)
    new = None if covering is None else PlaneCovering(plane, covering)
    kept = tuple(c for c in project.plane_coverings if c.plane != plane)
    old = next((c for c in project.plane_coverings if c.plane == plane), None)
    if new == old:
        return project
    return msgspec.structs.replace(project, plane_coverings=kept if new is None else (*kept, new))


def set_edge_kind(project: Project, edge: str, kind: EdgeKind | None) -> Project:
    """Say by hand what kind a roof edge is; None: as found."""
    new = None if kind is None else EdgeOverride(edge, kind)
    kept = tuple(o for o in project.edge_overrides if o.edge != edge)
    old = next((o for o in project.edge_overrides if o.edge == edge), None)
    if new == old:
        return project
    return msgspec.structs.replace(project, edge_overrides=kept if new is None else (*kept, new))


def add_system(project: Project, system: RoofingSystem) -> Project:
    """Add another roofing system to the job."""
    if any(s.id == system.id for s in project.systems()):
        raise DocumentError(f"The job has a roofing system '{system.id}' already.")
    return msgspec.structs.replace(project, more_systems=(*project.more_systems, system))


class Offered(NamedTuple):
    """A roofing system that can be added to a job, with known cross-sections of trim: a job
    carries its own, and may be older than the system."""

    system: RoofingSystem
    sections: tuple[TrimProfile, ...] = ()


def add_offered(project: Project, offered: Offered) -> Project:
    """Add a roofing system, and of its known cross-sections those that the job lacks."""
    return add_sections(add_system(project, offered.system), offered.sections)


def put_system(project: Project, system: RoofingSystem) -> Project:
    """Add a roofing system, or put it in the place of the job's one with the same id."""
    known = any(s.id == system.id for s in project.systems())
    return change_system(project, system) if known else add_system(project, system)


def cover_job(project: Project, system_id: str) -> Project:
    """Cover with one system all that roofing systems cover now; it becomes the job's first.
    What is covered otherwise, or not in this job, stays so."""
    _check_system(project, system_id)
    systems = project.systems()
    first = next(s for s in systems if s.id == system_id)
    apart = (OTHER, NOT_IN_JOB)
    buildings = tuple(
        b if b.covering in apart else changed(b, covering="") for b in project.buildings
    )
    own = tuple(
        c if c.covering in apart else PlaneCovering(c.plane, "")
        for c in project.plane_coverings
        if c.covering in apart or _stands_apart(project, c.plane)
    )
    return changed(
        project,
        system=first,
        more_systems=tuple(s for s in systems if s.id != system_id),
        buildings=buildings,
        plane_coverings=own,
    )


def set_parts(project: Project, parts: tuple[TrimProfile, ...]) -> Project:
    """Put other cross-sections of trim in the place of the job's."""
    return changed(project, parts=parts)


def add_sections(project: Project, known: Iterable[TrimProfile]) -> Project:
    """Add those of the `known` cross-sections that the trim of the job's systems names and the
    job, saved before there were any such, lacks. One without any stays so: it gets all when it is
    read."""
    have = {p.name for p in project.parts}
    named = {r.part for s in project.systems() for rules in s.trim.values() for r in rules}
    more = tuple(p for p in known if p.name in named - have)
    return changed(project, parts=(*project.parts, *more)) if have and more else project


def change_system(project: Project, system: RoofingSystem) -> Project:
    """Put a roofing system in the place of the job's one with the same id."""
    _check_system(project, system.id)
    if project.system.id == system.id:
        return changed(project, system=system)
    return changed(
        project,
        more_systems=tuple(system if s.id == system.id else s for s in project.more_systems),
    )


def remove_system(project: Project, system_id: str) -> Project:
    """Take a roofing system out of the job; refused while anything is covered with it."""
    _check_system(project, system_id)
    name = next(s.name for s in project.systems() if s.id == system_id)
    if system_id == project.system.id:
        raise DocumentError(
            f"{name} is the first roofing system of the job, so it stays; cover the job with"
            " another one first."
        )
    covered = [b.name for b in project.buildings if b.covering == system_id]
    if covered:
        raise DocumentError(f"{covered[0]} is covered with {name}; give it another covering.")
    planes = [c.plane for c in project.plane_coverings if c.covering == system_id]
    if planes:
        count = "one roof plane is" if len(planes) == 1 else f"{len(planes)} roof planes are"
        raise DocumentError(
            f"{name} stays: {count} covered with it by hand; give them another covering first."
        )
    kept = tuple(s for s in project.more_systems if s.id != system_id)
    return msgspec.structs.replace(project, more_systems=kept)


def _stands_apart(project: Project, plane: str) -> bool:
    """Is a plane (in words) on a building that no roofing system covers?"""
    part = plane.partition("/")[0]
    apart = (OTHER, NOT_IN_JOB)
    return any(part in b.part_ids() and b.covering in apart for b in project.buildings)


def _check_covering(project: Project, covering: str) -> None:
    if covering not in ("", OTHER, NOT_IN_JOB):
        _check_system(project, covering)


def _check_system(project: Project, system_id: str) -> None:
    if all(s.id != system_id for s in project.systems()):
        raise DocumentError(f"There is no roofing system {system_id} in this job.")
