"""Corners of the wavefront that fall together, and how their fronts are paired anew."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.skeleton.fronts import Front


class Places:
    """Nodes of one batch by where they lie, in squares as wide as `reach`."""

    def __init__(self, reach: float) -> None:
        self.reach = reach
        self._squares: dict[tuple[int, int], list[tuple[float, float, int]]] = {}

    def add(self, x: float, y: float, node: int) -> None:
        """Note a node."""
        key = (math.floor(x / self.reach), math.floor(y / self.reach))
        self._squares.setdefault(key, []).append((x, y, node))

    def nearby(self, x: float, y: float) -> int:
        """The first node noted within `reach` of a place; -1 if none is."""
        i, j = math.floor(x / self.reach), math.floor(y / self.reach)
        best = -1
        for key in ((i + a, j + b) for a in (-1, 0, 1) for b in (-1, 0, 1)):
            for px, py, node in self._squares.get(key, ()):
                if (best < 0 or node < best) and math.hypot(px - x, py - y) <= self.reach:
                    best = node
        return best

    def clear(self) -> None:
        """Forget all."""
        self._squares.clear()


def matching(fronts: Sequence[Front], ins: list[int], outs: list[int]) -> list[tuple[int, int]]:
    """Each front that leaves is paired with the next one that arrives, counter-clockwise: the
    sector between the two is not swept yet. An empty sector is a ridge, never the reverse."""
    if len(ins) <= 1:
        return list(zip(ins, outs, strict=True))
    turn = 2.0 * math.pi
    ways = []
    for b in outs:
        fb = fronts[b]
        start = math.atan2(fb.ty, fb.tx)
        for a in ins:
            fa = fronts[a]
            angle = (math.atan2(-fa.ty, -fa.tx) - start) % turn
            if angle > turn - 1e-7:
                angle = 0.0
            ways.append((angle, a, b))
    ways.sort()
    used: set[int] = set()
    pairs = []
    for _, a, b in ways:
        if a in used or ~b in used:
            continue
        used.update((a, ~b))
        pairs.append((a, b))
    return pairs


class Groups:
    """Disjoint sets of corners, found again in a fixed order."""

    def __init__(self) -> None:
        self._parent: dict[int, int] = {}

    def _root(self, a: int) -> int:
        self._parent.setdefault(a, a)
        while self._parent[a] != a:
            self._parent[a] = self._parent[self._parent[a]]
            a = self._parent[a]
        return a

    def join(self, a: int, b: int) -> None:
        ra, rb = self._root(a), self._root(b)
        self._parent[max(ra, rb)] = min(ra, rb)

    def groups(self) -> list[list[int]]:
        out: dict[int, list[int]] = {}
        for a in sorted(self._parent):
            out.setdefault(self._root(a), []).append(a)
        return list(out.values())
