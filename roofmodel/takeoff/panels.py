"""Panels of one plane: the field of metal, cut into strips that run up the slope.

In a plane's own coordinates u runs level, to the right of someone who looks up the slope, and v
up the slope, both true lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from roofmodel.geometry import shifted_ring
from roofmodel.surface import Plane, RoofEdge
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.trim import trim_kind
from roofmodel.takeoff.types import Array, Panel
from roofmodel.tolerance import COUNT_EPS, HEAL_MM, SAME_POINT_MM

_NO_METAL_MM2 = 1.0
"""A piece of a strip smaller than this is rounding, not metal."""
_HAIR_MM = 3e-7
"""More than rounding moves a corner, less than any check value shows."""
_MITRE = 8.0
"""Corners reach at most this many times the shift past the plane."""
_STRAIGHT_ON = 0.02
"""Sine of a turn (1 degree) below which one side goes on as the next."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A plane's own coordinates: `across` and `uphill` are plan unit vectors."""

    across: tuple[float, float]
    uphill: tuple[float, float]
    factor: float
    slope: float
    origin: Array

    @classmethod
    def of(cls, plane: Plane) -> Frame:
        """The frame of a sloping plane."""
        angle = math.radians(plane.bearing)
        uphill = (-math.sin(angle), -math.cos(angle))
        across = (uphill[1], -uphill[0])
        factor = math.sqrt(1.0 + plane.slope**2)
        return cls(across, uphill, factor, plane.slope, plane.outline[0])

    def flat(self, points: Array) -> Array:
        """(n, 2) true-shape coordinates of (n, 3) points of the plane."""
        p = points[:, :2] - self.origin[:2]
        return np.column_stack([p @ self.across, p @ self.uphill * self.factor])

    def raised(self, uv: Array) -> Array:
        """(n, 3) points of the plane from true-shape coordinates."""
        run = uv[:, 1:2] / self.factor
        plan = (
            self.origin[:2] + uv[:, :1] * np.array([self.across]) + run * np.array([self.uphill])
        )
        return np.column_stack([plan, self.origin[2] + run * self.slope])


def field_of(
    plane: Plane, edges: Sequence[RoofEdge], system: RoofingSystem
) -> shapely.MultiPolygon:
    """The metal's outline on a plane, in the plane's own coordinates.

    Each side is moved by what the system says for its kind of edge. It may fall apart, or be
    empty where a plane is narrower than its set-backs.
    """
    frame = Frame.of(plane)
    corners, shifts = _sides(plane.outline, edges, system)
    if len(corners) < 3:
        return shapely.MultiPolygon()
    flat, most = frame.flat(corners), max(shifts)
    whole = _valid(shapely.Polygon(shifted_ring(flat, [max(s, 0.0) for s in shifts])))
    cuts = _set_backs(flat, shifts)
    for hole in plane.holes:
        corners, shifts = _sides(hole, edges, system)
        if len(corners) < 3:
            continue
        ring = frame.flat(corners)
        cuts += [_hole(ring, shifts), *_set_backs(ring, shifts)]
    whole = _without_spikes(whole, frame.flat(plane.outline), most)
    left = _without(whole, cuts) if cuts else whole
    return shapely.MultiPolygon([p for p in _parts(left) if p.area > _NO_METAL_MM2])


def _hole(ring: Array, shifts: Sequence[float]) -> BaseGeometry:
    """What metal leaves of a hole (clockwise) that it runs into where shifts are positive."""
    whole = _valid(shapely.Polygon(ring))
    if max(shifts) <= 0.0:
        return whole
    # seen from the hole the ring runs the other way, and the metal is a set-back
    turned = [-s for s in shifts[-2::-1]] + [-shifts[-1]]
    return _without(whole, _set_backs(ring[::-1], turned))


def _valid(shape: shapely.Polygon) -> BaseGeometry:
    if shape.is_valid:
        return shape
    try:
        return shapely.make_valid(shape, method="structure")
    except shapely.errors.GEOSException:  # rings that cross each other many times
        return shapely.make_valid(shape)


def _without(whole: BaseGeometry, cuts: Sequence[BaseGeometry]) -> BaseGeometry:
    try:
        return whole.difference(shapely.union_all(cuts))
    except shapely.errors.GEOSException:  # lines that nearly coincide; on a grid they do
        grid = SAME_POINT_MM
        cut = shapely.union_all([c.buffer(0.0) for c in cuts], grid_size=grid)
        return whole.buffer(0.0).difference(cut, grid_size=grid)


def _without_spikes(whole: BaseGeometry, outline: Array, shift: float) -> BaseGeometry:
    """Cut off what reaches past the outline by more than mitred corners may: moved sides of a
    very sharp corner meet far away."""
    past = _MITRE * shift
    low, high = outline.min(axis=0) - past, outline.max(axis=0) + past
    x0, y0, x1, y1 = whole.bounds
    if shift <= 0.0 or ((low <= (x0, y0)).all() and (high >= (x1, y1)).all()):
        return whole
    with np.errstate(all="ignore"):  # GEOS divides by zero on flat corners, and copes
        room = _valid(shapely.Polygon(outline)).buffer(
            shift, join_style="mitre", mitre_limit=_MITRE
        )
        return whole.intersection(room)


def _set_backs(ring: Array, shifts: Sequence[float]) -> list[BaseGeometry]:
    """What the sides with negative shifts take away: a strip along each, on its left, that ends
    where it meets the strips of its neighbours."""
    n = len(ring)
    step = np.roll(ring, -1, axis=0) - ring
    unit = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    before = np.roll(unit, 1, axis=0)
    # the turn at corner k, from side k - 1 to side k
    turns = np.arctan2(
        before[:, 0] * unit[:, 1] - before[:, 1] * unit[:, 0], (before * unit).sum(axis=1)
    ).tolist()
    out: list[BaseGeometry] = []
    for k, shift in enumerate(shifts):
        if shift >= 0.0:
            continue
        u, width = unit[k], -shift
        left = np.array([-u[1], u[0]]) * width
        a0, a1 = _past(turns[k], width, shifts[k - 1])
        b0, b1 = _past(turns[(k + 1) % n], width, shifts[(k + 1) % n])
        a, b = ring[k], ring[(k + 1) % n]
        # a hair outwards as well: the side itself must not stay behind as a thread
        corners = [a - u * a0 - left * 1e-6, b + u * b0 - left * 1e-6]
        corners += [b + u * b1 + left, a - u * a1 + left]
        out.append(_valid(shapely.Polygon(corners)))
    return out


def _past(turn: float, width: float, neighbour: float) -> tuple[float, float]:
    """How far a set-back strip runs on past a corner of its side, on the side itself and at its
    own inner line; `neighbour` is the shift of the side beyond the corner."""
    sine, cosine = math.sin(turn), math.cos(turn)
    if abs(sine) < _STRAIGHT_ON:
        return (0.0, 0.0)
    if turn > 0.0:
        # an outer corner: on over the neighbour's own strip and what it grows
        on = max(width * cosine, 0.0) / sine + max(neighbour, 0.0) / sine
        on = min(on, _MITRE * max(width, neighbour)) + width * 1e-6
        return (on, on)
    # an inside corner: up to where both moved lines meet, never far
    other = max(-neighbour, 0.0)
    meet = (other - width * cosine) / -sine
    return (0.0, min(max(meet, -width), max(width, other)))


def _without_repeats(ring: Array) -> Array:
    """A ring without corners that lie on the one before."""
    kept: list[Array] = []
    for p in ring:
        if not kept or float(np.linalg.norm(p - kept[-1])) > SAME_POINT_MM:
            kept.append(p)
    while len(kept) > 1 and float(np.linalg.norm(kept[0] - kept[-1])) <= SAME_POINT_MM:
        kept.pop()
    return np.array(kept)


def _sides(
    ring: Array, edges: Sequence[RoofEdge], system: RoofingSystem
) -> tuple[Array, list[float]]:
    """A ring with a corner wherever another edge begins, and the shift of each side.

    Only what lies on the ring is a side of the plane; a stretch without an edge is not moved.
    """
    ring = _without_repeats(ring)
    if len(ring) < 3:
        return ring, []
    kinds = [system.shifts.get(trim_kind(e), 0.0) for e in edges]
    ends = np.array([[e.start, e.end] for e in edges]).reshape(-1, 2, 3)
    corners: list[Array] = []
    shifts: list[float] = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        length = float(np.linalg.norm(b - a))
        unit = (b - a) / length
        from_a = ends - a
        along = from_a @ unit
        off = np.linalg.norm(from_a - along[..., None] * unit, axis=2)
        low, high = along.min(axis=1), along.max(axis=1)
        inside = (np.minimum(high, length) - np.maximum(low, 0.0)) > SAME_POINT_MM
        on = sorted(
            (max(float(low[k]), 0.0), min(float(high[k]), length), kinds[k])
            for k in np.flatnonzero(inside & (off.max(axis=1) < 10 * SAME_POINT_MM))
        )
        here = 0.0
        for start, end, shift in on:
            if start > here + SAME_POINT_MM:
                corners.append(a + here * unit)
                shifts.append(0.0)
                here = start
            if end > here + SAME_POINT_MM:
                corners.append(a + here * unit)
                shifts.append(shift)
                here = end
        if here < length - SAME_POINT_MM:
            corners.append(a + here * unit)
            shifts.append(0.0)
    return np.array(corners), shifts


class _Case:
    """A plane with its edges and system, equal to another by value: while the user edits one
    section the panels of the others need not be cut again."""

    __slots__ = ("edges", "key", "plane", "system")

    def __init__(self, plane: Plane, edges: Sequence[RoofEdge], system: RoofingSystem) -> None:
        self.plane, self.edges, self.system = plane, edges, system
        rings = tuple(r.tobytes() for r in (plane.outline, *plane.holes))
        sides = tuple((trim_kind(e), e.start.tobytes(), e.end.tobytes()) for e in edges)
        rules = msgspec.msgpack.encode(system)
        self.key = (plane.id, plane.name, plane.slope, plane.bearing, rings, sides, rules)

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Case) and self.key == other.key


def panels_of(plane: Plane, edges: Sequence[RoofEdge], system: RoofingSystem) -> tuple[Panel, ...]:
    """The panels of one plane in laying order, from the left end of its field to the right.

    A panel's length is the extent along the slope of its full sheet, coverage and lap leg; what
    it is counted with is its coverage. A deck takes none. Cached by value.
    """
    return () if plane.slope == 0.0 else _panels(_Case(plane, edges, system))


@lru_cache(maxsize=4096)
def _panels(case: _Case) -> tuple[Panel, ...]:
    plane, edges, system = case.plane, case.edges, case.system
    frame = Frame.of(plane)
    field = field_of(plane, edges, system)
    if field.is_empty:
        return ()
    left, low, right, high = field.bounds
    # metal no wider than the lap leg lies on the last sheet already: it takes no further panel
    count = max(1, math.ceil((right - left - system.lap_leg) / system.coverage - COUNT_EPS))
    starts = left + system.coverage * np.arange(count)
    ends = starts + system.coverage
    reach = ends + system.lap_leg
    ends[-1] = reach[-1]
    # a hair narrower, so that rounding beside a chimney joins no panels
    full = system.coverage / (system.coverage - 2.0 * _HAIR_MM)
    first = starts + _HAIR_MM
    below, above = np.full(count, low - 1.0), np.full(count, high + 1.0)
    sheets = shapely.box(first, below, reach - _HAIR_MM, above)
    parts, sheet_of = _pieces(shapely.intersection(field, sheets))
    bounds = shapely.bounds(parts)
    strips = shapely.box(first, below, ends - _HAIR_MM, above)[sheet_of]
    covered, part_of = _pieces(shapely.intersection(parts, strips))
    areas = shapely.area(covered)
    nets = np.bincount(part_of, areas, minlength=len(parts)) * full
    widths = np.ptp(shapely.bounds(covered)[:, ::2], axis=1)
    mains = {int(part_of[k]): k for k in np.argsort(areas, kind="stable")}
    wide = {int(k) for k in part_of[widths > HEAL_MM]}
    out: list[Panel] = []
    for k, i in enumerate(sheet_of.tolist()):
        if nets[k] <= _NO_METAL_MM2 or k not in wide:
            continue
        main = shapely.geometry.polygon.orient(covered[mains[k]])
        outline, *holes = (_raised_ring(r, frame) for r in (main.exterior, *main.interiors))
        length = float(bounds[k, 3] - bounds[k, 1])
        across = float(starts[i] - left)
        out.append(
            Panel(
                plane.id,
                plane.name,
                len(out) + 1,
                across,
                across + system.coverage,
                float(right - left),
                length,
                float(nets[k]),
                length * system.coverage,
                outline,
                tuple(holes),
                system.id,
            )
        )
    return tuple(out)


def _pieces(shapes: Any) -> tuple[Any, NDArray[np.intp]]:
    """The polygons of many shapes and the number of each one's shape: shape after shape, left to
    right, then bottom to top."""
    pieces, owner = shapely.get_parts(shapes, return_index=True)
    is_polygon = shapely.get_type_id(pieces) == shapely.GeometryType.POLYGON
    pieces, owner = pieces[is_polygon], owner[is_polygon]
    x0, y0, x1, y1 = shapely.bounds(pieces).T
    order = np.lexsort((y1, x1, y0, x0, owner))
    return pieces[order], owner[order]


def _raised_ring(ring: shapely.LinearRing, frame: Frame) -> Array:
    """A ring of a field as points of the plane; outer ones counter-clockwise, holes clockwise."""
    points = frame.raised(shapely.get_coordinates(ring)[:-1])
    points.flags.writeable = False
    return points


def _parts(shape: BaseGeometry) -> list[shapely.Polygon]:
    """The polygons of a shape."""
    return [p for p in shapely.get_parts(shape).tolist() if p.geom_type == "Polygon"]
