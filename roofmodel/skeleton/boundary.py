"""Faces put together from the arcs that bound them.

While the wavefront moves, every arc is told to the two faces beside it, each in its own
counter-clockwise direction. At the end the arcs of a face form closed chains of nodes.
"""

from __future__ import annotations

import math

import numpy as np

from roofmodel.geometry import closed_chains
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
        face, which is looked at from its right."""

        def angle(start: int, end: int) -> float:
            dx, dy = self.x[end] - self.x[start], self.y[end] - self.y[start]
            if along is None:
                return math.atan2(dy, dx)
            return math.atan2(self.z[end] - self.z[start], dx * along[0] + dy * along[1])

        return closed_chains(self.arcs[face], angle)

    def points(self) -> Array:
        """(n, 3) places of all nodes."""
        return np.column_stack([self.x, self.y, self.z])
