"""Zones along edges and corners of the roof, for the layout of fasteners: never a pressure check.

ASCE 7, components and cladding, roofs up to 60 ft: the width a is the smaller of 10 % of the
least plan dimension and 0.4 h, but no less than 4 % of that dimension and 3 ft. Editions and
slopes differ in which strips are zones; here every strip of width a along an eave, rake, ridge
or hip is an edge zone, and where two of them cross a corner zone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
import shapely

from roofmodel.surface import Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.check_types import PlaneZones
from roofmodel.takeoff.courses import true_shape
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.formula import area, labelled, size, sum_of
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Quantity
from roofmodel.takeoff.ventilation import CHECKS
from roofmodel.takeoff.wall_lines import least_side
from roofmodel.tolerance import COUNT_EPS, NODING_MM, SAME_POINT_MM
from roofmodel.units import format_length

LEAST_MM: Final = 914.4
_FLAT_DEG: Final = 7.0
_EAVE_COUNTS_DEG: Final = 10.0
_OUTER: Final = {
    EdgeKind.EAVE,
    EdgeKind.HIGH_EAVE,
    EdgeKind.RAKE,
    EdgeKind.RIDGE,
    EdgeKind.HIP,
}
_CROSS_SINE: Final = math.sin(math.radians(15.0))


def zone_width(least: float, height: float) -> float:
    """The width a (mm) from the least plan dimension and the mean roof height (mm).

    >>> ft = 304.8
    >>> [round(zone_width(x * ft, h * ft) / ft, 2) for x, h in ((32, 25), (60, 12), (120, 20))]
    [3.2, 4.8, 8.0]
    """
    return max(min(0.1 * least, 0.4 * height), 0.04 * least, LEAST_MM)


@dataclass(frozen=True, slots=True)
class BuildingZones:
    """The zones' width of one building (mm), from its least plan dimension and the mean height of
    its roof; `how` is the formula, `flat_how` that of the outer band on planes up to 7 degrees:
    0.6 h."""

    building: str
    least: float
    height: float
    width: float
    how: str
    flat_how: str
    planes: tuple[PlaneId, ...]

    @property
    def flat_reach(self) -> float:
        """The outer band of planes up to 7 degrees: no narrower than the zones elsewhere."""
        return max(0.6 * self.height, self.width)

    def width_on(self, plane: Plane) -> float:
        """The width of the zones on one of its planes."""
        return self.flat_reach if is_flat(plane) else self.width


def building_zones(site: Site) -> tuple[BuildingZones, ...]:
    """The width of the zones of each building that has covered planes over walls."""
    out = []
    for building in site.project.buildings:
        planes = [p for p in site.covered if p.building == building.id]
        parts = dict.fromkeys(p.id.section for p in planes)
        least = least_side(tuple(site.walls[k] for k in parts if k in site.walls))
        if least <= 0.0:
            continue
        height = site.project.work.mean_height or _mean_height(planes)
        width = zone_width(least, height)
        ids = tuple(p.id for p in planes)
        how, flat_how = _how(site, least, height)
        out.append(BuildingZones(building.id, least, height, width, how, flat_how, ids))
    return tuple(out)


def _mean_height(planes: list[Plane]) -> float:
    """Half way from the lowest eave to the highest point; the eave itself on roofs under 10°."""
    low = min(float(p.outline[:, 2].min()) for p in planes)
    high = max(float(p.outline[:, 2].max()) for p in planes)
    steepest = max(p.slope for p in planes)
    if math.degrees(math.atan(steepest)) < _EAVE_COUNTS_DEG:
        return max(low, 0.0)
    return max((low + high) / 2.0, 0.0)


def _how(site: Site, least: float, height: float) -> tuple[str, str]:
    units = site.units
    side = labelled(format_length(least, units), "least plan dimension")
    mean = labelled(format_length(height, units), "mean roof height")
    smaller, least_words = f"smaller of ({side} ÷ 10, {mean} × 2 ÷ 5)", size(LEAST_MM, units)
    return (
        f"larger of ({smaller}, {side} ÷ 25, {least_words})",
        f"larger of ({mean} × 3 ÷ 5, {smaller}, {side} ÷ 25, {least_words})",
    )


@lru_cache(maxsize=4096)
def plane_zones(case: Case, width: float) -> PlaneZones:
    """Strips of this width (measured level) along a plane's outer edges. Cached by value."""
    # as the case's own key has them: what is kept by its value must follow from it
    edges = [e for e in case.edges if trim_kind(e) in _OUTER and _is_long(e)]
    if not edges:
        return PlaneZones(case.plane.id, shapely.Polygon(), shapely.Polygon())
    plan = np.array([[e.start[:2], e.end[:2]] for e in edges])
    ways = plan[:, 1] - plan[:, 0]
    ways /= np.hypot(ways[:, 0], ways[:, 1])[:, None]
    # level widths, then drawn out along the slope
    sides = np.column_stack([-ways[:, 1], ways[:, 0]])[:, None] * width
    rings = np.concatenate([plan - sides, (plan + sides)[:, ::-1]], axis=1)
    flat = Frame.of(case.plane).flat(rings.reshape(-1, 2)).reshape(-1, 4, 2)
    shapes: Any = shapely.polygons(flat)
    strips = np.atleast_1d(shapely.intersection(shapes, true_shape(case)))
    one, two = np.triu_indices(len(edges), 1)
    turns = ways[one, 0] * ways[two, 1] - ways[one, 1] * ways[two, 0]
    cross = np.abs(turns) > _CROSS_SINE
    corners = np.atleast_1d(shapely.intersection(strips[one[cross]], strips[two[cross]]))
    # on a grid, or the last digits of a common corner leave shapes within shapes
    corner = shapely.union_all(_areas(corners), grid_size=NODING_MM)
    whole = shapely.union_all(_areas(strips), grid_size=NODING_MM)
    rest = shapely.difference(whole, corner, grid_size=NODING_MM)
    return PlaneZones(case.plane.id, rest, corner)


def _is_long(edge: RoofEdge) -> bool:
    """Has the edge a length in plan?"""
    return float(np.hypot(*(edge.end - edge.start)[:2])) > SAME_POINT_MM


def _areas(shapes: Any) -> Any:
    """The polygons of some shapes, without lines and points where they only touch."""
    parts = shapely.get_parts(shapes)
    return parts[shapely.get_dimensions(parts) == 2]


def _of_planes(site: Site, one: BuildingZones) -> list[PlaneZones]:
    cases = [site.cases[p] for p in one.planes if p in site.cases]
    return [plane_zones(case, one.width_on(case.plane)) for case in cases]


def zones_of(site: Site) -> tuple[PlaneZones, ...]:
    """The zones of every sloping plane that a system covers."""
    return tuple(z for one in building_zones(site) for z in _of_planes(site, one))


def zone_lines(site: Site) -> list[Quantity]:
    """The width of the zones, and their areas, building after building."""
    found, units = building_zones(site), site.units
    edition = site.project.work.wind_edition
    source = f"ASCE 7, edition {edition}: layout only, never a pressure check"
    out = []
    for one in found:
        after = f", {site.coverings.buildings[one.building]}" if len(found) > 1 else ""
        note = f"mean roof height {format_length(one.height, units)}"
        out.append(
            Quantity(
                *(CHECKS, f"Width of edge zones{after}", "mm", one.width, one.how, source),
                one.planes,
                note=note,
            )
        )
        flat = tuple(p for p in one.planes if p in site.cases and is_flat(site.cases[p].plane))
        if flat and one.flat_reach > one.width:
            item = f"Width of edge zones on planes up to 7°{after}"
            line = (CHECKS, item, "mm", one.flat_reach, one.flat_how, source)
            out.append(Quantity(*line, flat, note=note))
        zones = [(z, site.cases[z.plane].plane.name) for z in _of_planes(site, one)]
        for item, pick in (("Edge zones", "edge"), ("Corner zones", "corner")):
            some = [(float(getattr(z, pick).area), name, z.plane) for z, name in zones]
            some = [s for s in some if s[0] > 1.0]
            if some:
                how = sum_of(labelled(area(a, units), name) for a, name, _ in some)
                total = sum(a for a, _, _ in some)
                ids = tuple(p for _, _, p in some)
                out.append(Quantity(CHECKS, item + after, "mm²", total, how, source, ids))
    return out


def is_flat(plane: Plane) -> bool:
    """Is the plane one whose zones are bands of 0.6 h?"""
    return math.degrees(math.atan(plane.slope)) <= _FLAT_DEG + COUNT_EPS
