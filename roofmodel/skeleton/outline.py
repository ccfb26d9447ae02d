"""Outlines and profiles as the wavefront wants them: checked, oriented, moved to the origin."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from roofmodel.errors import OutlineError
from roofmodel.geometry import rolled
from roofmodel.skeleton.places import Place, capital, corner_name, edge_name, edge_names, ring_name
from roofmodel.skeleton.types import Array
from roofmodel.tolerance import MERGE_REL

LEAST_SLOPE = 1e-9
"""A flatter plane would reach across a continent before it rose by a millimetre."""

Profile = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Stage:
    """From `height` (above the lowest eave) on, a front moves at `speed` = run per rise."""

    height: float
    speed: float
    step: int


@dataclass(frozen=True, slots=True)
class Prepared:
    """Rings turned so that the roof lies to the left of every edge, near the origin.

    `edges[r][k]` is the index of the profile of prepared edge k of ring r; `stages` go by profile
    index; `base` is the lowest eave, `origin` what was taken off the plan coordinates.
    """

    rings: tuple[Array, ...]
    edges: tuple[tuple[int, ...], ...]
    stages: tuple[tuple[Stage, ...], ...]
    base: float
    origin: Array
    size: float
    area: float

    def edge_at(self, edge: int) -> Place:
        """(ring, index in it) of the edge with this profile, as the rings were given."""
        return _places([len(r) for r in self.rings])[edge]


def _places(lengths: Sequence[int]) -> list[Place]:
    return [(ring, k) for ring, length in enumerate(lengths) for k in range(length)]


def _first_height(profile: Profile) -> list[float]:
    """The eave of a well-formed profile; `_stages` tells of the others."""
    try:
        return [float(profile[0][0])]
    except (TypeError, IndexError):
        return []


def _stages(profile: Profile, base: float, place: Place) -> tuple[Stage, ...]:
    """Speeds of one edge by height; a wall stands below an eave higher than the lowest."""
    name, edges = edge_name(place), (place,)
    if isinstance(profile, (int, float)) or len(profile) == 0:
        raise OutlineError(
            f"{capital(name)} has no pitch: give it one, or make it a gable.", edges=edges
        )
    try:
        heights = [float(h) for h, _ in profile]
        slopes = [float(s) for _, s in profile]
    except TypeError:
        raise OutlineError(
            f"The profile of {name} must be a list of (height, slope), for example [(0, 0.5)].",
            edges=edges,
        ) from None
    if not all(map(math.isfinite, heights)):
        raise OutlineError(
            f"A step of {name} has no finite height; give it one in numbers.", edges=edges
        )
    if any(b <= a for a, b in itertools.pairwise(heights)):
        raise OutlineError(
            f"The steps of {name} must go up, each above the last; put them in order.",
            edges=edges,
        )
    out = [Stage(0.0, 0.0, -1)] if heights[0] > base else []
    for step, (height, slope) in enumerate(zip(heights, slopes, strict=True)):
        if not slope > LEAST_SLOPE:
            raise OutlineError(
                f"{capital(name)} has a pitch of 0 or less: a pitch must be more than 0; for a"
                " flat top use a deck.",
                edges=edges,
            )
        out.append(Stage(height - base, 0.0 if math.isinf(slope) else 1.0 / slope, step))
    return tuple(out)


def prepare(rings: Sequence[Array], profiles: Sequence[Profile]) -> Prepared:
    """Check an outline and its profiles; OutlineError names the corners or edges at fault."""
    if not rings:
        raise OutlineError("There is no outline: draw one.")
    arrays = [np.array(r, dtype=float) for r in rings]
    for r, a in enumerate(arrays):
        if a.size and (a.ndim != 2 or a.shape[1] != 2):
            raise OutlineError(
                f"{capital(ring_name(r))} must be a list of corners (x, y); it has the shape"
                f" {a.shape}."
            )
    arrays = [a.reshape(-1, 2) for a in arrays]
    count = sum(len(a) for a in arrays)
    if len(profiles) != count:
        raise OutlineError(
            f"The rings have {count} edges but {len(profiles)} pitches; give one to each edge."
        )
    for r, a in enumerate(arrays):
        if len(a) < 3:
            raise OutlineError(
                f"{capital(ring_name(r))} needs at least three corners; it has {len(a)}.",
                corners=tuple((r, k) for k in range(len(a))),
            )
        bad = np.flatnonzero(~np.isfinite(a).all(axis=1))
        if bad.size:
            place = r, int(bad[0])
            raise OutlineError(
                f"{capital(corner_name(place))} lies nowhere: its place is no number. Move or"
                " remove it.",
                corners=(place,),
            )
    low, high = arrays[0].min(axis=0), arrays[0].max(axis=0)
    size = float(max(high - low))
    if not size > 0:
        raise OutlineError(
            "The outline has no area: its corners lie on one point. Move them apart.",
            corners=tuple((0, k) for k in range(len(arrays[0]))),
        )
    origin = (low + high) / 2.0
    arrays = [a - origin for a in arrays]
    _check_rings(arrays, size)
    base = min((h for p in profiles for h in _first_height(p)), default=0.0)
    places = _places([len(a) for a in arrays])
    stages = tuple(_stages(p, base, k) for p, k in zip(profiles, places, strict=True))
    if not any(s.speed > 0 for st in stages for s in st):
        raise OutlineError(
            "Nothing slopes: every edge is a gable. Give at least one edge a pitch.",
            edges=tuple(places),
        )
    out_rings, out_edges, first = [], [], 0
    for r, a in enumerate(arrays):
        n = len(a)
        ids = list(range(first, first + n))
        ccw = _signed_area(a) > 0
        if ccw != (r == 0):
            a, ids = a[::-1].copy(), ids[-2::-1] + ids[-1:]
        out_rings.append(a)
        out_edges.append(tuple(ids))
        first += n
    area = sum(_signed_area(a) for a in out_rings)
    return Prepared(tuple(out_rings), tuple(out_edges), stages, base, origin, size, float(area))


def _signed_area(a: Array) -> float:
    x, y = a[:, 0], a[:, 1]
    return float(0.5 * np.sum(x * rolled(y) - rolled(x) * y))


def _check_rings(arrays: Sequence[Array], size: float) -> None:
    """Crossing, repeated corners, spikes, zero area, courtyards outside or touching."""
    for r, a in enumerate(arrays):
        step = rolled(a) - a
        short = np.flatnonzero(np.hypot(step[:, 0], step[:, 1]) <= 10 * MERGE_REL * size)
        if short.size:
            k = int(short[0])
            raise OutlineError(
                f"{capital(corner_name((r, k)))} is repeated: the next corner lies on it. Remove"
                " one of them.",
                corners=((r, k), (r, (k + 1) % len(a))),
            )
    polygons = [shapely.Polygon(a) for a in arrays]
    for r, polygon in enumerate(polygons):
        name, all_corners = capital(ring_name(r)), tuple((r, k) for k in range(len(arrays[r])))
        if polygon.convex_hull.area <= MERGE_REL * size * size:
            raise OutlineError(
                f"{name} has no area: its corners lie on one line. Move one of them.",
                corners=all_corners,
            )
        if not polygon.is_valid:
            pair = _crossing(arrays[r], size)
            if pair is None:
                raise OutlineError(
                    f"{name} touches or crosses itself; move a corner apart.", corners=all_corners
                )
            edges = (r, pair[0]), (r, pair[1])
            raise OutlineError(
                f"{name} crosses or touches itself: {edge_names(edges)} meet. Move a corner so"
                " that they do not.",
                edges=edges,
            )
    outer = polygons[0]
    for r, hole in enumerate(polygons[1:], 1):
        if not outer.contains_properly(hole):
            raise OutlineError(
                f"Courtyard {r} touches the outline or lies outside it; move it inside.",
                corners=tuple((r, k) for k in range(len(arrays[r]))),
            )
        for q, other in enumerate(polygons[1:r], 1):
            if hole.intersects(other):
                raise OutlineError(
                    f"Courtyards {q} and {r} touch or overlap; move them apart.",
                    corners=tuple((i, k) for i in (q, r) for k in range(len(arrays[i]))),
                )


def _crossing(a: Array, size: float) -> tuple[int, int] | None:
    """Two edges of a ring that meet away from a shared corner, found with an index."""
    lines = shapely.linestrings(np.stack([a, rolled(a)], axis=1))
    segments = list(np.atleast_1d(np.asarray(lines, dtype=object)))
    tree = shapely.STRtree(segments)
    n = len(a)
    first, second = tree.query(segments, predicate="intersects")
    for i, j in sorted(zip(first.tolist(), second.tolist(), strict=True)):
        if i >= j:
            continue
        if j - i in (1, n - 1):
            shared = segments[i].intersection(segments[j])
            if shared.length <= MERGE_REL * size:
                continue
        return i, j
    return None
