"""Where the first panel should begin: found exactly, by trying every place where it can matter.

The metal of one sheet, as a function of where its coverage begins, is made of straight pieces.
They change only where a side of the sheet (or of its coverage) passes a corner of the field, or
where the field's outline is as high at a side of the sheet as at the other, or as a peak between.
So the metal of all sheets, as a function of the start, is made of straight pieces between those
places, and the least lies on one of them, or just before or behind a jump.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.takeoff.strips import Metal, Sheets, offset_within, sheets_at, summed
from roofmodel.takeoff.types import Array
from roofmodel.tolerance import COUNT_EPS, HEAL_MM

_SAME_MM = 1e-6
"""Places closer than this are one place."""
_BESIDE_MM = 1e-5
"""Just before or behind a jump."""
_LEVEL = 1e-12
"""Sides this close to each other in slope are never equally high in one place only."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What matters of a system's sheet here, mm."""

    coverage: float
    lap_leg: float
    least_width: float


def least_metal(metal: Metal, sheet: Sheet) -> float:
    """The start (mm from the low end to the side of a panel, less than one coverage) that leaves
    the fewest pieces under the least width, and among those takes the least metal.

    Of several that are equally good the one at the end, then that with the widest end panels.
    """
    left, right = metal.ends
    if right - left <= sheet.lap_leg + HEAL_MM:
        return 0.0
    places = _places(metal, sheet)
    cost = _costs(metal, sheet, places)
    offsets = np.unique(np.append((places - left) % sheet.coverage, 0.0))
    tried = np.concatenate([offsets, offsets[1:] - _BESIDE_MM, offsets + _BESIDE_MM])
    tried = tried[(tried == 0.0) | ((tried > HEAL_MM) & (tried < sheet.coverage - HEAL_MM))]
    lengths, slivers = cost.totals(tried, left, right - sheet.lap_leg - HEAL_MM)
    few = slivers <= slivers.min() + 0.5
    good = few & (lengths <= lengths[few].min() * (1.0 + COUNT_EPS) + _SAME_MM)
    if good[0]:
        return 0.0
    best = np.flatnonzero(good)
    rest = (right - left - tried[best]) % sheet.coverage
    ends = np.minimum(tried[best], np.where(rest <= _SAME_MM, sheet.coverage, rest))
    exact = np.isin(tried[best], offsets)
    order = np.lexsort((tried[best], -np.round(ends, 3), ~exact))
    return float(tried[best[order[0]]])


def balanced(metal: Metal, sheet: Sheet) -> float:
    """The start (mm) with which the first and the last panel are equally wide, at least half a
    panel each; 0 if whole panels fit, or one is enough."""
    left, right = metal.ends
    whole, rest = divmod(right - left, sheet.coverage)
    if whole < 1.0 or rest <= sheet.lap_leg + HEAL_MM or sheet.coverage - rest <= HEAL_MM:
        return 0.0
    return offset_within((rest + sheet.coverage) / 2.0, sheet.coverage)


def _measured(metal: Metal, sheet: Sheet, starts: Array) -> tuple[Array, Array]:
    """Panel length and number of slivers of a sheet at each of `starts`."""
    cut = sheets_at(metal, starts, sheet.coverage, sheet.lap_leg)
    kept, n = cut.kept, len(starts)
    length = summed(cut.owner, np.where(kept, cut.lengths, 0.0), n)
    return length, summed(cut.owner, narrow(cut, sheet.least_width).astype(np.float64), n)


def narrow(cut: Sheets, least_width: float) -> NDArray[np.bool_]:
    """Which pieces are under the least width (mm)."""
    under = (cut.width <= HEAL_MM) | (cut.width < least_width - _SAME_MM)
    out: NDArray[np.bool_] = (cut.width > 0.0) & under
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Costs:
    """Length and slivers of one sheet by where it begins: at `places` (n,) as `at` (n, 2), and
    between them as lines (n + 1 of them) `middle` + `slope` · (x − `centre`)."""

    places: Array
    at: Array
    middle: Array
    slope: Array
    centre: Array
    coverage: float

    def totals(self, offsets: Array, left: float, end: float) -> tuple[Array, Array]:
        """Length and slivers of all sheets for each of the offsets (n,); no sheet begins at
        `end` or beyond."""
        count = math.ceil((end - left) / self.coverage) + 1
        first = left + offsets - np.where(offsets > 0.0, self.coverage, 0.0)
        x = first[:, None] + self.coverage * np.arange(count + 1)
        near = np.searchsorted(self.places, x - _SAME_MM)
        near = np.minimum(near, len(self.places) - 1)
        exact = np.abs(self.places[near] - x) <= _SAME_MM
        line = np.searchsorted(self.places, x)
        lengths = self.middle[line, 0] + self.slope[line] * (x - self.centre[line])
        lengths = np.where(exact, self.at[near, 0], lengths)
        slivers = np.where(exact, self.at[near, 1], self.middle[line, 1])
        laid = x < end - self.coverage * COUNT_EPS
        return (lengths * laid).sum(axis=1), (slivers * laid).sum(axis=1)


def _costs(metal: Metal, sheet: Sheet, places: Array) -> _Costs:
    gaps = np.diff(places)
    a, b = places[:-1] + 0.25 * gaps, places[1:] - 0.25 * gaps
    n = len(gaps)
    length, slivers = _measured(metal, sheet, np.concatenate([places, a, b]))
    at, at_a, at_b = length[: n + 1], length[n + 1 : 2 * n + 1], length[2 * n + 1 :]
    none = np.zeros(1)
    middle = np.column_stack([(at_a + at_b) / 2.0, slivers[n + 1 : 2 * n + 1]])
    return _Costs(
        places,
        np.column_stack([at, slivers[: n + 1]]),
        np.vstack([np.zeros(2), middle, np.zeros(2)]),
        np.concatenate([none, (at_b - at_a) / (b - a), none]),
        np.concatenate([none, (a + b) / 2.0, none]),
        sheet.coverage,
    )


def _places(metal: Metal, sheet: Sheet) -> Array:
    """Where the cost of one sheet may bend or jump, by where its coverage begins, in order."""
    left, right = metal.ends
    shapes = [metal.field, metal.cut] if metal.is_hemmed else [metal.field]
    corners = np.unique(np.round(np.concatenate([_corners(s)[:, 0] for s in shapes]), 9))
    cover, reach = sheet.coverage, sheet.coverage + sheet.lap_leg
    moves = {0.0, cover, reach}
    for least in {HEAL_MM, max(sheet.least_width, HEAL_MM)}:
        moves |= {least, cover - least, reach - least}
    moves |= {sheet.lap_leg + HEAL_MM, reach + HEAL_MM}
    found = np.concatenate([corners - move for move in moves] + [_level(metal.cut, reach)])
    found = np.append(found, [left - cover, left, right])
    found = np.unique(found[(found >= left - cover) & (found <= right)])
    apart = np.append(True, np.diff(found) > _SAME_MM)
    out: Array = found[apart]
    return out


def _corners(shape: shapely.MultiPolygon) -> Array:
    out: NDArray[np.float64] = shapely.get_coordinates(shape)
    return out


def _level(shape: shapely.MultiPolygon, reach: float) -> Array:
    """Where a sheet `reach` wide begins if the outline is as high at one side of it as at the
    other, or as a peak or a low of the outline between its sides."""
    rings = [
        shapely.get_coordinates(ring)
        for polygon in shape.geoms
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    sides = np.concatenate([np.hstack([p[:-1], p[1:]]) for p in rings])
    turned = sides[:, 0] > sides[:, 2]
    sides[turned] = sides[turned][:, [2, 3, 0, 1]]
    sides = sides[sides[:, 2] - sides[:, 0] > _SAME_MM]
    if len(sides) == 0:
        return np.zeros(0)
    x0, y0, x1, y1 = sides.T
    slope = (y1 - y0) / (x1 - x0)
    base = y0 - slope * x0
    part = slope[:, None] - slope[None, :]
    peaks = np.concatenate([_peaks(p[:-1]) for p in rings])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # slope_i · x + base_i = slope_j · (x + reach) + base_j
        x = (slope[None, :] * reach + base[None, :] - base[:, None]) / part
        fits = (x >= x0[:, None]) & (x <= x1[:, None])
        fits &= (x + reach >= x0[None, :]) & (x + reach <= x1[None, :])
        fits &= np.abs(part) > _LEVEL
        # slope_i · x + base_i = height of the peak
        at = (peaks[None, :, 1] - base[:, None]) / slope[:, None]
        near = (at >= x0[:, None]) & (at <= x1[:, None]) & (np.abs(slope)[:, None] > _LEVEL)
        low = near & (peaks[None, :, 0] >= at) & (peaks[None, :, 0] <= at + reach)
        high = near & (peaks[None, :, 0] <= at) & (peaks[None, :, 0] >= at - reach)
    out: Array = np.concatenate([x[fits], at[low], at[high] - reach])
    return out


def _peaks(ring: Array) -> Array:
    """The corners of a ring that lie no lower, or no higher, than both neighbours."""
    before, after = np.roll(ring[:, 1], 1), np.roll(ring[:, 1], -1)
    here = ring[:, 1]
    up = (here >= before) & (here >= after)
    down = (here <= before) & (here <= after)
    out: Array = ring[up | down]
    return out
