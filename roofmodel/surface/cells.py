"""Cells between arcs of the plane, found by walking around each with the cell at the left hand.

An arc is walked in both directions; at its end the walk turns into the next arc clockwise. A
walk that comes out counter-clockwise is the outer rim of a cell; one that comes out clockwise is
the rim of a hole in the cell it lies in, or of everything.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.surface.types import Array

Indices = NDArray[np.int64]
Polygons = NDArray[np.object_]


def cells_of(points: Array, arcs: Indices) -> tuple[Polygons, Indices, Indices, Indices, Indices]:
    """The cells between arcs (m, 2) that do not cross, given by the numbers of their `points`.

    Returns the cells as polygons, then for every arc of their rims, in both directions where
    cells lie on both sides: its start, its end, the cell at its left and the one at its right (-1
    where nothing lies). Arcs that bound no cell, or one cell on both sides, are left out.
    """
    while True:
        start, end, rims, owner = _walked(points, arcs)
        m = len(arcs)
        idle = owner[:m] == owner[m:]
        if not idle.any():
            break
        arcs = arcs[~idle]
    sizes = np.array([len(r) for r in rims], np.int64)
    ends = np.cumsum(sizes)
    walk = np.array([h for r in rims for h in r], np.int64)
    corners = points[start[walk]]
    areas = _areas(corners, points[end[walk]], ends)
    is_cell = areas > 0.0
    outer = np.flatnonzero(is_cell)
    number = np.full(len(rims), -1, np.int64)
    number[outer] = np.arange(len(outer))
    ring = np.repeat(np.arange(len(rims)), sizes)
    shells = _rings(corners, ring, is_cell)
    cells: Polygons = np.asarray(shapely.polygons(shells), dtype=object)
    inner = np.flatnonzero(~is_cell)
    if len(inner):
        first = ends - sizes
        number[inner] = _around(cells, areas[outer], corners[first[inner]])
        # a rim that touches its cell's outer one was walked together with it
        by_walk = dict(zip(owner[walk[first[outer]]].tolist(), range(len(outer)), strict=True))
        for k, of in zip(inner.tolist(), owner[walk[first[inner]]].tolist(), strict=True):
            number[k] = by_walk.get(of, number[k])
        made = _rings(corners, ring, ~is_cell)
        into = number[inner]
        for cell in np.unique(into[into >= 0]).tolist():
            cells[cell] = shapely.polygons(shells[cell], made[into == cell])
    left = number[ring]
    cell_of = np.full(2 * m, -1, np.int64)
    cell_of[walk] = left
    twin = np.where(walk < m, walk + m, walk - m)
    kept = left >= 0
    return cells, start[walk][kept], end[walk][kept], left[kept], cell_of[twin][kept]


def _around(cells: Polygons, areas: Array, places: Array) -> Indices:
    """The smallest cell, its holes not looked at, around each place; -1 where there is none."""
    out = np.full(len(places), -1, np.int64)
    found, over = shapely.STRtree(cells).query(shapely.points(places), predicate="within")
    order = np.argsort(-areas[over], kind="stable")
    out[found[order]] = over[order]  # the last one written is the smallest
    return out


def _walked(points: Array, arcs: Indices) -> tuple[Indices, Indices, list[list[int]], Indices]:
    """Starts and ends (2m,) of arcs there and back, the rims, and the walk each was met on."""
    m = len(arcs)
    start = np.concatenate([arcs[:, 0], arcs[:, 1]])
    end = np.concatenate([arcs[:, 1], arcs[:, 0]])
    way = points[end] - points[start]
    order = np.lexsort((np.arctan2(way[:, 1], way[:, 0]), start))
    # counter-clockwise around each point; before the first comes the last of that point
    at = start[order]
    place = np.arange(2 * m)
    is_first = np.concatenate([[True], at[1:] != at[:-1]])
    is_last = np.concatenate([is_first[1:], [True]])
    before = place - 1
    before[is_first] = place[is_last]
    clockwise = np.empty(2 * m, np.int64)
    clockwise[order] = order[before]
    onward = clockwise[np.concatenate([np.arange(m, 2 * m), np.arange(m)])].tolist()
    starts = start.tolist()
    owner = [-1] * (2 * m)
    rims: list[list[int]] = []
    for h in range(2 * m):
        rim: list[int] = []
        here = h
        while owner[here] < 0:
            owner[here] = h
            rim.append(here)
            here = onward[here]
        if rim:
            rims += _parted(rim, starts)
    return start, end, rims, np.array(owner, np.int64)


def _parted(rim: list[int], starts: list[int]) -> list[list[int]]:
    """A rim that passes a point twice, as rims that do not."""
    if len({starts[h] for h in rim}) == len(rim):
        return [rim]
    out: list[list[int]] = []
    kept: list[int] = []
    at: dict[int, int] = {}
    for h in rim:
        k = at.get(starts[h])
        if k is not None:
            out.append(kept[k:])
            for gone in kept[k:]:
                del at[starts[gone]]
            del kept[k:]
        at[starts[h]] = len(kept)
        kept.append(h)
    return [*out, kept]


def _areas(start: Array, end: Array, ends: Indices) -> Array:
    """Signed area of each rim, its sides one after the other."""
    twice = np.concatenate([[0.0], np.cumsum(_cross(start, end))])
    out: Array = np.diff(twice[np.concatenate([[0], ends])]) / 2.0
    return out


def _cross(a: Array, b: Array) -> Array:
    out: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return out


def _rings(corners: Array, rings: Indices, of: NDArray[np.bool_]) -> Polygons:
    """The rims that are meant as rings, in their order."""
    wanted = of[rings]
    numbers = np.cumsum(of) - 1
    made = shapely.linearrings(corners[wanted], indices=numbers[rings[wanted]])
    return np.atleast_1d(np.asarray(made, dtype=object))
