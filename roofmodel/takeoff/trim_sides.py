"""The two sides of an edge: on which side of a line a plane lies, which plane comes first, and
what a run takes where the systems on both sides lay different parts.

Walking along a run with its first plane on the left, its section goes from left to right.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from roofmodel.surface import Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind, RoofingSystem, TrimProfile, TrimRule
from roofmodel.systems.joining import joined
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.trim_types import TrimRun

Array = NDArray[np.float64]

_SAME_RISE: Final = 1e-6
_DUE_NORTH: Final = 1e-6
_UPPER_FIRST: Final = (EdgeKind.PITCH_TRANSITION, EdgeKind.DECK_EDGE)
"""Here the two sides of a part differ in what they do, elsewhere only in their borders."""


class Pair(NamedTuple):
    """The parts that a section is put together from, that on its first plane first; `on_left`:
    does the first plane lie on the left of someone who walks the line eastwards (or due north)?"""

    first: str
    second: str
    on_left: bool


def normal_of(plane: Plane) -> Array:
    """The upward unit normal (3,) of a plane."""
    bearing = np.radians(plane.bearing)
    out = np.array([plane.slope * np.sin(bearing), plane.slope * np.cos(bearing), 1.0])
    return np.asarray(out / np.linalg.norm(out))


def lies_left(plane: Plane, edge: RoofEdge, along: Array) -> bool:
    """Does a plane of an edge lie on the left of it, walked this way (3,)?"""
    middle = (edge.start + edge.end)[:2] / 2.0
    best, way = np.inf, along[:2]
    for ring in (plane.outline, *plane.holes):
        a, b = ring[:, :2], np.roll(ring[:, :2], -1, axis=0)
        d = b - a
        size = np.maximum((d**2).sum(axis=1), 1e-12)
        t = np.clip(((middle - a) * d).sum(axis=1) / size, 0.0, 1.0)
        off = np.linalg.norm(a + t[:, None] * d - middle, axis=1)
        # where the plane ends in a point two sides are as near: the one along the edge counts
        off = off + np.abs(d[:, 0] * along[1] - d[:, 1] * along[0]) / np.sqrt(size)
        k = int(off.argmin())
        if off[k] < best:
            best, way = float(off[k]), d[k]
    return bool(way @ along[:2] > 0.0)


def first_of(own: Sequence[Plane], on_left: Sequence[bool], along: Array) -> int:
    """Which of one or two planes is first: the upper one where one lies above the line and the
    other below it, else the one on the left."""
    if len(own) == 1:
        return 0
    rises = []
    for plane, is_left in zip(own, on_left, strict=True):
        into = np.cross(normal_of(plane), along if is_left else -along)
        rises.append(float(into[2]))
    if abs(rises[0] - rises[1]) > _SAME_RISE and max(rises) > -_SAME_RISE > min(rises):
        return int(rises[1] > rises[0])
    return on_left.index(True) if True in on_left else 0


def pair_on(
    edge: RoofEdge,
    kind: EdgeKind,
    rule: TrimRule,
    planes: Mapping[PlaneId, Plane],
    panelled: Collection[PlaneId],
    coverings: Coverings,
) -> Pair | None:
    """What a part along an edge is put together from where the panels on both sides are of two
    systems that lay different ones there; None where it is the rule's own part.

    The other system's is the one that it names in the same place among those along the edge. At
    pitch transitions and deck edges the upper plane is first, elsewhere the part whose name is
    the first in order: so it is one part, whichever side it lies on.
    """
    sides = [planes[p] for p in edge.planes if p in panelled]
    systems = [coverings.system_of(p) for p in sides]
    if len({s.id for s in systems if s}) < 2:
        return None
    number = along(coverings.trim_system(edge), kind).index(rule.part)
    parts = [name for s in systems for name in along(s, kind)[number : number + 1]]
    if len(set(parts)) < 2:
        return None
    way = _eastwards(edge)
    on_left = [lies_left(p, edge, way) for p in sides]
    k = first_of(sides, on_left, way) if kind in _UPPER_FIRST else int(parts[1] < parts[0])
    one, two = (coverings.parts.get(n) for n in (parts[k], parts[1 - k]))
    if one is None or two is None or joined(one, two) is None:
        return None
    return Pair(one.name, two.name, on_left[k])


def first_plane(
    edge: RoofEdge, pair: Pair | None, planes: Mapping[PlaneId, Plane]
) -> PlaneId | None:
    """The plane of an edge that a pair's first part belongs to."""
    if pair is None:
        return None
    along = _eastwards(edge)
    own = [p for p in edge.planes if p in planes]
    return next((p for p in own if lies_left(planes[p], edge, along) == pair.on_left), None)


def section_of(run: TrimRun, parts: Mapping[str, TrimProfile]) -> TrimProfile | None:
    """The cross-section of a run by the job's `parts`; None where it has none. A part put
    together from two is derived from theirs, unless the job has a section of its own for it."""
    own = parts.get(run.part)
    if own is not None or not run.halves:
        return own
    one, two = (parts.get(name) for name in run.halves)
    return None if one is None or two is None else joined(one, two)


def along(system: RoofingSystem | None, kind: EdgeKind) -> list[str]:
    """The parts that a system lays along such an edge once."""
    return [r.part for r in system.trim.get(kind, ()) if r.along == "edge"] if system else []


def _eastwards(edge: RoofEdge) -> Array:
    """The unit way (3,) of an edge, eastwards, or north where it runs due north."""
    way = (edge.end - edge.start) / edge.length
    x, y = float(way[0]), float(way[1])
    backwards = x < 0.0 if abs(x) > _DUE_NORTH else y < 0.0
    return np.asarray(-way if backwards else way)
