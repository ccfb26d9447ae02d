"""Measure between points of the plan or of the roof: click them one after another.

Vocabulary
----------
spot
    A point (x, y, z) in mm; z is nan where there is no roof, and then only the plan is measured.
ring
    A chain that was closed by Enter or by a click on its first point: it has an area.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
from PySide6.QtCore import QObject

from roofmodel.document import Point
from roofmodel.geometry.measuring import Measured, Point3, measured
from roofmodel.results import Results
from roofmodel.units import LengthUnits, format_angle, format_area, format_length, format_slope
from roofmodel_ui.plan.picking import outline_segments, plane_at
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool

SAME_MM = 1.0
"""A pointer this near to the last spot has not left it."""

LEVEL_MM = 0.5
"""Heights closer than this are alike: no inch is cut so fine."""


def reading(found: Measured, units: LengthUnits) -> str:
    """What was measured, in one line: an area if the chain is closed, else the last stretch."""
    if found.true_area is not None and found.plan_area is not None:
        words = [f"Area {format_area(found.true_area, units)}"]
        if abs(found.true_area - found.plan_area) > 1e-6 * found.true_area:
            words.append(f"in plan {format_area(found.plan_area, units)}")
        return " · ".join([*words, f"around {format_length(found.total, units)}"])
    words = [format_length(found.distance, units)]
    if abs(found.height_difference) > LEVEL_MM:
        words[0] += " level"
        words.append(f"{format_length(found.slope_length, units)} along the slope")
        way = "higher" if found.height_difference > 0 else "lower"
        words.append(f"{format_length(abs(found.height_difference), units)} {way}")
        if found.slope is not None:
            words.append(format_slope(found.slope))
    if found.angle is not None:
        words.append(f"angle {format_angle(found.angle)}")
        words.append(f"in all {format_length(found.total, units)}")
    return " · ".join(words)


def leg_words(a: Point3, b: Point3, units: LengthUnits) -> str:
    """The length of one stretch, for the stretch itself; two where it rises or falls."""
    found = measured(chain_of([a, b]))
    assert found is not None
    words = format_length(found.distance, units)
    if abs(found.height_difference) <= LEVEL_MM:
        return words
    along = format_length(found.slope_length, units)
    if found.distance <= SAME_MM:
        return f"{along} upright"
    return f"{words} level\n{along} along the slope"


def chain_of(spots: list[Point3]) -> list[Point3]:
    """The spots as they can be measured: all in plan where the height of one is not known."""
    if any(math.isnan(p[2]) for p in spots):
        return [(x, y, 0.0) for x, y, _ in spots]
    return spots


def spot_at(results: Results, at: Point, reach: float) -> Point3:
    """The corner, or the edge, of roof or outline within `reach` mm, or else the point itself.

    Its height is that of the roof there: the topmost where several lie over one another.
    """
    ends = [tuple(float(v) for v in p) for e in results.surface.edges for p in (e.start, e.end)]
    near = [p for p in ends if math.dist(p[:2], at) <= reach]
    if near:
        best = min(math.dist(p[:2], at) for p in near)
        x, y, z = max((p for p in near if math.dist(p[:2], at) <= best + 1.0), key=lambda p: p[2])
        return x, y, z
    corners = [a for _, a, _ in outline_segments(results.project) if math.dist(a, at) <= reach]
    if corners:
        x, y = min(corners, key=lambda a: math.dist(a, at))
        return x, y, height_at(results, (x, y))
    found: list[tuple[float, Point3]] = []
    for edge in results.surface.edges:
        way = edge.end - edge.start
        square = float(way[:2] @ way[:2])
        if square == 0.0:
            continue
        share = float((np.array(at) - edge.start[:2]) @ way[:2]) / square
        if 0.0 <= share <= 1.0:
            x, y, z = (edge.start + share * way).tolist()
            found.append((math.dist((x, y), at), (x, y, z)))
    near_edges = [f for f in found if f[0] <= reach]
    if near_edges:
        least = min(f[0] for f in near_edges)
        return max((f[1] for f in near_edges if f[0] <= least + 1.0), key=lambda p: p[2])
    return at[0], at[1], height_at(results, at)


def height_at(results: Results, at: Point) -> float:
    """Height of the topmost plane over a plan point, mm; nan where there is none."""
    plane = plane_at(results, at)
    if plane is None:
        return math.nan
    bearing = math.radians(plane.bearing)
    x, y, z = plane.outline[0].tolist()
    fall = (at[0] - x) * math.sin(bearing) + (at[1] - y) * math.cos(bearing)
    return float(z - plane.slope * fall)


class MeasureTool(Tool):
    """Click points: distance, slope length, height difference, pitch and angle; Enter: area."""

    name = "Measure"
    hint = "Click two points, in plan or in 3D. More points: angle; Enter: area. Esc: start again."

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.spots: list[Point3] = []
        self.closed = False
        self.pointer: Point3 | None = None

    def press(self, event: PlanEvent) -> None:
        self.add(self._spot(event), event.snap)

    def move(self, event: PlanEvent) -> None:
        self.hover(self._spot(event))

    def add(self, spot: Point3, reach: float) -> None:
        """Click a spot; one within `reach` mm of the first closes the chain."""
        if self.closed:
            self.spots, self.closed = [], False
        first = self.spots[0] if self.spots else None
        if first is not None and len(self.spots) > 2 and math.dist(first[:2], spot[:2]) <= reach:
            self.closed = True
        elif not self.spots or self.spots[-1] != spot:
            self.spots.append(spot)
        self.pointer = None
        self.changed.emit()

    def hover(self, spot: Point3 | None) -> None:
        """The pointer is over a spot, or left the view."""
        if spot != self.pointer:
            self.pointer = spot
            self.changed.emit()

    def enter(self) -> None:
        if self.closed:
            self.cancel()
        elif len(self.spots) > 2:
            self.closed = True
            self.pointer = None
        elif self.spots:
            self.session.message.emit("An area needs at least three points.", False)

    def backspace(self) -> None:
        if self.closed:
            self.closed = False
        elif self.spots:
            self.spots.pop()

    def cancel(self) -> None:
        self.spots, self.closed = [], False
        self.changed.emit()

    def busy(self) -> bool:
        return bool(self.spots)

    def key(self, key: Key, text: str = "") -> bool:
        # Nothing is typed here; other keys stay without effect while points are set.
        return self.busy() if key in ("text", "redo") else super().key(key, text)

    def chain(self) -> list[Point3]:
        """The spots set, and the one under the pointer while the chain is open."""
        if self.closed or self.pointer is None or not self.spots:
            return self.spots
        if math.dist(*chain_of([self.spots[-1], self.pointer])) <= SAME_MM:
            return self.spots
        return [*self.spots, self.pointer]

    def legs(self) -> list[tuple[Point3, Point3, str]]:
        """The stretches between the spots set, each with what it measures: they stay to be read
        while the pointer goes on."""
        ring = [*self.spots, self.spots[0]] if self.closed else self.spots
        units = self.session.project.units
        return [(a, b, leg_words(a, b, units)) for a, b in itertools.pairwise(ring)]

    def words(self) -> str:
        """What the chain comes to now, in one line."""
        found = measured(chain_of(self.chain()), closed=self.closed)
        return "" if found is None else reading(found, self.session.project.units)

    def overlay(self) -> Overlay:
        chain = [(x, y) for x, y, _ in self.chain()]
        line = tuple([*chain, chain[0]] if self.closed else chain)
        dots = tuple((x, y) for x, y, _ in self.spots)
        at = self.pointer or (self.spots[-1] if self.spots else None)
        if at is None:
            return Overlay()
        if self.pointer is not None and not self.closed:
            dots = (*dots, (self.pointer[0], self.pointer[1]))
        label = self.words() or ("" if self.spots else "First point")
        legs = tuple((a[:2], b[:2], words) for a, b, words in self.legs())
        return Overlay(line=line, dots=dots, at=(at[0], at[1]), label=label, legs=legs)

    def _spot(self, event: PlanEvent) -> Point3:
        if event.free:
            return event.at[0], event.at[1], height_at(self.session.results, event.at)
        return spot_at(self.session.results, event.at, event.snap)
