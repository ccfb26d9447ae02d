"""Solved sections become one roof: planes with names, edges with kinds, walls.

Sections that do not overlap stand side by side for now; each brings its own planes and edges.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from roofmodel.geometry import closed_chains, plan_area
from roofmodel.skeleton import DECK, Face
from roofmodel.surface import classify
from roofmodel.surface.heal import Arc, healed
from roofmodel.surface.sections import SolvedSection
from roofmodel.surface.types import Array, EdgeId, Plane, PlaneId, RoofEdge, Surface, Wall
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import COPLANAR_MM, SAME_POINT_MM

_BEARINGS = (
    "North",
    "North-east",
    "East",
    "South-east",
    "South",
    "South-west",
    "West",
    "North-west",
)


def facing(bearing: float) -> str:
    """The way a plane looks, as a word; `bearing` is degrees clockwise from north.

    Halfway between two words the clockwise one is taken, rounding noise or not.
    """
    return _BEARINGS[int((bearing + 22.5 + 1e-6) // 45.0) % 8]


@dataclass(slots=True)
class _Group:
    """Faces that make up one plane while it is being put together."""

    id: PlaneId
    gradient: tuple[float, float]
    is_deck: bool
    arcs: set[Arc] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A straight roof edge before it has its name: the first plane lies to its left."""

    first: PlaneId
    second: PlaneId | str
    kind: EdgeKind
    fold: float
    remark: str
    start: Array
    end: Array


def compose(sections: Iterable[tuple[str, SolvedSection]]) -> Surface:
    """One roof from solved sections, each with the id of its building.

    Planes are named by the way they face and a number, edges by kind and a number, both in the
    order of sections and outline edges. Identity hangs on ids, not on these names: where an edit
    takes a plane away, the numbers after it move up.
    """
    planes: list[Plane] = []
    pieces: list[_Piece] = []
    walls: list[Wall] = []
    names: Counter[str] = Counter()
    bodies = []
    for building, section in sections:
        body = _Body(section)
        bodies.append((building, body))
        pieces += body.pieces()
        walls += body.walls()
    edges = _named(pieces)
    around: dict[PlaneId, list[EdgeId]] = defaultdict(list)
    for edge in edges:
        for plane in edge.planes:
            around[plane].append(edge.id)
    for building, body in bodies:
        planes += body.planes(building, names, around)
    return Surface(tuple(planes), tuple(edges), tuple(walls))


class _Body:
    """The faces of one section, joined where they are coplanar, and their common lines."""

    def __init__(self, section: SolvedSection) -> None:
        self.section = section
        self.faces = section.solved.faces
        self.xyz, self.owner = healed(section.solved)
        self.group_of = self._join_coplanar()
        self.groups = self._groups()

    def _join_coplanar(self) -> list[int]:
        """Index of the first face of the plane each face belongs to."""
        parent = list(range(len(self.faces)))

        def root(i: int) -> int:
            while parent[i] != i:
                i = parent[i]
            return i

        for (start, end), i in sorted(self.owner.items()):
            j = self.owner.get((end, start), -1)
            if j > i and self._coplanar(self.faces[i], self.faces[j]):
                a, b = root(i), root(j)
                parent[max(a, b)] = min(a, b)
        return [root(i) for i in range(len(self.faces))]

    def _coplanar(self, one: Face, two: Face) -> bool:
        if one.vertical or two.vertical or (one.edge == DECK) != (two.edge == DECK):
            return False
        g1, g2 = self.section.gradient(one), self.section.gradient(two)
        spread = np.ptp(two.vertices[:, :2], axis=0)
        return math.hypot(g1[0] - g2[0], g1[1] - g2[1]) * float(spread.max()) <= COPLANAR_MM

    def _groups(self) -> dict[int, _Group]:
        groups: dict[int, _Group] = {}
        pieces: Counter[tuple[str, int]] = Counter()
        for i, face in enumerate(self.faces):
            if face.vertical:
                continue
            first = self.group_of[i]
            if first not in groups:
                key = (self.section.edge_name(face), face.step)
                pieces[key] += 1
                plane = PlaneId(self.section.section, *key, pieces[key])
                groups[first] = _Group(plane, self.section.gradient(face), face.edge == DECK)
        for arc, i in self.owner.items():
            if not self.faces[i].vertical and self._across(arc) != self.group_of[i]:
                groups[self.group_of[i]].arcs.add(arc)
        return {first: group for first, group in groups.items() if group.arcs}

    def _across(self, arc: Arc) -> int:
        """The plane beyond an arc, or -1."""
        other = self.owner.get((arc[1], arc[0]), -1)
        return -1 if other < 0 or self.faces[other].vertical else self.group_of[other]

    def planes(
        self, building: str, names: Counter[str], around: dict[PlaneId, list[EdgeId]]
    ) -> list[Plane]:
        """The finished planes, named."""
        out = []
        for group in self.groups.values():
            rings = [self._points(c) for c in closed_chains(sorted(group.arcs), self._angle)]
            rings.sort(key=lambda r: -plan_area(r))
            outline, holes = rings[0], tuple(rings[1:])
            slope = math.hypot(*group.gradient)
            bearing = math.degrees(math.atan2(-group.gradient[0], -group.gradient[1])) % 360.0
            side = "Deck" if slope == 0.0 else facing(bearing)
            names[side] += 1
            area = plan_area(outline, holes)
            out.append(
                Plane(
                    group.id,
                    f"{side} {names[side]}",
                    building,
                    outline,
                    holes,
                    slope,
                    0.0 if slope == 0.0 else bearing,
                    area,
                    area * math.sqrt(1.0 + slope * slope),
                    tuple(around[group.id]),
                )
            )
        return out

    def _angle(self, start: int, end: int) -> float:
        d = self.xyz[end] - self.xyz[start]
        return math.atan2(float(d[1]), float(d[0]))

    def _points(self, chain: Sequence[int]) -> Array:
        points = [self.xyz[i] for i in chain]
        kept: list[Array] = []
        for k, point in enumerate(points):
            if _bends(kept[-1] if kept else points[-1], point, points[(k + 1) % len(points)]):
                kept.append(point)
        out = np.array(kept)
        out.flags.writeable = False
        return out

    def walls(self) -> list[Wall]:
        """The vertical faces that have a height."""
        return [
            Wall(self.section.section, self.section.edge_name(f), f.vertices)
            for f in self.faces
            if f.vertical and np.ptp(f.vertices[:, 2]) > SAME_POINT_MM
        ]

    def pieces(self) -> list[_Piece]:
        """The straight edges around and between the planes, each between two planes once."""
        runs: dict[tuple[int, int, str], list[Arc]] = {}
        for first, group in self.groups.items():
            for arc in sorted(group.arcs):
                other = self.owner.get((arc[1], arc[0]), -1)
                contact, second = self._contact(arc, other)
                if contact != "plane" or first < second:
                    runs.setdefault((first, second, contact), []).append(arc)
        out = []
        for (first, second, contact), arcs in runs.items():
            for start, end in self._straight(arcs):
                out.append(self._piece(self.groups[first], second, contact, start, end))
        return out

    def _contact(self, arc: Arc, other: int) -> tuple[str, int]:
        """What lies beyond an arc of a plane: another plane, a wall above it, or nothing.

        The second value is the plane's group, or the face whose outline edge gives the name.
        """
        if other < 0:
            return "end", self.owner[arc]
        face = self.faces[other]
        if not face.vertical:
            return "plane", self.group_of[other]
        # seen from outside a wall's own arcs run from left to right along its foot
        way = self.xyz[arc[0]] - self.xyz[arc[1]]
        foot = float(way[:2] @ self._wall_tangent(face))
        return ("wall" if foot > 0 else "end"), other

    def _wall_tangent(self, face: Face) -> Array:
        """Plan direction of a vertical face, its outside to the right: its loop turns left."""
        p = face.vertices - face.vertices[0]
        far = p[int(np.argmax(np.hypot(p[:, 0], p[:, 1])))][:2]
        u: Array = far / np.hypot(*far)
        s, z = p[:, :2] @ u, p[:, 2]
        area = float(np.sum(s * np.roll(z, -1) - np.roll(s, -1) * z))
        return u if area > 0 else -u

    def _straight(self, arcs: Sequence[Arc]) -> list[tuple[Array, Array]]:
        """Join arcs that go on straight into whole edges."""
        after = {start: end for start, end in arcs}
        ends = set(after.values())
        out = []
        left = dict(after)
        for start in [s for s in after if s not in ends] + list(after):
            if start not in left:
                continue
            begin, here = start, left.pop(start)
            last = start
            while here in left:
                onward = left[here]
                if _bends(self.xyz[last], self.xyz[here], self.xyz[onward]):
                    out.append((self.xyz[begin], self.xyz[here]))
                    begin = here
                del left[here]
                last, here = here, onward
            out.append((self.xyz[begin], self.xyz[here]))
        return out

    def _piece(self, group: _Group, second: int, contact: str, start: Array, end: Array) -> _Piece:
        way = end - start
        plan = float(np.hypot(way[0], way[1]))
        d = (float(way[0]) / plan, float(way[1]) / plan)
        rise = float(way[2]) / plan
        g = group.gradient
        if contact == "plane":
            other = self.groups[second]
            if group.is_deck or other.is_deck:
                side = other if group.is_deck else group
                kind, fold, remark = classify.deck_edge(side.gradient, d, side is group)
            else:
                kind, fold, remark = classify.between(g, other.gradient, d, rise)
            return _Piece(group.id, other.id, kind, fold, remark, start, end)
        name = self.section.edge_name(self.faces[second])
        if contact == "wall":
            kind, fold, remark = classify.against_wall(g, d, rise)
            name = f"wall {name}"
        else:
            kind, fold, remark = classify.own_end(g, d, rise)
        return _Piece(group.id, name, kind, fold, remark, start, end)


def _bends(a: Array, b: Array, c: Array) -> bool:
    """Does the line a-b-c bend at b by more than a sliver?"""
    u, v = b - a, c - a
    length = float(np.linalg.norm(v))
    if length <= SAME_POINT_MM:
        return True
    return float(np.linalg.norm(np.cross(u, v))) / length > SAME_POINT_MM


def _named(pieces: Sequence[_Piece]) -> list[RoofEdge]:
    """Edges with identity and name, in the order they were found."""
    ordinals: Counter[tuple[PlaneId, PlaneId | str]] = Counter()
    numbers: Counter[EdgeKind] = Counter()
    out = []
    for p in pieces:
        ordinals[p.first, p.second] += 1
        numbers[p.kind] += 1
        planes = (p.first, p.second) if isinstance(p.second, PlaneId) else (p.first,)
        out.append(
            RoofEdge(
                EdgeId(p.first, p.second, ordinals[p.first, p.second]),
                f"{p.kind.capitalize()} {numbers[p.kind]}",
                p.kind,
                p.start,
                p.end,
                float(np.linalg.norm(p.end - p.start)),
                p.fold,
                planes,
                p.remark,
            )
        )
    return out
