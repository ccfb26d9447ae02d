"""Nodes: the places where roof edges meet. Trim ends are counted from them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from roofmodel.surface.types import Node, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import HEAL_MM, LEVEL_SLOPE

_HEIGHT_COUNTS = 0.2

_OPENING = {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE}
_WALL = {EdgeKind.HEADWALL, EdgeKind.SIDEWALL}
_LOW = {EdgeKind.EAVE, EdgeKind.RAKE, EdgeKind.HIGH_EAVE}


def nodes_of(edges: Sequence[RoofEdge]) -> tuple[Node, ...]:
    """The nodes of a roof, in the order of its edges; each with its kind in words."""
    if not edges:
        return ()
    from scipy.spatial import cKDTree  # late: the first window needs none of it

    ends = np.array([p for e in edges for p in (e.start, e.end)])
    group = list(range(len(ends)))
    # healing moves points by a millimetre in plan, which is more in height on a steep plane
    for a, b in sorted(cKDTree(ends * (1.0, 1.0, _HEIGHT_COUNTS)).query_pairs(2.0 * HEAL_MM)):
        group[b] = min(group[b], group[a])
    members: dict[int, list[int]] = {}
    for k, first in enumerate(group):
        while group[first] != first:
            first = group[first]
        members.setdefault(first, []).append(k)
    out = []
    for first, some in members.items():
        meeting = [(edges[k // 2], k % 2) for k in some]
        ids = tuple(dict.fromkeys(e.id for e, _ in meeting))
        out.append(Node(ends[first], _kind(meeting), ids))
    return tuple(out)


def _kind(meeting: Sequence[tuple[RoofEdge, int]]) -> str:
    kinds = [e.kind for e, _ in meeting]
    has = set(kinds)
    if has & _OPENING:
        return "opening corner"
    lines = [(e, end) for e, end in meeting if e.kind in (EdgeKind.RIDGE, EdgeKind.HIP)]
    if has & _WALL:
        if EdgeKind.VALLEY in has:
            return "valley at a wall"
        return "ridge end at a wall" if EdgeKind.RIDGE in has else "wall corner"
    if EdgeKind.VALLEY in has:
        low = any(_goes_up(e, end) for e, end in meeting if e.kind is EdgeKind.VALLEY)
        if has & {EdgeKind.EAVE, EdgeKind.RAKE} and low:
            return "valley foot"
        return "valley head" if not low or EdgeKind.RIDGE in has else "valley joint"
    if EdgeKind.RIDGE in has:
        if EdgeKind.RAKE in has:
            return "ridge end at a gable"
        if EdgeKind.HIP in has:
            return "ridge end at hips"
        return "ridge joint"
    if EdgeKind.HIP in has:
        if has & _LOW:
            return "hip foot"
        return "peak" if not any(_goes_up(e, end) for e, end in lines) else "hip joint"
    if has & _LOW:
        return "roof corner"
    return "joint"


def _goes_up(edge: RoofEdge, end: int) -> bool:
    """Does the edge rise away from this end (0: its start)?"""
    rise = float(edge.end[2] - edge.start[2]) * (1 if end == 0 else -1)
    return rise > LEVEL_SLOPE * edge.length
