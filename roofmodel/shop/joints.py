"""How the two ends of a trim run are cut: planes in space, from what meets the run at its nodes.

Each side of a part is cut by a plane of its own, for on each side it lies on another roof plane
and meets another neighbour there:

- two ridge or hip caps: the plane that mirrors one into the other. It stands on the roof plane
  that both lie on, halves the angle between their lines, and goes through the centre of the ball
  that rolls in the bends of both, so that legs and rounds close whatever their folds;
- a cap beside a valley: the roof plane on the valley's other side, so along the valley's centre;
- the foot of a valley or a hip: upright along the eave, so that the metal ends as the eave does;
- two rakes at a gable: the plane that bisects them.

Everything else is cut square; the heads of valleys lap each other under the caps. What goes on
past the corner of an opening is cut square as well, and its upstand turned around the corner; for
corners of the roof and of walls see `roofmodel.shop.corners`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from roofmodel.shop.corners import Turn, corner_at
from roofmodel.shop.lines import LEAST_SINE, NODE_MM, Line, Roof, normal_of, unit
from roofmodel.surface import Node, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind, TrimRule
from roofmodel.takeoff.trim_corners import CORNER, EAVES, away_from, is_square, plumb_length
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.units import LengthUnits

Array = NDArray[np.float64]

EndKind = Literal[
    "square", "lap", "mitre", "along the edge", "along the valley", "turned down",
    "turned around the corner", "runs on along the wall", "cut lap",
]  # fmt: skip

_NO_SHIFTS: Final[Mapping[EdgeKind, float]] = {}
_CAPS: Final = (EdgeKind.RIDGE, EdgeKind.HIP)
_LINES: Final = (*_CAPS, EdgeKind.VALLEY)
_OWN_ENDS: Final = (EdgeKind.EAVE, EdgeKind.HIGH_EAVE, EdgeKind.RAKE)
_ACROSS: Final = (EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE)
_WALLS: Final = (EdgeKind.HEADWALL, EdgeKind.SIDEWALL)
_UP: Final = np.array([0.0, 0.0, 1.0])
_SAME_PLACE: Final = 1e-6

_FLAT_CUT = "the cut would run along the piece, so it is cut square; fit it on the roof"
_MITRE = (
    "mitre: joint sealed and riveted over a backing piece of the same {}, [backing] long"
    " (common practice, no source)"
)
_EAVE_CORNER = "at the corner of the eaves notch and fold it, or lap and seal"
_ODD_CORNER = "past the corner of the opening its leg on the roof runs on; notch the upstand there"


def remark_words(remark: str, units: LengthUnits) -> str:
    """A joint's remark with its lengths in a job's units."""
    return remark.replace("[backing]", "6 in" if units.system == "feet" else "150 mm")


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """One end of a run. `first` and `second` are unit normals (3,) of the planes that cut what
    lies on the first and on the second plane; None is a square cut. The planes go through the
    part's apex, moved by `first_ball` and `second_ball` (3,) for every mm of the radius that the
    colour side is bent to. `extra` mm is what the run goes on past its node; what is fitted to
    its neighbours ends there, whatever was counted. `turn` is how it goes on past a corner."""

    kind: EndKind = "square"
    first: Array | None = None
    second: Array | None = None
    extra: float = 0.0
    remark: str = ""
    first_ball: Array | None = None
    second_ball: Array | None = None
    turn: Turn | None = None


def joint_at(
    roof: Roof,
    line: Line,
    rule: TrimRule | None,
    *,
    at_end: bool,
    on_both: bool,
    shifts: Mapping[EdgeKind, float] = _NO_SHIFTS,
) -> Joint:
    """How a run is cut at its start or its end; what does not lie `on_both` planes of its edge,
    as cleats and closures, square. `shifts` are how far panels lie past edges (mm)."""
    place, out = (line.end, -line.along) if at_end else (line.start, line.along)
    node = roof.node_at(line.run, place)
    if node is None:
        return Joint()
    extra = rule.ends.get(node.kind, 0.0) if rule is not None else 0.0
    kind = trim_kind(roof.edges[line.run.edges[0]])
    others = [roof.edges[e] for e in node.edges if e not in line.run.edges]
    further = 0.0
    if rule is not None and kind is EdgeKind.RAKE and node.kind == CORNER:
        met = [e for e in others if line.first in e.planes]
        further = plumb_length(rule, met, node.place, -out, line.across[:2])
    if not on_both:
        return Joint(extra=extra + further)
    corner = corner_at(kind, roof, line, node, others, out, extra, further, shifts)
    if corner is not None:
        return Joint(corner.kind, extra=extra + further, remark=corner.remark, turn=corner.turn)
    if kind is EdgeKind.RAKE:
        return _rake(others, node, out, extra)
    if node.kind == "opening corner" and extra > 0.0:
        return _around(kind, others, node, out, extra)
    if kind is EdgeKind.EAVE and any(e.kind in EAVES for e in others):
        return Joint(extra=extra, remark=_EAVE_CORNER)
    if kind not in _LINES:
        return Joint(extra=extra)
    planes = line.first, line.second
    sides = [_side(roof, kind, p, others, node, out) for p in planes]
    normals, kinds, balls, remarks = [], [], [], []
    for (normal, what, across), own in zip(sides, (planes, planes[::-1]), strict=True):
        if normal is not None and abs(float(normal @ line.along)) < LEAST_SINE:
            remarks.append(_FLAT_CUT)
            normal, what = None, "square"
        normals.append(normal)
        kinds.append(what)
        balls.append(_ball(roof, (*own, across)) if what == "mitre" else None)
    order: tuple[EndKind, ...] = ("mitre", "along the valley", "along the edge", "square")
    found = next(k for k in order if k in kinds)
    if kind is EdgeKind.RIDGE and node.kind == "ridge end at a gable" and extra > 0.0:
        found = "turned down"
    if found == "mitre" and not _meet_in_a_point(roof, node, others, line):
        remarks.append(
            "more than three planes meet here and their caps' tops do not come to one point:"
            " each is cut in the plane that bisects it and its neighbour; cover the peak"
        )
    if found == "mitre":
        remarks.insert(0, _MITRE.format("cap"))
    if found in ("mitre", "along the valley"):
        extra = 0.0
    words = "; ".join(dict.fromkeys(remarks))
    return Joint(found, normals[0], normals[1], extra, words, balls[0], balls[1])


def met_on_the_way(roof: Roof, line: Line) -> list[tuple[float, str]]:
    """Ridges, hips and valleys that run into a cap between its ends: how far from the start of
    its line, mm, and what is to be done."""
    out: dict[int, tuple[float, str]] = {}
    for ident in line.run.edges:
        if trim_kind(roof.edges[ident]) not in _CAPS:
            continue
        for node in roof.nodes_of(ident):
            at = float((node.place - line.start) @ line.along)
            others = [roof.edges[e] for e in node.edges if e not in line.run.edges]
            names = [e.name for e in others if trim_kind(e) in _LINES]
            if names and NODE_MM < at < line.length - NODE_MM:
                words = (
                    f"where {' and '.join(names)} meet it, notch its leg and fit it on the roof"
                )
                out[id(node)] = (at, words)
    return list(out.values())


def _rake(others: Sequence[RoofEdge], node: Node, out: Array, extra: float) -> Joint:
    for edge in others:
        if edge.kind is EdgeKind.RAKE and node.kind == "ridge end at a gable":
            normal = _bisector(out, away_from(edge, node.place))
            if normal is not None:
                return Joint("mitre", normal, normal, remark=_MITRE.format("trim"))
    return Joint(extra=extra)


def _around(
    kind: EdgeKind, others: Sequence[RoofEdge], node: Node, out: Array, extra: float
) -> Joint:
    """The end of a flashing that goes on past an opening. Above and below a square one the
    upstand's tab is bent square across the blank; beside it, the corner stands aslant."""
    beside = [away_from(e, node.place) for e in others]
    if kind in _ACROSS and any(is_square(away, out) for away in beside):
        return Joint("turned around the corner", extra=extra)
    return Joint(extra=extra, remark=_ODD_CORNER)


def _side(
    roof: Roof,
    kind: EdgeKind,
    plane: PlaneId | None,
    others: Sequence[RoofEdge],
    node: Node,
    out: Array,
) -> tuple[Array | None, EndKind, PlaneId | None]:
    """The normal of the cut on one plane, and the plane across the line that it meets there."""
    beside = [(e, away_from(e, node.place)) for e in others if plane in e.planes]
    if plane is None or not beside:
        return None, "square", None
    edge, away = max(beside, key=lambda item: float(item[1] @ out))
    what = trim_kind(edge)
    across = next((p for p in edge.planes if p != plane and p in roof.planes), None)
    if kind in _CAPS and what in _CAPS:
        return _bisector(out, away), "mitre", across
    if kind in _CAPS and what is EdgeKind.VALLEY and across is not None:
        return normal_of(roof.planes[across]), "along the valley", across
    if what in _OWN_ENDS or (kind in _CAPS and what in _WALLS):
        return unit(np.cross(away, _UP)), "along the edge", across
    return None, "square", across


def _ball(roof: Roof, planes: Sequence[PlaneId | None]) -> Array | None:
    """From the point where three planes meet to the centre of a ball of radius 1 that touches all
    of them from below; the axes of the bends along their three lines all go through it."""
    if None in planes or len(set(planes)) < 3:
        return None
    normals = np.array([normal_of(roof.planes[p]) for p in planes if p is not None])
    if abs(float(np.linalg.det(normals))) < _SAME_PLACE:
        return None
    out: Array = np.linalg.solve(normals, -np.ones(3))
    return out


def _bisector(one: Array, two: Array) -> Array | None:
    """The normal of the plane that mirrors one way from a node into the other."""
    apart = one - two
    return None if float(np.linalg.norm(apart)) < LEAST_SINE else unit(apart)


def _meet_in_a_point(roof: Roof, node: Node, others: Sequence[RoofEdge], line: Line) -> bool:
    """Do the planes around a node, all raised by one amount along their normals, still meet in
    one point? Three always do."""
    ids = dict.fromkeys(
        p for e in (*others, roof.edges[line.run.edges[0]]) for p in e.planes if p in roof.planes
    )
    if len(ids) <= 3:
        return True
    normals = np.array([normal_of(roof.planes[p]) for p in ids])
    raised, *_ = np.linalg.lstsq(normals, np.ones(len(ids)), rcond=None)
    return bool(np.abs(normals @ raised - 1.0).max() < _SAME_PLACE)
