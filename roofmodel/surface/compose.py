"""Bodies become one roof: planes with names, edges with kinds, walls, nodes."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from roofmodel.geometry import closed_chains, plan_area
from roofmodel.surface import classify
from roofmodel.surface.bodies import Body
from roofmodel.surface.layers import Hole, layers_of
from roofmodel.surface.naming import bearing_of, made_number, piece_name, plane_names
from roofmodel.surface.nodes import nodes_of
from roofmodel.surface.patches import Contact, Patch, Patches, patches_of
from roofmodel.surface.types import Array, EdgeId, Gap, Late, Plane, PlaneId, RoofEdge, Surface
from roofmodel.surface.walls import walls_of
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import HEAL_MM, LOST_SHARE, SAME_POINT_MM

Point3 = tuple[float, float, float]

SEAM_SLOPE = 1e-6

_ON_LINE_MM = 2.0
"""An end of a plane this close to a side of its outline lies on it."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """A straight roof edge before it has its name: the first plane lies to its left."""

    first: PlaneId
    second: PlaneId | str
    kind: EdgeKind
    fold: float
    remark: str
    start: Point3
    end: Point3


def compose(
    bodies: Sequence[Body],
    holes: Sequence[Hole] = (),
    kinds: Mapping[str, EdgeKind] | None = None,
    ground: float = 0.0,
) -> Surface:
    """One roof from bodies.

    Parameters
    ----------
    bodies : sequence of Body
        In the job's order: of surfaces that coincide one on its own walls stays, else the
        first; planes are named in the order their parts were made.
    holes : sequence of Hole
        Openings to cut.
    kinds : mapping, optional
        Kinds of edges given by hand, by `str` of their ids.
    ground : float, mm
        Where walls begin.
    """
    if not any(b.facets for b in bodies):
        return Surface((), (), ())
    patches = patches_of(layers_of(bodies, holes))
    ids = _ids(patches)
    edges = _overridden(_named(_pieces(patches, ids), _made(bodies, holes)), kinds or {})
    around: dict[PlaneId, list[EdgeId]] = defaultdict(list)
    for edge in edges:
        for plane in edge.planes:
            around[plane].append(edge.id)
    names = plane_names(bodies)
    planes = [
        _plane(patches, patch, plane_id, names, tuple(around[plane_id]))
        for patch, plane_id in zip(patches.patches, ids, strict=True)
    ]
    gaps = tuple(
        Gap(gap, (x, y), bodies[a].part, bodies[b].part) for gap, x, y, a, b in patches.layers.gaps
    )
    return Surface(
        tuple(planes),
        tuple(edges),
        Late(partial(walls_of, patches, ground)),
        Late(partial(nodes_of, edges)),
        gaps,
        _lost(patches, planes),
    )


def _lost(patches: Patches, planes: Sequence[Plane]) -> tuple[str, ...]:
    """A last guard before money: every body lies over all of its drip line, and every plane is
    as large as the cells it was seen in."""
    layers = patches.layers
    areas = layers.plan.areas.tolist()
    covered = [0.0] * len(layers.bodies)
    for cell, over in enumerate(layers.all):
        for f in over:
            covered[layers.body[f]] += areas[cell]
    out = [
        b.part
        for b, area in zip(layers.bodies, covered, strict=True)
        if abs(area - b.drip.area) > LOST_SHARE * b.drip.area + HEAL_MM * b.drip.length
    ]
    seen = [0.0] * len(planes)
    for cell, numbers in enumerate(patches.over):
        for number in numbers:
            seen[number] += areas[cell]
    out += [
        p.id.section
        for p, area in zip(planes, seen, strict=True)
        if abs(p.plan_area - area) > LOST_SHARE * area + HEAL_MM * math.sqrt(area)
    ]
    return tuple(dict.fromkeys(out))


def _ids(patches: Patches) -> list[PlaneId]:
    pieces: Counter[tuple[str, str, int]] = Counter()
    out = []
    for patch in patches.patches:
        facet = patches.layers.facets[patch.facet]
        part = patches.layers.bodies[patches.layers.body[patch.facet]].part
        key = (part, facet.edge, facet.step)
        pieces[key] += 1
        out.append(PlaneId(*key, pieces[key]))
    return out


def _plane(
    patches: Patches,
    patch: Patch,
    plane_id: PlaneId,
    names: Mapping[tuple[str, str, int], str],
    edges: tuple[EdgeId, ...],
) -> Plane:
    def angle(start: int, end: int) -> float:
        (ax, ay), (bx, by) = patches.points[start], patches.points[end]
        return math.atan2(by - ay, bx - ax)

    chains = closed_chains([(arc.start, arc.end) for arc, _ in patch.arcs], angle)
    rings = [_ring(patches, patch, chain) for chain in chains]
    rings.sort(key=lambda r: -plan_area(r))
    gradient = patches.layers.facets[patch.facet].gradient
    slope = math.hypot(*gradient)
    area = plan_area(rings[0], rings[1:])
    return Plane(
        plane_id,
        piece_name(names[plane_id.section, plane_id.edge, plane_id.step], plane_id.piece),
        patches.layers.bodies[patches.layers.body[patch.facet]].building,
        rings[0],
        tuple(rings[1:]),
        slope,
        bearing_of(gradient),
        area,
        area * math.sqrt(1.0 + slope * slope),
        edges,
    )


def _ring(patches: Patches, patch: Patch, chain: Sequence[int]) -> Array:
    points = patches.raised(patch, chain)
    kept: list[Point3] = []
    for k, point in enumerate(points):
        if _bends(kept[-1] if kept else points[-1], point, points[(k + 1) % len(points)]):
            kept.append(point)
    out = np.array(kept)
    out.flags.writeable = False
    return out


def _pieces(patches: Patches, ids: Sequence[PlaneId]) -> list[_Piece]:
    """The straight edges around and between the planes, each between two planes once.

    An edge between two planes is seen from the first of them, whichever of them ends there.
    """
    runs: dict[tuple[int, Contact], set[tuple[int, int]]] = defaultdict(set)
    for patch in patches.patches:
        number = patch.number
        for (start, end, _, _), contact in patch.arcs:
            if contact.number < number and contact.what == "patch":
                runs[contact.number, Contact("patch", number)].add((end, start))
            else:
                runs[number, contact].add((start, end))
    out = []
    for (first, contact), ways in sorted(runs.items()):
        patch = patches.patches[first]
        if contact.what == "patch" and _is_seam(patches, patch, contact.number):
            continue
        # in their order on the plane, which does not change when something elsewhere does
        straight = list(ways)
        if len(ways) > 1:
            place = _places(patches, patch, {i for way in ways for i in way})
            straight.sort(key=lambda way: (place[way[0]], place[way[1]]))
            straight = _straight(patches, patch, straight)
            if len(straight) > 1:
                straight.sort(key=lambda way: sorted((place[way[0]], place[way[1]])))
        out += [_piece(patches, patch, contact, ids, start, end) for start, end in straight]
    return out


def _places(
    patches: Patches, patch: Patch, points: Iterable[int]
) -> dict[int, tuple[float, float]]:
    """Where points lie on a plane: left to right for someone who looks up the slope, then up."""
    *_, gx, gy = patches.planes[patch.facets[0]]
    steep = math.hypot(gx, gy)
    ux, uy = (gx / steep, gy / steep) if steep > SEAM_SLOPE else (0.0, 1.0)
    out = {}
    for k in points:
        x, y = patches.points[k]
        out[k] = round(x * uy - y * ux, 3), round(x * ux + y * uy, 3)
    return out


def _is_seam(patches: Patches, patch: Patch, other: int) -> bool:
    """Do two patches lie in one plane, apart only because they belong to two buildings? The
    roof goes on there and has no edge."""
    layers = patches.layers
    one, two = layers.facets[patch.facet], layers.facets[patches.patches[other].facet]
    here, there = (layers.bodies[layers.body[p.facet]] for p in (patch, patches.patches[other]))
    parting = math.dist(one.gradient, two.gradient)
    return here.building != there.building and parting <= SEAM_SLOPE and not one.is_deck


def _straight(
    patches: Patches, patch: Patch, arcs: Sequence[tuple[int, int]]
) -> list[tuple[int, int]]:
    """Join arcs that go on straight into whole edges, from point to point."""
    some = list({i for arc in arcs for i in arc})
    xyz = dict(zip(some, patches.raised(patch, some), strict=True))
    left: dict[int, list[int]] = defaultdict(list)
    for start, end in arcs:
        left[start].append(end)
    ends = {end for _, end in arcs}
    out = []
    for start in [s for s, _ in arcs if s not in ends] + [s for s, _ in arcs]:
        while left[start]:
            begin, last, here = start, start, left[start].pop(0)
            while left[here]:
                onward = left[here].pop(0)
                if _bends(xyz[last], xyz[here], xyz[onward]):
                    out.append((begin, here))
                    begin = here
                last, here = here, onward
            out.append((begin, here))
    return out


def _piece(
    patches: Patches,
    patch: Patch,
    contact: Contact,
    ids: Sequence[PlaneId],
    begin: int,
    finish: int,
) -> _Piece:
    layers = patches.layers
    start, end = patches.raised(patch, (begin, finish))
    dx, dy = end[0] - start[0], end[1] - start[1]
    plan = math.hypot(dx, dy)
    d = (dx / plan, dy / plan)
    rise = (end[2] - start[2]) / plan
    facet = layers.facets[patch.facet]
    g = facet.gradient
    first = ids[patch.number]
    second: PlaneId | str
    if contact.what == "patch":
        second = ids[contact.number]
        other = layers.facets[patches.patches[contact.number].facet]
        if facet.is_deck != other.is_deck:
            side = other if facet.is_deck else facet
            kind, fold, remark = classify.deck_edge(side.gradient, d, side is facet)
        else:
            kind, fold, remark = classify.between(g, other.gradient, d, rise)
    elif contact.what == "wall":
        second = f"wall {layers.bodies[contact.number].part}"
        kind, fold, remark = classify.against_wall(g, d, rise)
    elif contact.what == "opening":
        second = f"opening {layers.holes[contact.number].part}"
        kind, fold, remark = classify.around_opening(g, d)
        if first.section == layers.holes[contact.number].part:
            # its own saddle stands along the whole of its uphill side
            kind = EdgeKind.UPHILL_SIDE
    else:
        second = _side_below(patches, patch, start, end)
        kind, fold, remark = classify.own_end(g, d, rise)
    return _Piece(first, second, kind, fold, remark, start, end)


def _side_below(patches: Patches, patch: Patch, start: Point3, end: Point3) -> str:
    """Id of the outline edge an own end lies on (with its part, if another than the plane's);
    else "cut", where something cuts it short."""
    middle = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0
    layers = patches.layers
    own = layers.body[patch.facet]
    for k in dict.fromkeys(layers.body[f] for f in patch.facets):
        edge, miss = layers.bodies[k].drip_lines.nearest(*middle)
        if miss <= _ON_LINE_MM:
            return edge if k == own else f"{layers.bodies[k].part}/{edge}"
    return "cut"


def _bends(a: Point3, b: Point3, c: Point3) -> bool:
    """Does the line a-b-c bend at b by more than a sliver?"""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    length = math.sqrt(vx * vx + vy * vy + vz * vz)
    if length <= SAME_POINT_MM:
        return True
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    return math.sqrt(x * x + y * y + z * z) / length > SAME_POINT_MM


def _made(bodies: Sequence[Body], holes: Sequence[Hole]) -> dict[str, int]:
    """When each part of the roof was made: its rank among them."""
    parts = dict.fromkeys((*(b.part for b in bodies), *(h.part for h in holes)))
    return {part: k for k, part in enumerate(sorted(parts, key=made_number))}


def _numbers(pieces: Sequence[_Piece], made: Mapping[str, int]) -> list[int]:
    """The number of each edge among those of its kind. Edges count in the order in which the last
    of their parts was made: what a new part adds comes after all that was there."""

    def latest(piece: _Piece) -> int:
        second = piece.second
        other = second.section if isinstance(second, PlaneId) else second.partition(" ")[2]
        return max(made.get(piece.first.section, 0), made.get(other, 0))

    count: Counter[EdgeKind] = Counter()
    ranks = [latest(p) for p in pieces]
    out = [0] * len(pieces)
    for k in sorted(range(len(pieces)), key=ranks.__getitem__):
        count[pieces[k].kind] += 1
        out[k] = count[pieces[k].kind]
    return out


def _named(pieces: Sequence[_Piece], made: Mapping[str, int]) -> list[RoofEdge]:
    """Edges with identity and name, in the order they were found."""
    ordinals: Counter[tuple[PlaneId, PlaneId | str]] = Counter()
    ends = np.array([(p.start, p.end) for p in pieces]).reshape(-1, 2, 3)
    ends.flags.writeable = False
    out = []
    for p, (start, end), number in zip(pieces, ends, _numbers(pieces, made), strict=True):
        ordinals[p.first, p.second] += 1
        planes = (p.first, p.second) if isinstance(p.second, PlaneId) else (p.first,)
        out.append(
            RoofEdge(
                EdgeId(p.first, p.second, ordinals[p.first, p.second]),
                f"{p.kind.capitalize()} {number}",
                p.kind,
                start,
                end,
                math.dist(p.start, p.end),
                p.fold,
                planes,
                p.remark,
            )
        )
    return out


def _overridden(edges: list[RoofEdge], kinds: Mapping[str, EdgeKind]) -> list[RoofEdge]:
    """Edges with the kinds given by hand; names keep the number they were found with."""
    if not kinds:
        return edges
    out = []
    for edge in edges:
        kind = kinds.get(str(edge.id))
        if kind is None or kind is edge.kind:
            out.append(edge)
            continue
        name = f"{edge.name}, set to {kind} by hand"
        out.append(replace(edge, kind=kind, name=name, found=edge.kind, remark=""))
    return out
