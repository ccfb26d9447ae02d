"""Seen layers put together to planes, and what lies beyond each arc around them.

Vocabulary
----------
patch
    A connected piece of one plane: seen layers of facets that continue each other over arcs.
contact
    What a patch meets at an arc: another patch, a wall above it, an opening, or nothing.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from roofmodel.surface.arrangement import Indices
from roofmodel.surface.layers import Layers
from roofmodel.surface.types import Array
from roofmodel.tolerance import COPLANAR_MM, HEAL_MM


class Arc(NamedTuple):
    """A directed arc of the plan with a cell on its left; `right` is -1 where nothing lies."""

    start: int
    end: int
    left: int
    right: int


class Contact(NamedTuple):
    """What lies beyond an arc: "patch" (with its number), "wall" (with the number of the body
    whose wall it is), "opening" (with the opening's number) or "end"."""

    what: str
    number: int


@dataclass(slots=True, eq=False)
class Patch:
    """`facets` are those it is made of, the first in the job's order gives it its plane."""

    number: int
    facets: list[int]
    arcs: list[tuple[Arc, Contact]] = field(default_factory=list)
    facet: int = field(init=False)
    """The facet that gives the plane."""

    def __post_init__(self) -> None:
        self.facet = self.facets[0]


@dataclass(slots=True, eq=False)
class Patches:
    """All patches, with the `points` of the plan (some added where heights cross on an arc);
    `over` has the numbers of the patches over each cell, in the order of what is seen there.

    Points and planes are plain tuples here: far quicker one by one than rows of arrays.
    """

    layers: Layers
    points: list[tuple[float, float]]
    planes: list[tuple[float, float, float, float, float]]
    arcs: list[Arc]
    patches: list[Patch]
    inside: list[tuple[float, float]]
    over: list[list[int]] = field(default_factory=list)
    one_plane: dict[tuple[int, int], bool] = field(default_factory=dict)

    def facet_height(self, facet: int, point: int) -> float:
        """Height of a facet's plane over a point of the plan, mm."""
        px, py, pz, gx, gy = self.planes[facet]
        x, y = self.points[point]
        return pz + gx * (x - px) + gy * (y - py)

    def raised(self, patch: Patch, points: Iterable[int]) -> list[tuple[float, float, float]]:
        """Points of the plan raised to a patch's plane."""
        px, py, pz, gx, gy = self.planes[patch.facets[0]]
        places = self.points
        return [(x, y, pz + gx * (x - px) + gy * (y - py)) for x, y in (places[k] for k in points)]


def patches_of(layers: Layers) -> Patches:
    """Join what is seen into patches and find the contacts of each."""
    plan = layers.plan
    sides = (plan.start.tolist(), plan.end.tolist(), plan.left.tolist(), plan.right.tolist())
    arcs = list(map(Arc._make, zip(*sides, strict=True)))
    inside = [(x, y) for x, y in plan.inside.tolist()]
    out = Patches(layers, list(layers.points), layers.planes, arcs, [], inside)
    _split_crossings(out)
    _join(out)
    _contacts(out)
    return out


def _split_crossings(out: Patches) -> None:
    """A new point on every arc along which two layers on its two sides change places: a wall
    begins there."""
    layers = out.layers
    over, seen = layers.all, layers.seen
    pairs = [
        (start, end, f, g)
        for start, end, left, right in out.arcs
        if right >= 0 and start < end
        for f in over[left]
        for g in over[right]
        if f != g and (f in seen[left] or g in seen[right])
    ]
    if not pairs:
        return
    start, end, f, g = np.array(pairs).T
    a, b = (_over(layers, f, k) - _over(layers, g, k) for k in (start, end))
    cuts: dict[tuple[int, int], list[float]] = {}
    for k in np.flatnonzero((a * b < 0) & (np.minimum(np.abs(a), np.abs(b)) > HEAL_MM)):
        share = float(a[k] / (a[k] - b[k]))
        cuts.setdefault((int(start[k]), int(end[k])), []).append(share)
    if not cuts:
        return
    inner: dict[tuple[int, int], list[int]] = {}
    for (start, end), shares in cuts.items():
        (px, py), (qx, qy) = out.points[start], out.points[end]
        length = math.hypot(qx - px, qy - py)
        last, numbers = 0.0, []
        for share in sorted(shares):
            if (share - last) * length > HEAL_MM and (1.0 - share) * length > HEAL_MM:
                numbers.append(len(out.points))
                out.points.append((px + (qx - px) * share, py + (qy - py) * share))
                last = share
        inner[start, end] = numbers
        inner[end, start] = numbers[::-1]
    split: list[Arc] = []
    for arc in out.arcs:
        between = inner.get((arc.start, arc.end), [])
        for one, other in zip([arc.start, *between], [*between, arc.end], strict=True):
            split.append(Arc(one, other, arc.left, arc.right))
    out.arcs = split


def _over(layers: Layers, facets: Indices, points: Indices) -> Array:
    """Heights (n,) of planes over points, given by their numbers."""
    plane, xy = layers.plane[facets], layers.plan.points[points]
    out: Array = plane[:, 2] + np.sum(plane[:, 3:] * (xy - plane[:, :2]), axis=1)
    return out


def _join(out: Patches) -> None:
    """Number the seen layers through and join those that continue each other."""
    seen = out.layers.seen
    first = [0]
    for some in seen:
        first.append(first[-1] + len(some))
    parent = list(range(first[-1]))
    # cells with several layers, by patch: only there a plane could come to lie over itself
    several = {
        k: {cell}
        for cell, some in enumerate(seen)
        if len(some) > 1
        for k in range(first[cell], first[cell + 1])
    }
    none: set[int] = set()

    def root(layer: int) -> int:
        while parent[layer] != layer:
            parent[layer] = layer = parent[parent[layer]]
        return layer

    for arc in out.arcs:
        _, _, left, right = arc
        if right <= left:
            continue
        beyond = seen[right]
        for k, f in enumerate(seen[left]):
            if f in beyond:
                at = beyond.index(f)
            else:
                at = next((n for n, g in enumerate(beyond) if _continues(out, arc, f, g)), -1)
                if at < 0:
                    continue
            one, two = root(first[left] + k), root(first[right] + at)
            if one == two:
                continue
            if two < one:
                one, two = two, one
            mine, other = several.get(one, none), several.get(two, none)
            if other and not mine.isdisjoint(other):
                continue
            if other:
                several[one] = mine | other
            parent[two] = one
    members: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for cell, some in enumerate(seen):
        for k, f in enumerate(some):
            members[root(first[cell] + k)].append((cell, f))
    groups = [(sorted({f for _, f in some}), top, some) for top, some in members.items()]
    groups.sort(key=lambda g: (g[0][0], *_place(out, g[0][0], g[2])))
    number = {}
    for k, (facets, top, _) in enumerate(groups):
        out.patches.append(Patch(k, facets))
        number[top] = k
    out.over = [
        [number[root(k)] for k in range(first[cell], first[cell + 1])] for cell in range(len(seen))
    ]


def _place(out: Patches, facet: int, some: list[tuple[int, int]]) -> tuple[float, float]:
    """Where a patch lies on its plane, left to right for someone who looks up the slope."""
    *_, gx, gy = out.planes[facet]
    # level planes are looked at from the south
    ux, uy = (gx, gy) if gx or gy else (0.0, 1.0)
    steep = math.hypot(ux, uy)
    ux, uy = ux / steep, uy / steep
    places = [out.inside[cell] for cell, _ in some]
    across = min(uy * x - ux * y for x, y in places)
    uphill = min(ux * x + uy * y for x, y in places)
    return round(across, 3), round(uphill, 3)


def _continues(out: Patches, arc: Arc, f: int, g: int) -> bool:
    """Do two facets lie in one plane, and meet at this arc?"""
    one = out.one_plane.get((f, g))
    if one is None:
        one = out.one_plane[f, g] = out.one_plane[g, f] = _one_plane(out.layers, f, g)
    return one and _meet(out, arc, f, g)


def _one_plane(layers: Layers, f: int, g: int) -> bool:
    """Do two facets part by less than a hair over their common extent?"""
    one, two = layers.facets[f], layers.facets[g]
    here, there = layers.bodies[layers.body[f]], layers.bodies[layers.body[g]]
    if one.is_deck != two.is_deck or here.building != there.building:
        return False
    a, b = layers.boxes[f], layers.boxes[g]
    spread = max(max(a[2], b[2]) - min(a[0], b[0]), max(a[3], b[3]) - min(a[1], b[1]))
    parting = math.hypot(one.gradient[0] - two.gradient[0], one.gradient[1] - two.gradient[1])
    return parting * spread <= (COPLANAR_MM if layers.body[f] == layers.body[g] else HEAL_MM)


def _meet(out: Patches, arc: Arc, f: int, g: int) -> bool:
    """Do two facets lie within a hair of each other along an arc?"""
    # asked for every arc: written out, as calls would take most of the time
    px, py, pz, gx, gy = out.planes[f]
    qx, qy, qz, hx, hy = out.planes[g]
    slack = out.layers.slack(f, g)
    x, y = out.points[arc.start]
    if abs(pz + gx * (x - px) + gy * (y - py) - qz - hx * (x - qx) - hy * (y - qy)) > slack:
        return False
    x, y = out.points[arc.end]
    return abs(pz + gx * (x - px) + gy * (y - py) - qz - hx * (x - qx) - hy * (y - qy)) <= slack


def _contacts(out: Patches) -> None:
    seen = out.layers.seen
    over = [*out.over, []]  # the last where nothing lies: cell -1
    for arc in out.arcs:
        _, _, left, right = arc
        here, beyond = over[left], over[right]
        if here == beyond:
            continue
        for f, number in zip(seen[left], here, strict=True):
            if number not in beyond:
                patch = out.patches[number]
                patch.arcs.append((arc, _contact(out, arc, f, patch.facet, beyond)))


def _contact(out: Patches, arc: Arc, own: int, facet: int, beyond: list[int]) -> Contact:
    """What facet `own`, of a patch with the plane of `facet`, meets at an arc."""
    layers = out.layers
    meeting = [n for n in beyond if _meet(out, arc, facet, out.patches[n].facet)]
    if len(meeting) == 1:
        return Contact("patch", meeting[0])
    if meeting:
        # of several that meet here the one that ends as well, not one that runs on beneath
        here = out.over[arc.left]
        return Contact("patch", min(meeting, key=lambda n: (n in here, n)))
    if arc.right < 0:
        return Contact("end", -1)
    if layers.hole[arc.right] >= 0 and layers.hole[arc.left] != layers.hole[arc.right]:
        return Contact("opening", layers.hole[arc.right])
    for g in layers.all[arc.right]:
        body = layers.body[g]
        solid = body in layers.walls[arc.right] and not layers.bodies[body].open_below
        if (body == layers.body[own] or solid) and _above(out, arc, g, facet):
            return Contact("wall", body)
    return Contact("end", -1)


def _above(out: Patches, arc: Arc, g: int, f: int) -> bool:
    """Does facet g rise above facet f along the arc, and nowhere dip below it?"""
    rise = [out.facet_height(g, p) - out.facet_height(f, p) for p in (arc.start, arc.end)]
    slack = out.layers.slack(f, g)
    return max(rise) > slack and min(rise) > -slack
