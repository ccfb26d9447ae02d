"""Faces put together from the arcs that bound them.

While the wavefront moves, every arc is told to the two faces beside it, each in its own
counter-clockwise direction. At the end the arcs of a face form closed chains of nodes.
"""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np

from roofmodel.skeleton.types import Array


class Boundary:
    """Nodes, and the directed arcs of every face."""

    def __init__(self) -> None:
        self.x: list[float] = []
        self.y: list[float] = []
        self.z: list[float] = []
        self.faces: list[tuple[int, int]] = []
        self.arcs: list[list[tuple[int, int]]] = []

    def node(self, x: float, y: float, z: float) -> int:
        """Add a node and return its number."""
        self.x.append(x)
        self.y.append(y)
        self.z.append(z)
        return len(self.x) - 1

    def face(self, edge: int, step: int) -> int:
        """Add a face of a step of an edge and return its number."""
        self.faces.append((edge, step))
        self.arcs.append([])
        return len(self.faces) - 1

    def arc(self, face: int, start: int, end: int) -> None:
        """Tell a face of an arc of its boundary."""
        if start != end:
            self.arcs[face].append((start, end))

    def chains(self, face: int, along: tuple[float, float] | None) -> list[list[int]]:
        """Closed chains of nodes around a face; `along` is the plan direction of a vertical
        face, which is looked at from its right. Where a face touches itself in a node the chain
        turns as far right as it can, so that each chain is a simple loop."""
        arcs = set(self.arcs[face])
        for start, end in list(arcs):
            if (end, start) in arcs:
                arcs -= {(start, end), (end, start)}
        out: dict[int, list[int]] = defaultdict(list)
        for start, end in sorted(arcs):
            out[start].append(end)
        loops = []
        while out:
            start = next(iter(out))
            chain = [start]
            here = self._take(out, start, None, along)
            while here != start:
                chain.append(here)
                if here not in out:
                    raise ArithmeticError("a face does not close")
                here = self._take(out, here, chain[-2], along)
            loops.append(chain)
        return loops

    def _take(
        self, out: dict[int, list[int]], here: int, before: int | None, along: tuple[float, float] | None
    ) -> int:
        ways = out[here]
        pick = 0
        if len(ways) > 1 and before is not None:
            back = self._angle(here, before, along)
            turns = [(self._angle(here, w, along) - back) % (2 * math.pi) for w in ways]
            pick = turns.index(max(turns))
        end = ways.pop(pick)
        if not ways:
            del out[here]
        return end

    def _angle(self, start: int, end: int, along: tuple[float, float] | None) -> float:
        dx, dy = self.x[end] - self.x[start], self.y[end] - self.y[start]
        if along is None:
            return math.atan2(dy, dx)
        return math.atan2(self.z[end] - self.z[start], dx * along[0] + dy * along[1])

    def points(self, chain: list[int]) -> Array:
        """(k, 3) corners of a chain."""
        return np.array([(self.x[i], self.y[i], self.z[i]) for i in chain])
