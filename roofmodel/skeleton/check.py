"""Does a solved outline keep its promises? One checker for tests, the fuzzer and the program.

The promises: faces tile the outline; each lies in the plane that its edge and step say; heights
agree along shared lines; a first step touches its edge, a later one the step below; no face
turns over; on every plane water runs down to an eave, a valley or a plane below.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from roofmodel.geometry import inward_normals, plan_area
from roofmodel.skeleton.outline import Profile
from roofmodel.skeleton.types import DECK, WALL, Array, Face, Solved
from roofmodel.skeleton.water import water_stops

_REL = 1e-8
"""Share of the outline's area by which the faces may miss it, of its size for shared corners."""
_PLANE_REL = 1e-7
"""Share of the outline's size by which a corner may miss its plane: 0.002 mm on a house. Walls
parallel but for a millionth of a radian end their ridge that badly in doubles."""


def faults_of(
    rings: Sequence[ArrayLike], profiles: Sequence[Profile], solved: Solved
) -> list[str]:
    """Sentences about broken promises; empty when all are kept.

    `rings` and `profiles` are what `solve` was given, `solved` what it gave.
    """
    arrays = [np.asarray(r, dtype=float) for r in rings]
    size = float(np.ptp(arrays[0], axis=0).max())
    faults = _tiling(arrays, solved)
    faults += _planes(arrays, profiles, solved, size)
    faults += _footing(profiles, solved)
    faults += _shared_lines(solved, size)
    return faults + _water(solved, size)


def quick_faults(rings: Sequence[ArrayLike], solved: Solved) -> list[str]:
    """The cheap part of `faults_of`, well under a millisecond for a house: do the faces tile the
    outline, and does none turn over?"""
    return _tiling([np.asarray(r, dtype=float) for r in rings], solved)


def _name(face: Face) -> str:
    special = {WALL: "a step wall", DECK: "a deck"}
    return special.get(face.edge, f"edge {face.edge + 1}, step {face.step}")


def _tiling(rings: Sequence[Array], solved: Solved) -> list[str]:
    """Areas add up, none is negative. With every inner line shared by two faces in opposite
    directions (`_shared_lines`) nothing can be covered twice."""
    outline = plan_area(rings[0], rings[1:])
    faults = []
    total = 0.0
    for face in solved.faces:
        if face.vertical:
            continue
        if face.plan_area < -_REL * outline:
            faults.append(f"The face of {_name(face)} is turned over.")
        total += face.plan_area
    if abs(total - outline) > _REL * outline:
        faults.append(f"The faces cover {total / outline:.9f} of the outline.")
    return faults


def _planes(
    rings: Sequence[Array], profiles: Sequence[Profile], solved: Solved, size: float
) -> list[str]:
    """Each sloping face against the plane of its profile: height from the distance inwards."""
    normals = np.concatenate([inward_normals(r, is_hole=k > 0) for k, r in enumerate(rings)])
    starts = np.concatenate(rings)
    faults = []
    for face in solved.faces:
        if face.edge < 0:
            continue
        inward = (face.vertices[:, :2] - starts[face.edge]) @ normals[face.edge]
        run, level, slope = _reach(profiles[face.edge], face.step)
        miss = inward - run
        if math.isfinite(slope):
            # measured square to the plane, so that steep and flat ones are judged alike
            miss = (face.vertices[:, 2] - level - miss * slope) / math.hypot(1.0, slope)
        if float(np.abs(miss).max()) > _PLANE_REL * size:
            faults.append(f"The face of {_name(face)} leaves its plane.")
    return faults


def _reach(profile: Profile, step: int) -> tuple[float, float, float]:
    """(run, height, slope) from which a step of a profile starts; step -1 is the wall below."""
    run = 0.0
    level = profile[0][0]
    if step < 0:
        return 0.0, level, math.inf
    for k in range(step):
        above = profile[k + 1][0]
        run += 0.0 if math.isinf(profile[k][1]) else (above - level) / profile[k][1]
        level = above
    return run, level, profile[step][1]


def _footing(profiles: Sequence[Profile], solved: Solved) -> list[str]:
    """A first step has its edge's own line; a later one stands on the step below."""
    owner = {arc: face for face in solved.faces for arc in _arcs(face)}
    base = min(p[0][0] for p in profiles)
    lowest = [-1 if p[0][0] > base else 0 for p in profiles]
    there = {(f.edge, f.step) for f in solved.faces}
    faults = [
        f"Edge {k + 1} has no face of its own."
        for k, step in enumerate(lowest)
        if (k, step) not in there
    ]
    for face in solved.faces:
        if face.edge < 0:
            continue
        below = [owner.get((b, a)) for a, b in _arcs(face)]
        if face.step == lowest[face.edge]:
            rests = any(other is None for other in below)
        else:
            rests = any(
                o is not None and (o.edge, o.step) == (face.edge, face.step - 1) for o in below
            )
        if not rests:
            faults.append(f"The face of {_name(face)} stands on nothing.")
    return faults


def _arcs(face: Face) -> list[tuple[int, int]]:
    out = []
    for nodes in (face.nodes, *face.hole_nodes):
        out += list(zip(nodes, (*nodes[1:], nodes[0]), strict=True))
    return out


def _shared_lines(solved: Solved, size: float) -> list[str]:
    """Every line belongs to two faces, in opposite directions and at one height, or is the
    outline's own."""
    points: dict[int, Array] = {}
    faults = []
    for face in solved.faces:
        loops = zip((face.nodes, *face.hole_nodes), (face.vertices, *face.holes), strict=True)
        for nodes, vertices in loops:
            for node, point in zip(nodes, vertices, strict=True):
                known = points.setdefault(node, point)
                if float(np.abs(known - point).max()) > _REL * size:
                    faults.append(f"Two faces disagree on a corner of {_name(face)}.")
    arcs = [arc for face in solved.faces for arc in _arcs(face)]
    known_arcs = set(arcs)
    if len(known_arcs) != len(arcs):
        faults.append("Two faces lie on the same side of one line.")
    base = {n for face in solved.faces for n in _arcs(face) if (n[1], n[0]) not in known_arcs}
    low = min(float(p[2]) for p in points.values())
    for a, b in base:
        if max(float(points[a][2]), float(points[b][2])) - low > _REL * size:
            faults.append("A line above the eaves belongs to one face only.")
            break
    return faults


def _water(solved: Solved, size: float) -> list[str]:
    """Every place where water stops must be told among the remarks."""
    return [
        f"{sentence} (at {place[0]:.6g}, {place[1]:.6g}); no remark tells of it."
        for sentence, place in water_stops(solved)
        if not any(math.dist(place, told) <= _PLANE_REL * size for _, told in solved.remarks)
    ]
