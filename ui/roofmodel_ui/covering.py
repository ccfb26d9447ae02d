"""Which planes an edit of coverings or panel layouts is meant for."""

from __future__ import annotations

from roofmodel.document import PanelLayout
from roofmodel.surface import Plane
from roofmodel.takeoff import Laying
from roofmodel_ui.hiding import shown
from roofmodel_ui.selection import expanded
from roofmodel_ui.session import Session


def planes_selected(session: Session) -> list[Plane]:
    """The roof planes of what is selected, those of whole parts among them."""
    chosen = expanded(session.results, session.selection)
    return [p for p in session.results.surface.planes if p.id in chosen]


def keys_of(planes: list[Plane]) -> list[str]:
    """The identities in words that the document knows planes by."""
    return [str(p.id) for p in planes]


def layings_meant(session: Session) -> list[Laying]:
    """How the panels of the selected planes are laid; with none selected, of all planes."""
    chosen = {p.id for p in planes_selected(session)}
    return [
        x
        for x in session.results.take_off.layings
        if x.panels and (not chosen or x.plane in chosen)
    ]


def layouts_meant(session: Session) -> list[PanelLayout]:
    """The layouts of the selected planes, or of all, as they are shown."""
    project, planes = session.results.project, planes_selected(session)
    if not planes:
        return [project.layout, *(p.layout for p in project.plane_layouts)]
    return [project.layout_of(key) for key in keys_of(planes)]


def words_for(planes: list[Plane]) -> str:
    """What the planes are called together: "South 1", "3 planes", or "all planes" for none."""
    if not planes:
        return "all planes"
    return planes[0].name if len(planes) == 1 else f"{len(planes)} planes"


def has_panels(session: Session) -> bool:
    """Whether any plane in view has panels."""
    seen = {p.id for p in shown(session.results).surface.planes}
    return any(x.panels and x.plane in seen for x in session.results.take_off.layings)
