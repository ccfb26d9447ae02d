"""Roof edges that a drawn plane can be tied to: those of each section taken alone."""

from __future__ import annotations

from typing import NamedTuple

from roofmodel.document import Point, Project
from roofmodel.errors import OutlineError
from roofmodel.surface import EdgeId, alone
from roofmodel_ui.selection import Selection


class Tie(NamedTuple):
    """A roof edge by its section and its identity in words, its name, and its middle, mm."""

    section: str
    edge: str
    name: str
    middle: Point


def ties(project: Project) -> list[Tie]:
    """All edges there are to tie to, section after section."""
    found = []
    for section in project.sections():
        try:
            edges = alone(section).edges
        except (OutlineError, ArithmeticError, ValueError, LookupError):
            continue  # reported among the problems already
        for edge in edges:
            x, y = ((edge.start + edge.end) / 2.0)[:2]
            middle = float(x), float(y)
            found.append(Tie(section.id, str(edge.id), f"{section.name}: {edge.name}", middle))
    return found


def tie_of(project: Project, selection: Selection) -> Tie | None:
    """The one selected roof edge, if a plane can be tied to it."""
    edges = [item for item in selection if isinstance(item, EdgeId)]
    if len(edges) != 1:
        return None
    words = str(edges[0])
    return next((t for t in ties(project) if t.edge == words), None)
