"""The flat shape of every panel as it is cut: the whole sheet with its lap leg, hems and notches.

A shape lies as the panel does on its plane, seen by someone who looks up the slope: x across from
its left border, y up the slope from its lowest corner, mm. Hems are still flat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.document import Project
from roofmodel.surface import Surface
from roofmodel.takeoff.cases import cases_of
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.panels import Case, metal_of, sheets_of
from roofmodel.takeoff.types import EndCut, Laying, Panel, TakeOff
from roofmodel.tolerance import HEAL_MM

Array = NDArray[np.float64]
XY = tuple[float, float]

_STRAIGHT_MM: Final = 1e-3
_AT_SIDE_MM: Final = 1e-3
_ALIKE_MM: Final = 0.2
"""Shapes whose corners differ by less are cut alike: nobody can cut finer."""
_BUCKET_MM: Final = 2.0
_LEAST_NOTCH_MM2: Final = 100.0


@dataclass(frozen=True, slots=True)
class Fold:
    """A line from (x, y) to (x, y) on a shape, along which its end is folded over as a hem."""

    start: XY
    end: XY


@dataclass(frozen=True, slots=True, eq=False)
class PanelShape:
    """What one panel is cut to.

    `outline` is (n, 2), mm, counter-clockwise, the first corner not repeated; `holes` likewise,
    clockwise. `place` is where (0, 0) lies on the plane: mm from the left end of its metal and up
    the slope from its lowest. `sheet_width` is coverage and lap leg; the lap leg lies on the
    `lap_side`. `left` and `right` are the lengths of its sides, `notches` (left, bottom, right,
    top) of what is cut out of it beside its ends, `folds` where hems begin.
    """

    panel: Panel
    mark: str
    outline: Array
    holes: tuple[Array, ...]
    place: XY
    sheet_width: float
    lap_side: Literal["left", "right"]
    left: float
    right: float
    notches: tuple[tuple[float, float, float, float], ...]
    folds: tuple[Fold, ...]

    @property
    def width(self) -> float:
        """From its left border to its right one."""
        return float(self.outline[:, 0].max())

    @property
    def length(self) -> float:
        """Along the slope, hems with it: what the take-off has as the panel's length."""
        return float(self.outline[:, 1].max())

    @property
    def is_ripped(self) -> bool:
        """Is the sheet cut narrower than it comes?"""
        return self.width < self.sheet_width - HEAL_MM

    @property
    def lap_leg(self) -> float:
        """How wide the whole sheet's lap leg is, mm; 0 where the sheet has none."""
        leg = self.sheet_width - (self.panel.right - self.panel.left)
        return leg if leg > HEAL_MM else 0.0

    @property
    def cut_off(self) -> tuple[float, float]:
        """What the sheet is cut narrower by at its left and at its right, mm."""
        at_left = self.place[0] - self.panel.left
        at_left += self.lap_leg if self.lap_side == "left" else 0.0
        at_right = self.sheet_width - self.width - at_left
        return (
            at_left if at_left > HEAL_MM else 0.0,
            at_right if at_right > HEAL_MM else 0.0,
        )

    @property
    def lap_kept(self) -> float:
        """What is left of the lap leg, mm."""
        return max(self.lap_leg - self.cut_off[self.lap_side == "right"], 0.0)


def mark_of(panel: Panel) -> str:
    """The mark of a panel: its plane and its number in laying order there."""
    return f"{panel.plane_name} - {panel.number}"


def panel_shapes(project: Project, surface: Surface, take_off: TakeOff) -> tuple[PanelShape, ...]:
    """The shapes of all panels, in the order of the take-off's panels."""
    cases = cases_of(surface, project, Coverings.of(surface, project))
    out: list[PanelShape] = []
    for laying in take_off.layings:
        out += _of_plane(cases[laying.plane], laying)
    return tuple(out)


def alike_panels(shapes: Sequence[PanelShape]) -> list[list[PanelShape]]:
    """Shapes that are cut alike together, in the order they first come."""
    groups: list[list[PanelShape]] = []
    buckets: dict[tuple[str, int, int], list[list[PanelShape]]] = {}
    for shape in shapes:
        key = (shape.panel.system, len(shape.outline), round(shape.length / _BUCKET_MM))
        near = (
            group
            for step in (0, -1, 1)
            for group in buckets.get((key[0], key[1], key[2] + step), ())
        )
        group = next((g for g in near if _is_alike(g[0], shape)), None)
        if group is None:
            group = []
            groups.append(group)
            buckets.setdefault(key, []).append(group)
        group.append(shape)
    return groups


def _is_alike(one: PanelShape, two: PanelShape) -> bool:
    if one.lap_side != two.lap_side or len(one.holes) != len(two.holes):
        return False
    if len(one.folds) != len(two.folds):
        return False
    cuts = zip(one.cut_off, two.cut_off, strict=True)
    if any(abs(a - b) > _ALIKE_MM for a, b in cuts):
        return False
    rings = zip((one.outline, *one.holes), (two.outline, *two.holes), strict=True)
    return all(a.shape == b.shape and np.abs(a - b).max() <= _ALIKE_MM for a, b in rings) and all(
        abs(p - q) <= _ALIKE_MM
        for a, b in zip(one.folds, two.folds, strict=True)
        for p, q in zip((*a.start, *a.end), (*b.start, *b.end), strict=True)
    )


def _of_plane(case: Case, laying: Laying) -> list[PanelShape]:
    sheets = sheets_of(case, laying.offset, laying.from_right)
    system = case.system
    width = system.coverage + system.lap_leg
    bends = _hem_lines(case, laying.from_right)
    out = []
    for panel, sheet in zip(laying.panels, sheets, strict=True):
        left, low, _, _ = sheet.bounds
        outline = _ring(shapely.get_coordinates(sheet.exterior), (left, low), clockwise=False)
        holes = tuple(
            _ring(shapely.get_coordinates(h), (left, low), clockwise=True) for h in sheet.interiors
        )
        out.append(
            PanelShape(
                panel,
                mark_of(panel),
                outline,
                holes,
                (left, low),
                width,
                "left" if laying.from_right else "right",
                _side(outline, 0.0),
                _side(outline, float(outline[:, 0].max())),
                _notches(outline, holes, panel),
                _folds(sheet, bends, (left, low)),
            )
        )
    return out


def _ring(coordinates: Array, origin: XY, *, clockwise: bool) -> Array:
    """A ring from its origin, run the right way from its lowest, then leftmost corner, without
    corners that do not bend it."""
    ring = coordinates[:-1] - np.array(origin)
    x, y = ring.T
    area = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    if (area < 0.0) is not clockwise:
        ring = ring[::-1]
    low, high = float(ring[:, 1].min()), float(ring[:, 1].max())
    kept: list[Array] = []
    for k, p in enumerate(ring):
        before, after = kept[-1] if kept else ring[-1], ring[(k + 1) % len(ring)]
        if math.dist(p, before) <= _STRAIGHT_MM:
            continue
        is_extreme = p[1] in (low, high)
        if not _is_straight(before, p, after) or (
            is_extreme and abs(p[1] - before[1]) > 0.0 and abs(p[1] - after[1]) > 0.0
        ):
            kept.append(p)
    ring = np.array(kept)
    ring[np.abs(ring) < _STRAIGHT_MM / 10.0] = 0.0
    first = int(np.lexsort((ring[:, 0], np.round(ring[:, 1], 2)))[0])
    out = np.roll(ring, -first, axis=0)
    out.flags.writeable = False
    return out


def _is_straight(a: Array, b: Array, c: Array) -> bool:
    way = c - a
    far = float(np.hypot(*way))
    if far <= _STRAIGHT_MM:
        return True
    off = abs(float(way[0] * (b[1] - a[1]) - way[1] * (b[0] - a[0])))
    on = float(way @ (b - a))
    return off <= _STRAIGHT_MM * far and 0.0 <= on <= far * far


def _side(outline: Array, x: float) -> float:
    """How long the border at x is; 0 where it ends in a point."""
    at = outline[np.abs(outline[:, 0] - x) <= _AT_SIDE_MM, 1]
    return float(at.max() - at.min()) if len(at) else 0.0


def _notches(
    outline: Array, holes: Sequence[Array], panel: Panel
) -> tuple[tuple[float, float, float, float], ...]:
    """What is missing between the two end cuts and the straight sides."""
    if len(outline) == 4 and not holes:
        return ()
    low = _chain(outline, panel.lower, at_top=False)
    high = _chain(outline, panel.upper, at_top=True)
    whole = shapely.Polygon([*low, *reversed(high)])
    if not whole.is_valid:
        return ()
    metal = shapely.Polygon(outline, holes)
    missing = shapely.get_parts(shapely.difference(whole, metal)).tolist()
    boxes = [g.bounds for g in missing if g.area > _LEAST_NOTCH_MM2]
    return tuple(sorted((float(a), float(b), float(c), float(d)) for a, b, c, d in boxes))


def _chain(outline: Array, cut: EndCut, *, at_top: bool) -> list[XY]:
    """The corners of an end, from left to right."""
    at = outline[outline[:, 0] <= _AT_SIDE_MM, 1]
    x, y = 0.0, float(at.max() if at_top else at.min())
    out = [(x, y)]
    for width, rise in cut.lines:
        x, y = x + width, y + rise
        out.append((x, y))
    return out


def _hem_lines(case: Case, from_right: bool) -> shapely.Geometry | None:
    """Where the metal's hems begin on the plane, placed as the sheets are; None without any."""
    metal = metal_of(case, from_right)
    if not metal.is_hemmed or metal.field.is_empty:
        return None
    inner = shapely.difference(
        metal.field.boundary, shapely.buffer(metal.cut.boundary, _STRAIGHT_MM)
    )
    left, low, right, _ = metal.field.bounds
    hand, end = (-1.0, right) if from_right else (1.0, -left)

    def placed(points: Array) -> Array:
        return np.column_stack([end + hand * points[:, 0], points[:, 1] - low])

    return None if inner.is_empty else shapely.transform(inner, placed)


def _folds(sheet: shapely.Polygon, bends: shapely.Geometry | None, origin: XY) -> tuple[Fold, ...]:
    """The hem lines that cross a sheet, from left to right."""
    if bends is None:
        return ()
    inside = shapely.line_merge(shapely.intersection(bends, sheet))
    out = []
    for line in shapely.get_parts(inside).tolist():
        if line.geom_type != "LineString" or line.length <= HEAL_MM:
            continue
        points = (shapely.get_coordinates(line) - np.array(origin)).tolist()
        for a, b in pairwise(points):
            if math.dist(a, b) > HEAL_MM:
                p, q = sorted(((a[0], a[1]), (b[0], b[1])))
                out.append(Fold(p, q))
    return tuple(sorted(out, key=lambda f: (f.start, f.end)))
