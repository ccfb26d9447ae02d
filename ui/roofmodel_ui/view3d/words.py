"""The words of the 3D view: a line about what lies under the pointer. No widgets here."""

from __future__ import annotations

from roofmodel.document import DrawnPlane, Opening, Project, Section
from roofmodel.errors import DocumentError
from roofmodel.results import Results
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.units import format_angle, format_area, format_length, format_slope
from roofmodel_ui.selection import PartId, Selectable

FLAT_DEG = 0.05
"""A smaller bend is none: it would be shown as 0.0 degrees."""


def tip(results: Results, item: Selectable | None) -> str:
    """Name and size of what is under the pointer, empty if there is nothing to say.

    A plane: pitch and true area; an edge: length and bend; an opening or section: its kind.
    """
    project = results.project
    try:
        if isinstance(item, PlaneId):
            plane = results.surface.plane(item)
            area = format_area(plane.true_area, project.units)
            return f"{plane.name} · {format_slope(plane.slope)} · {area}"
        if isinstance(item, EdgeId):
            edge = results.surface.edge(item)
            words = f"{edge.name} · {format_length(edge.length, project.units)}"
            if abs(edge.fold) < FLAT_DEG or len(edge.planes) < 2:
                return words
            way = "down" if edge.fold > 0 else "up"
            return f"{words} · bends {way} {format_angle(abs(edge.fold))}"
        if isinstance(item, PartId):
            return _part_words(project, item.part)
    except (KeyError, DocumentError):
        return ""  # it went away with the last edit
    return ""


def _part_words(project: Project, part_id: str) -> str:
    parts: list[Section | DrawnPlane | Opening] = [
        *project.sections(), *project.planes(), *project.openings()
    ]  # fmt: skip
    for part in parts:
        if part.id != part_id:
            continue
        if isinstance(part, Section):
            return f"{part.name} · eave {format_length(part.eave_height, project.units)} high"
        if isinstance(part, Opening):
            return part.name if part.name.lower().startswith(part.kind) else (
                f"{part.name} · {part.kind}"
            )  # fmt: skip
        return part.name
    return ""
