"""The section solver: one outline with a profile per edge, raised to a roof."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike

from roofmodel.errors import OutlineError
from roofmodel.geometry import signed_area
from roofmodel.skeleton.outline import Prepared, Profile, prepare
from roofmodel.skeleton.places import Place, corner_name, edge_names
from roofmodel.skeleton.remarks import remarks_of
from roofmodel.skeleton.types import DECK, WALL, Array, Face, Solved
from roofmodel.skeleton.wavefront import Stuck, Wavefront

_AREA_REL = 1e-8
"""Faces must tile the outline to this share of its area, or the attempt is thrown away."""


_MISS_REL = 2e-9
"""A node may miss the fronts that meet in it by this share of the size; beyond, other tolerances
are tried and the best attempt is taken."""


def solve(
    rings: Sequence[ArrayLike],
    profiles: Sequence[Profile],
    *,
    deck_height: float | None = None,
) -> Solved:
    """Raise a roof over an outline.

    Parameters
    ----------
    rings : sequence of (n, 2) array-like, mm
        The outer ring, then the courtyards; either winding, the first corner not repeated. Edge
        k of a ring runs from corner k to corner k + 1.
    profiles : one per edge, ring after ring
        Each a sequence of (height, slope) steps: from each height (mm) upward the edge's plane
        rises at that slope (rise over run); ``math.inf`` is vertical. The first height is the
        edge's eave.
    deck_height : float, optional
        The roof is cut off flat at this height, mm.

    Returns
    -------
    Solved
        Faces whose plan areas add up to the outline's area. Pieces that step walls close in
        come as `DECK` faces, with a remark. Eaves, steps and a deck that lie above the finished
        roof are never reached: a remark tells of them.

    Raises
    ------
    OutlineError
        The outline or its pitches cannot carry a roof; the message says where.

    Examples
    --------
    >>> square = [(0, 0), (1000, 0), (1000, 1000), (0, 1000)]
    >>> solved = solve([square], [[(0, 0.5)]] * 4)
    >>> len(solved.faces), float(max(f.vertices[:, 2].max() for f in solved.faces))
    (4, 250.0)
    """
    prepared = prepare([np.asarray(r, dtype=float) for r in rings], profiles)
    top = math.inf if deck_height is None else deck_height - prepared.base
    if not top > 0:
        raise OutlineError(
            "The deck lies at or below the eaves; raise it above them.",
            edges=tuple(
                prepared.edge_at(k) for k, s in enumerate(prepared.stages) if s[0].step == 0
            ),
        )
    best: tuple[float, Solved] | None = None
    stuck_at: tuple[float, float] | None = None
    for tolerance in (1.0, 0.01, 100.0, 0.1, 10.0):
        try:
            miss, solved = _attempt(prepared, top, tolerance)
        except Stuck as stuck:
            stuck_at = stuck_at or stuck.place
            continue
        if miss <= _MISS_REL * prepared.size:
            return solved
        if best is None or miss < best[0]:
            best = miss, solved
    if best is not None:
        return best[1]
    corner = None if stuck_at is None else _nearest_corner(rings, stuck_at)
    near = "" if corner is None else f" near {corner_name(corner)}"
    raise OutlineError(
        f"This outline could not be roofed: its corners fall together too closely{near}. Move a"
        " corner a little, or simplify the outline.",
        corners=() if corner is None else (corner,),
    )


def _nearest_corner(rings: Sequence[ArrayLike], place: tuple[float, float]) -> Place:
    found = (
        (math.dist(corner, place), (r, k))
        for r, ring in enumerate(rings)
        for k, corner in enumerate(np.asarray(ring, dtype=float).tolist())
    )
    return min(found)[1]


def _attempt(prepared: Prepared, top: float, tolerance: float) -> tuple[float, Solved]:
    """The roof, and by how much (mm in plan) a node misses a front that should pass it."""
    front = Wavefront(prepared, tolerance)
    try:
        loops = front.run(top)
        if front.is_open():
            raise _never_closes(front)
        points = front.boundary.points() + np.array([*prepared.origin, prepared.base])
        faces = _faces(front, prepared, points)
        if loops:
            faces.append(_decks(loops, points))
    except OutlineError:
        raise
    except (ArithmeticError, IndexError, KeyError, ValueError) as error:
        # the last node made is where it was
        ox, oy = prepared.origin.tolist()
        place = front.boundary.x[-1] + ox, front.boundary.y[-1] + oy
        raise Stuck(str(error), place) from error
    flat = [f for group in faces for f in group]
    areas = [f.plan_area for f in flat]
    if min(areas) < -_AREA_REL * prepared.area:
        x, y, _ = flat[areas.index(min(areas))].vertices[0].tolist()
        raise Stuck("a face is turned over", (x, y))
    if not abs(sum(areas) - prepared.area) <= _AREA_REL * prepared.area:
        raise Stuck("the faces do not tile the outline")
    return front.worst_miss, Solved(tuple(flat), remarks_of(front, prepared, flat, top))


def _never_closes(front: Wavefront) -> Exception:
    """What to raise when nothing sweeps a part of the outline: its edges are all vertical, or
    rounding lost an event."""
    left = [f for f in front.fronts if f.alive]
    if any(f.speed > 0.0 for f in left):
        return Stuck("fronts that move never meet")
    edges = sorted({front.prepared.edge_at(f.edge) for f in left if f.edge != WALL})
    return OutlineError(
        "The roof never closes: above some height every edge that is left is vertical"
        f" ({edge_names(edges)}). Give one of them a pitch, or set a deck.",
        edges=tuple(edges),
    )


def _some(points: Array, nodes: list[int]) -> Array:
    """The places of some nodes, read-only."""
    out = points[nodes]
    out.flags.writeable = False
    return out


def _faces(front: Wavefront, prepared: Prepared, points: Array) -> list[list[Face]]:
    """Faces in the order of profiles, then steps; step walls last."""
    found: dict[tuple[int, int], list[Face]] = {}
    direction = {f.face: (f.tx, f.ty, f.speed) for f in front.fronts}
    speeds = [{s.step: s.speed for s in stages} for stages in prepared.stages]
    tangents = {f.edge: (f.tx, f.ty) for f in front.fronts if f.edge != WALL}
    for number, (edge, step) in enumerate(front.boundary.faces):
        vertical = edge == WALL or speeds[edge][step] == 0.0
        along = None
        if vertical:
            along = direction[number][:2] if edge == WALL else tangents[edge]
        key = (edge if edge >= 0 else len(speeds), step)
        chains = front.boundary.chains(number, along)
        for chain, holes in [(c, []) for c in chains] if vertical else _with_holes(chains, points):
            found.setdefault(key, []).append(_face(edge, step, vertical, points, chain, holes))
    return [found[key] for key in sorted(found)]


def _face(
    edge: int, step: int, vertical: bool, points: Array, chain: list[int], holes: list[list[int]]
) -> Face:
    return Face(
        edge,
        step,
        _some(points, chain),
        vertical,
        tuple(chain),
        tuple(_some(points, n) for n in holes),
        tuple(tuple(n) for n in holes),
    )


def _with_holes(chains: list[list[int]], points: Array) -> list[tuple[list[int], list[list[int]]]]:
    """Counter-clockwise chains, each with the clockwise ones that lie in it: a fast front can
    run all around a courtyard, and a deck may surround one."""
    if len(chains) == 1:
        return [(chains[0], [])]
    outer: list[list[int]] = []
    inner: list[list[int]] = []
    for chain in chains:
        (outer if signed_area(points[chain]) >= 0.0 else inner).append(chain)
    if len(outer) == 1:
        return [(outer[0], inner)]
    out = []
    for chain in outer:
        polygon = shapely.Polygon(points[chain, :2])
        within = [
            n
            for n in inner
            if polygon.contains(shapely.Polygon(points[n, :2]).representative_point())
        ]
        out.append((chain, within))
    return out


def _decks(loops: list[list[int]], points: Array) -> list[Face]:
    """The flat top: outer loops with the courtyards that lie in them."""
    rings = [loop for loop in loops if len(loop) > 2]
    if not rings:
        return []
    return [
        _face(DECK, 0, False, points, chain, holes) for chain, holes in _with_holes(rings, points)
    ]
