"""Which edges one run of trim goes along: what every edge takes, and what goes on straight.

A run is of one part in one building and one system. It lies on the edge, or on the metal of one
plane beside it: a Z closure stands on the panels of its own plane. What lies on a plane counts
with that plane's system and building, what lies on the edge with those of the edge.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely

from roofmodel.surface import Plane, PlaneId, RoofEdge, Surface
from roofmodel.systems import EdgeKind, TrimRule
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.trim_sides import Pair, pair_on
from roofmodel.tolerance import HEAL_MM, SAME_FOLD_DEG

_ON_PLANE_MM: Final = 10.0
"""A plane that is further from the edge than this passes over or under it."""


class Lie(NamedTuple):
    """What edges have in common whose trim may be one run; `rule` is the number of the rule
    among those of the kind, `plane` the plane it lies on, None on the edge itself; `pair` what it
    is put together from where the systems on both sides lay different parts."""

    system: str
    building: str
    kind: EdgeKind
    rule: int
    plane: PlaneId | None
    pair: Pair | None = None


def trim_kind(edge: RoofEdge) -> EdgeKind:
    """The kind an edge is trimmed as: a sloping pitch transition like a hip or a valley."""
    if edge.kind is EdgeKind.PITCH_TRANSITION and edge.remark:
        return EdgeKind.HIP if edge.fold > 0 else EdgeKind.VALLEY
    return edge.kind


def lies_of(
    surface: Surface,
    edges: Sequence[RoofEdge],
    coverings: Coverings,
    panelled: Collection[PlaneId],
) -> dict[Lie, list[int]]:
    """Numbers of edges by what lies along them. `panelled` are the planes that take panels; where
    only the flat sheet of a saddle ends, it is turned up or seamed and takes no trim."""
    planes = {p.id: p for p in surface.planes}
    sheets = {
        p.id for p in surface.planes if p.slope > 0.0 and p.id not in panelled
    }  # of saddles, or covered by nothing that is counted here
    out: dict[Lie, list[int]] = defaultdict(list)
    for k, edge in enumerate(edges):
        kind = trim_kind(edge)
        system = coverings.trim_system(edge)
        if system is not None and not sheets.issuperset(edge.planes):
            building = coverings.edges[edge.id].building
            for number, rule in enumerate(system.trim.get(kind, ())):
                if rule.along == "edge":
                    pair = pair_on(edge, kind, rule, planes, panelled, coverings)
                    out[Lie(system.id, building, kind, number, None, pair)].append(k)
        if coverings.is_pipe(edge):
            continue
        for ident in edge.planes:
            own = coverings.system_of(planes[ident]) if ident in panelled else None
            for number, rule in enumerate(own.trim.get(kind, ()) if own else ()):
                if own is not None and _lies_on(edge, kind, ident, rule, planes):
                    building = coverings.planes[ident].building
                    out[Lie(own.id, building, kind, number, ident)].append(k)
    return out


def _lies_on(
    edge: RoofEdge,
    kind: EdgeKind,
    ident: PlaneId,
    rule: TrimRule,
    planes: Mapping[PlaneId, Plane],
) -> bool:
    """Does this plane of an edge take a part that lies on planes?"""
    if rule.along == "edge" or abs(_distance(planes[ident], edge)) > _ON_PLANE_MM:
        return False
    is_lower = rule.along == "lower plane" and kind is EdgeKind.PITCH_TRANSITION
    return not is_lower or ident == _lower(edge, planes)


def _uphill(plane: Plane) -> tuple[float, float]:
    """How much the plane rises per mm east and north."""
    angle = math.radians(plane.bearing)
    return -plane.slope * math.sin(angle), -plane.slope * math.cos(angle)


def _distance(plane: Plane, edge: RoofEdge) -> float:
    """How far the plane lies above the middle of the edge, square to the plane, mm."""
    east, north = _uphill(plane)
    x, y, z = (float(v) for v in (edge.start + edge.end) / 2.0 - plane.outline[0])
    return (east * x + north * y - z) / math.hypot(1.0, plane.slope)


def _lower(edge: RoofEdge, planes: Mapping[PlaneId, Plane]) -> PlaneId:
    """Of the planes at a pitch transition, the one that water flows to: the steeper one under a
    convex line, the flatter one under a hollow one."""
    x, y, _ = (edge.end - edge.start).tolist()
    rates = []
    for ident in edge.planes:
        east, north = _uphill(planes[ident])
        rates.append((abs(east * y - north * x), ident))
    low = max if edge.fold > 0.0 else min
    return low(rates, key=lambda r: r[0])[1]


def straight_on(edges: Sequence[RoofEdge]) -> list[list[int]]:
    """For every edge the numbers of those that go on from one of its ends on the same line.

    A tree of all ends: about n log n for n edges.
    """
    out: list[list[int]] = [[] for _ in edges]
    if not edges:
        return out
    ends = np.array([p for e in edges for p in (e.start, e.end)])  # of edge k: 2 k and 2 k + 1
    points = np.asarray(shapely.points(ends[:, :2]))
    one, two = shapely.STRtree(points).query(points, predicate="dwithin", distance=HEAL_MM)
    of_two_edges = one // 2 < two // 2
    one, two = one[of_two_edges], two[of_two_edges]
    near = np.linalg.norm(ends[one] - ends[two], axis=1) <= HEAL_MM
    one, two = one[near], two[near]
    # from the far end of the one to the meeting point, and on to the far end of the other
    way, on = ends[one] - ends[one ^ 1], ends[two ^ 1] - ends[two]
    along = (way * on).sum(axis=1)
    squares = (way**2).sum(axis=1), (on**2).sum(axis=1)
    off = np.sqrt(np.maximum(squares[0] * squares[1] - along**2, 0.0))
    straight = (along > 0.0) & (off <= HEAL_MM * np.sqrt(np.maximum(*squares)))
    for a, b in zip((one[straight] // 2).tolist(), (two[straight] // 2).tolist(), strict=True):
        out[a].append(b)
        out[b].append(a)
    return out


def runs_of(
    edges: Sequence[RoofEdge],
    members: Sequence[int],
    onwards: Sequence[Sequence[int]],
    *,
    of_one_fold: bool,
) -> list[list[int]]:
    """Those of some edges that meet end to end on one line, together, each run in order."""
    inside = set(members)
    done: set[int] = set()
    out = []
    for first in members:
        if first in done:
            continue
        done.add(first)
        run, waiting = [first], [first]
        while waiting:
            k = waiting.pop()
            for other in onwards[k]:
                alike = abs(edges[k].fold - edges[other].fold) <= SAME_FOLD_DEG
                if other in inside and other not in done and (alike or not of_one_fold):
                    done.add(other)
                    run.append(other)
                    waiting.append(other)
        out.append(sorted(run))
    return out
