"""Roof edges that a drawn plane can be tied to: those of each section taken alone."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

from roofmodel.document import ByEdge, Point, Project
from roofmodel.document.part_edits import change_plane
from roofmodel.errors import OutlineError
from roofmodel.surface import EdgeId, alone
from roofmodel_ui.selection import Selection

NEAR_MM: Final = 10.0
"""A corner this near to a line was put on it: snapping is exact, a click is not."""


class Tie(NamedTuple):
    """A roof edge by its section and its identity in words, its name, its middle and its ends,
    mm in plan."""

    section: str
    edge: str
    name: str
    middle: Point
    ends: tuple[Point, Point]


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
            a, b = ((float(p[0]), float(p[1])) for p in (edge.start, edge.end))
            name = f"{section.name}: {edge.name}"
            found.append(Tie(section.id, str(edge.id), name, middle, (a, b)))
    return found


def tie_along(project: Project, corners: Sequence[Point]) -> Tie | None:
    """The roof edge that a side of a ring lies on, so that they share one line: that of its first
    such side; None if no side does."""
    known = ties(project)
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        for tie in known:
            if _lies_on(a, b, *tie.ends):
                return tie
    return None


def tied_anew(project: Project, planes: Sequence[str]) -> Project:
    """Drawn planes that are tied to an edge elsewhere are tied to the one they lie along now, if
    there is one."""
    for plane in project.planes():
        if plane.id not in planes or not isinstance(plane.lies, ByEdge):
            continue
        tie = tie_along(project, plane.corners)
        if tie is not None:
            lies = ByEdge(tie.section, tie.edge, plane.lies.slope)
            project = change_plane(project, plane.id, lies=lies)
    return project


def _lies_on(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the side a b lies along the line c d and they have a stretch in common."""
    size = math.dist(c, d)
    if size < NEAR_MM or math.dist(a, b) < NEAR_MM:
        return False
    ux, uy = (d[0] - c[0]) / size, (d[1] - c[1]) / size
    spots = [(p[0] - c[0], p[1] - c[1]) for p in (a, b)]
    if any(abs(ux * y - uy * x) > NEAR_MM for x, y in spots):
        return False
    low, high = sorted(x * ux + y * uy for x, y in spots)
    return min(high, size) - max(low, 0.0) > NEAR_MM


def tie_of(project: Project, selection: Selection) -> Tie | None:
    """The one selected roof edge, if a plane can be tied to it."""
    edges = [item for item in selection if isinstance(item, EdgeId)]
    if len(edges) != 1:
        return None
    words = str(edges[0])
    return next((t for t in ties(project) if t.edge == words), None)
