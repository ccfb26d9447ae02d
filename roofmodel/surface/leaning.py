"""A porch leans against a house: its high edge comes to the eave of the house.

Vocabulary
----------
lean
    Choose the eave height of a roof with one slope, so that its plane meets the drip line of the
    house at the edge it is placed against; flatten it where its eave would be too low to walk
    under.
"""

from __future__ import annotations

from contextlib import suppress
from typing import Final

import numpy as np
import shapely

from roofmodel.document import Project, Section, Step
from roofmodel.document.changes import changed, in_part
from roofmodel.document.edits import set_eave_height, set_profile
from roofmodel.errors import DocumentError, OutlineError
from roofmodel.surface.bodies import Body, section_body
from roofmodel.surface.reach import reached
from roofmodel.surface.types import Array
from roofmodel.units import format_length

LOWEST_EAVE_MM: Final = 2133.6
"""A porch's eave is not put lower by itself: 7 ft."""

LEAST_SLOPE: Final = 0.5 / 12.0
"""A porch is not made flatter by itself: 1/2 in 12."""


def placed_against(
    project: Project,
    section_id: str,
    back: str,
    house_id: str,
    house_edge: str,
    *,
    own_eave: bool = False,
) -> Project:
    """A section with one sloping edge that was put with its edge `back` against an edge of a
    house: it knows its back, leans against the house (not with an `own_eave`), and reaches the
    wall below the overhang of a gable end."""
    project = with_back(project, section_id, back)
    if not own_eave:
        project = leaned(project, section_id, house_id, house_edge)
    edges = [e for r in project.section(house_id).rings for e in r.edges]
    if any(e.id == house_edge and e.profile[0].slope is None for e in edges):
        with suppress(DocumentError):
            return reached(project, section_id)
    return project


def with_back(project: Project, section_id: str, edge_id: str) -> Project:
    """The section with an edge known as its back, where it reaches the roof."""
    section = project.section(section_id)
    return in_part(project, section, lambda s: changed(s, back=edge_id))


def leaned(project: Project, section_id: str, house_id: str, house_edge: str) -> Project:
    """A section with one sloping edge and a back (see `with_back`), with the eave height at which
    its plane meets the eave of the house at an edge; at a gable end the lowest of the roof there.

    Its pitch stays unless its eave would come below `LOWEST_EAVE_MM`; DocumentError where it
    would be flatter than `LEAST_SLOPE`. Unchanged where the house has no roof yet.
    """
    section = project.section(section_id)
    front = next((e for e in section.rings[0].edges if e.profile[0].slope), None)
    try:
        own, house = section_body(section), section_body(project.section(house_id))
    except OutlineError:
        return project
    if front is None:
        return project
    slope = front.profile[0].slope or LEAST_SLOPE
    height, beyond = _eave_of(project.section(house_id), house, house_edge, slope)
    high = float(_heights(own, _line_of(own, section.back)).max())
    run = (high - section.eave_height) / slope - beyond
    eave = height - slope * run
    if eave < LOWEST_EAVE_MM - 1e-6 and run > 0.0:
        slope, eave = (height - LOWEST_EAVE_MM) / run, LOWEST_EAVE_MM
        if slope < LEAST_SLOPE - 1e-9:
            found, least = (format_length(v, project.units) for v in (height, LOWEST_EAVE_MM))
            raise DocumentError(
                f"The eave there is {found} high: {section.name} would come lower than {least} or"
                " flatter than 1/2 in 12. Make it less deep, or type its eave height."
            )
        project = set_profile(project, section_id, [front.id], [Step(0.0, slope)])
    return set_eave_height(project, section_id, round(eave, 6))


def _eave_of(house: Section, body: Body, edge_id: str, slope: float) -> tuple[float, float]:
    """The lowest height (mm) of the roof along its drip line at an edge, and how far (mm) that
    line lies before the outline. At a gable end, and where what leans there at `slope` is the
    steeper one and must pass below the overhang, that of the roof over the outline, and 0."""
    line = _line_of(body, edge_id)
    height = float(_heights(body, line).min())
    for ring in house.rings:
        for k, edge in enumerate(ring.edges):
            steep = edge.profile[0].slope
            if edge.id == edge_id and steep is not None:
                way = (line[1] - line[0]) / float(np.hypot(*(line[1] - line[0])))
                off = line[0] - np.array(ring.corners[k])
                beyond = float(off[0] * way[1] - off[1] * way[0])
                return (height, beyond) if slope <= steep else (height + steep * beyond, 0.0)
    return height, 0.0


def _line_of(body: Body, edge_id: str) -> Array:
    """The drip line (2, 2) at an outline edge."""
    line: Array = body.drip_lines.segments[body.drip_lines.ids.index(edge_id)]
    return line


def _heights(body: Body, line: Array) -> Array:
    """Heights (n,) of the body's facets at places along a line (2, 2) at its rim, mm."""
    found = []
    for share in (0.0, 0.5, 1.0):
        spot = line[:1] + share * (line[1:] - line[:1])
        near = min(body.facets, key=lambda f: f.polygon.distance(shapely.Point(spot[0])))
        found.append(float(near.height(spot)[0]))
    return np.array(found)
