"""What may be off in a traced roof, each by itself: where a side lies, how steep a part is.

Sides on one line move together, and all that has one pitch in one part: they were drawn as one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from roofmodel.document import ByHeights, DrawnPlane, Point, Project, Ring, Section
from roofmodel.document.changes import changed, in_part, part_of
from roofmodel.document.sureness_edits import SAME_SLOPE, read_pitch
from roofmodel.errors import RoofmodelError
from roofmodel.geometry import shifted_ring
from roofmodel.tolerance import STRAIGHT_SINE

LEAST_SLOPE: Final = 0.01
"""A traced pitch is never taken for flatter than this."""


@dataclass(frozen=True, slots=True)
class Input:
    """A side of an outline or drawn plane (`sides`: its numbers in ring `ring`; for a courtyard
    the ring is 1 or more), or a pitch (`slope`, rise over run). `tolerance` is how far it may be
    off either way: mm, or rise over run."""

    part: str
    part_name: str
    tolerance: float
    ring: int = 0
    sides: tuple[int, ...] = ()
    slope: float = 0.0

    @property
    def is_pitch(self) -> bool:
        """Is it a pitch?"""
        return not self.sides


def inputs_of(project: Project) -> tuple[Input, ...]:
    """All that may be off, part after part: first where its sides lie, then its pitches."""
    traced, steep = project.tolerances.tracing, project.tolerances.pitch
    out: list[Input] = []
    parts: list[Section | DrawnPlane] = [*project.sections(), *project.planes()]
    for part in parts:
        rings = _rings(part)
        for number, corners in enumerate(rings):
            out += [Input(part.id, part.name, traced, number, s) for s in _straight(corners)]
        out += [Input(part.id, part.name, steep, slope=s) for s in _slopes(part)]
    return tuple(i for i in out if i.tolerance > 0.0)


def moved(project: Project, one: Input, by: float) -> Project | None:
    """The project with an input off by so much: a side to its right (mm), a pitch (rise over
    run); None where that makes no roof."""
    try:
        if one.is_pitch:
            slope = max(one.slope + by, LEAST_SLOPE)
            return changed(
                read_pitch(project, one.part, one.slope, slope), readings=project.readings
            )
        return _with_side(project, one, by)
    except RoofmodelError:
        return None


def side_lengths(project: Project, part_id: str) -> dict[tuple[int, int], float]:
    """Length (mm) of every side of a part, by ring and number."""
    part = part_of(project, part_id)
    assert isinstance(part, Section | DrawnPlane)
    return {
        (number, k): math.dist(corners[k], corners[(k + 1) % len(corners)])
        for number, corners in enumerate(_rings(part))
        for k in range(len(corners))
    }


def _rings(part: Section | DrawnPlane) -> list[tuple[Point, ...]]:
    return [r.corners for r in part.rings] if isinstance(part, Section) else [part.corners]


def _slopes(part: Section | DrawnPlane) -> list[float]:
    """The different pitches of a part, the first one first."""
    if isinstance(part, DrawnPlane):
        flat = isinstance(part.lies, ByHeights) or abs(part.lies.slope) <= LEAST_SLOPE
        return [] if flat or isinstance(part.lies, ByHeights) else [abs(part.lies.slope)]
    out: list[float] = []
    for ring in part.rings:
        for edge in ring.edges:
            for step in edge.profile:
                known = any(step.slope is None or abs(step.slope - s) <= SAME_SLOPE for s in out)
                if step.slope is not None and not known:
                    out.append(step.slope)
    return out


def _straight(corners: Sequence[Point]) -> list[tuple[int, ...]]:
    """Sides that run on in one line, together."""
    n = len(corners)
    turns = [k for k in range(n) if not _goes_on(corners, k)]
    if not turns:
        return []
    out = []
    for a, b in zip(turns, [*turns[1:], turns[0] + n], strict=True):
        out.append(tuple(k % n for k in range(a, b)))
    return out


def _goes_on(corners: Sequence[Point], k: int) -> bool:
    """Does the line run on straight through corner k?"""
    (ax, ay), (bx, by) = corners[k - 1], corners[k]
    cx, cy = corners[(k + 1) % len(corners)]
    ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
    size = math.hypot(ux, uy) * math.hypot(vx, vy)
    return abs(ux * vy - uy * vx) <= STRAIGHT_SINE * size and ux * vx + uy * vy > 0.0


def _with_side(project: Project, one: Input, by: float) -> Project | None:
    part = part_of(project, one.part)
    assert isinstance(part, Section | DrawnPlane)
    corners = _rings(part)[one.ring]
    shifts = [by if k in one.sides else 0.0 for k in range(len(corners))]
    new = [(float(x), float(y)) for x, y in shifted_ring(corners, shifts)]
    if len(new) != len(corners):
        return None
    if isinstance(part, DrawnPlane):
        return in_part(project, part, lambda p: changed(p, corners=tuple(new)))
    rings = list(part.rings)
    rings[one.ring] = Ring(tuple(new), rings[one.ring].edges)
    return in_part(project, part, lambda p: changed(p, rings=tuple(rings)))
