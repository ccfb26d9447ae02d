"""The ice barrier: membrane from the eaves to a distance inside the walls below.

Residential code R905.1.2: at least 24 in inside the exterior wall line, measured level; in the
editions of 2015 to 2021 on roofs of 8/12 and more also at least 36 in up the slope.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from roofmodel.document.work import Edition
from roofmodel.surface import PlaneId, RoofEdge
from roofmodel.takeoff.courses import Band, Course, along_eave, eaves_of
from roofmodel.takeoff.formula import labelled, length, size
from roofmodel.takeoff.site import Site
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import LengthUnits

STEEP: Final = 8.0 / 12.0
LEAST_ON_STEEP: Final = 914.4
WITH_LEAST: Final[tuple[Edition, ...]] = ("2015", "2018", "2021")


@dataclass(frozen=True, slots=True)
class IceCourses:
    """The ice barrier along one eave: how far it must `reach` up the slope (mm), the formula of
    that, its courses and the band they cover."""

    plane: PlaneId
    edge: RoofEdge
    reach: float
    how: str
    courses: tuple[Course, ...]
    band: Band
    source: str
    note: str


def reach_up(
    overhang: float, inside: float, slope: float, edition: Edition, wall: float = 0.0
) -> float:
    """How far up the slope (mm) the barrier reaches from the eave's edge; `wall` is the thickness
    of the wall where the distance counts from its inside face.

    >>> round(reach_up(18 * 25.4, 24 * 25.4, 0.5, "2021") / 25.4, 2)
    46.96
    """
    reach = (overhang + wall + inside) * math.sqrt(1.0 + slope**2)
    return max(reach, LEAST_ON_STEEP) if _has_least(slope, edition) else reach


def _has_least(slope: float, edition: Edition) -> bool:
    return edition in WITH_LEAST and slope >= STEEP - COUNT_EPS


def ice_courses(site: Site) -> tuple[IceCourses, ...]:
    """The ice barrier along every eave over walls, but on planes that have membrane all over;
    none unless the job has one."""
    work, roll = site.project.work, site.project.layers.membrane
    barrier = work.ice_barrier
    if not barrier.on:
        return ()
    wall = barrier.wall if barrier.face == "inside" else 0.0
    counted = {e.id for e in site.covered_edges}
    out = []
    for plane, case in site.cases.items():
        walls = site.walls.get(plane.section)
        # membrane all over a plane is its ice barrier as well
        if walls is None or walls.open_below or site.is_under_membrane(plane):
            continue
        slope = case.plane.slope
        for number, edge in eaves_of(case):
            if edge.id not in counted:
                continue
            overhang = walls.overhang(edge)
            reach = reach_up(overhang, barrier.inside, slope, work.edition, wall)
            courses, band = along_eave(case, number, roll.width, roll.head_lap, reach)
            how = _how(site, overhang, wall, slope)
            source, note = _words(work.edition, barrier.face)
            out.append(IceCourses(plane, edge, reach, how, courses, band, source, note))
    return tuple(out)


def _how(site: Site, overhang: float, wall: float, slope: float) -> str:
    units: LengthUnits = site.units
    work = site.project.work
    factor = math.sqrt(1.0 + slope**2)
    # a steep plane multiplies the rounding of its overhang
    terms = [labelled(length(overhang, units, int(factor > 2.0))[0], "overhang")]
    if wall > 0.0:
        terms.append(labelled(size(wall, units), "wall"))
    terms.append(labelled(size(work.ice_barrier.inside, units), "inside the wall"))
    how = f"({' + '.join(terms)}) × {labelled(f'{factor:.6f}', 'slope factor')}"
    if _has_least(slope, work.edition):
        least = labelled(size(LEAST_ON_STEEP, units), "least from 8/12 on")
        return f"larger of ({how}, {least})"
    return how


def _words(edition: Edition, face: str) -> tuple[str, str]:
    year = "2009 or older" if edition == "2009" else edition
    source = f"residential code {year} R905.1.2: 24 in inside the exterior wall line, level"
    if edition in WITH_LEAST:
        source += "; from 8/12 on also 36 in up the slope"
    note = (
        f"measured from the {face} face of the wall; the code names shingles, not panels: whether"
        " it asks for one here, the permit office says"
    )
    return source, note
