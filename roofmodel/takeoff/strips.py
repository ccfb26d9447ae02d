"""A field of metal cut into strips that run up the slope: sheets, their lengths, what they cover.

Sheets are laid from low u to high u with their lap leg on the high side; a plane laid from its
right end is mirrored first (`Metal.mirrored`). Lengths mm, areas mm².
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.takeoff.types import Array
from roofmodel.tolerance import COUNT_EPS, HEAL_MM

HAIR_MM = 3e-7
"""More than rounding moves a corner, less than any check value shows."""

_THREAD_MM2 = 0.01
"""A piece no larger is a thread that rounding left, not metal: at a millimetre's width it is
hardly a hundredth high."""

Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Metal:
    """The metal on one plane: `field` is what it covers, `cut` the same with its hems."""

    field: shapely.MultiPolygon
    cut: shapely.MultiPolygon

    @property
    def is_hemmed(self) -> bool:
        """Is more cut than covered?"""
        return self.cut is not self.field

    def mirrored(self) -> Metal:
        """The same seen with u running the other way."""
        field = _mirrored(self.field)
        return Metal(field, _mirrored(self.cut) if self.is_hemmed else field)

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest u of what is covered."""
        left, _, right, _ = self.field.bounds
        return left, right


def _mirrored(shape: shapely.MultiPolygon) -> shapely.MultiPolygon:
    flip = np.array([-1.0, 1.0])
    return shapely.transform(shape, lambda points: points * flip)


@dataclass(frozen=True, slots=True, eq=False)
class Sheets:
    """Pieces of metal in sheets, sheet after sheet, left to right, then bottom to top.

    `parts` are the pieces within the whole sheet, `owner` the number of each one's sheet;
    `covered` are polygons within the coverage, `part_of` the number of each one's piece, `areas`
    their areas; `net` (by area within the coverage) and `width` (its extent across) are per
    piece.
    """

    parts: Any
    owner: Index
    covered: Any
    part_of: Index
    areas: Array
    net: Array
    width: Array

    @property
    def lengths(self) -> Array:
        """Extent of each piece along the slope."""
        bounds = shapely.bounds(self.parts)
        out: Array = bounds[:, 3] - bounds[:, 1]
        return out

    @property
    def kept(self) -> NDArray[np.bool_]:
        """Which pieces are metal, not rounding."""
        out: NDArray[np.bool_] = (self.net > _THREAD_MM2) & (self.width > HEAL_MM)
        return out


def sheets_at(metal: Metal, starts: Array, coverage: float, lap_leg: float) -> Sheets:
    """The sheets whose coverage begins at each of `starts` (n,).

    A sheet that lies last (metal no wider than its lap leg is left beyond it) covers with its
    lap leg as well.
    """
    _, right = metal.ends
    _, low, _, high = metal.cut.bounds
    ends = starts + coverage
    reach = ends + lap_leg
    is_last = ends >= right - lap_leg - HEAL_MM - coverage * COUNT_EPS
    ends = np.where(is_last, np.maximum(reach, right), ends)
    below, above = np.full(len(starts), low - 1.0), np.full(len(starts), high + 1.0)
    # a hair narrower, so that rounding beside a chimney joins no panels
    first = starts + HAIR_MM
    sheets = shapely.box(first, below, np.maximum(reach, ends) - HAIR_MM, above)
    parts, owner = _pieces(shapely.intersection(metal.cut, sheets))
    strips = shapely.box(first, below, ends - HAIR_MM, above)
    if lap_leg > 0.0:
        parts, owner = _parted(parts, owner, shapely.intersection(parts, strips[owner]))
    inside = parts
    if lap_leg > 0.0:
        inside = shapely.intersection(parts, strips[owner])
    if metal.is_hemmed:
        inside = shapely.intersection(inside, metal.field)
    covered, part_of = _pieces(inside)
    areas = shapely.area(covered)
    count = len(parts)
    net = summed(part_of, areas, count)
    lowest, highest = np.full(count, math.inf), np.full(count, -math.inf)
    bounds = shapely.bounds(covered)
    np.minimum.at(lowest, part_of, bounds[:, 0])
    np.maximum.at(highest, part_of, bounds[:, 2])
    return Sheets(parts, owner, covered, part_of, areas, net, np.maximum(highest - lowest, 0.0))


def _parted(parts: Any, owner: Index, inside: Any) -> tuple[Any, Index]:
    """Pieces of sheets, those taken apart whose coverage (`inside`) falls apart up the slope: two
    panels are not cut as one for a strip of lap leg that runs past a dormer."""
    covered, part_of = _pieces(inside)
    keep = shapely.area(covered) > _THREAD_MM2
    covered, part_of = covered[keep], part_of[keep]
    bounds = shapely.bounds(covered)
    cut = parts.copy()
    changed = False
    for k in np.flatnonzero(np.bincount(part_of, minlength=len(parts)) > 1).tolist():
        spans = sorted((float(b[1]), float(b[3])) for b in bounds[part_of == k])
        left, _, right, _ = parts[k].bounds
        top = spans[0][1]
        for low, high in spans[1:]:
            if low > top + HEAL_MM:
                band = shapely.box(left - 1.0, top, right + 1.0, low)
                cut[k] = shapely.difference(cut[k], band)
                changed = True
            top = max(top, high)
    if not changed:
        return parts, owner
    pieces, whole = _pieces(cut)
    return pieces, owner[whole]


def starts_of(metal: Metal, offset: float, coverage: float, lap_leg: float) -> Array:
    """Where the coverage of each sheet begins, (n,), if one begins `offset` from the low end.

    Metal no wider than the lap leg lies on the last sheet already: it takes no further one.
    """
    left, right = metal.ends
    offset = offset_within(offset, coverage)
    first = float(left + offset - (coverage if offset > 0.0 else 0.0))
    count = math.ceil((right - lap_leg - HEAL_MM - first) / coverage - COUNT_EPS)
    out: Array = first + coverage * np.arange(max(1, count), dtype=np.float64)
    return out


def offset_within(offset: float, coverage: float) -> float:
    """The same place of a sheet's side as 0 or more, less than one coverage; what lies a
    millimetre beside the end lies on it."""
    offset %= coverage
    return 0.0 if min(offset, coverage - offset) <= HEAL_MM else offset


def areas_between(field: shapely.MultiPolygon, levels: Array) -> Array:
    """Exact areas (n − 1,) of a shape between u-levels (n,)."""
    below: Array = np.zeros(len(levels))
    for polygon in field.geoms:
        polygon = shapely.geometry.polygon.orient(polygon)
        for ring in (polygon.exterior, *polygon.interiors):
            p = shapely.get_coordinates(ring)
            x0, y0, x1, y1 = p[:-1, 0], p[:-1, 1], p[1:, 0], p[1:, 1]
            # under each side, up to each level: the trapezoid of the clipped side
            low, high = np.minimum(x0, x1), np.maximum(x0, x1)
            steep = high - low <= 0.0
            slope = np.where(steep, 0.0, (y1 - y0) / np.where(steep, 1.0, x1 - x0))
            clipped = np.clip(levels[:, None], low, high)
            at_low = np.where(x0 <= x1, y0, y1)
            run = clipped - low
            area = run * (at_low + 0.5 * slope * run)
            below = below + (np.where(x0 <= x1, -1.0, 1.0) * area).sum(axis=1)
    out: Array = np.diff(below)
    return out


def summed(owner: Index, values: Array, count: int) -> Array:
    """Sums (count,) of values by the number of their owner."""
    return np.bincount(owner, values, minlength=count).astype(np.float64)


def _pieces(shapes: Any) -> tuple[Any, Index]:
    """The polygons of many shapes and the number of each one's shape: shape after shape, left to
    right, then bottom to top."""
    pieces, owner = shapely.get_parts(shapes, return_index=True)
    is_polygon = shapely.get_type_id(pieces) == shapely.GeometryType.POLYGON
    is_polygon &= ~shapely.is_empty(pieces)
    pieces, owner = pieces[is_polygon], owner[is_polygon]
    x0, y0, x1, y1 = shapely.bounds(pieces).T
    order = np.lexsort((y1, x1, y0, x0, owner))
    return pieces[order], owner[order]
