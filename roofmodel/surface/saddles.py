"""The saddle behind a chimney: two small planes that lead the water around it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely

from roofmodel.document import Opening
from roofmodel.errors import OutlineError
from roofmodel.surface.bodies import Body, Facet, Side, ring_lines
from roofmodel.surface.types import Array
from roofmodel.tolerance import HEAL_MM, SAME_POINT_MM

_FACES_UPHILL = math.cos(math.radians(30.001))
"""A chimney's side counts as its uphill side if it is square to the slope within 30 degrees; 30
itself counts however the house is turned."""

SADDLE_MISS_MM = 1.0
_REACH = 2.0
"""The roof behind a side is looked for 1 mm outside of it."""

_PAST = 1.05
"""The saddle reaches this much further than its ridge, to be cut off by the plane behind it."""


def uphill_side(opening: Opening, bodies: Sequence[Body]) -> tuple[Array, Facet] | None:
    """The (2, 2) side of an opening that water runs against, with the roof left of it inside
    the opening, and the topmost facet behind it; None where no side faces uphill."""
    ring = np.array(shapely.orient_polygons(shapely.Polygon(opening.corners)).exterior.coords)
    best: tuple[tuple[float, ...], Array, Facet] | None = None
    bodies = _near(opening.corners, bodies)
    for a, b in itertools.pairwise(ring):
        way = b - a
        length = float(np.hypot(*way))
        if length <= SAME_POINT_MM:
            continue
        outward = np.array([way[1], -way[0]]) / length
        place = (a + b) / 2.0 + outward
        for facet in _topmost(place, bodies):
            slope = math.hypot(*facet.gradient)
            faces = float(outward @ facet.gradient) / slope if slope else 0.0
            # of sides and planes that do as well, ones that do not hang on the order of corners
            height = float(facet.height(place[None])[0])
            rank = tuple(round(v, 6) for v in (faces, length, slope, height))
            if faces >= _FACES_UPHILL and (best is None or rank > best[0]):
                best = rank, np.array([a, b]), facet
    return None if best is None else best[1:]


def _near(corners: Sequence[tuple[float, float]], bodies: Sequence[Body]) -> list[Body]:
    """The bodies that could lie within reach of these corners: a few of many."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    left, low, right, high = min(xs), min(ys), max(xs), max(ys)
    out = []
    for body in bodies:
        x0, y0, x1, y1 = body.drip.bounds
        across = x0 <= right + _REACH and x1 >= left - _REACH
        if across and y0 <= high + _REACH and y1 >= low - _REACH:
            out.append(body)
    return out


def _topmost(place: Array, bodies: Sequence[Body]) -> list[Facet]:
    """The topmost facet over a place; several where it lies on the line between them."""
    facets = [f for b in bodies for f in b.facets]
    polygons = np.array([f.polygon for f in facets], dtype=object)
    near = np.flatnonzero(shapely.dwithin(polygons, shapely.Point(place), SAME_POINT_MM))
    over = [facets[k] for k in near.tolist()]
    heights = [float(f.height(place[None])[0]) for f in over]
    return [f for f, z in zip(over, heights, strict=True) if z >= max(heights) - HEAL_MM]


def saddle_body(opening: Opening, bodies: Sequence[Body]) -> Body:
    """The saddle of an opening on the roof of some bodies.

    With the plane's own pitch it is the size that model codes give a cricket: its ridge is
    level and half the width times the pitch high (R1003.20 of the IRC, from memory). OutlineError
    where the opening has no uphill side.
    """
    found = uphill_side(opening, bodies)
    if found is None:
        raise OutlineError(
            "It has no side that faces up a slope, so no saddle can stand behind it; take the"
            " saddle away or move it off the ridge."
        )
    (a, b), behind = found
    way = b - a
    width = float(np.hypot(*way))
    d = way / width
    outward = np.array([d[1], -d[0]])
    rise = float(outward @ behind.gradient)
    slope = opening.saddle_slope or math.hypot(*behind.gradient)
    depth = slope * width / 2.0 / rise * _PAST
    # from the lower corner, so that no edge of it hangs above the roof
    foot = float(behind.height(np.array([a, b])).min())
    middle = (a + b) / 2.0
    ridge = foot + slope * width / 2.0
    end = middle + outward * (depth / _PAST)
    on = _topmost(end, _near([(float(end[0]), float(end[1]))], bodies))
    if not on or float(on[0].height(end[None])[0]) < ridge - SADDLE_MISS_MM:
        raise OutlineError(
            "The roof behind it ends before its saddle does: it stands too near the ridge for a"
            " saddle of this pitch. Give the saddle a flatter pitch or take it away."
        )
    facets = []
    for name, corner, way_up in (("left", a, d), ("right", b, -d)):
        polygon = shapely.Polygon(
            [corner, middle, middle + outward * depth, corner + outward * depth]
        )
        gradient = (float(way_up[0]) * slope, float(way_up[1]) * slope)
        through = (float(corner[0]), float(corner[1]), foot)
        facets.append(Facet(name, 0, gradient, through, shapely.orient_polygons(polygon)))
    drip = shapely.orient_polygons(
        shapely.Polygon([a, b, b + outward * depth, a + outward * depth])
    )
    sides = tuple(Side(f.edge, 0, f.gradient, "Saddle") for f in facets)
    lines = ring_lines(drip)
    body = next(b for b in bodies if behind in b.facets)
    return Body(
        opening.id,
        opening.name,
        body.building,
        tuple(facets),
        sides,
        drip,
        drip,
        lines,
        lines,
        False,
    )
