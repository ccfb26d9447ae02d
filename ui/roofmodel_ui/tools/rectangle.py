"""Draw a rectangle: the two ends of one side, then how deep it is; by clicks or typed lengths."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.document import Point
from roofmodel.document.copies import rectangle
from roofmodel.errors import DocumentError
from roofmodel.geometry.traverse import Leg
from roofmodel.units import format_length
from roofmodel_ui.tools.base import Overlay, PlanEvent
from roofmodel_ui.tools.outline import OutlineTool


class RectangleTool(OutlineTool):
    """Three points make a section; typed, a side and its depth: point, type, Enter, twice."""

    name = "Draw rectangle"
    thing = "rectangle"
    hint = (
        "Click both ends of one side, then its depth; or point, type a length, Enter. The first"
        " corner can be typed: 26, -12 (east, north). Shift: no snapping."
    )

    def press(self, event: PlanEvent) -> None:
        super().press(event)
        self._finish_third()

    def enter(self) -> None:
        if self.asking() or self.typed:
            super().enter()
            self._finish_third()
        elif self.corners:
            self.session.message.emit("Click, or type a length first.", True)

    def backspace(self) -> None:
        if self.asking():
            super().backspace()
            del self.corners[2:]
        else:
            super().backspace()

    def begun(self) -> Sequence[Point]:
        # The depth is square to the side whatever the pointer says.
        return self.corners if len(self.corners) < 2 else ()

    def overlay(self) -> Overlay:
        if self.asking() or len(self.corners) < 2:
            return super().overlay()
        a, b = self.corners[:2]
        try:
            ring = rectangle(a, b, self._at)
        except DocumentError:
            return super().overlay()
        units = self.session.project.units
        sizes = [format_length(math.dist(p, q), units) for p, q in ((a, b), (ring[1], ring[2]))]
        return Overlay(
            line=(*ring, ring[0]), dots=(a, b), label=" by ".join(sizes),
            field=self.typed or None, at=self._at, snap=self._snap,
        )  # fmt: skip

    def _leg_end(self, leg: Leg) -> Point | None:
        if len(self.corners) != 2 or leg.bearing is not None or leg.turn is not None:
            return super()._leg_end(leg)
        # The depth is typed: to the side of the first side where the pointer is.
        (ax, ay), (bx, by) = self.corners
        size = math.hypot(bx - ax, by - ay)
        nx, ny = (ay - by) / size, (bx - ax) / size
        side = 1.0
        if self._pointer is not None:
            x, y = self._pointer.at
            side = 1.0 if (x - ax) * nx + (y - ay) * ny >= 0.0 else -1.0
        return bx + side * leg.length * nx, by + side * leg.length * ny

    def _finish_third(self) -> None:
        if len(self.corners) != 3 or self.asking():
            return
        ring = rectangle(self.corners[0], self.corners[1], self.corners[2])
        if math.dist(ring[1], ring[2]) < 1.0:
            self.corners.pop()
            self.session.message.emit("The rectangle has no depth: move away from its side.", True)
            return
        self.closed(ring)
        if self.asking():
            return
        self.corners.clear()
