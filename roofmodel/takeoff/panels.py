"""Panels of one plane: its field of metal cut into strips that run up the slope."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

import msgspec
import numpy as np
import shapely

from roofmodel.surface import EdgeId, Plane, RoofEdge
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff import start
from roofmodel.takeoff.ends import are_notched, end_cuts
from roofmodel.takeoff.field import NO_METAL_MM2, Frame, fields_of
from roofmodel.takeoff.splits import joints
from roofmodel.takeoff.strips import Metal, Sheets, areas_between, sheets_at, starts_of, summed
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Array, EndCut, Laying, Panel


class Case:
    """A plane with its edges and what its panels follow from, equal to another by value: while
    the user edits one section the panels of the others need not be cut again. `held` is how much
    farther (mm) than elsewhere they stop short of some edges."""

    __slots__ = ("_hash", "edges", "held", "key", "plane", "system", "vented")

    def __init__(
        self,
        plane: Plane,
        edges: Sequence[RoofEdge],
        system: RoofingSystem,
        vented: bool = False,
        held: Mapping[EdgeId, float] | None = None,
    ) -> None:
        self.plane, self.edges, self.system, self.vented = plane, edges, system, vented
        self.held = held or {}
        rings = tuple(r.tobytes() for r in (plane.outline, *plane.holes))
        sides = tuple(
            (trim_kind(e), e.start.tobytes(), e.end.tobytes(), self.held.get(e.id, 0.0))
            for e in edges
        )
        rules = msgspec.msgpack.encode(
            (
                *(system.id, system.coverage, system.lap_leg, system.panel),
                *(system.shifts, system.hems, system.vented_shifts if vented else None),
            )
        )
        self.key = (plane.id, plane.name, plane.slope, plane.bearing, rings, sides, rules)
        self._hash = hash(self.key)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Case) and self.key == other.key

    @property
    def shifts(self) -> Mapping[EdgeKind, float]:
        """How far metal goes past each kind of edge (mm), negative where it stops short of it."""
        system = self.system
        return {**system.shifts, **system.vented_shifts} if self.vented else system.shifts

    @property
    def sheet(self) -> start.Sheet:
        """What matters of the system's sheet for the start."""
        system = self.system
        return start.Sheet(system.coverage, system.lap_leg, system.panel.least_width)


@lru_cache(maxsize=4096)
def _metal(case: Case) -> Metal:
    system = case.system
    shifts = case.shifts
    hems = {k: hem for k, hem in system.hems.items() if hem > 0.0}
    maps = [shifts]
    if any(trim_kind(e) in hems for e in case.edges):
        maps.append({k: shifts.get(k, 0.0) + hems.get(k, 0.0) for k in EdgeKind})
    fields = fields_of(case.plane, case.edges, maps, case.held)
    return Metal(fields[0], fields[-1])


@lru_cache(maxsize=4096)
def _mirrored(case: Case) -> Metal:
    return _metal(case).mirrored()


def metal_of(case: Case, from_right: bool) -> Metal:
    """The metal on a sloping plane, seen from the end it is laid from. Cached by value."""
    metal = _metal(case)
    return _mirrored(case) if from_right and not metal.field.is_empty else metal


@lru_cache(maxsize=4096)
def best_offset(case: Case, mode: str, from_right: bool) -> float:
    """The start (mm) for "least metal" or "balanced ends". Cached by value."""
    metal = metal_of(case, from_right)
    if metal.field.is_empty:
        return 0.0
    find = start.least_metal if mode == "least metal" else start.balanced
    return find(metal, case.sheet)


@lru_cache(maxsize=4096)
def laying_of(
    case: Case,
    mode: str = "first end",
    offset: float = 0.0,
    from_right: bool = False,
    remark: str = "",
) -> Laying:
    """The panels of a sloping plane, the first side of one `offset` mm from the end they are
    laid from. Cached by value."""
    plane, system = case.plane, case.system
    metal = metal_of(case, from_right)
    ident = (plane.id, plane.name, system.id, mode)
    if metal.field.is_empty:
        return Laying(*ident, 0.0, from_right, 0, 0.0, 0.0, 0, 0.0, (), remark)
    starts = starts_of(metal, offset, system.coverage, system.lap_leg)
    left, right = metal.ends
    sheets = sheets_at(metal, starts, system.coverage, system.lap_leg)
    pieces = _pieces_of(case, metal, sheets, starts, from_right)
    panels = _panels_of(case, metal, starts, pieces, from_right)
    offset = float(starts[0] - left) % system.coverage
    widths = np.minimum(starts + system.coverage, right) - np.maximum(starts, left)
    narrow = int(start.narrow(sheets, system.panel.least_width).sum())
    area = float(metal.field.area)
    return Laying(
        *(*ident, offset, from_right, len(starts), float(widths[0]), float(widths[-1])),
        *(narrow, area, panels, remark),
    )


@lru_cache(maxsize=1024)
def sheets_of(case: Case, offset: float, from_right: bool) -> tuple[shapely.Polygon, ...]:
    """What each panel of a laying is cut from, in its order: the whole sheet with lap leg and
    hems, flat; (u, v) mm as `PlaneFixing` has them. Cached by value."""
    metal, system = metal_of(case, from_right), case.system
    if metal.field.is_empty:
        return ()
    starts = starts_of(metal, offset, system.coverage, system.lap_leg)
    sheets = sheets_at(metal, starts, system.coverage, system.lap_leg)
    pieces = _pieces_of(case, metal, sheets, starts, from_right)
    left, low, right, _ = metal.field.bounds
    hand, end = (-1.0, right) if from_right else (1.0, -left)

    def placed(points: Array) -> Array:
        return np.column_stack([end + hand * points[:, 0], points[:, 1] - low])

    return tuple(shapely.transform(p.sheet, placed) for p in pieces)


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """A piece of a strip, or a part of one that was too long: its sheet, what is cut, what it
    covers, how it is cut, and the length of lap at its lower end."""

    strip: int
    length: float
    net: float
    covered: shapely.Polygon
    sheet: shapely.Polygon
    cuts: tuple[EndCut, EndCut]
    notched: bool
    end_lap: float = 0.0


def _pieces_of(
    case: Case, metal: Metal, sheets: Sheets, starts: Array, mirrored: bool
) -> list[_Piece]:
    system = case.system
    nets = _nets(metal, sheets, starts, system.coverage)
    order = np.argsort(sheets.areas, kind="stable")
    mains = dict(zip(sheets.part_of[order].tolist(), order.tolist(), strict=True))
    kept = np.flatnonzero(sheets.kept)
    cuts = end_cuts(sheets.parts[kept], mirrored=mirrored)
    notches = are_notched(sheets.parts[kept])
    bounds = shapely.bounds(sheets.parts)
    lap = system.panel.lap_at(case.plane.slope)
    longest = system.panel.longest
    out: list[_Piece] = []
    beside: list[float] = []
    before = -1
    levels: list[float] = []
    for k, cut, notched in zip(kept.tolist(), cuts, notches, strict=True):
        strip = int(sheets.owner[k])
        low, high = float(bounds[k, 1]), float(bounds[k, 3])
        if strip != before:
            beside, levels, before = levels if strip == before + 1 else [], [], strip
        main = sheets.covered[mains[k]]
        whole = _Piece(strip, high - low, float(nets[k]), main, sheets.parts[k], cut, notched)
        if longest is None or high - low <= longest:
            out.append(whole)
            continue
        found = joints(low, high, system.panel, lap, beside)
        levels += found
        inside = shapely.union_all(sheets.covered[sheets.part_of == k])
        out += _split(whole, sheets.parts[k], inside, found, lap, mirrored)
    return out


def _split(
    whole: _Piece, sheet: Any, inside: Any, levels: list[float], lap: float, mirrored: bool
) -> list[_Piece]:
    """A piece in several, bottom to top; each covers down to its own lower end."""
    x0, low, x1, high = sheet.bounds
    tops = [*levels, high]
    bottoms = [low, *(level - lap for level in levels)]
    faces = [low - 1.0, *bottoms[1:], high + 1.0]
    shares = [shapely.box(x0 - 1, a, x1 + 1, b) for a, b in pairwise(faces)]
    covered = [inside.intersection(box) for box in shares]
    # a part where only the lap leg reaches is none
    is_metal = [c.area > NO_METAL_MM2 for c in covered]
    total = sum(c.area for c, counts in zip(covered, is_metal, strict=True) if counts)
    out: list[_Piece] = []
    for k, (bottom, top) in enumerate(zip(bottoms, tops, strict=True)):
        if not is_metal[k]:
            continue
        part = _largest(sheet.intersection(shapely.box(x0 - 1, bottom, x1 + 1, top)))
        own = np.array([part])
        (cuts,), (notched,) = end_cuts(own, mirrored=mirrored), are_notched(own)
        net = whole.net * covered[k].area / total
        main = _largest(covered[k])
        lapped = lap if out else 0.0
        out.append(_Piece(whole.strip, top - bottom, net, main, part, cuts, notched, lapped))
    return out


def _largest(shape: Any) -> shapely.Polygon:
    parts = [p for p in shapely.get_parts(shape).tolist() if p.geom_type == "Polygon"]
    out: shapely.Polygon = max(parts, key=lambda p: float(p.area))
    return out


def _nets(metal: Metal, sheets: Sheets, starts: Array, coverage: float) -> Array:
    """Net area of each piece, so that all that are kept add up to the field exactly: the hair
    between strips is given back to its strip, a piece too small to be one to its neighbour."""
    levels = np.append(starts, max(metal.ends[1], float(starts[-1]) + coverage))
    exact = areas_between(metal.field, levels)
    found = summed(sheets.owner, sheets.net, len(starts))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(found > 0.0, exact / found, 1.0)
    nets: Array = sheets.net * share[sheets.owner]
    kept = np.flatnonzero(sheets.kept)
    for k in np.flatnonzero(~sheets.kept):
        if len(kept) and nets[k] > 0.0:
            near = kept[np.argmin(np.abs(sheets.owner[kept] - sheets.owner[k]))]
            nets[near] += nets[k]
    return nets


def _panels_of(
    case: Case, metal: Metal, starts: Array, pieces: list[_Piece], from_right: bool
) -> tuple[Panel, ...]:
    plane, system = case.plane, case.system
    frame = Frame.of(plane)
    frame = frame.mirrored() if from_right else frame
    left, right = metal.ends
    width = float(right - left)
    out: list[Panel] = []
    rings = _rings([p.covered for p in pieces], frame, from_right)
    for piece, (outline, *holes) in zip(pieces, rings, strict=True):
        near = float(starts[piece.strip] - left)
        far = near + system.coverage
        near, far = (width - far, width - near) if from_right else (near, far)
        out.append(
            Panel(
                *(plane.id, plane.name, len(out) + 1, near, far, width, piece.length),
                *(piece.net, piece.length * system.coverage, outline, tuple(holes), system.id),
                *(piece.strip + 1, *piece.cuts, piece.end_lap, piece.notched),
            )
        )
    return tuple(out)


def _rings(shapes: list[shapely.Polygon], frame: Frame, from_right: bool) -> list[list[Array]]:
    """The rings of polygons as points of the plane; outer ones counter-clockwise seen from
    above, holes clockwise."""
    rings: list[shapely.LinearRing] = []
    first = []
    for shape in shapes:
        first.append(len(rings))
        rings += [shape.exterior, *shape.interiors]
    flat, owner = shapely.get_coordinates(rings, return_index=True)
    raised = frame.raised(flat)
    raised.flags.writeable = False
    is_left = (shapely.is_ccw(rings) != from_right).tolist()
    ends = np.searchsorted(owner, np.arange(len(rings) + 1)).tolist()
    outer = set(first)
    points = []
    for k, (a, b) in enumerate(pairwise(ends)):
        ring = raised[a : b - 1]
        points.append(ring if is_left[k] is (k in outer) else ring[::-1])
    return [points[a:b] for a, b in pairwise([*first, len(rings)])]
