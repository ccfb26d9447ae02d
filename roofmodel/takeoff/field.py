"""The metal's outline on one plane: the plane with each side moved by the system's shifts.

In a plane's own coordinates u runs level, to the right of someone who looks up the slope, and v
up the slope, both true lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from roofmodel.geometry import shifted_ring
from roofmodel.surface import EdgeId, Plane, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Array
from roofmodel.tolerance import SAME_POINT_MM

NO_METAL_MM2 = 1.0
"""A piece of a strip smaller than this is rounding, not metal."""
_MITRE = 8.0
"""Corners reach at most this many times the shift past the plane."""
_STRAIGHT_ON = 0.02
"""Sine of a turn (1 degree) below which one side goes on as the next."""

Key = EdgeKind | EdgeId
"""What a side is moved by: its kind of edge, or the edge itself if that has its own shift."""
Shifts = Mapping[Key, float]
Kinds = Sequence[Key | None]
_NONE_HELD: Mapping[EdgeId, float] = {}


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

    def mirrored(self) -> Frame:
        """The same with u running the other way: to the left."""
        return Frame(
            (-self.across[0], -self.across[1]), self.uphill, self.factor, self.slope, self.origin
        )

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


def fields_of(
    plane: Plane,
    edges: Sequence[RoofEdge],
    shifts_by_kind: Sequence[Mapping[EdgeKind, float]],
    held: Mapping[EdgeId, float] = _NONE_HELD,
) -> list[shapely.MultiPolygon]:
    """The metal's outline on a plane, in the plane's own coordinates, once for each of the maps.

    Each side is moved by what a map (mm) has for its kind of edge, and held back by what `held`
    (mm) has for the edge itself. An outline may fall apart, or be empty where a plane is narrower
    than its set-backs.
    """
    return _fields(plane, edges, [_with_held(m, edges, held) for m in shifts_by_kind], held)


def _with_held(
    shifts: Mapping[EdgeKind, float], edges: Sequence[RoofEdge], held: Mapping[EdgeId, float]
) -> Shifts:
    """The shifts by kind, and those of edges that have their own."""
    out: dict[Key, float] = dict(shifts.items())
    out.update((e.id, shifts.get(trim_kind(e), 0.0) - held[e.id]) for e in edges if e.id in held)
    return out


def _fields(
    plane: Plane,
    edges: Sequence[RoofEdge],
    shifts_by_kind: Sequence[Shifts],
    held: Mapping[EdgeId, float],
) -> list[shapely.MultiPolygon]:
    frame = Frame.of(plane)
    corners, kinds = _sides(plane.outline, edges, held)
    if len(corners) < 3:
        return [shapely.MultiPolygon() for _ in shifts_by_kind]
    outline, flat = frame.flat(plane.outline), frame.flat(corners)
    sides = [_sides(hole, edges, held) for hole in plane.holes]
    holes = [(frame.flat(ring), around) for ring, around in sides if len(ring) >= 3]
    return [_field(outline, (flat, kinds), holes, shifts) for shifts in shifts_by_kind]


def _field(
    outline: Array,
    ring: tuple[Array, Kinds],
    holes: Sequence[tuple[Array, Kinds]],
    by_kind: Shifts,
) -> shapely.MultiPolygon:
    flat, shifts = ring[0], _shifts(ring[1], by_kind)
    whole = _valid(shapely.Polygon(shifted_ring(flat, [max(s, 0.0) for s in shifts])))
    whole = _without_spikes(whole, outline, max(shifts))
    cuts = _set_backs(flat, shifts)
    for corners, kinds in holes:
        shifts = _shifts(kinds, by_kind)
        cuts += [_hole(corners, shifts), *_set_backs(corners, shifts)]
    left = _without(whole, cuts) if cuts else whole
    return shapely.MultiPolygon([p for p in _parts(left) if p.area > NO_METAL_MM2])


def _shifts(kinds: Kinds, by_kind: Shifts) -> list[float]:
    return [0.0 if kind is None else by_kind.get(kind, 0.0) for kind in kinds]


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
        # a hair over the strip that goes on: between the two no thread of metal must stay
        hair = width * 1e-6 if neighbour < 0.0 else 0.0
        return (hair, hair)
    if turn > 0.0:
        # an outer corner: on over the neighbour's own strip and what it grows
        on = max(width * cosine, 0.0) / sine + max(neighbour, 0.0) / sine
        on = min(on, _MITRE * max(width, neighbour)) + width * 1e-6
        return (on, on)
    # an inside corner: up to where both moved lines meet. Where it turns by more than a right
    # angle, as at the peak of two valleys, that is further on than either is wide
    other = max(-neighbour, 0.0)
    meet = (other - width * cosine) / -sine
    most = max(width, other) * (_MITRE if cosine < 0.0 else 2.0)
    return (0.0, min(max(meet, -width), most))


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
    ring: Array, edges: Sequence[RoofEdge], held: Mapping[EdgeId, float]
) -> tuple[Array, list[Key | None]]:
    """A ring with a corner wherever another edge begins, and the kind of each side, or its edge
    if that is `held`.

    Only what lies on the ring is a side of the plane; a stretch without an edge has no kind.
    """
    ring = _without_repeats(ring)
    if len(ring) < 3:
        return ring, []
    kinds: list[Key] = [e.id if e.id in held else trim_kind(e) for e in edges]
    ends = np.array([[e.start, e.end] for e in edges]).reshape(-1, 2, 3)
    corners: list[Array] = []
    found: list[Key | None] = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        length = float(np.linalg.norm(b - a))
        unit = (b - a) / length
        from_a = ends - a
        along = from_a @ unit
        off = np.linalg.norm(from_a - along[..., None] * unit, axis=2)
        low, high = along.min(axis=1), along.max(axis=1)
        inside = (np.minimum(high, length) - np.maximum(low, 0.0)) > SAME_POINT_MM
        on = sorted(
            (max(float(low[k]), 0.0), min(float(high[k]), length), trim_kind(edges[k]), k)
            for k in map(int, np.flatnonzero(inside & (off.max(axis=1) < 10 * SAME_POINT_MM)))
        )
        here = 0.0
        for start, end, _, k in on:
            kind = kinds[k]
            if start > here + SAME_POINT_MM:
                corners.append(a + here * unit)
                found.append(None)
                here = start
            if end > here + SAME_POINT_MM:
                corners.append(a + here * unit)
                found.append(kind)
                here = end
        if here < length - SAME_POINT_MM:
            corners.append(a + here * unit)
            found.append(None)
    return np.array(corners), found


def _parts(shape: BaseGeometry) -> list[shapely.Polygon]:
    """The polygons of a shape."""
    return [p for p in shapely.get_parts(shape).tolist() if p.geom_type == "Polygon"]
