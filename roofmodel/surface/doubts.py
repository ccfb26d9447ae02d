"""What is doubtful about a composed roof, each with a place and, where possible, a mend."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import shapely

from roofmodel.document import Mend, Opening, Problem, Project, Section
from roofmodel.document.part_edits import change_opening
from roofmodel.document.work_problems import work_problems
from roofmodel.surface.gather import Gathered
from roofmodel.surface.near import near_misses, only
from roofmodel.surface.saddles import uphill_side
from roofmodel.surface.ties import loose_ties
from roofmodel.surface.types import Array, Plane, PlaneId, RoofEdge, Surface
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import ALONG_SLOPE_SINE, HEAL_MM
from roofmodel.units import format_length

SADDLE_WIDTH_MM = 762.0
"""A chimney wider than 30 in wants a saddle behind it (R903.2.2 and R1003.20 of the IRC, from
memory; local code governs)."""


def doubts_of(project: Project, parts: Gathered, surface: Surface) -> list[Problem]:
    """Problems of a composed roof."""
    out = work_problems(project)
    out += [_at(e, f"{e.name}: {e.remark}") for e in surface.edges if e.remark]
    out += _lost(parts, surface)
    out += _short_rakes(project, surface)
    out += _eaves_into_walls(surface)
    out += _undrained(surface)
    out += _openings(project, parts, surface)
    out += _gaps(project, parts, surface)
    out += near_misses(project, surface)
    out += loose_ties(project)
    return out + _forgotten(project, surface)


def _middle(edge: RoofEdge) -> tuple[float, float]:
    middle = (edge.start + edge.end) / 2.0
    return float(middle[0]), float(middle[1])


def _at(edge: RoofEdge, sentence: str) -> Problem:
    return Problem(sentence, False, edge.planes[0].section, (_middle(edge),))


def _lost(parts: Gathered, surface: Surface) -> list[Problem]:
    bodies = {b.part: b for b in parts.bodies}
    return [
        Problem(
            f"{bodies[part].name}: a piece of its roof got lost where lines nearly coincide; its"
            " areas are wrong. Move a corner, or square up the outline.",
            True,
            part,
            (bodies[part].corner,),
        )
        for part in surface.lost
    ]


def _short_rakes(project: Project, surface: Surface) -> list[Problem]:
    """Where eaves of one section lie at unlike heights, the end of the lower plane shows."""
    sloping = {
        (s.id, e.id): s
        for s in project.sections()
        for r in s.rings
        for e in r.edges
        if e.profile[0].slope is not None
    }
    out = []
    for e in surface.edges:
        if e.kind is not EdgeKind.RAKE or isinstance(e.id.second, PlaneId):
            continue
        first = e.id.first
        section = sloping.get((first.section, e.id.second))
        if section is not None and e.id.second != first.edge:
            out.append(
                _at(
                    e,
                    f"{e.name}: two eaves of {section.name} meet at unlike heights, so the higher"
                    " fascia ends in this short rake. Level fascias or other overhangs avoid it.",
                )
            )
    return out


def _eaves_into_walls(surface: Surface) -> list[Problem]:
    edges = {e.id: e for e in surface.edges}
    out = []
    for node in surface.nodes:
        meeting = [edges[i] for i in node.edges]
        eaves = [e for e in meeting if e.kind is EdgeKind.EAVE]
        walls = [e for e in meeting if e.kind is EdgeKind.SIDEWALL]
        for eave in eaves:
            if any(w.planes[0] == eave.planes[0] for w in walls):
                place = (float(node.place[0]), float(node.place[1]))
                sentence = (
                    f"{eave.name} runs into a wall: lead the water away from the wall there (a"
                    " kick-out flashing)."
                )
                out.append(Problem(sentence, False, eave.planes[0].section, (place,)))
    return out


def uphill(plane: Plane) -> Array:
    """(2,) uphill gradient of a plane."""
    angle = math.radians(plane.bearing)
    return np.array([-math.sin(angle), -math.cos(angle)]) * plane.slope


def _undrained(surface: Surface) -> list[Problem]:
    """Planes whose water reaches no eave, valley or lower plane."""
    edges = {e.id: e for e in surface.edges}
    planes = {p.id: p for p in surface.planes}
    out = []
    for plane in surface.planes:
        if plane.slope == 0.0:
            continue
        shape = shapely.Polygon(plane.outline[:, :2], [h[:, :2] for h in plane.holes])
        if any(_leaves(plane, shape, edges[i], planes) for i in plane.edges if i in edges):
            continue
        spot = shape.representative_point()
        sentence = f"{plane.name}: its water has nowhere to go; every low side is a wall."
        out.append(Problem(sentence, False, plane.id.section, ((spot.x, spot.y),)))
    return out


def _leaves(
    plane: Plane, shape: shapely.Polygon, edge: RoofEdge, planes: dict[PlaneId, Plane]
) -> bool:
    """Does water leave the plane over this edge?"""
    if edge.kind in (EdgeKind.HEADWALL, EdgeKind.SIDEWALL, EdgeKind.UPHILL_SIDE):
        return False
    way = (edge.end - edge.start)[:2]
    length = float(np.hypot(*way))
    if length <= HEAL_MM:
        return False
    outward = np.array([way[1], -way[0]]) / length
    middle = shapely.Point((edge.start + edge.end)[:2] / 2.0 + outward * HEAL_MM)
    if shape.distance(middle) < HEAL_MM / 2.0:
        outward = -outward
    return float(outward @ uphill(plane)) < -ALONG_SLOPE_SINE * plane.slope


def _openings(project: Project, parts: Gathered, surface: Surface) -> list[Problem]:
    out = []
    valleys = [e for e in surface.edges if e.kind is EdgeKind.VALLEY]
    saddles = {o.id for o in project.openings()}
    for opening in project.openings():
        shape = shapely.Polygon(opening.corners)
        if not shape.is_valid:
            continue
        spot = shape.representative_point()
        out += _beside_the_roof(opening, shape, parts, (spot.x, spot.y))
        for valley in valleys:
            if any(p.section in saddles for p in valley.planes):
                continue
            line = shapely.LineString([valley.start[:2], valley.end[:2]])
            if line.distance(shape) <= HEAL_MM:
                sentence = (
                    f"{opening.name} stands in {valley.name}: the water of the valley runs against"
                    " it. Move it, or lead the valley around it."
                )
                out.append(Problem(sentence, False, opening.id, ((spot.x, spot.y),)))
        out += _wants_saddle(opening, parts, project, (spot.x, spot.y))
    return out


def _beside_the_roof(
    opening: Opening, shape: shapely.Polygon, parts: Gathered, spot: tuple[float, float]
) -> list[Problem]:
    """An opening that hangs over the roof's edge, or covers a whole part of it."""
    drips = [b.drip for b in parts.bodies if b.part != opening.id]
    touched = [d for d in drips if d.intersects(shape)]
    if not touched:
        return []
    if any(shape.contains(d) for d in touched):
        sentence = (
            f"{opening.name} covers a whole part of the roof and cuts it away; make it smaller."
        )
        return [Problem(sentence, True, opening.id, (spot,))]
    out = shape.difference(shapely.union_all(touched)).area
    if opening.kind != "chimney" and out > HEAL_MM * shape.length:
        sentence = f"{opening.name} hangs over the roof's edge; move it onto a plane."
        return [Problem(sentence, False, opening.id, (spot,))]
    return []


def _wants_saddle(
    opening: Opening, parts: Gathered, project: Project, spot: tuple[float, float]
) -> list[Problem]:
    if opening.kind != "chimney" or opening.saddle:
        return []
    found = uphill_side(opening, [b for b in parts.bodies if b.part != opening.id])
    if found is None:
        return []
    width = float(np.hypot(*(found[0][1] - found[0][0])))
    if width <= SADDLE_WIDTH_MM:
        return []
    mend = Mend(
        "Put a saddle behind it", partial(change_opening, opening_id=opening.id, saddle=True)
    )
    sentence = (
        f"{opening.name} is {format_length(width, project.units)} wide across the slope, more"
        " than 30 in: codes ask for a saddle (cricket) behind it."
    )
    return [Problem(sentence, False, opening.id, (spot,), mend)]


def _gaps(project: Project, parts: Gathered, surface: Surface) -> list[Problem]:
    names = {b.part: b.name for b in parts.bodies}
    return [
        Problem(
            f"The overhangs of {names[g.first]} and {names[g.second]} pass each other"
            f" {only(g.height, project.units)} apart: nobody can work between them."
            " Shorten one, or set one higher.",
            False,
            g.second,
            (g.place,),
        )
        for g in surface.gaps
    ]


def _forgotten(project: Project, surface: Surface) -> list[Problem]:
    """What was set by hand on an edge or plane that is no longer there; it is kept."""
    edges = {str(e.id) for e in surface.edges}
    planes = {str(p.id) for p in surface.planes}
    out = []
    for override in project.edge_overrides:
        if override.edge not in edges:
            part = override.edge.split("/", 1)[0]
            sentence = (
                f"A roof edge of {_name(project, part)} was set to {override.kind} by hand, but it"
                " is no longer there. The setting is kept in case it comes back."
            )
            out.append(Problem(sentence, False, part))
    for covering in project.plane_coverings:
        if covering.plane not in planes:
            part = covering.plane.split("/", 1)[0]
            sentence = (
                f"A plane of {_name(project, part)} was given its own covering, but it is no"
                " longer there. The setting is kept in case it comes back."
            )
            out.append(Problem(sentence, False, part))
    for laid in project.plane_layouts:
        if laid.plane not in planes:
            part = laid.plane.split("/", 1)[0]
            sentence = (
                f"The panels of a plane of {_name(project, part)} were given their own layout, but"
                " the plane is no longer there. The setting is kept in case it comes back."
            )
            out.append(Problem(sentence, False, part))
    return out


def _name(project: Project, part: str) -> str:
    known: list[Section | Opening] = [*project.sections(), *project.openings()]
    names = {p.id: p.name for p in known} | {p.id: p.name for p in project.planes()}
    return names.get(part, "a part that was removed")
