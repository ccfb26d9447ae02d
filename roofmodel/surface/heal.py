"""Slivers healed: corners of one section that lie within a millimetre become one corner.

A traced outline has walls that are parallel only nearly, so the exact roof has ridges of a hair's
length and faces thinner than paint. Nobody orders trim for those.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from roofmodel.skeleton import Face, Solved
from roofmodel.surface.types import Array
from roofmodel.tolerance import HEAL_MM

Arc = tuple[int, int]


def healed(solved: Solved) -> tuple[dict[int, Array], dict[Arc, int]]:
    """Corners by node, and for each directed arc the index of the face to its left.

    Nodes within `HEAL_MM` of each other are one node, faces that had no more width than that have
    no arcs, and their neighbours on both sides lie against each other.
    """
    xyz: dict[int, Array] = {}
    for face in solved.faces:
        for loop, points in _loops(face):
            xyz.update(zip(loop, points, strict=True))
    nodes = sorted(xyz)
    one = {n: n for n in nodes}
    pairs = cKDTree(np.array([xyz[n] for n in nodes])).query_pairs(HEAL_MM)
    for a, b in sorted(pairs):
        keep, drop = sorted((_root(one, nodes[a]), _root(one, nodes[b])))
        one[drop] = keep
    owner: dict[Arc, int] = {}
    for i, face in enumerate(solved.faces):
        arcs: set[Arc] = set()
        for loop, _ in _loops(face):
            ends = [_root(one, n) for n in loop]
            for arc in zip(ends, [*ends[1:], ends[0]], strict=True):
                back = (arc[1], arc[0])
                if back in arcs:
                    arcs.remove(back)
                elif arc[0] != arc[1]:
                    arcs.add(arc)
        owner.update(dict.fromkeys(sorted(arcs), i))
    return xyz, owner


def _loops(face: Face) -> zip[tuple[tuple[int, ...], Array]]:
    return zip((face.nodes, *face.hole_nodes), (face.vertices, *face.holes), strict=True)


def _root(parent: dict[int, int], node: int) -> int:
    while parent[node] != node:
        node = parent[node]
    return node
