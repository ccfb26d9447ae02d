"""Drawn planes that are tied to a roof edge but no longer touch it."""

from __future__ import annotations

import itertools
from functools import partial

import numpy as np

from roofmodel.document import ByEdge, DrawnPlane, Mend, Problem, Project
from roofmodel.document.part_edits import move_part
from roofmodel.surface.gather import edge_line
from roofmodel.surface.types import Array
from roofmodel.tolerance import HEAL_MM, STRAIGHT_SINE
from roofmodel.units import format_length


def loose_ties(project: Project) -> list[Problem]:
    """A problem for each drawn plane that its edge has moved away from, with the move that puts
    it back."""
    sections = {s.id: s for s in project.sections()}
    out = []
    for plane in project.planes():
        if not isinstance(plane.lies, ByEdge) or plane.lies.section not in sections:
            continue
        line = edge_line(sections[plane.lies.section], plane.lies.edge)
        if line is None:
            continue
        off = _off(plane, line[:, :2])
        if off is None:
            continue
        apart = format_length(float(np.hypot(*off)), project.units)
        mend = Mend(
            "Move it back to the edge",
            partial(move_part, part_id=plane.id, dx=float(off[0]), dy=float(off[1])),
        )
        sentence = (
            f"{plane.name} is tied to a roof edge but lies {apart} beside it: the edge was moved."
        )
        out.append(Problem(sentence, False, plane.id, plane.corners[:1], mend))
    return out


def _off(plane: DrawnPlane, line: Array) -> Array | None:
    """The move (2,) that puts the plane's nearest side along the edge onto its line; None where
    one lies on it, or it has no such side."""
    way = line[1] - line[0]
    unit = way / np.hypot(*way)
    normal = np.array([-unit[1], unit[0]])
    best: Array | None = None
    ring = np.array([*plane.corners, plane.corners[0]])
    for a, b in itertools.pairwise(ring):
        side = b - a
        length = float(np.hypot(*side))
        if length <= HEAL_MM or abs(float(normal @ side)) > STRAIGHT_SINE * length:
            continue
        move = normal * float(normal @ (line[0] - (a + b) / 2.0))
        if best is None or float(np.hypot(*move)) < float(np.hypot(*best)):
            best = move
    return None if best is None or float(np.hypot(*best)) <= HEAL_MM else best
