"""A trim run as a line in space: which plane is first, and what meets it at both ends.

Vocabulary
----------
along
    The way of the run, so that its first plane lies on the left of someone who walks it.
across, up
    The way from the first plane to the second, in the first plane, and that plane's normal. With
    the section's (x, y) they place every point of a bent part: x across, y up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roofmodel.surface import EdgeId, Node, Plane, PlaneId, RoofEdge, Surface
from roofmodel.takeoff.trim_sides import first_of, lies_left, normal_of
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.tolerance import HEAL_MM

__all__ = ["LEAST_SINE", "NODE_MM", "Line", "Roof", "normal_of", "unit"]

Array = NDArray[np.float64]

_UP = np.array([0.0, 0.0, 1.0])
LEAST_SINE = math.sin(math.radians(15.0))
"""A cut within 15 degrees of the run's own line is none that anybody would make."""
NODE_MM = 30.0 * HEAL_MM
"""In height a healed millimetre is more on a steep plane; nodes lie far wider apart."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A run in space, mm: (3,) points and unit ways. `fold` degrees, signed as an edge's."""

    run: TrimRun
    start: Array
    end: Array
    along: Array
    across: Array
    up: Array
    first: PlaneId | None
    second: PlaneId | None
    fold: float

    @property
    def length(self) -> float:
        """From the start to the end, mm."""
        return float(np.linalg.norm(self.end - self.start))

    def place(self, x: Array, y: Array, on: Array) -> Array:
        """Where points of the section, (x, y) from its apex, lie in space at so many mm from the
        start; all (n,), together (n, 3)."""
        return (
            self.start + x[:, None] * self.across + y[:, None] * self.up + on[:, None] * self.along
        )


class Roof:
    """The roof by the identities of its parts."""

    def __init__(self, surface: Surface) -> None:
        self.planes: Mapping[PlaneId, Plane] = {p.id: p for p in surface.planes}
        self.edges: Mapping[EdgeId, RoofEdge] = {e.id: e for e in surface.edges}
        self.walls = surface.walls
        self._nodes: dict[EdgeId, list[Node]] = {}
        for node in surface.nodes:
            for ident in node.edges:
                self._nodes.setdefault(ident, []).append(node)

    def node_at(self, run: TrimRun, place: Array) -> Node | None:
        """The node at one end of a run."""
        best, found = NODE_MM, None
        for node in (n for e in run.edges for n in self.nodes_of(e)):
            off = float(np.linalg.norm(node.place - place))
            if off < best:
                best, found = off, node
        return found

    def nodes_of(self, edge: EdgeId) -> Sequence[Node]:
        """The nodes at the ends of an edge."""
        return self._nodes.get(edge, ())

    def line_of(self, run: TrimRun) -> Line:
        """The run in space."""
        edges = [self.edges[e] for e in run.edges]
        start, end = _ends(edges)
        along = unit(end - start)
        own = [p for p in edges[0].planes if p in self.planes]
        if run.plane is not None:
            own = [run.plane]
        if not own:
            side = unit(np.cross(_UP, along))
            return Line(run, start, end, along, -side, unit(np.cross(along, side)),
                        None, None, edges[0].fold)  # fmt: skip
        beside = [self.planes[p] for p in own]
        on_left = [lies_left(p, edges[0], along) for p in beside]
        k = own.index(run.first) if run.first in own else first_of(beside, on_left, along)
        if not on_left[k]:
            start, end, along = end, start, -along
        normal = normal_of(self.planes[own[k]])
        up = unit(normal - (normal @ along) * along)
        fold = 0.0 if run.fold == 0.0 else edges[0].fold
        second = own[1 - k] if len(own) == 2 else None
        return Line(run, start, end, along, np.cross(along, up), up, own[k], second, fold)


def _ends(edges: Sequence[RoofEdge]) -> tuple[Array, Array]:
    """The outer ends of edges on one line."""
    way = edges[0].end - edges[0].start
    points = [p for e in edges for p in (e.start, e.end)]
    along = [float(p @ way) for p in points]
    return points[int(np.argmin(along))], points[int(np.argmax(along))]


def unit(way: Array) -> Array:
    """A way with a length of 1."""
    out: Array = way / np.linalg.norm(way)
    return out
