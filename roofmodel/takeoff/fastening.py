"""Screws and clips that hold panels: where they stand on each plane's metal. Lengths mm.

Level rows are counted from the row along the lowest ends of the plane's panels, so that they can
be snapped with a chalk line; rows along ends that are cut at hips or valleys follow the cut. On
a rib or seam where a level row would stand hard below the row at the panel's upper end, or at an
end lap, it is left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import msgspec
import numpy as np
import shapely

from roofmodel.surface import PlaneId
from roofmodel.systems import EdgeKind
from roofmodel.systems.fixing import ClipRows, ScrewRows, row_spacing
from roofmodel.takeoff.courses import true_shape
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.fixing_types import ROW_KINDS, PlaneFixing
from roofmodel.takeoff.panels import Case, metal_of
from roofmodel.takeoff.strips import Index, starts_of
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Array, Laying
from roofmodel.tolerance import COUNT_EPS, HEAL_MM, SAME_POINT_MM

_SHORTEST_MM = 25.4
"""A rib shorter than an inch holds no screw: common practice, no source."""
_PIPE_MM = 304.8
"""A pipe comes through where metal is missing for less than 12 in: its boot stands on the ribs,
which go on beyond it."""
_LEAST_ZONE_MM = 914.4
"""3 ft: ASCE 7, components and cladding of low buildings."""
_LOWER, _UPPER, _LAP, _FIELD, _EDGE = range(5)

Laps = tuple[tuple[int, float], ...]
Zone = tuple[float, tuple[EdgeKind, ...]]


def fixings_of(
    cases: Mapping[PlaneId, Case],
    layings: Sequence[Laying],
    widths: Mapping[PlaneId, float],
    battens: float | None = None,
) -> list[PlaneFixing]:
    """What holds the panels of each laid plane; `widths` of the edge zone by plane, the least
    that a zone has where a building has no walls. Where `battens` lie so far apart (mm), level
    rows stand on them."""
    out = []
    for laying in layings:
        if laying.panels:
            case = cases[laying.plane]
            fixing = case.system.fixing
            by_clips = case.system.panel.fastening == "clips"
            width = fixing.zone.width
            if width is None:
                width = widths.get(case.plane.id, _LEAST_ZONE_MM)
            rules: ScrewRows | ClipRows = fixing.clips if by_clips else fixing.screws
            if battens is not None:
                rules = on_battens(rules, battens)
            out.append(
                fixing_of(
                    *(case, laying.offset, laying.from_right, _laps(laying, case)),
                    *(rules, (width, fixing.zone.kinds), battens is not None),
                )
            )
    return out


def on_battens(rules: ScrewRows | ClipRows, battens: float) -> ScrewRows | ClipRows:
    """Rules whose level rows stand on rows of battens (mm apart): no further apart than the rules
    say, but where battens lie further apart on every one.

    >>> on_battens(ScrewRows(field=900.0, edge=600.0), 300.0).field
    600.0
    """
    parts = max(1, int(min(rules.edge, rules.field) / battens + COUNT_EPS))
    times = max(1, int(rules.field / (parts * battens) + COUNT_EPS))
    edge = parts * battens
    return msgspec.structs.replace(rules, edge=edge, field=times * edge)


def _laps(laying: Laying, case: Case) -> Laps:
    """Strip and height of the lower end of each panel that laps on one below it."""
    if all(p.end_lap == 0.0 for p in laying.panels):
        return ()
    frame = Frame.of(case.plane)
    return tuple(
        (p.strip - 1, float(frame.flat(p.outline)[:, 1].min()))
        for p in laying.panels
        if p.end_lap > 0.0
    )


@lru_cache(maxsize=4096)
def fixing_of(
    case: Case,
    offset: float,
    from_right: bool,
    laps: Laps,
    rules: ScrewRows | ClipRows,
    zone: Zone,
    from_eave: bool = False,
) -> PlaneFixing:
    """The fasteners of a sloping plane's panels; arguments as of its laying. Level rows are
    counted from the lowest row, or `from_eave`: from the plane's lowest corner, as battens are.
    Cached by value."""
    system = case.system
    field = metal_of(case, from_right).field
    left, low, right, _ = field.bounds
    starts = starts_of(metal_of(case, from_right), offset, system.coverage, system.lap_leg)
    sides = starts[(starts > left + HEAL_MM) & (starts < right - HEAL_MM)]
    if isinstance(rules, ScrewRows):
        lines, per_strip = _ribs(starts, system.panel.rib_spacing, system.coverage)
        each = (rules.ends_per_rib,) * 3 + (rules.per_rib,) * 2
    else:
        # each panel's first side has the clips; that of the first one lies on the plane's end
        lines, per_strip = np.maximum(starts, left), 1
        each, laps = (1,) * 5, ()
    owner, bottom, top = _over_pipes(*chords(field, lines + SAME_POINT_MM))
    frame = Frame.of(case.plane)
    frame = frame.mirrored() if from_right else frame
    places, kinds, on = _places(
        *(lines, owner, bottom, top, rules),
        float(true_shape(case).bounds[1]) if from_eave else None,
        [(strip * per_strip + k, level) for strip, level in laps for k in range(per_strip)],
        lambda points: _in_zone(points, case, frame, zone),
    )
    u = right - places[:, 0] if from_right else places[:, 0] - left
    places = np.column_stack([u, places[:, 1] - low])
    places.flags.writeable = False
    return PlaneFixing(
        plane=case.plane.id,
        plane_name=case.plane.name,
        system=system.id,
        fastener="panel screw" if isinstance(rules, ScrewRows) else "clip",
        spacing=rules.field,
        edge_spacing=row_spacing(rules.field, rules.edge)[0],
        zone=zone[0],
        places=places,
        kinds=kinds,
        lines=len(lines) - 1 - on if from_right else on,
        counts=tuple(np.bincount(kinds, minlength=len(ROW_KINDS)).tolist()),
        each=each,
        side_laps=_side_laps(field, sides) if isinstance(rules, ScrewRows) else (),
    )


def chords(field: shapely.MultiPolygon, at: Array) -> tuple[Index, Array, Array]:
    """Where lines up the slope at u-levels `at` (n,) run on the metal: the number of the line,
    lower and upper end of each stretch, line after line from the bottom."""
    rings = [shapely.get_coordinates(r) for p in field.geoms for r in (p.exterior, *p.interiors)]
    a = np.concatenate([r[:-1] for r in rings])
    b = np.concatenate([r[1:] for r in rings])
    line, side = np.nonzero((a[:, 0] <= at[:, None]) != (b[:, 0] <= at[:, None]))
    share = (at[line] - a[side, 0]) / (b[side, 0] - a[side, 0])
    v = a[side, 1] + share * (b[side, 1] - a[side, 1])
    order = np.lexsort((v, line))
    # a closed ring is crossed an even number of times
    return line[order][::2], v[order][::2], v[order][1::2]


def _over_pipes(owner: Index, bottom: Array, top: Array) -> tuple[Index, Array, Array]:
    """Stretches, those of one line as one where a pipe comes through between them."""
    if not len(owner):
        return owner, bottom, top
    gap = bottom[1:] - top[:-1]
    apart = np.append((owner[1:] != owner[:-1]) | (gap >= _PIPE_MM), True)
    first = np.append(True, apart[:-1])
    return owner[first], bottom[first], top[apart]


def _side_laps(field: shapely.MultiPolygon, sides: Array) -> tuple[float, ...]:
    """Lengths of the laps at the sides of strips: where metal lies on both hands."""
    found = [_over_pipes(*chords(field, sides + hair)) for hair in (-SAME_POINT_MM, SAME_POINT_MM)]
    (left, a0, a1), (right, b0, b1) = found
    one, two = np.nonzero(left[:, None] == right)
    shared = np.minimum(a1[one], b1[two]) - np.maximum(a0[one], b0[two])
    return tuple(shared[shared > _SHORTEST_MM].tolist())


def _ribs(starts: Array, spacing: float, coverage: float) -> tuple[Array, int]:
    """Where ribs stand: from the first side of each strip; the one at its other side is the next
    strip's. What stands closer than an inch are no ribs to screw beside."""
    count = max(1, int(coverage / spacing + COUNT_EPS)) if spacing >= _SHORTEST_MM else 1
    return (starts[:, None] + spacing * np.arange(count)).ravel(), count


def _places(
    lines: Array,
    owner: Index,
    bottom: Array,
    top: Array,
    rules: ScrewRows | ClipRows,
    datum: float | None,
    laps: Sequence[tuple[int, float]],
    in_zone: Any,
) -> tuple[Array, Index, Index]:
    """Places (n, 2), their kinds and their lines, of fasteners on stretches of lines; level rows
    are counted from the height `datum`, or from the lowest row."""
    long = top - bottom > _SHORTEST_MM
    owner, lower, upper = owner[long], bottom[long], top[long]
    lower, upper = lower + rules.end_distance, upper - rules.end_distance
    both = upper - lower > HEAL_MM
    middle = (lower + upper) / 2.0
    lower = np.where(both, lower, middle)
    on = [owner, owner[both]]
    v = [lower, upper[both]]
    kinds = [np.full(len(owner), _LOWER), np.full(int(both.sum()), _UPPER)]
    lapped: list[tuple[int, float]] = []
    for line, level in laps:
        level += rules.end_distance
        for k in np.flatnonzero((owner == line) & (level > lower) & (level < upper)):
            on.append(owner[k : k + 1])
            v.append(np.array([level]))
            kinds.append(np.array([_LAP]))
            lapped.append((int(k), level))
    if len(owner):
        spacing, parts = row_spacing(rules.field, rules.edge)
        if datum is None:
            # a rib too short for two rows has one in its middle, lower than a chalk line's first
            datum = float((lower[both] if both.any() else lower).min())
        rows = np.arange(1, int((float(upper.max()) - datum) / spacing) + 1)
        levels = datum + spacing * rows
        near = max(rules.least_gap - HEAL_MM, HEAL_MM)
        inside = (levels > lower[:, None] + HEAL_MM) & (levels <= upper[:, None] - near)
        for one, level in lapped:
            inside[one] &= (levels > level + HEAL_MM) | (levels <= level - near)
        stretch, row = np.nonzero(inside & both[:, None])
        is_field = rows[row] % parts == 0
        points = np.column_stack([lines[owner[stretch]], levels[row]])
        keep = is_field.copy()
        keep[~is_field] = in_zone(points[~is_field])
        on.append(owner[stretch[keep]])
        v.append(points[keep, 1])
        kinds.append(np.where(is_field[keep], _FIELD, _EDGE))
    number = np.concatenate(on)
    places = np.column_stack([lines[number], np.concatenate(v)])
    return places, np.concatenate(kinds).astype(np.intp), number


def _in_zone(points: Array, case: Case, frame: Frame, zone: Zone) -> Any:
    """Which points (n, 2) lie within the zone's width, in plan, of an edge that has one."""
    width, kinds = zone
    edges = [e for e in case.edges if trim_kind(e) in kinds]
    if not edges or not len(points) or width <= 0.0:
        return np.zeros(len(points), bool)
    shrunk = np.array([1.0, 1.0 / frame.factor])
    a = frame.flat(np.array([e.start for e in edges])) * shrunk
    way = frame.flat(np.array([e.end for e in edges])) * shrunk - a
    apart = points[:, None] * shrunk - a
    along = (apart * way).sum(axis=2) / np.maximum((way * way).sum(axis=1), 1e-12)
    off = apart - np.clip(along, 0.0, 1.0)[..., None] * way
    return np.hypot(off[..., 0], off[..., 1]).min(axis=1) <= width + SAME_POINT_MM
