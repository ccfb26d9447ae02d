"""Closing what is left of a wavefront: under a deck, or in a shaft between step walls."""

from __future__ import annotations

from collections.abc import Callable

from roofmodel.skeleton.boundary import Boundary
from roofmodel.skeleton.fronts import Fronts
from roofmodel.skeleton.types import WALL

Finish = Callable[[int, int], None]


def loops_of(fronts: Fronts) -> list[list[int]]:
    """The loops of corners that are still there, each in its own order."""
    left = {i for i, c in enumerate(fronts.corners) if c.alive}
    loops = []
    while left:
        here, loop = min(left), []
        while here in left:
            left.discard(here)
            loop.append(here)
            here = fronts.fronts[fronts.corners[here].b].right
        loops.append(loop)
    return loops


def cut_off(
    fronts: Fronts, boundary: Boundary, loop: list[int], h: float, finish: Finish
) -> list[int]:
    """Close the faces around a loop at height h and return the loop's nodes there.

    `finish` ends a corner's arc in a node.
    """
    ends = {}
    for i in loop:
        c = fronts.corners[i]
        ends[i] = c.node if c.hr == h else boundary.node(*fronts.at(i, h), h)
        finish(i, ends[i])
    for i in loop:
        f = fronts.fronts[fronts.corners[i].b]
        boundary.arc(f.face, ends[f.right], ends[i])
    return [ends[i] for i in loop]


def has_step_wall(fronts: Fronts, loop: list[int]) -> bool:
    """Is a step wall, which was our choice, part of a loop?"""
    return any(fronts.fronts[fronts.corners[i].b].edge == WALL for i in loop)
