"""From the document to what is joined: bodies and openings, and what could not be built."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.errors import ShapelyError

from roofmodel.document import ByEdge, DrawnPlane, Opening, Problem, Project, Section
from roofmodel.errors import OutlineError
from roofmodel.skeleton.check import quick_faults
from roofmodel.surface.bodies import Body, plane_body, section_body
from roofmodel.surface.compose import compose
from roofmodel.surface.layers import Hole
from roofmodel.surface.saddles import saddle_body
from roofmodel.surface.sections import solve_section
from roofmodel.surface.types import Array, Surface
from roofmodel.tolerance import SAME_POINT_MM


@dataclass(frozen=True, slots=True, eq=False)
class Gathered:
    """Bodies in the job's order, openings, and problems."""

    bodies: tuple[Body, ...]
    holes: tuple[Hole, ...]
    problems: tuple[Problem, ...]


def gathered(project: Project) -> Gathered:
    """Build every section, drawn plane and opening. What cannot be built is left out and
    told among the problems."""
    bodies: list[Body] = []
    problems: list[Problem] = []
    for building in project.buildings:
        for section in building.sections:
            try:
                bodies.append(section_body(section, building.id))
                problems += _faults(section)
            except OutlineError as error:
                places = _places(section, error) or section.rings[0].corners[:1]
                problems.append(Problem(f"{section.name}: {error}", True, section.id, places))
    for building in project.buildings:
        for plane in building.planes:
            try:
                bodies.append(_drawn(project, plane, building.id))
            except OutlineError as error:
                problems.append(
                    Problem(f"{plane.name}: {error}", True, plane.id, plane.corners[:1])
                )
    holes: list[Hole] = []
    saddles: list[Body] = []
    for building in project.buildings:
        for opening in building.openings:
            problems += _open(opening, bodies, holes, saddles)
    for body in bodies:
        problems += [
            Problem(f"{body.name}: {sentence}", False, body.part, (place,))
            for sentence, place in body.remarks
        ]
    return Gathered((*bodies, *saddles), tuple(holes), tuple(problems))


@lru_cache(maxsize=256)
def _faults(section: Section) -> tuple[Problem, ...]:
    """Broken promises of the solver, cheaply checked: a last guard before money."""
    one = solve_section(section)
    return tuple(
        Problem(
            f"{section.name}: {fault} Its areas are not to be trusted; move a corner a little.",
            True,
            section.id,
            section.rings[0].corners[:1],
        )
        for fault in quick_faults(one.rings, one.solved)
    )


def _places(section: Section, error: OutlineError) -> tuple[tuple[float, float], ...]:
    """The corners and the middles of the edges at fault."""
    out = [section.rings[r].corners[k] for r, k in error.corners]
    for r, k in error.edges:
        corners = section.rings[r].corners
        (ax, ay), (bx, by) = corners[k], corners[(k + 1) % len(corners)]
        out.append(((ax + bx) / 2.0, (ay + by) / 2.0))
    return tuple(out)


def _drawn(project: Project, plane: DrawnPlane, building: str) -> Body:
    if not isinstance(plane.lies, ByEdge):
        return _plane_body(plane, building)
    line = None
    for section in project.sections():
        if section.id == plane.lies.section:
            line = edge_line(section, plane.lies.edge)
    return plane_body(plane, building, line)


@lru_cache(maxsize=256)
def _plane_body(plane: DrawnPlane, building: str) -> Body:
    return plane_body(plane, building)


def edge_line(section: Section, edge: str) -> Array | None:
    """The (2, 3) roof edge with this identity (in words) of a section taken alone, or None."""
    with suppress(ArithmeticError, IndexError, KeyError, ValueError, ShapelyError):
        for found in alone(section).edges:
            if str(found.id) == edge:
                return np.array([found.start, found.end])
    return None


@lru_cache(maxsize=64)
def alone(section: Section) -> Surface:
    """The roof of one section by itself; OutlineError if it cannot carry one."""
    body = section_body(section)
    return compose([body])


@lru_cache(maxsize=256)
def _hole(opening: Opening) -> Hole | None:
    """The opening as the roof sees it; None where its corners make no polygon."""
    polygon = shapely.Polygon(opening.corners)
    if not polygon.is_valid or polygon.area <= SAME_POINT_MM * polygon.length:
        return None
    polygon = shapely.orient_polygons(polygon)
    return Hole(opening.id, opening.name, polygon, opening.kind == "skylight", opening.kind)


def _open(
    opening: Opening, bodies: list[Body], holes: list[Hole], saddles: list[Body]
) -> list[Problem]:
    hole = _hole(opening)
    spot = opening.corners[:1]
    if hole is None:
        sentence = "Its corners cross each other or lie on one line; draw it again."
        return [Problem(f"{opening.name}: {sentence}", True, opening.id, spot)]
    holes.append(hole)
    out = []
    if not any(b.drip.intersects(hole.polygon) for b in bodies):
        sentence = "It lies beside the roof and cuts nothing; move it onto a plane."
        out.append(Problem(f"{opening.name}: {sentence}", False, opening.id, spot))
    elif opening.saddle:
        try:
            saddles.append(saddle_body(opening, bodies))
        except OutlineError as error:
            out.append(Problem(f"{opening.name}: {error}", False, opening.id, spot))
    return out
