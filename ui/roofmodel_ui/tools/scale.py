"""Set a picture's scale by two points on it and the true distance between them."""

from __future__ import annotations

import math

import msgspec
from PySide6.QtCore import QObject

from roofmodel.document import Point, Underlay
from roofmodel.document.edits import change_underlay
from roofmodel.units import format_length
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool


def rescaled(underlay: Underlay, a: Point, b: Point, distance: float) -> Underlay:
    """The picture scaled about `a` so that a and b (mm, on the picture now) are `distance` apart.

    >>> u = rescaled(Underlay("u", "p.png", 10, 10, 1.0), (0.0, 0.0), (0.0, 5.0), 50.0)
    >>> u.mm_per_pixel, u.scaled
    (10.0, True)
    """
    factor = distance / math.dist(a, b)
    x, y = underlay.origin
    return msgspec.structs.replace(
        underlay, mm_per_pixel=underlay.mm_per_pixel * factor, scaled=True,
        origin=(a[0] + (x - a[0]) * factor, a[1] + (y - a[1]) * factor),
    )  # fmt: skip


class ScaleTool(Tool):
    """Click two points on the picture, type how far apart they are, press Enter."""

    name = "Set scale"
    hint = "Click two points on the picture, type the distance between them, then Enter."

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._points: list[Point] = []
        self._at: Point = (0.0, 0.0)

    def press(self, event: PlanEvent) -> None:
        if not self.session.project.underlays:
            self.session.message.emit("Load a picture first, then set its scale.", True)
            return
        if len(self._points) == 2:
            self._points = []
            self.typed = ""
        if not self._points or math.dist(self._points[0], event.at) > event.snap / 4:
            self._points.append(event.at)
        self._at = event.at
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        if len(self._points) < 2:
            self._at = event.at
            self.changed.emit()

    def busy(self) -> bool:
        return bool(self._points)

    def enter(self) -> None:
        if len(self._points) < 2:
            self.session.message.emit("Click two points on the picture first.", True)
            return
        if not self.typed:
            self.session.message.emit("Type the distance between the two points first.", True)
            return
        distance = self.typed_length()
        if distance is None:
            return
        a, b = self._points
        # The picture loaded last lies on top, so it is the one that was clicked.
        new = rescaled(self.session.project.underlays[-1], a, b, distance)
        fields = {n: getattr(new, n) for n in ("mm_per_pixel", "origin", "scaled")}
        if self.session.attempt("Set scale", lambda p: change_underlay(p, new.id, **fields)):
            self.cancel()
            self.done.emit()

    def backspace(self) -> None:
        if self._points:
            self._points.pop()

    def cancel(self) -> None:
        self._points = []
        self.typed = ""
        self.changed.emit()

    def overlay(self) -> Overlay:
        if not self._points:
            return Overlay(at=self._at, label="First point")
        if len(self._points) == 1:
            return Overlay(
                line=(self._points[0], self._at), dots=tuple(self._points), at=self._at,
                label="Second point", field=self.typed or None,
            )  # fmt: skip
        now = format_length(math.dist(*self._points), self.session.project.units)
        return Overlay(
            line=tuple(self._points), dots=tuple(self._points), at=self._points[1],
            label=f"Now {now}. True distance:", field=self.typed,
        )  # fmt: skip
