"""Walls below and between the planes: what a house shows beside its roof."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from roofmodel.surface.patches import Arc, Patches
from roofmodel.surface.types import Array, Wall
from roofmodel.tolerance import HEAL_MM, SAME_POINT_MM

Point = tuple[float, float]
Point3 = tuple[float, float, float]


class _Piece(NamedTuple):
    """An upright piece over an arc: its plan ends, and heights of bottom and top at both."""

    start: Point
    end: Point
    bottom: tuple[float, float]
    top: tuple[float, float]


def walls_of(patches: Patches, ground: float) -> tuple[Wall, ...]:
    """Walls of every body along its wall line, from the ground or the roof they stand on up to
    their own roof; and step walls between a body's own planes."""
    layers = patches.layers
    standing_on: dict[int, list[_Piece]] = defaultdict(list)
    steps: dict[int, list[_Piece]] = defaultdict(list)
    nowhere: set[int] = set()
    bodies = layers.body
    is_open = {k for k, b in enumerate(layers.bodies) if b.open_below}
    walls = [some - is_open for some in layers.walls]
    for arc in patches.arcs:
        ending = walls[arc.left] - (walls[arc.right] if arc.right >= 0 else nowhere)
        standing = ending and [f for f in layers.all[arc.left] if bodies[f] in ending]
        if standing:
            # where several bodies stand on one line the highest has the wall
            roof = max(standing, key=lambda f: (round(sum(_over(patches, arc, f)), 3), -f))
            standing_on[bodies[roof]] += _standing(patches, arc, bodies[roof], roof, ground)
        if arc.right >= 0:
            for f in layers.seen[arc.left]:
                for g in layers.all[arc.right]:
                    if f != g and bodies[f] == bodies[g]:
                        low, high = _over(patches, arc, f), _over(patches, arc, g)
                        steps[bodies[f]] += _clear(patches, arc, low, high)
    out = []
    for body in sorted({*standing_on, *steps}):
        lines, part = layers.bodies[body].wall_lines, layers.bodies[body].part
        for outline in _joined(standing_on[body]):
            x, y, _ = (outline[0] + outline[1]) / 2.0
            out.append(Wall(part, lines.nearest(float(x), float(y))[0], outline))
        out += [Wall(part, "step wall", outline) for outline in _joined(steps[body])]
    return tuple(out)


def _over(patches: Patches, arc: Arc, facet: int) -> tuple[float, float]:
    return patches.facet_height(facet, arc.start), patches.facet_height(facet, arc.end)


def _standing(patches: Patches, arc: Arc, body: int, roof: int, ground: float) -> list[_Piece]:
    """The wall of a body over an arc of its wall line, clear of the roof that hides its foot."""
    layers = patches.layers
    low = (ground, ground)
    for g in layers.all[arc.right] if arc.right >= 0 else []:
        other = layers.body[g]
        solid = other in layers.walls[arc.right] and not layers.bodies[other].open_below
        if other != body and solid:
            below = _over(patches, arc, g)
            if sum(below) > sum(low):
                low = below
    return _clear(patches, arc, low, _over(patches, arc, roof))


def _clear(
    patches: Patches, arc: Arc, low: tuple[float, float], high: tuple[float, float]
) -> list[_Piece]:
    """The part of an upright piece that has a height."""
    a, b = high[0] - low[0], high[1] - low[1]
    if max(a, b) <= HEAL_MM:
        return []
    p, q = patches.points[arc.start], patches.points[arc.end]
    if min(a, b) >= 0.0:
        return [_Piece(p, q, low, high)]
    share = a / (a - b)
    middle = (p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)
    z = low[0] + (low[1] - low[0]) * share
    if a > 0.0:
        return [_Piece(p, middle, (low[0], z), (high[0], z))]
    return [_Piece(middle, q, (z, low[1]), (z, high[1]))]


def _joined(pieces: Sequence[_Piece]) -> list[Array]:
    """Pieces of one wall that stand side by side become one outline, (n, 3)."""
    after = {p.start: p for p in pieces}
    before = {p.end: p for p in pieces}
    # at a corner first, so that no wall begins in its middle
    corners = [p for p in pieces if p.start not in before or not _straight(before[p.start], p)]
    out = []
    for first in (*corners, *pieces):
        run: list[_Piece] = []
        here = first.start
        while here in after and (not run or _straight(run[0], after[here])):
            run.append(after.pop(here))
            here = run[-1].end
        if run:
            low = [(*p, z) for r in run for p, z in zip((r.start, r.end), r.bottom, strict=True)]
            high = [(*p, z) for r in run for p, z in zip((r.start, r.end), r.top, strict=True)]
            outline = _without_repeats(low + high[::-1])
            if len(outline) >= 3:
                array = np.array(outline)
                array.flags.writeable = False
                out.append(array)
    return out


def _straight(first: _Piece, piece: _Piece) -> bool:
    """Do two pieces stand on one line?"""
    ux, uy = first.end[0] - first.start[0], first.end[1] - first.start[1]
    vx, vy = piece.end[0] - piece.start[0], piece.end[1] - piece.start[1]
    return abs(ux * vy - uy * vx) <= 1e-3 * math.hypot(ux, uy) * math.hypot(vx, vy)


def _without_repeats(points: Sequence[Point3]) -> list[Point3]:
    """The loop without repeated points and without points on a straight line."""
    kept: list[Point3] = []
    for p in points:
        if not kept or math.dist(p, kept[-1]) > SAME_POINT_MM:
            kept.append(p)
    if len(kept) > 1 and math.dist(kept[0], kept[-1]) <= SAME_POINT_MM:
        kept.pop()
    n = len(kept)
    return [p for k, p in enumerate(kept) if _turns(kept[k - 1], p, kept[(k + 1) % n])]


def _turns(a: Point3, b: Point3, c: Point3) -> bool:
    u = [y - x for x, y in zip(a, b, strict=True)]
    v = [y - x for x, y in zip(b, c, strict=True)]
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    return math.hypot(*cross) > SAME_POINT_MM
