"""Segments cut where they meet, with everything closer than a millimetre made one.

Each round finds where ends lie on other segments and where segments cross, cuts there, and merges
points that lie within `HEAL_MM`; a round that changes nothing is the last. Points of the input
win over points that were computed, so exact houses stay exact.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.surface.types import Array
from roofmodel.tolerance import HEAL_MM, NODING_MM

Indices = NDArray[np.int64]
_ROUNDS = 8
_CLOSE = 10.0
"""Points this many times `HEAL_MM` apart are near enough for another look."""


def noded(segments: Array) -> tuple[Array, Indices]:
    """Points (n, 2) and arcs (m, 2) between them, from (k, 2, 2) segments; no two arcs cross."""
    points, arcs, _ = _merged(segments.reshape(-1, 2), np.arange(2 * len(segments)).reshape(-1, 2))
    for _ in range(_ROUNDS):
        more, split, bent = _cuts(points, arcs)
        if not len(split):
            return points, arcs
        arcs = _split(points, more, arcs, split)
        points, arcs, close = _merged(np.concatenate([points, more]), arcs)
        if not (bent or close):
            # all cuts were exact and nothing new lies near anything: another look would be idle
            return points, arcs
    return _snapped(points, arcs)


def _merged(points: Array, arcs: Indices) -> tuple[Array, Indices, bool]:
    """Points closer than `HEAL_MM` become the first of them; each arc once, none of no length.
    And whether any two points that are not the same but for rounding lie close together."""
    n = len(points)
    # most of what merges is the same to the last bit: cheaper than neighbours in a tree
    _, first, again = np.unique(
        points[:, 0] + 1j * points[:, 1], return_index=True, return_inverse=True
    )
    from scipy.spatial import cKDTree  # late: the first window needs none of it

    pairs = cKDTree(points[first]).query_pairs(_CLOSE * HEAL_MM, output_type="ndarray")
    to = first
    close = False
    if len(pairs):
        off = points[first[pairs[:, 0]]] - points[first[pairs[:, 1]]]
        apart = np.hypot(off[:, 0], off[:, 1])
        close = bool((apart > NODING_MM).any())
        pairs = pairs[apart <= HEAL_MM]
    if len(pairs):
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import connected_components

        m = len(first)
        graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(m, m))
        count, label = connected_components(graph, directed=False)
        lowest = np.full(count, n)
        np.minimum.at(lowest, label, first)
        to = lowest[label]
    arcs = to[again][arcs]
    arcs = np.sort(arcs[arcs[:, 0] != arcs[:, 1]], axis=1)
    keys = np.unique(arcs[:, 0] * n + arcs[:, 1])
    return points, np.stack([keys // n, keys % n], axis=1).astype(np.int64), close


def _cuts(points: Array, arcs: Indices) -> tuple[Array, Indices, bool]:
    """New points (k, 2), and (m, 2) rows of arc and point that it must run through; and whether
    that bends an arc by more than rounding."""
    a, b = points[arcs[:, 0]], points[arcs[:, 1]]
    low, high = np.minimum(a, b) - HEAL_MM, np.maximum(a, b) + HEAL_MM
    boxes = np.asarray(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]), dtype=object)
    i, j = shapely.STRtree(boxes).query(boxes)
    upper = i < j
    i, j = i[upper], j[upper]
    way = b - a
    length = np.hypot(way[:, 0], way[:, 1])
    splits = []
    touching = np.zeros(len(i), bool)
    bent = False
    for of, on in ((i, j), (j, i)):
        for end in (0, 1):
            node = arcs[of, end]
            off = points[node] - a[on]
            along = np.sum(off * way[on], axis=1) / length[on]
            miss = np.abs(way[on, 0] * off[:, 1] - way[on, 1] * off[:, 0]) / length[on]
            hit = (miss <= HEAL_MM) & (along > 0.0) & (along < length[on])
            touching |= (miss <= HEAL_MM) & (along >= -HEAL_MM) & (along <= length[on] + HEAL_MM)
            hit &= (arcs[on, 0] != node) & (arcs[on, 1] != node)
            bent |= bool((miss[hit] > NODING_MM).any())
            splits.append(np.stack([on[hit], node[hit]], axis=1))
    i, j = i[~touching], j[~touching]
    cross = way[i, 0] * way[j, 1] - way[i, 1] * way[j, 0]
    off = a[j] - a[i]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (off[:, 0] * way[j, 1] - off[:, 1] * way[j, 0]) / cross
        u = (off[:, 0] * way[i, 1] - off[:, 1] * way[i, 0]) / cross
    meets = (t > 0.0) & (t < 1.0) & (u > 0.0) & (u < 1.0)
    i, j, t = i[meets], j[meets], t[meets]
    more = a[i] + way[i] * t[:, None]
    number = len(points) + np.arange(len(i))
    splits += [np.stack([i, number], axis=1), np.stack([j, number], axis=1)]
    return more, np.concatenate(splits), bent


def _split(points: Array, more: Array, arcs: Indices, split: Indices) -> Indices:
    """The arcs, run through the points that lie on them in their order."""
    places = np.concatenate([points, more])
    kept = np.ones(len(arcs), bool)
    kept[split[:, 0]] = False
    a, b = arcs[split[:, 0], 0], arcs[split[:, 0], 1]
    way = places[b] - places[a]
    share = np.sum((places[split[:, 1]] - places[a]) * way, axis=1) / np.sum(way * way, axis=1)
    cut = np.flatnonzero(~kept)
    owner = np.concatenate([cut, split[:, 0], cut])
    node = np.concatenate([arcs[cut, 0], split[:, 1], arcs[cut, 1]])
    at = np.concatenate([np.full(len(cut), -1.0), share, np.full(len(cut), 2.0)])
    order = np.lexsort((at, owner))
    owner, node = owner[order], node[order]
    on = owner[1:] == owner[:-1]
    return np.concatenate([arcs[kept], np.stack([node[:-1][on], node[1:][on]], axis=1)])


def _snapped(points: Array, arcs: Indices) -> tuple[Array, Indices]:
    """The last resort for lines that keep crossing while they heal: cut on a fine grid."""
    lines = np.asarray(shapely.linestrings(points[arcs]), dtype=object)
    merged = shapely.union_all(lines, grid_size=NODING_MM)
    coords, owner = shapely.get_coordinates(shapely.get_parts(merged), return_index=True)
    on = owner[1:] == owner[:-1]
    ends = np.stack([coords[:-1][on], coords[1:][on]], axis=1)
    unique, number = np.unique(ends.reshape(-1, 2), axis=0, return_inverse=True)
    pairs = np.sort(number.reshape(-1, 2), axis=1)
    return unique, np.unique(pairs[pairs[:, 0] != pairs[:, 1]], axis=0).astype(np.int64)
