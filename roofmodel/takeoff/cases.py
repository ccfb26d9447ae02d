"""The planes of a roof whose panels are laid, each with what they follow from."""

from __future__ import annotations

from roofmodel.document import Project
from roofmodel.surface import PlaneId, Surface
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.openings import is_saddle
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.trim_raised import held_back


def cases_of(surface: Surface, project: Project, coverings: Coverings) -> dict[PlaneId, Case]:
    """The sloping planes that one of the job's systems covers."""
    edges = {e.id: e for e in surface.edges}
    planes = {p.id: p for p in surface.planes}
    out: dict[PlaneId, Case] = {}
    for plane in surface.planes:
        system = coverings.system_of(plane)
        if system is not None and plane.slope > 0.0 and not is_saddle(plane, project):
            around = [edges[i] for i in plane.edges if i in edges]
            # panels run up to a pipe: its boot stands on them
            around = [e for e in around if not coverings.is_pipe(e)]
            vented = project.layout_of(str(plane.id)).vented
            held = held_back(plane, around, planes, coverings)
            out[plane.id] = Case(plane, around, system, vented, held)
    return out
