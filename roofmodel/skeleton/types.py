"""What the section solver takes and gives.

Vocabulary
----------
front
    One piece of an outline's edge on its way inward: the wavefront is made of fronts.
wavefront
    The horizontal cut through the finished roof at one height: closed loops of fronts, the part
    of the outline not yet swept lying to their left.
node
    A point where the wavefront changed: every corner of every face is one.
arc
    The straight track of a wavefront corner between two nodes: the roof's ridges, hips, valleys.
step wall
    A vertical face between two parallel fronts on one line of which one moves faster: they differ
    in pitch, in eave height, or one is a gable.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roofmodel.geometry import signed_area

Array = NDArray[np.float64]

WALL = -1
"""`Face.edge` of a step wall."""
DECK = -2
"""`Face.edge` of the deck, and of a piece that step walls close in (there is a remark then)."""


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One face of a solved section.

    `edge` indexes the profiles (`WALL` a step wall, `DECK` the deck); `step` indexes the steps of
    that profile (-1: wall below the edge's own eave). `vertices` is (k, 3), mm,
    counter-clockwise seen from above, from outside for a vertical face. `nodes` numbers the
    vertices: faces that share two consecutive nodes share that line. `holes` is empty but for a
    deck, or a flat fast face, around a courtyard.
    """

    edge: int
    step: int
    vertices: Array
    vertical: bool
    nodes: tuple[int, ...]
    holes: tuple[Array, ...] = ()
    hole_nodes: tuple[tuple[int, ...], ...] = ()

    @property
    def plan_area(self) -> float:
        """Plan area, mm²; negative for a face turned over, 0 for a vertical one."""
        if self.vertical:
            return 0.0
        return signed_area(self.vertices) - sum(abs(signed_area(h)) for h in self.holes)


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A solved outline. `remarks` are sentences with plan points about places where the roof was
    not unique and we chose, or where a plane stands oddly."""

    faces: tuple[Face, ...]
    remarks: tuple[tuple[str, tuple[float, float]], ...] = field(default=())
