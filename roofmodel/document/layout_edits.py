"""Edits of how panels are laid, for all planes or for one.

Roof planes are meant by their identity in words (`str` of their ids). What is set for one stays
in the document when the plane is gone; the results report it.
"""

from __future__ import annotations

import msgspec

from roofmodel.document.changes import changed
from roofmodel.document.layouts import PanelLayout, PlaneLayout
from roofmodel.document.types import Project


def set_layout(project: Project, layout: PanelLayout) -> Project:
    """Lay the panels of all planes this way, but for those with a layout of their own."""
    return changed(project, layout=layout)


def set_plane_layout(project: Project, plane: str, layout: PanelLayout | None) -> Project:
    """Lay the panels of one plane its own way; None: as all others."""
    old = next((p for p in project.plane_layouts if p.plane == plane), None)
    if (old.layout if old else None) == layout:
        return project
    kept = tuple(p for p in project.plane_layouts if p.plane != plane)
    if layout is not None:
        kept = (*kept, PlaneLayout(plane, layout))
    return msgspec.structs.replace(project, plane_layouts=kept)


def lay_all_alike(project: Project, layout: PanelLayout) -> Project:
    """Lay the panels of all planes this way, with no exception."""
    return changed(project, layout=layout, plane_layouts=())
