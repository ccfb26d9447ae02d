"""How the panels lie on one plane, unrolled: what its layout sheet shows, as numbers.

All places are (u, v) mm: u from the left end of the plane's metal, seen by someone who looks up
the slope, v up the slope from its lowest metal, both true lengths.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.document import Project
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.shop.square import SquareCheck, square_check
from roofmodel.surface import Plane, RoofEdge, Surface
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.cases import cases_of
from roofmodel.takeoff.check_types import PlaneZones
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel.takeoff.panels import Case, metal_of
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Laying, TakeOff
from roofmodel.tolerance import HEAL_MM

Array = NDArray[np.float64]
XY = tuple[float, float]
Line = tuple[XY, XY]

_GRID_MM: Final = 1e-3
_RIGHT_SINE: Final = 1e-4
_LEAST_CHECK: Final = 0.15
"""Of the plane's height: on a smaller triangle an eighth of an inch is an inch at the ridge."""


@dataclass(frozen=True, slots=True, eq=False)
class PlacedEdge:
    """A roof edge on the plane."""

    edge: RoofEdge
    start: XY
    end: XY


@dataclass(frozen=True, slots=True)
class PlacedOpening:
    """What comes through the plane, where its middle is, and the names of the edges around it."""

    name: str
    at: XY
    edges: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class PlaneSheet:
    """The layout of one plane.

    `outline` and `holes` are those of the plane itself (n, 2); `covered` what each panel covers.
    `width` and `height` are those of its metal. `start` is the first side of a panel, where
    laying begins; `sides` are those of all strips, from the start on. `seams` are the sides and
    ends of panels, each once; `laps` the hidden ends of panels below others. `diagonals` is the
    length of both, where the plane is a rectangle. `zones` are the inner borders of its edge and
    corner zones. `shifts` is how far the metal goes past each kind of edge that is there, mm along
    the plane and square to the edge, negative where it stops short of it.
    """

    plane: Plane
    system: RoofingSystem
    laying: Laying
    outline: Array
    holes: tuple[Array, ...]
    edges: tuple[PlacedEdge, ...]
    shapes: tuple[PanelShape, ...]
    covered: tuple[Array, ...]
    width: float
    height: float
    start: Line
    sides: tuple[float, ...]
    seams: tuple[Line, ...]
    laps: tuple[Line, ...]
    square: SquareCheck | None
    diagonals: float | None
    fixing: PlaneFixing | None
    zones: tuple[Line, ...]
    openings: tuple[PlacedOpening, ...]
    shifts: tuple[tuple[EdgeKind, float], ...] = ()

    def from_start(self, u: float) -> float:
        """How far a side lies from the end that is laid from, mm."""
        return self.width - u if self.laying.from_right else u


def plane_sheets(
    project: Project, surface: Surface, take_off: TakeOff, shapes: Sequence[PanelShape]
) -> tuple[PlaneSheet, ...]:
    """The layouts of all planes with panels, in the order of the take-off's; `shapes` are those
    of all its panels."""
    cases = cases_of(surface, project, Coverings.of(surface, project))
    fixings = {f.plane: f for f in take_off.fixings}
    zones = {z.plane: z for z in take_off.zones}
    edges = {e.id: e for e in surface.edges}
    names = {f"opening {o.id}": o.name for o in project.openings()}
    out, k = [], 0
    for laying in take_off.layings:
        mine = tuple(shapes[k : k + len(laying.panels)])
        k += len(laying.panels)
        if mine:
            case = cases[laying.plane]
            around = [edges[i] for i in case.plane.edges if i in edges]
            out.append(
                _sheet(
                    *(project, case, laying, mine, around),
                    *(fixings.get(laying.plane), zones.get(laying.plane), names),
                )
            )
    return tuple(out)


def _sheet(
    project: Project,
    case: Case,
    laying: Laying,
    shapes: tuple[PanelShape, ...],
    around: Sequence[RoofEdge],
    fixing: PlaneFixing | None,
    zones: PlaneZones | None,
    names: Mapping[str, str],
) -> PlaneSheet:
    plane, frame = case.plane, Frame.of(case.plane)
    field = metal_of(case, False).field
    left, low, right, high = field.bounds
    origin = np.array([left, low])

    def placed(points: Array) -> Array:
        out: Array = frame.flat(points) - origin
        return out

    field = shapely.MultiPolygon(shapely.transform(field, lambda points: points - origin))
    outline = placed(plane.outline)
    holes = tuple(placed(h) for h in plane.holes)
    edges = []
    for edge in around:
        a, b = placed(np.array([edge.start, edge.end])).tolist()
        edges.append(PlacedEdge(edge, (a[0], a[1]), (b[0], b[1])))
    covered = tuple(placed(p.outline) for p in laying.panels)
    width, height = float(right - left), float(high - low)
    sides = _sides(laying, width)
    shape = shapely.Polygon(outline, holes)
    chords = {u: _chord(field, u, width) for u in sides}
    eaves = [(e.start, e.end) for e in edges if e.edge.kind is EdgeKind.EAVE]
    return PlaneSheet(
        plane=plane,
        system=case.system,
        laying=laying,
        outline=outline,
        holes=holes,
        edges=tuple(edges),
        shapes=shapes,
        covered=covered,
        width=width,
        height=height,
        start=_start(laying, sides, chords),
        sides=sides,
        seams=_seams(covered),
        laps=_laps(shapes),
        square=_of_use(
            square_check(shape, eaves, sides, laying.from_right, project.units), height
        ),
        diagonals=_diagonals(outline),
        fixing=fixing,
        zones=_zone_lines(zones, shape, origin),
        openings=_openings(plane, edges, names),
        shifts=_shifts(case),
    )


def _shifts(case: Case) -> tuple[tuple[EdgeKind, float], ...]:
    """How far metal goes past each kind of edge; of those whose trim holds it back by different
    amounts each once."""
    some = {
        (trim_kind(e), case.shifts.get(trim_kind(e), 0.0) - case.held.get(e.id, 0.0))
        for e in case.edges
    }
    order = list(EdgeKind)
    return tuple(sorted(some, key=lambda one: (order.index(one[0]), -one[1])))


def _of_use(check: SquareCheck | None, height: float) -> SquareCheck | None:
    """None for a triangle that is too small beside the plane to tell anything."""
    if check is None or check.on_side < _LEAST_CHECK * height:
        return None
    return check


def _sides(laying: Laying, width: float) -> tuple[float, ...]:
    """Where the sides of strips lie, from the end that is laid from to the other."""
    found = sorted(
        {0.0, width} | {min(max(x, 0.0), width) for p in laying.panels for x in (p.left, p.right)}
    )
    kept: list[float] = []
    for u in found:
        if not kept or u - kept[-1] > HEAL_MM:
            kept.append(u)
    kept[-1] = width
    return tuple(kept[::-1] if laying.from_right else kept)


def _chord(field: shapely.MultiPolygon, u: float, width: float) -> Line | None:
    """The lowest stretch of metal along a side."""
    at = min(max(u, _GRID_MM), width - _GRID_MM)
    _, low, _, high = field.bounds
    line = shapely.LineString([(at, low - 1.0), (at, high + 1.0)])
    found = [
        g.bounds
        for g in shapely.get_parts(shapely.intersection(line, field)).tolist()
        if g.geom_type == "LineString" and g.length > HEAL_MM
    ]
    if not found:
        return None
    _, bottom, _, top = min(found, key=lambda b: b[1])
    return (u, float(bottom)), (u, float(top))


def _start(laying: Laying, sides: Sequence[float], chords: Mapping[float, Line | None]) -> Line:
    """The side of the first whole strip, or the next one where there is no metal along it."""
    first = 1 if laying.offset > HEAL_MM and len(sides) > 2 else 0
    for u in sides[first:]:
        chord = chords[u]
        if chord is not None:
            return chord
    return (sides[0], 0.0), (sides[0], 0.0)


def _seams(covered: Sequence[Array]) -> tuple[Line, ...]:
    """The outlines of panels as straight lines, those that two share only once."""
    rings = shapely.linearrings(
        np.concatenate([np.vstack([c, c[:1]]) for c in covered]),
        indices=np.repeat(np.arange(len(covered)), [len(c) + 1 for c in covered]),
    )
    # neighbours lie a hair apart
    merged = shapely.line_merge(shapely.union_all(rings, grid_size=_GRID_MM))
    out = []
    for line in shapely.get_parts(merged).tolist():
        out += straight_lines(shapely.get_coordinates(line))
    return tuple(out)


def straight_lines(points: Array) -> list[Line]:
    """The straight stretches of a polyline (n, 2), without those of no length."""
    out: list[Line] = []
    for a, b in zip(points[:-1].tolist(), points[1:].tolist(), strict=True):
        if math.dist(a, b) <= 2.0 * _GRID_MM:
            continue
        if out and _goes_on(out[-1], (b[0], b[1])):
            out[-1] = (out[-1][0], (b[0], b[1]))
        else:
            out.append(((a[0], a[1]), (b[0], b[1])))
    return out


def _goes_on(line: Line, to: XY) -> bool:
    (x0, y0), (x1, y1) = line
    far = math.dist(line[0], to)
    off = abs((x1 - x0) * (to[1] - y0) - (y1 - y0) * (to[0] - x0))
    on = (x1 - x0) * (to[0] - x1) + (y1 - y0) * (to[1] - y1)
    return on > 0.0 and off <= _GRID_MM * far


def _laps(shapes: Sequence[PanelShape]) -> tuple[Line, ...]:
    """How far up panels reach below those that lap on them."""
    out = []
    for shape in shapes:
        lap = shape.panel.end_lap
        if lap > 0.0:
            u, v = shape.place
            out.append(((u, v + lap), (u + shape.width, v + lap)))
    return tuple(out)


def _diagonals(outline: Array) -> float | None:
    """The length of both diagonals of a rectangle."""
    if len(outline) != 4:
        return None
    ways = np.roll(outline, -1, axis=0) - outline
    sizes = np.linalg.norm(ways, axis=1)
    for k in range(4):
        j = (k + 1) % 4
        if abs(float(ways[k] @ ways[j])) > _RIGHT_SINE * float(sizes[k] * sizes[j]):
            return None
    return float(np.linalg.norm(outline[2] - outline[0]))


def _zone_lines(
    zones: PlaneZones | None, shape: shapely.Polygon, origin: Array
) -> tuple[Line, ...]:
    """The borders of zones inside the plane, each once."""
    if zones is None:
        return ()
    inner = shapely.union_all(
        [
            shapely.transform(shapely.boundary(z), lambda points: points - origin)
            for z in (zones.edge, zones.corner)
            if not shapely.is_empty(z)
        ],
        grid_size=_GRID_MM,
    )
    inside = shapely.difference(inner, shapely.buffer(shape.boundary, HEAL_MM))
    merged = shapely.line_merge(inside) if inside.geom_type == "MultiLineString" else inside
    out = []
    for line in shapely.get_parts(merged).tolist():
        if line.geom_type == "LineString" and line.length > 10.0 * HEAL_MM:
            out += straight_lines(shapely.get_coordinates(line))
    return tuple(out)


def _openings(
    plane: Plane, edges: Sequence[PlacedEdge], names: Mapping[str, str]
) -> tuple[PlacedOpening, ...]:
    """What comes through the plane."""
    around: dict[str, list[PlacedEdge]] = {}
    for e in edges:
        second = e.edge.id.second
        if isinstance(second, str) and second in names:
            around.setdefault(second, []).append(e)
    out = []
    for key, some in around.items():
        xs, ys = zip(*(p for e in some for p in (e.start, e.end)), strict=True)
        at = (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0
        named = tuple(dict.fromkeys(e.edge.name for e in some))
        out.append(PlacedOpening(names[key], at, named))
    return tuple(out)
