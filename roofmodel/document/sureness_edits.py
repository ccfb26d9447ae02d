"""Edits that put what was measured on the house into the model."""

from __future__ import annotations

import math

import msgspec

from roofmodel.document.changes import changed, in_part, part_of
from roofmodel.document.drawing_edits import set_edge_length
from roofmodel.document.parts import ByEdge, BySlope, DrawnPlane
from roofmodel.document.sureness import Reading, Tolerances
from roofmodel.document.types import Project, Section
from roofmodel.errors import DocumentError

SAME_SLOPE = 1e-9
"""Slopes this close were set together: one pitch."""


def set_tolerances(project: Project, **fields: object) -> Project:
    """Say how far off traced lines (`tracing`, mm) and pitches (`pitch`) may be."""
    tolerances: Tolerances = changed(project.tolerances, **fields)
    return changed(project, tolerances=tolerances)


def read_length(project: Project, section_id: str, edge_id: str, length: float) -> Project:
    """Make an outline edge as long (mm) as it was measured, and remember that."""
    moved = set_edge_length(project, section_id, edge_id, length)
    return _remembered(moved, Reading(section_id, edge_id, length), None)


def read_pitch(project: Project, part_id: str, old: float, slope: float) -> Project:
    """Give everything of a part that has the pitch `old` (rise over run) the measured one, and
    remember that."""
    part = part_of(project, part_id)
    if isinstance(part, Section):
        steeper = in_part(project, part, lambda s: _with_slope(s, old, slope))
    elif isinstance(part, DrawnPlane) and isinstance(part.lies, BySlope | ByEdge):
        lies = changed(part.lies, slope=math.copysign(slope, part.lies.slope or 1.0))
        steeper = in_part(project, part, lambda p: changed(p, lies=lies))
    else:
        raise DocumentError("This part has no pitch that could be measured.")
    return _remembered(steeper, Reading(part_id, "", slope), old)


def forget_readings(project: Project) -> Project:
    """Forget what was measured; the model stays as it is."""
    return changed(project, readings=())


def _with_slope(section: Section, old: float, slope: float) -> Section:
    rings = []
    for ring in section.rings:
        edges = tuple(
            changed(
                e,
                profile=tuple(
                    changed(s, slope=slope)
                    if s.slope is not None and abs(s.slope - old) <= SAME_SLOPE
                    else s
                    for s in e.profile
                ),
            )
            for e in ring.edges
        )
        rings.append(changed(ring, edges=edges))
    return changed(section, rings=tuple(rings))


def _remembered(project: Project, reading: Reading, old: float | None) -> Project:
    """The reading in the place of one of the same thing."""
    kept = tuple(
        r
        for r in project.readings
        if (r.part, r.edge) != (reading.part, reading.edge)
        or (not r.edge and old is not None and abs(r.value - old) > SAME_SLOPE)
    )
    return msgspec.structs.replace(project, readings=(*kept, reading))
