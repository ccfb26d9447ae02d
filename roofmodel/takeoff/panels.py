"""Panels of one plane: the field of metal, cut into strips that run up the slope.

In a plane's own coordinates u runs level, to the right of someone who looks up the slope, and v
up the slope, both true lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from roofmodel.geometry import shifted_ring
from roofmodel.surface import Plane, RoofEdge
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.trim import trim_kind
from roofmodel.takeoff.types import Array, Panel
from roofmodel.tolerance import COUNT_EPS, SAME_POINT_MM

_NO_METAL_MM2 = 1.0
"""A piece of a strip smaller than this is rounding, not metal."""


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
    rings: list[Array] = []
    cuts: list[shapely.Polygon] = []
    for ring in (plane.outline, *plane.holes):
        corners, shifts = _sides(ring, edges, system)
        flat = frame.flat(corners)
        rings.append(shifted_ring(flat, [max(s, 0.0) for s in shifts]))
        cuts += _set_backs(flat, shifts)
    grown = shapely.Polygon(rings[0], rings[1:])
    whole = grown if grown.is_valid else shapely.make_valid(grown, method="structure")
    left = whole.difference(shapely.union_all(cuts)) if cuts else whole
    return shapely.MultiPolygon([p for p in _parts(left) if p.area > _NO_METAL_MM2])


def _set_backs(ring: Array, shifts: Sequence[float]) -> list[shapely.Polygon]:
    """What the sides with negative shifts take away: a strip along each, on its left.

    A strip runs on past its side's ends as far as moved lines would meet: well past an outer
    corner, past an inside corner by at most its own width.
    """
    n = len(ring)
    past = 4.0 * max(abs(s) for s in shifts)
    step = np.roll(ring, -1, axis=0) - ring
    unit = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    # the turn at corner k, from side k - 1 to side k
    turn = [
        math.atan2(
            float(unit[k - 1, 0] * unit[k, 1] - unit[k - 1, 1] * unit[k, 0]),
            float(unit[k - 1] @ unit[k]),
        )
        for k in range(n)
    ]
    out = []
    for k, shift in enumerate(shifts):
        if shift >= 0.0:
            continue
        u, width = unit[k], -shift
        left = np.array([-u[1], u[0]]) * width
        ends = [
            past if t > 0.0 else width * min(1.0, math.tan(min(-t, math.pi / 2) / 2.0))
            for t in (turn[k], turn[(k + 1) % n])
        ]
        a, b = ring[k] - u * ends[0], ring[(k + 1) % n] + u * ends[1]
        # a hair outwards as well: the side itself must not stay behind as a thread
        out.append(shapely.Polygon([a - left * 1e-6, b - left * 1e-6, b + left, a + left]))
    return out


def _sides(
    ring: Array, edges: Sequence[RoofEdge], system: RoofingSystem
) -> tuple[Array, list[float]]:
    """A ring with a corner wherever another edge begins, and the shift of each side."""
    corners: list[Array] = []
    shifts: list[float] = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        length = float(np.linalg.norm(b - a))
        unit = (b - a) / length
        on: list[tuple[float, float, EdgeKind]] = []
        for e in edges:
            s, t = float((e.start - a) @ unit), float((e.end - a) @ unit)
            off = max(
                float(np.linalg.norm(e.start - a - s * unit)),
                float(np.linalg.norm(e.end - a - t * unit)),
            )
            inside = min(s, t) > -SAME_POINT_MM and max(s, t) < length + SAME_POINT_MM
            if off < 10 * SAME_POINT_MM and inside and abs(t - s) > SAME_POINT_MM:
                on.append((min(s, t), max(s, t), trim_kind(e)))
        on.sort()
        if not on:
            corners.append(a)
            shifts.append(0.0)
        for k, (s, _, kind) in enumerate(on):
            corners.append(a if k == 0 else a + s * unit)
            shifts.append(system.shifts.get(kind, 0.0))
    return np.array(corners), shifts


def panels_of(plane: Plane, edges: Sequence[RoofEdge], system: RoofingSystem) -> tuple[Panel, ...]:
    """The panels of one plane in laying order, from the left end of its field to the right.

    A panel's length is the extent along the slope of its full sheet, coverage and lap leg; what
    it is counted with is its coverage. A deck takes none.
    """
    if plane.slope == 0.0:
        return ()
    frame = Frame.of(plane)
    field = field_of(plane, edges, system)
    if field.is_empty:
        return ()
    left, low, right, high = field.bounds
    # metal no wider than the lap leg lies on the last sheet already: it takes no further panel
    count = max(1, math.ceil((right - left - system.lap_leg) / system.coverage - COUNT_EPS))
    shapely.prepare(field)
    out: list[Panel] = []
    for i in range(count):
        a = left + i * system.coverage
        b = a + system.coverage
        sheet = shapely.box(a, low - 1.0, b + system.lap_leg, high + 1.0)
        strip = sheet if i == count - 1 else shapely.box(a, low - 1.0, b, high + 1.0)
        for part in _parts(field.intersection(sheet)):
            covered = _parts(part.intersection(strip))
            net = sum(p.area for p in covered)
            if net <= _NO_METAL_MM2:
                continue
            _, v0, _, v1 = part.bounds
            main = shapely.geometry.polygon.orient(max(covered, key=lambda p: p.area))
            outline = frame.raised(np.array(main.exterior.coords)[:-1])
            outline.flags.writeable = False
            out.append(
                Panel(
                    plane.id,
                    plane.name,
                    len(out) + 1,
                    a - left,
                    b - left,
                    right - left,
                    v1 - v0,
                    net,
                    (v1 - v0) * system.coverage,
                    outline,
                )
            )
    return tuple(out)


def _parts(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """The polygons of a shape, left to right, then bottom to top."""
    parts = [p for p in shapely.get_parts(shape).tolist() if p.geom_type == "Polygon"]
    return sorted(parts, key=lambda p: p.bounds)
