"""Sheets from rolls laid over a plane course by course, on its true outline. Lengths mm.

The first course lies along the lowest eave; each next one a width less its head lap further up
the slope. Where the outline falls apart within a course, beside a dormer, it is cut there; around
an opening that lies within one course the sheet is only slit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely

from roofmodel.surface import RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.field import NO_METAL_MM2, Frame, fields_of
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Array
from roofmodel.tolerance import COUNT_EPS, HEAL_MM

Over = tuple[tuple[EdgeKind, float], ...]
Band = tuple[float, float, float, float]
"""(left, lowest, right, highest) in a plane's own coordinates."""


class Course(NamedTuple):
    """One course: where its lower side lies, mm up the slope from the plane's first corner, and
    its lengths from (u) to (u) across, in the plane's own coordinates (see `field`)."""

    low: float
    spans: tuple[tuple[float, float], ...]

    @property
    def length(self) -> float:
        """The length of sheet in it."""
        return sum(b - a for a, b in self.spans)


def over_of(over: Mapping[EdgeKind, float]) -> Over:
    """How far a sheet runs past the plane by kind of edge, as a key."""
    return tuple(sorted((k, v) for k, v in over.items() if v > 0.0))


@lru_cache(maxsize=4096)
def courses_of(
    case: Case, over: Over, width: float, lap: float, covered: tuple[Band, ...] = ()
) -> tuple[Course, ...]:
    """The courses of a roll over a sloping plane, but for the bands that are `covered` with
    something else. Cached by value."""
    field = _field(case, over)
    if covered:
        field = shapely.MultiPolygon(
            [
                p
                for p in shapely.get_parts(
                    shapely.difference(
                        field, shapely.union_all([shapely.box(*b) for b in covered])
                    )
                ).tolist()
                if p.geom_type == "Polygon" and p.area > NO_METAL_MM2
            ]
        )
    if field.is_empty:
        return ()
    left, low, right, high = field.bounds
    count = courses_for(high - low, width, lap)
    lows = low + (width - lap) * np.arange(count, dtype=np.float64)
    return _cut(field, lows, width, left, right)


def courses_for(height: float, width: float, lap: float) -> int:
    """How many courses of a width reach this far up the slope.

    >>> courses_for(46.96, 36.0, 3.0), courses_for(36.0, 36.0, 3.0)
    (2, 1)
    """
    steps = (height - HEAL_MM / 10.0 - width) / (width - lap)
    return 1 + max(0, math.ceil(steps - COUNT_EPS))


def _cut(
    field: shapely.MultiPolygon, lows: Array, width: float, left: float, right: float
) -> tuple[Course, ...]:
    ends = np.full(len(lows), left - 1.0), np.full(len(lows), right + 1.0)
    boxes = shapely.box(ends[0].tolist(), lows.tolist(), ends[1].tolist(), (lows + width).tolist())
    parts, owner = shapely.get_parts(shapely.intersection(boxes, field), return_index=True)
    bounds, areas = shapely.bounds(parts), shapely.area(parts)
    spans: dict[int, list[tuple[float, float]]] = {}
    for k, area, (a, _, b, _) in zip(owner.tolist(), areas.tolist(), bounds.tolist(), strict=True):
        if area > NO_METAL_MM2:
            spans.setdefault(k, []).append((a, b))
    return tuple(
        Course(float(lows[k]), tuple(_joined(sorted(some)))) for k, some in sorted(spans.items())
    )


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Lengths of one course that lie above each other are one."""
    out = [spans[0]]
    for a, b in spans[1:]:
        if a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return out


@lru_cache(maxsize=4096)
def _field(case: Case, over: Over) -> shapely.MultiPolygon:
    if not over:
        return true_shape(case)
    (field,) = fields_of(case.plane, case.edges, [dict(over)])
    return field


@lru_cache(maxsize=4096)
def true_shape(case: Case) -> shapely.MultiPolygon:
    """The outline of a sloping plane in its own coordinates. Cached by value."""
    plane, frame = case.plane, Frame.of(case.plane)
    shape = shapely.Polygon(frame.flat(plane.outline), [frame.flat(h) for h in plane.holes])
    sound = shape if shape.is_valid else shape.buffer(0.0)
    parts = [p for p in shapely.get_parts(sound).tolist() if p.area > NO_METAL_MM2]
    return shapely.MultiPolygon(parts)


@lru_cache(maxsize=4096)
def along_eave(
    case: Case, eave: int, width: float, lap: float, reach: float
) -> tuple[tuple[Course, ...], Band]:
    """Courses along one of the edges of a case (by its number) until they reach `reach` mm up the
    slope, and the band that they cover. Cached by value."""
    edge = case.edges[eave]
    ends = Frame.of(case.plane).flat(np.array([edge.start, edge.end]))
    left, right = float(ends[:, 0].min()), float(ends[:, 0].max())
    low = float(ends[:, 1].min())
    count = courses_for(reach, width, lap)
    lows = low + (width - lap) * np.arange(count, dtype=np.float64)
    high = float(lows[-1]) + width
    field = _field(case, ())
    part = shapely.MultiPolygon(
        [
            p
            for p in shapely.get_parts(
                shapely.intersection(field, shapely.box(left, low - 1.0, right, high))
            ).tolist()
            if p.geom_type == "Polygon"
        ]
    )
    return _cut(part, lows, width, left, right), (left - 1.0, low - 1.0, right + 1.0, high)


def eaves_of(case: Case) -> list[tuple[int, RoofEdge]]:
    """The eaves of a plane, with their numbers among its edges."""
    return [(k, e) for k, e in enumerate(case.edges) if trim_kind(e) is EdgeKind.EAVE]


@lru_cache(maxsize=4096)
def rows_of(case: Case, spacing: float) -> tuple[tuple[float, float], ...]:
    """(height up the slope, length) of level rows on a plane, the first along its lowest eave,
    the last at its top. Cached by value."""
    field = _field(case, ())
    if field.is_empty:
        return ()
    left, low, right, high = field.bounds
    count = math.ceil((high - low - HEAL_MM / 10.0) / spacing - COUNT_EPS) + 1
    heights = np.minimum(low + spacing * np.arange(count), high)
    # a hair inside, for a line on the outline itself may be missed
    hair = HEAL_MM / 100.0
    at = np.clip(heights, low + hair, high - hair)
    lines = shapely.linestrings(
        np.stack(
            [
                np.column_stack([np.full(count, left - 1.0), at]),
                np.column_stack([np.full(count, right + 1.0), at]),
            ],
            axis=1,
        )
    )
    lengths = np.atleast_1d(shapely.length(shapely.intersection(lines, field)))
    return tuple(
        (float(h - low), float(x)) for h, x in zip(heights, lengths, strict=True) if x > HEAL_MM
    )
