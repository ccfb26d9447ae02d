"""Where water stops on a solved outline.

Water runs straight down its plane until it comes to a line. There it leaves over an eave, runs on
down the plane below, falls off a wall, or, where the plane beyond slopes against it or a wall
stands, follows the line down as in a valley. It stops at a line that is level, on a flat piece
that nothing lies below, and at a corner from which nothing goes down.

On a roof swept upward by a wavefront every point has a lower one beside it that was swept
before, so a place found here is a fault of the solver or of what was done to its roof since.
"""

from __future__ import annotations

import math

import numpy as np

from roofmodel.skeleton.types import Array, Face, Solved

Arc = tuple[int, int]
Stop = tuple[str, tuple[float, float]]

_ALONG = 1e-6
"""Water that crosses a line at a flatter angle (sine) runs along it."""
_LEVEL = 1e-9
"""A line that rises by less than this share of its length is level."""
_POINT_REL = 1e-8
"""Lines shorter than this share of the outline's size are points: rounding turns them anywhere."""

LEVEL_VALLEY = "Two planes slope against each other along a level line: water stands there."
LEVEL_WALL = "A plane slopes down to a wall along a level line: water stands there."
FLAT_PIECE = "Nothing lies below a flat piece: water stands on it."
PIT = "A valley ends in a corner from which nothing goes down: water stands there."


def water_stops(solved: Solved) -> tuple[Stop, ...]:
    """The places where water stops: a sentence and a plan point (mm) for each."""
    return _Water(solved).stops()


class _Water:
    """The lines of a roof with the faces on both sides."""

    def __init__(self, solved: Solved) -> None:
        self.faces = solved.faces
        self.loops = [_loops(f) for f in self.faces]
        self.points: dict[int, Array] = {}
        self.owner: dict[Arc, int] = {}
        for k, (face, loops) in enumerate(zip(self.faces, self.loops, strict=True)):
            for nodes, places in zip(loops, (face.vertices, *face.holes), strict=True):
                self.points.update(zip(nodes, places, strict=True))
                self.owner.update(dict.fromkeys(_arcs(nodes), k))
        self.normals = [_normal(f) for f in self.faces]
        plan = np.array([p[:2] for p in self.points.values()])
        self.least = _POINT_REL * float(np.ptp(plan, axis=0).max())

    def stops(self) -> tuple[Stop, ...]:
        out: list[Stop] = []
        valleys: dict[int, None] = {}
        for k, face in enumerate(self.faces):
            if face.vertical:
                continue
            arcs = [arc for nodes in self.loops[k] for arc in _arcs(nodes)]
            if self._flat(k):
                if not any(self._leaves_flat(a) for a in arcs):
                    out.append((FLAT_PIECE, self._middle(*face.nodes[:2])))
                continue
            for a, b in arcs:
                if self._outward(k, a, b) > _ALONG and (stop := self._held(a, b)):
                    if self._is_level(a, b):
                        if (a, b) < (b, a) or stop is not LEVEL_VALLEY:
                            out.append((stop, self._middle(a, b)))
                    else:
                        valleys[min(a, b, key=lambda n: self.points[n][2])] = None
        down = self._ways_down()
        out += [(PIT, _plan(self.points[n])) for n in valleys if n not in down]
        return tuple(out)

    def _held(self, a: int, b: int) -> str:
        """What keeps the water that a plane sends over its arc a-b; "" if nothing does."""
        other = self.owner.get((b, a))
        if other is None:
            return ""
        if self.faces[other].vertical:
            return LEVEL_WALL if self._rises(other, b, a) else ""
        if self._flat(other):
            return ""
        return LEVEL_VALLEY if self._outward(other, b, a) > _ALONG else ""

    def _leaves_flat(self, arc: Arc) -> bool:
        """Does the water of a flat piece leave over one of its arcs?"""
        a, b = arc
        other = self.owner.get((b, a))
        if other is None:
            return True
        if self.faces[other].vertical:
            return not self._rises(other, b, a)
        return not self._flat(other) and self._outward(other, b, a) < -_ALONG

    def _ways_down(self) -> set[int]:
        """Nodes from which water goes on: over the outline, or along or between lower lines."""
        out: set[int] = set()
        for k, face in enumerate(self.faces):
            for nodes in self.loops[k]:
                n = len(nodes)
                for i, node in enumerate(nodes):
                    before, after = nodes[i - 1], nodes[(i + 1) % n]
                    if (
                        (after, node) not in self.owner
                        or (node, before) not in self.owner
                        or self._falls(node, before)
                        or self._falls(node, after)
                        or (not face.vertical and self._bends_in(before, node, after))
                    ):
                        out.add(node)
        return out

    def _bends_in(self, before: int, node: int, after: int) -> bool:
        (x, y), (x2, y2), (x3, y3) = (_plan(self.points[k]) for k in (before, node, after))
        return (x2 - x) * (y3 - y2) - (y2 - y) * (x3 - x2) < 0.0

    def _flat(self, k: int) -> bool:
        nx, ny, nz = self.normals[k]
        return math.hypot(nx, ny) <= _LEVEL * abs(nz)

    def _outward(self, k: int, a: int, b: int) -> float:
        """Sine at which the water of face k leaves over its arc a-b; 0 for a point."""
        (x, y), (x2, y2) = _plan(self.points[a]), _plan(self.points[b])
        length = math.hypot(x2 - x, y2 - y)
        nx, ny, nz = self.normals[k]  # its plan part points down the plane
        if length <= self.least or nz <= 0.0:
            return 0.0
        return (nx * (y2 - y) - ny * (x2 - x)) / (length * math.hypot(nx, ny))

    def _rises(self, k: int, a: int, b: int) -> bool:
        """Does wall k stand above its arc a-b? Seen from outside, a lower line runs rightward."""
        nx, ny, _ = self.normals[k]
        (x, y), (x2, y2) = _plan(self.points[a]), _plan(self.points[b])
        return nx * (y2 - y) - ny * (x2 - x) > 0.0

    def _falls(self, a: int, b: int) -> bool:
        """Does the line from a to b go down, however short it is?"""
        x, y, z = (self.points[b] - self.points[a]).tolist()
        return bool(z < -_LEVEL * math.hypot(x, y))

    def _is_level(self, a: int, b: int) -> bool:
        return not self._falls(a, b) and not self._falls(b, a)

    def _middle(self, a: int, b: int) -> tuple[float, float]:
        return _plan((self.points[a] + self.points[b]) / 2.0)


def _plan(point: Array) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _loops(face: Face) -> tuple[tuple[int, ...], ...]:
    return face.nodes, *face.hole_nodes


def _arcs(nodes: tuple[int, ...]) -> list[Arc]:
    return list(zip(nodes, (*nodes[1:], nodes[0]), strict=True))


def _normal(face: Face) -> tuple[float, float, float]:
    """Twice the area of a face along x, y and z: upward, or outward for a wall."""
    a = face.vertices - face.vertices[0]
    total = np.cross(a, np.roll(a, -1, axis=0)).sum(axis=0)
    return float(total[0]), float(total[1]), float(total[2])
