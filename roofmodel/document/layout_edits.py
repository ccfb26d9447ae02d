"""Edits of how panels are laid, for all planes or for some.

Roof planes are meant by their identity in words (`str` of their ids). What is set for one stays
in the document when the plane is gone; the results report it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from roofmodel.document.changes import changed
from roofmodel.document.layouts import PanelLayout, PlaneLayout, Start
from roofmodel.document.types import Project

Change = Callable[[PanelLayout], PanelLayout]


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


def change_layouts(project: Project, planes: Sequence[str], change: Change) -> Project:
    """Change how the panels of some planes are laid; of none: of all, those with a layout of
    their own among them. A plane that is laid as all others has none of its own."""
    if not planes:
        layout = change(project.layout)
        own = (PlaneLayout(p.plane, change(p.layout)) for p in project.plane_layouts)
        kept = tuple(p for p in own if p.layout != layout)
        return changed(project, layout=layout, plane_layouts=kept)
    for plane in planes:
        layout = change(project.layout_of(plane))
        project = set_plane_layout(project, plane, None if layout == project.layout else layout)
    return project


def set_start(project: Project, planes: Sequence[str], start: Start) -> Project:
    """Say where the first panel begins on some planes, or on all; a start by hand keeps the
    place that was given before."""
    return change_layouts(project, planes, lambda old: changed(old, start=start))


def start_by_hand(project: Project, planes: Sequence[str], offset: float) -> Project:
    """Put the starting line `offset` mm in from the end that panels are laid from, on some
    planes or on all."""
    return change_layouts(
        project, planes, lambda old: changed(old, start="by hand", offset=offset)
    )


def turn_laying(project: Project, planes: Sequence[str]) -> Project:
    """Lay the panels of some planes, or of all, the other way round; a start by hand is as far
    from the other end then."""
    return change_layouts(project, planes, lambda old: changed(old, from_right=not old.from_right))


def vent_ridges(project: Project, planes: Sequence[str], vented: bool) -> Project:
    """Vent the ridges of some planes, or of all: their panels stop further below."""
    return change_layouts(project, planes, lambda old: changed(old, vented=vented))
