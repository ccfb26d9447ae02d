"""Where the overhang of one body lies over another body's roof: joined or passing.

A piece of roof below another's overhang is hidden if the two surfaces meet along a line of its rim
and the piece is shut in: on all other sides lie the wall of the upper one, or the piece's own end
with the upper one going on above it. So a valley runs on to the drip line and no stub is left
below. A piece that is open to the outside below the edge of the overhang is roof that is built,
and stays: the main roof under a dormer's overhang, a porch under the main eave, an eave that runs
into a wall below a higher one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from roofmodel.tolerance import GAP_MM, NEAR_HEIGHT_MM

if TYPE_CHECKING:
    from roofmodel.surface.layers import Layers

_JUST_MM = 0.5
"""Overhangs 12 in apart, but for rounding, are not closer than 12 in."""


@dataclass(slots=True, eq=False)
class Pair:
    """Two bodies over each other: height of the first above the second by cell, outside both wall
    lines (`outside`), and where the lower stands on its own walls below the other's overhang
    (`passing`)."""

    outside: dict[int, float] = field(default_factory=dict)
    passing: dict[int, float] = field(default_factory=dict)


def join_overhangs(
    out: Layers, pairs: dict[tuple[int, int], Pair], hidden: list[set[int]], solid: set[int]
) -> None:
    """Hide the lower roof wherever an overhang is joined to it; keep the gaps of others."""
    if not pairs:
        return
    beside = [
        [beyond for _, _, beyond in out.arcs_around(cell) if beyond >= 0]
        for cell in range(len(out.all))
    ]
    for (a, b), pair in sorted(pairs.items()):
        apart = pair.outside | pair.passing
        for sign, lower, upper in ((-1, a, b), (1, b, a)):
            cells = {c for c, height in apart.items() if height * sign > 0.0}
            for piece in _regions(beside, cells):
                meets, shut_in = _rim(out, lower, upper, piece)
                if meets and shut_in and upper in solid:
                    for cell in piece:
                        hidden[cell].add(_of_body(out, cell, lower))
                elif not meets:
                    _keep_gap(out, a, b, [c for c in piece if c in pair.outside], apart)


def _rim(out: Layers, lower: int, upper: int, piece: list[int]) -> tuple[bool, bool]:
    """Do the surfaces meet along a line of a piece's rim, and is the piece shut in?"""
    inside = set(piece)
    meets, shut_in = False, True
    for cell in piece:
        f, g = _of_body(out, cell, lower), _of_body(out, cell, upper)
        slack = out.slack(f, g)
        for start, end, beyond in out.arcs_around(cell):
            if beyond in inside:
                continue
            gap = out.height(g, start) - out.height(f, start)
            gap = max(gap, out.height(g, end) - out.height(f, end))
            if gap <= slack:
                meets = True
                continue
            if not shut_in or gap <= NEAR_HEIGHT_MM:
                continue
            bodies = [out.body[h] for h in out.all[beyond]] if beyond >= 0 else []
            stands = beyond >= 0 and upper in out.walls[beyond]
            ends_below = upper in bodies and lower not in bodies
            shut_in = stands or ends_below
    return meets, shut_in


def _keep_gap(out: Layers, a: int, b: int, cells: list[int], apart: dict[int, float]) -> None:
    """Keep a narrow gap between two overhangs to be told, at the middle of the largest cell."""
    if not cells:
        return
    gap = math.inf
    for cell in cells:
        f, g = _of_body(out, cell, a), _of_body(out, cell, b)
        for start, _, _ in out.arcs_around(cell):
            gap = min(gap, abs(out.height(f, start) - out.height(g, start)))
    if gap < GAP_MM - _JUST_MM:
        biggest = max(cells, key=lambda c: float(out.plan.areas[c]))
        x, y = out.plan.inside[biggest]
        out.gaps.append((gap, float(x), float(y), a, b))


def _regions(beside: list[list[int]], cells: set[int]) -> list[list[int]]:
    """Cells that hang together over their sides."""
    left = set(cells)
    regions = []
    for first in sorted(cells):
        region, todo = [], [first]
        while todo:
            cell = todo.pop()
            if cell in left:
                left.remove(cell)
                region.append(cell)
                todo += beside[cell]
        if region:
            regions.append(sorted(region))
    return regions


def _of_body(out: Layers, cell: int, body: int) -> int:
    for f in out.all[cell]:
        if out.body[f] == body:
            return f
    raise KeyError(body)
