"""Move and turn what lies under the plan with the mouse."""

from __future__ import annotations

import math

from PySide6.QtCore import QObject

from roofmodel.document import Point, Project, Underlay
from roofmodel.document.underlay_edits import (
    centre_of,
    move_underlay,
    square_underlay,
    turn_underlay,
)
from roofmodel.errors import RoofmodelError
from roofmodel.units import format_angle, format_length
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool
from roofmodel_ui.tools.underlay_choice import choice_of

WHOLE_DEG = 1.0
"""Turning by a corner stops within this of a quarter turn, unless Shift is held."""


class MovePictureTool(Tool):
    """Drag the picture to move it; drag one of its corners to turn it about its centre."""

    name = "Move picture"
    hint = "Drag the picture to move it. Drag one of its corners to turn it; Shift turns freely."

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._from: Point | None = None
        self._held: Underlay | None = None
        self._corner = False
        self._moved: Project | None = None
        self._at: Point = (0.0, 0.0)
        choice_of(session).changed.connect(self.changed)

    def press(self, event: PlanEvent) -> None:
        chosen = choice_of(self.session).current()
        if chosen is None:
            self.session.message.emit("Load a picture first, then move it.", True)
            return
        corner = _corner_near(chosen, event)
        if not corner and not chosen.covers(event.at):
            # What lies under the pointer is meant, the uppermost first.
            for other in reversed(self.session.project.underlays):
                if other.visible and other.covers(event.at):
                    choice_of(self.session).choose(other.id)
                    chosen = other
                    break
            else:
                return
        if chosen.locked:
            words = f"'{chosen.title}' is locked in its place; unlock it first."
            self.session.message.emit(words, True)
            return
        self._from, self._held, self._corner = event.at, chosen, corner
        self._at = event.at

    def move(self, event: PlanEvent) -> None:
        self._at = event.at
        if self._from is None or self._held is None:
            self.changed.emit()
            return
        if self._moved is None and math.dist(event.at, self._from) < event.snap / 3:
            return
        held, start = self._held, self._from
        try:
            if self._corner:
                self._moved = turn_underlay(
                    self.session.project, held.id, _turned(held, start, event)
                )
            else:
                by = (event.at[0] - start[0], event.at[1] - start[1])
                self._moved = move_underlay(self.session.project, held.id, by)
        except RoofmodelError:
            return
        self.session.preview(self._moved)
        self.changed.emit()

    def release(self, event: PlanEvent) -> None:
        moved, self._moved = self._moved, None
        self._from = self._held = None
        if moved is not None:
            text = "Turn picture" if self._corner else "Move picture"
            self.session.attempt(text, lambda _: moved)
        self.changed.emit()

    def busy(self) -> bool:
        return self._moved is not None

    def let_go(self) -> None:
        moved = self._moved is not None
        self._moved = self._from = self._held = None
        if moved:
            self.session.cancel_preview()
        self.changed.emit()

    def cancel(self) -> None:
        self.let_go()

    def backspace(self) -> None:
        """Undo and Backspace in the middle of a drag take back the drag."""
        self.let_go()

    def leave(self) -> None:
        self.let_go()

    def overlay(self) -> Overlay:
        chosen = choice_of(self.session).current()
        if chosen is None:
            return Overlay()
        shown = next(
            (u for u in self.session.results.project.underlays if u.id == chosen.id), chosen
        )
        corners = tuple((x, y) for x, y in shown.corners().tolist())
        label = ""
        if self._moved is not None and self._corner:
            label = f"Turned {format_angle(shown.turn)}"
        elif self._moved is not None and self._from is not None:
            away = math.dist(self._from, self._at)
            label = f"Moved {format_length(away, self.session.project.units)}"
        dots = () if shown.locked else corners
        return Overlay(guide=(*corners, corners[0]), dots=dots, label=label, at=self._at)


def _corner_near(underlay: Underlay, event: PlanEvent) -> bool:
    return any(math.dist(c, event.at) < event.snap for c in underlay.corners().tolist())


def _turned(held: Underlay, start: Point, event: PlanEvent) -> float:
    cx, cy = centre_of(held)
    before = math.atan2(start[1] - cy, start[0] - cx)
    now = math.atan2(event.at[1] - cy, event.at[0] - cx)
    turn = held.turn + math.degrees(now - before)
    quarter = round(turn / 90.0) * 90.0
    return quarter if not event.free and abs(turn - quarter) < WHOLE_DEG else turn


class LevelPictureTool(Tool):
    """Click the two ends of an edge of the house: the picture turns until it is level or
    upright, whichever is nearer."""

    name = "Level picture"
    hint = (
        "Click both ends of a long eave or wall: the picture turns until it is level or upright."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._first: Point | None = None
        self._at: Point = (0.0, 0.0)

    def press(self, event: PlanEvent) -> None:
        chosen = choice_of(self.session).current()
        if chosen is None:
            self.session.message.emit("Load a picture first, then level it.", True)
            return
        self._at = event.at
        if self._first is None:
            self._first = event.at
            self.changed.emit()
            return
        first = self._first
        if math.dist(first, event.at) <= event.snap / 4:
            return
        self._first = None
        if self.session.attempt(
            "Level picture", lambda p: square_underlay(p, chosen.id, [(first, event.at)])
        ):
            self.done.emit()
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        self._at = event.at
        self.changed.emit()

    def busy(self) -> bool:
        return self._first is not None

    def backspace(self) -> None:
        self._first = None

    def cancel(self) -> None:
        self._first = None
        self.typed = ""
        self.changed.emit()

    def overlay(self) -> Overlay:
        if self._first is None:
            return Overlay(at=self._at, label="One end of an edge")
        return Overlay(
            line=(self._first, self._at), dots=(self._first,), at=self._at, label="Its other end"
        )
