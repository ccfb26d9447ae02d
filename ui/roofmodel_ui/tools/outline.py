"""Trace an outline: click corner after corner, or type lengths while the pointer gives the
direction."""

from __future__ import annotations

import math

from PySide6.QtCore import QObject

from roofmodel.document import Point
from roofmodel.document.edits import new_section
from roofmodel.errors import RoofmodelError
from roofmodel.units import format_length
from roofmodel_ui.selection import OutlineEdgeId
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool

NEAR_DEG = 7.0
"""The pointer's direction is taken to mean a right angle or 45 degrees within this."""

AXIS = 1e-9
"""A component of a unit vector below this is rounding, not a direction."""


class OutlineTool(Tool):
    """Draw the outline of a section."""

    name = "Draw outline"
    hint = (
        "Click the corners in turn, or point and type a length, then Enter."
        " Click the first corner to close. Shift: any direction."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.corners: list[Point] = []
        self._at: Point = (0.0, 0.0)
        self._closing = False

    def press(self, event: PlanEvent) -> None:
        self.move(event)
        if self._closing:
            self._close()
            return
        if self.corners and math.dist(self._at, self.corners[-1]) < event.snap / 4:
            return
        self.corners.append(self._at)
        self.typed = ""
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        self._closing = (
            len(self.corners) >= 3 and math.dist(event.at, self.corners[0]) <= event.snap * 1.5
        )
        self._at = self.corners[0] if self._closing else self._snapped(event)
        self.changed.emit()

    def takes_text(self) -> bool:
        return bool(self.corners)

    def enter(self) -> None:
        if not self.typed:
            self._close()
            return
        length = self.typed_length()
        if length is None:
            return
        last = self.corners[-1]
        ux, uy = self._direction(last, self._at, within=360.0)
        self.corners.append((last[0] + length * ux, last[1] + length * uy))
        self.typed = ""
        self._at = self.corners[-1]

    def backspace(self) -> None:
        if self.corners:
            self.corners.pop()

    def cancel(self) -> None:
        self.corners.clear()
        self._closing = False
        self.changed.emit()

    def overlay(self) -> Overlay:
        if not self.corners:
            return Overlay(at=self._at, label="First corner")
        last = self.corners[-1]
        label = (
            "Close"
            if self._closing
            else format_length(math.dist(last, self._at), self.session.project.units)
        )
        return Overlay(
            line=(*self.corners, self._at), dots=tuple(self.corners), label=label,
            field=self.typed or None, at=self._at,
            guide=(self._at, self.corners[0]) if self._lined_up() else (),
        )  # fmt: skip

    def _close(self) -> None:
        corners = tuple(self.corners)
        if len(corners) < 3:
            self.session.message.emit("An outline needs at least three corners.", True)
            return
        try:
            project, section = new_section(self.session.project, corners)
            self.session.edit("Draw outline", project)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.corners.clear()
        self._closing = False
        first = project.section(section).rings[0].edges[0]
        self.session.select((OutlineEdgeId(section, first.id),))
        self.changed.emit()
        self.done.emit()

    def _lined_up(self) -> bool:
        if len(self.corners) < 2:
            return False
        dx, dy = self._at[0] - self.corners[0][0], self._at[1] - self.corners[0][1]
        return (dx == 0.0) != (dy == 0.0)

    def _snapped(self, event: PlanEvent) -> Point:
        if not self.corners or event.free:
            return event.at
        last = self.corners[-1]
        if math.dist(event.at, last) == 0.0:
            return event.at
        near = 360.0 if self.typed else NEAR_DEG
        ux, uy = self._direction(last, event.at, within=near)
        along = (event.at[0] - last[0]) * ux + (event.at[1] - last[1]) * uy
        x, y = last[0] + along * ux, last[1] + along * uy
        # On a line with the first corner the outline will close square.
        first = self.corners[0]
        if len(self.corners) > 1 and uy == 0.0 and abs(x - first[0]) < event.snap:
            return first[0], last[1]
        if len(self.corners) > 1 and ux == 0.0 and abs(y - first[1]) < event.snap:
            return last[0], first[1]
        return x, y

    def _direction(self, start: Point, end: Point, within: float) -> Point:
        """Unit vector from start to end: turned to the nearest multiple of 45 degrees, from the
        axes or from the edge before, if that is within so many degrees."""
        meant = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        bases = [0.0]
        if len(self.corners) >= 2:
            (ax, ay), (bx, by) = self.corners[-2], self.corners[-1]
            bases.append(math.degrees(math.atan2(by - ay, bx - ax)))
        candidates = [base + 45.0 * round((meant - base) / 45.0) for base in bases]
        best = min(candidates, key=lambda c: abs(c - meant))
        angle = math.radians(best if abs(best - meant) <= within else meant)
        ux, uy = math.cos(angle), math.sin(angle)
        # Along an axis the other component is exactly nothing, so right angles stay right.
        return (0.0 if abs(ux) < AXIS else ux), (0.0 if abs(uy) < AXIS else uy)
