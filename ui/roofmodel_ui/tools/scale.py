"""Set a picture's scale by two points on it and the true distance between them.

Each distance is kept: the next one is added, and the scale is the one that fits all of them best.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QObject

from roofmodel.document import Point
from roofmodel.document.underlay_edits import add_distance, fit_sentence
from roofmodel.units import format_length
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool
from roofmodel_ui.tools.underlay_choice import choice_of


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
        underlay = choice_of(self.session).current()
        if distance is None or underlay is None:
            return
        a, b = self._points
        if self.session.attempt(
            "Set scale", lambda p: add_distance(p, underlay.id, a, b, distance)
        ):
            self.cancel()
            self._say_fit()
            self.fit_wanted.emit()
            self.done.emit()

    def _say_fit(self) -> None:
        scaled = choice_of(self.session).current()
        if scaled is not None and len(scaled.distances) > 1:
            words = fit_sentence(scaled.distances, self.session.project.units)
            self.session.message.emit(words, False)

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
