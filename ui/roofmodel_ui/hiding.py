"""Hidden parts: not drawn in plan and 3D and not picked there, but counted all the same."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import msgspec

from roofmodel.document import Building, Project
from roofmodel.document.changes import changed, in_part, part_of
from roofmodel.results import Results


def hidden_parts(project: Project) -> frozenset[str]:
    """Ids of the sections, drawn planes and openings that are hidden."""
    return frozenset(
        p.id
        for b in project.buildings
        for group in (b.sections, b.planes, b.openings)
        for p in group
        if not p.visible
    )


@lru_cache(maxsize=2)
def shown(results: Results) -> Results:
    """The results with nothing in them of the hidden parts. An edge stays while one of its planes
    is shown; the roof below a hidden dormer keeps its hole."""
    hidden = hidden_parts(results.project)
    if not hidden:
        return results
    surface = results.surface
    surface = replace(
        surface,
        planes=tuple(p for p in surface.planes if p.id.section not in hidden),
        edges=tuple(e for e in surface.edges if any(p.section not in hidden for p in e.planes)),
        walls=tuple(w for w in surface.walls if w.section not in hidden),
    )
    buildings = tuple(_without(b, hidden) for b in results.project.buildings)
    project = msgspec.structs.replace(results.project, buildings=buildings)
    return replace(results, surface=surface, project=project)


def set_visible(project: Project, part_ids: list[str], visible: bool) -> Project:
    """Show or hide parts; a building stands for all its parts."""
    owners = {b.id: b.part_ids() for b in project.buildings}
    for part_id in [i for p in part_ids for i in owners.get(p, (p,))]:
        part = part_of(project, part_id)
        # one branch per kind of part, for the type checker
        if part in project.sections():
            project = in_part(
                project, project.section(part_id), lambda s: changed(s, visible=visible)
            )
        elif part in project.planes():
            project = in_part(
                project, project.plane(part_id), lambda p: changed(p, visible=visible)
            )
        else:
            project = in_part(
                project, project.opening(part_id), lambda o: changed(o, visible=visible)
            )
    return project


def _without(building: Building, hidden: frozenset[str]) -> Building:
    return msgspec.structs.replace(
        building,
        sections=tuple(p for p in building.sections if p.id not in hidden),
        planes=tuple(p for p in building.planes if p.id not in hidden),
        openings=tuple(p for p in building.openings if p.id not in hidden),
    )
