"""Select by clicking; move a corner by dragging it."""

from __future__ import annotations

import math
from enum import Enum, auto

from PySide6.QtCore import QObject

from roofmodel.document import Point, Project
from roofmodel.document.edits import move_corner
from roofmodel.errors import RoofmodelError
from roofmodel.units import format_length
from roofmodel_ui.plan.picking import corner_at, item_at
from roofmodel_ui.selection import CornerId, Selectable
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool


class _State(Enum):
    IDLE = auto()
    PRESSED = auto()
    DRAGGING = auto()


class SelectTool(Tool):
    """Click an edge or a plane to select it; drag a corner to move it."""

    name = "Select"
    hint = "Click an edge or a plane to select it. Drag a corner to move it."

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._state = _State.IDLE
        self._corner: CornerId | None = None
        self._from: Point = (0.0, 0.0)
        self._moved: Project | None = None
        self._at: Point = (0.0, 0.0)
        self._hover: Selectable | CornerId | None = None

    def press(self, event: PlanEvent) -> None:
        self._from = event.at
        self._corner = corner_at(self.session.project, event.at, event.snap)
        self._state = _State.PRESSED

    def move(self, event: PlanEvent) -> None:
        if self._state is _State.IDLE:
            hover: Selectable | CornerId | None = corner_at(
                self.session.project, event.at, event.snap
            ) or item_at(self.session.results, event.at, event.snap)
            if hover != self._hover:
                self._hover = hover
                self.changed.emit()
            return
        if self._corner is None:
            return
        if self._state is _State.PRESSED and math.dist(event.at, self._from) < event.snap / 3:
            return
        self._state = _State.DRAGGING
        self._at = self._target(event)
        corner = self._corner
        try:
            self._moved = move_corner(
                self.session.project, corner.section, corner.ring, corner.corner, self._at
            )
        except RoofmodelError:
            return
        self.session.preview(self._moved)
        self.changed.emit()

    def release(self, event: PlanEvent) -> None:
        state, self._state = self._state, _State.IDLE
        if state is _State.DRAGGING and self._moved is not None:
            moved, self._moved = self._moved, None
            self.session.attempt("Move corner", lambda _: moved)
        elif state is _State.PRESSED:
            item = item_at(self.session.results, event.at, event.snap)
            if item is None:
                self.session.select(())
            elif event.add:
                self.session.toggle(item)
            else:
                self.session.select((item,))
        self.changed.emit()

    def cancel(self) -> None:
        if self._state is _State.DRAGGING:
            self.session.cancel_preview()
        else:
            self.session.select(())
        self._state, self._moved = _State.IDLE, None
        self.changed.emit()

    def leave(self) -> None:
        # What is selected stays so; only a drag is given up.
        if self._state is _State.DRAGGING:
            self.cancel()
        self._state = _State.IDLE

    def overlay(self) -> Overlay:
        if self._state is not _State.DRAGGING or self._corner is None:
            return Overlay(hover=self._hover)
        before, after = self._neighbours()
        units = self.session.project.units
        lengths = " · ".join(format_length(math.dist(self._at, p), units) for p in (before, after))
        return Overlay(dots=(self._at,), label=lengths, at=self._at)

    def _neighbours(self) -> tuple[Point, Point]:
        assert self._corner is not None
        section = self.session.project.section(self._corner.section)
        corners = section.rings[self._corner.ring].corners
        k = self._corner.corner
        return corners[k - 1], corners[(k + 1) % len(corners)]

    def _target(self, event: PlanEvent) -> Point:
        """Where the corner goes: in line with its neighbours or its old place when near."""
        if event.free or self._corner is None:
            return event.at
        section = self.session.project.section(self._corner.section)
        old = section.rings[self._corner.ring].corners[self._corner.corner]
        x, y = event.at
        for line_x, line_y in (old, *self._neighbours()):
            if abs(event.at[0] - line_x) < event.snap / 2:
                x = line_x
            if abs(event.at[1] - line_y) < event.snap / 2:
                y = line_y
        return x, y
