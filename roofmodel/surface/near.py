"""Near misses: eaves, walls and pitches of sections that were meant to agree and do not quite.

A traced house is never exact. What lies within 2 degrees, 3 in in plan and 1 in in height of
agreeing is told, with an edit that makes it agree.
"""

from __future__ import annotations

import itertools
import math
from functools import partial

import numpy as np
import shapely

from roofmodel.document import Mend, Problem, Project, Section
from roofmodel.document.edits import move_corner, set_eave_height, set_slope
from roofmodel.surface.types import Array, PlaneId, RoofEdge, Surface
from roofmodel.tolerance import HEAL_MM, NEAR_DEG, NEAR_HEIGHT_MM, NEAR_PLAN_MM
from roofmodel.units import LengthUnits, format_length

_LONG_MM = 304.8
"""Sides that run beside each other for less than a foot are no pair."""


def only(length: float, units: LengthUnits) -> str:
    """A small length in words: "only 0'-1 1/2"", or "less than 1/8 in" where that would be 0."""
    return "less than 1/8 in" if length < 3.175 else f"only {format_length(length, units)}"


def near_misses(project: Project, surface: Surface) -> list[Problem]:
    """Near misses between the sections of each building, and between planes that nearly lie in
    one."""
    out: list[Problem] = []
    for building in project.buildings:
        for one, two in itertools.combinations(building.sections, 2):
            if _close(one, two):
                out += _heights(project, one, two) + _sides(project, one, two)
    return out + _pitches(project, surface)


def _close(one: Section, two: Section) -> bool:
    a, b = (shapely.Polygon(s.rings[0].corners) for s in (one, two))
    return bool(shapely.dwithin(a, b, NEAR_PLAN_MM))


def _heights(project: Project, one: Section, two: Section) -> list[Problem]:
    apart = abs(one.eave_height - two.eave_height)
    if one.level != two.level or not HEAL_MM / 10.0 < apart <= NEAR_HEIGHT_MM:
        return []
    mend = Mend(
        f"Set the eave of {two.name} to that of {one.name}",
        partial(set_eave_height, section_id=two.id, height=one.eave_height),
    )
    return [
        Problem(
            f"The eaves of {one.name} and {two.name} differ by {only(apart, project.units)} in"
            " height: were they meant to be level?",
            False,
            two.id,
            two.rings[0].corners[:1],
            mend,
        )
    ]


def _sides(project: Project, one: Section, two: Section) -> list[Problem]:
    if one.line != two.line:
        return []
    out = []
    ring_one, ring_two = (np.array(s.rings[0].corners) for s in (one, two))
    for k in range(len(ring_two)):
        p, q = ring_two[k], ring_two[(k + 1) % len(ring_two)]
        for j in range(len(ring_one)):
            a, b = ring_one[j], ring_one[(j + 1) % len(ring_one)]
            miss = _beside(a, b, p, q)
            if miss is None:
                continue
            mend = Mend(
                f"Put that side of {two.name} on the line of {one.name}",
                partial(_aligned, section_id=two.id, index=k, onto=(a, b)),
            )
            middle = (p + q) / 2.0
            out.append(
                Problem(
                    f"A side of {two.name} runs {only(miss, project.units)} beside one of"
                    f" {one.name}: were they meant to be on one line?",
                    False,
                    two.id,
                    ((float(middle[0]), float(middle[1])),),
                    mend,
                )
            )
    return out


def _beside(a: Array, b: Array, p: Array, q: Array) -> float | None:
    """The most by which side p-q misses the line a-b where the two were meant to be on one line;
    None where they are, or were not meant to."""
    way, other = b - a, q - p
    length, reach = float(np.hypot(*way)), float(np.hypot(*other))
    if min(length, reach) <= HEAL_MM:
        return None
    u = way / length
    sine = abs(float(u[0] * other[1] - u[1] * other[0])) / reach
    if sine > math.sin(math.radians(NEAR_DEG)):
        return None
    miss = [abs(float(u[0] * (c - a)[1] - u[1] * (c - a)[0])) for c in (p, q)]
    if not HEAL_MM < max(miss) <= NEAR_PLAN_MM:
        return None
    along = sorted(float(u @ (c - a)) for c in (p, q))
    shared = min(along[1], length) - max(along[0], 0.0)
    # sides that end on each other go on in one line as well
    return max(miss) if shared > _LONG_MM or abs(shared) <= NEAR_PLAN_MM else None


def _aligned(project: Project, section_id: str, index: int, onto: tuple[Array, Array]) -> Project:
    """Move the side from corner `index` onto a line: its corners slide along their other sides."""
    ring = project.section(section_id).rings[0].corners
    n = len(ring)
    a, b = np.array(onto[0]), np.array(onto[1])
    u = (b - a) / np.hypot(*(b - a))
    normal = np.array([-u[1], u[0]])
    for here, beyond in ((index, index - 1), ((index + 1) % n, (index + 2) % n)):
        p = np.array(ring[here])
        way = p - np.array(ring[beyond % n])
        off = float(normal @ (a - p))
        steep = float(normal @ way)
        # along the neighbouring side where it crosses the line well, else square to the line
        square = abs(steep) > 0.5 * float(np.hypot(*way))
        to = p + way * (off / steep) if square else p + normal * off
        project = move_corner(project, section_id, 0, here, (float(to[0]), float(to[1])))
    return project


def _pitches(project: Project, surface: Surface) -> list[Problem]:
    """Planes of two parts that meet nearly flat: one pitch was meant."""
    out = []
    for edge in surface.edges:
        second = edge.id.second
        if not isinstance(second, PlaneId) or not 0.0 < abs(edge.fold) < NEAR_DEG:
            continue
        first = edge.id.first
        middle = (edge.start + edge.end) / 2.0
        sentence = (
            f"{edge.name} bends by only {abs(edge.fold):.2f}°: were its planes meant to be one?"
        )
        place = (float(middle[0]), float(middle[1]))
        mend = _one_pitch(project, edge, surface)
        out.append(Problem(sentence, False, first.section, (place,), mend))
    return out


def _one_pitch(project: Project, edge: RoofEdge, surface: Surface) -> Mend | None:
    """Give the second plane the pitch of the first, where both stand on plain outline edges."""
    planes = {p.id: p for p in surface.planes}
    first, second = (planes[i] for i in edge.planes)
    turn = abs((first.bearing - second.bearing + 180.0) % 360.0 - 180.0)
    if turn > 1e-6 or abs(first.slope - second.slope) <= 1e-12:
        return None
    for section in project.sections():
        if section.id == second.id.section:
            for ring in section.rings:
                for e in ring.edges:
                    if e.id == second.id.edge and len(e.profile) == 1:
                        return Mend(
                            f"Give {second.name} the pitch of {first.name}",
                            partial(
                                set_slope,
                                section_id=section.id,
                                edge_ids=(e.id,),
                                slope=first.slope,
                            ),
                        )
    return None
