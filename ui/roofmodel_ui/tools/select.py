"""Select by clicking; drag corners and edges of outlines; type an edge's length in place."""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import Enum, auto
from typing import Final, Literal

from PySide6.QtCore import QObject

from roofmodel.document import Point, Project
from roofmodel.document.copies import middle_of, turn_parts
from roofmodel.document.drawing_edits import offset_edge, set_edge_length, split_edge
from roofmodel.document.edits import remove_corner
from roofmodel.errors import RoofmodelError, TextError
from roofmodel.surface import EdgeId
from roofmodel.units import format_length, parse_length
from roofmodel_ui.plan.picking import corner_at, distance_to_segment, item_at, outline_segments
from roofmodel_ui.selection import (
    CornerId,
    OutlineEdgeId,
    PartId,
    Selectable,
    outline_edges_of,
    parts_meant,
)
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.drags import CornerDrag, Drag, EdgeDrag, NewCornerDrag, edge_place

Ask = Literal["length", "offset", "split", "turn"]
_ASKED: Final[dict[Ask, str]] = {
    "length": "Length", "offset": "Offset outwards by", "split": "New corner after",
    "turn": "Turn to the left by degrees",
}  # fmt: skip

HANDLE_SHARE: Final = 0.75
"""Where along a selected edge its handle for a new corner stands: off the middle, whose label
says the length."""

NO_PART: Final = "Select a section, drawn plane or opening first."

_ROOM: Final = 6.0
"""Snaps that an edge must be long to have a handle."""


class _State(Enum):
    IDLE = auto()
    PRESSED = auto()
    DRAGGING = auto()


class SelectTool(Tool):
    """Click to select; drag a corner, or an edge that is selected."""

    name = "Select"
    hint = (
        "Click edges and planes to select them. Drag corners, and edges that are selected."
        " Double-click an edge for a new corner."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self._state = _State.IDLE
        self._drag: Drag | None = None
        self._from: Point = (0.0, 0.0)
        self._moved: Project | None = None
        self._at: Point = (0.0, 0.0)
        self._hover: Selectable | CornerId | None = None
        self.corner: CornerId | None = None
        """The corner last clicked: Delete takes it away."""
        self.asked: Ask | None = None
        """What is being typed about the selected edge."""
        self.part_offers: tuple[Offer, ...] = ()
        """What the window offers for whole parts that are selected."""
        session.selection_changed.connect(self._forget)
        session.project_changed.connect(self._forget)

    def press(self, event: PlanEvent) -> None:
        self.let_go()
        if self.asked is not None:
            if self.typed:
                self.enter()
                if self.asked is not None:
                    return  # it was wrong and stays to be mended
            self._stop_asking()
        self._from = event.at
        self._state = _State.PRESSED
        self._drag = self._drag_at(event)

    def double_click(self, event: PlanEvent) -> None:
        if not self.typed:
            self._stop_asking()  # the first of the two clicks may have begun it
        target = self._edge_at(event)
        if target is None or corner_at(self.session.project, event.at, event.snap) is not None:
            self.press(event)
            return
        drag = NewCornerDrag(self.session, target, event.at)
        if self.session.attempt(drag.words, drag.placed):
            self.corner = corner_at(self.session.project, drag.at, 1.0)
        self._state, self._drag = _State.IDLE, None
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        if self._state is _State.IDLE:
            self._hover_over(event)
            return
        if self._drag is None:
            return
        if self._state is _State.PRESSED and math.dist(event.at, self._from) < event.snap / 3:
            return
        self._state = _State.DRAGGING
        self._at = event.at
        try:
            self._moved = self._drag.moved(self.session.project, event)
        except RoofmodelError:
            return
        self.session.preview(self._moved)
        self.changed.emit()

    def release(self, event: PlanEvent) -> None:
        state, self._state = self._state, _State.IDLE
        drag, self._drag = self._drag, None
        if state is _State.DRAGGING:
            moved, self._moved = self._moved, None
            if moved is None:
                self.session.cancel_preview()
            elif drag is not None:
                self.session.attempt(drag.words, lambda _: moved)
        elif state is _State.PRESSED:
            self._clicked(event, drag)
        self.changed.emit()

    def let_go(self) -> None:
        dragging = self._state is _State.DRAGGING
        self._state, self._moved, self._drag = _State.IDLE, None, None
        if dragging:
            self.session.cancel_preview()
            self.changed.emit()

    def cancel(self) -> None:
        if self.asked is not None:
            self._stop_asking()
        elif self._state is _State.DRAGGING:
            self.let_go()
        elif self.corner is not None:
            self.corner = None
        else:
            self.session.select(())
        self._state, self._moved, self._drag = _State.IDLE, None, None
        self.changed.emit()

    def leave(self) -> None:
        # What is selected stays so; only a drag is given up.
        self.let_go()
        self.corner = None
        self._stop_asking()

    def busy(self) -> bool:
        return self.asked is not None

    def claims(self, key: Key) -> bool:
        return key == "backspace" and self.corner is not None

    def backspace(self) -> None:
        """Take away the corner that was clicked."""
        corner = self.corner
        if self.asked is not None or corner is None:
            return
        self.session.attempt(
            "Delete corner",
            lambda p: remove_corner(p, corner.section, corner.ring, corner.corner),
        )

    def ask(self, what: Ask) -> None:
        """Begin to type something about the one selected outline edge."""
        if what == "turn":
            if not self._parts():
                self.session.message.emit(NO_PART, True)
                return
        elif self.edge() is None:
            self.session.message.emit("Select one edge of an outline first: click it.", True)
            return
        self.asked, self.typed, self.corner = what, "", None
        self.changed.emit()

    def enter(self) -> None:
        target, what, text = self.edge(), self.asked, self.typed.strip()
        if what == "turn" and text:
            if self.session.attempt("Turn", lambda p: turn_parts(p, self._parts(), degrees(text))):
                self._stop_asking()
            return
        if what is None:
            return
        if target is None or not text:
            self._stop_asking()
            return
        unit: Literal["ft", "mm"] = "ft" if self.session.project.units.system == "feet" else "mm"

        def edit(project: Project) -> Project:
            mm = parse_length(text, unit)
            if what == "length":
                return set_edge_length(project, target.section, target.edge, mm)
            if what == "offset":
                edges = [t.edge for t in self._edges() if t.section == target.section]
                return offset_edge(project, target.section, edges, mm)
            return split_edge(project, target.section, target.edge, mm)

        words = {"length": "Set edge length", "offset": "Offset edge", "split": "Split edge"}
        if self.session.attempt(words[what], edit):
            self._stop_asking()

    def edge(self) -> OutlineEdgeId | None:
        """The one outline edge that is selected as an edge; of several the first."""
        edges = self._edges()
        return edges[0] if edges and len({e.section for e in edges}) == 1 else None

    def note(self) -> str:
        if self.corner is not None:
            return f"Corner {self.corner.corner + 1}"
        return ""

    def offers(self) -> tuple[Offer, ...]:
        if self.corner is not None:
            return (Offer("Delete corner", self.backspace, "The Delete key does it too."),)
        if self.asked is not None:
            return ()
        if self.edge() is None:
            whole = {type(i) for i in self.session.selection} == {PartId} and self._parts()
            return self.part_offers if whole else ()
        return (
            Offer("Length", lambda: self.ask("length"),
                  "Type the length of the edge (L); the side that follows moves along."),
            Offer("Offset", lambda: self.ask("offset"),
                  "Move the edge by a typed distance; or drag the selected edge."),
            Offer("Split", lambda: self.ask("split"),
                  "A new corner at a typed distance from the edge's start; or double-click it."),
        )  # fmt: skip

    def overlay(self) -> Overlay:
        if self._state is _State.DRAGGING and self._drag is not None:
            return self._drag.overlay()
        target = self.edge()
        place = None if target is None else edge_place(self.session.project, target)
        if self.asked == "turn" and self._parts():
            about = middle_of(self.session.project, self._parts())
            return Overlay(dots=(about,), label=_ASKED["turn"], field=self.typed, at=about)
        if self.asked is not None and place is not None:
            a, b = place[2:]
            label = _ASKED[self.asked]
            if self.asked == "length":
                now = format_length(math.dist(a, b), self.session.project.units)
                label = f"{label} (now {now})"
            start = (a,) if self.asked == "split" else ()
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            return Overlay(line=(a, b), dots=start, label=label, field=self.typed, at=middle)
        handle = () if place is None else (_handle(*place[2:]),)
        return Overlay(hover=self.corner or self._hover, handles=handle)

    def _drag_at(self, event: PlanEvent) -> Drag | None:
        corner = corner_at(self.session.project, event.at, event.snap)
        if corner is not None:
            return CornerDrag(self.session, corner)
        target = self.edge()
        if target is not None and self._on_handle(event, target):
            return NewCornerDrag(self.session, target, event.at)
        over = self._edge_at(event)
        edges = self._edges()
        if over is not None and over in edges:
            return EdgeDrag(self.session, over, [e for e in edges if e != over])
        return None

    def _on_handle(self, event: PlanEvent, target: OutlineEdgeId) -> bool:
        place = edge_place(self.session.project, target)
        if place is None or math.dist(*place[2:]) < _ROOM * event.snap:
            return False
        return math.dist(_handle(*place[2:]), event.at) <= event.snap * 0.8

    def _clicked(self, event: PlanEvent, drag: Drag | None) -> None:
        self.corner = None
        if isinstance(drag, NewCornerDrag):
            if self.session.attempt(drag.words, drag.placed):
                self.corner = corner_at(self.session.project, drag.at, 1.0)
            return
        if isinstance(drag, EdgeDrag) and not event.add and self._on_length(event):
            self.ask("length")
            return
        item = item_at(self.session.results, event.at, event.snap)
        if isinstance(drag, CornerDrag) and not event.add:
            corner = corner_at(self.session.project, event.at, event.snap)
            if corner is not None:
                self.session.select((PartId(corner.section),))
                self.corner = corner
            return
        if item is None:
            self.session.select(())
        elif event.add:
            self.session.toggle(item)
        else:
            self.session.select((item,))

    def _on_length(self, event: PlanEvent) -> bool:
        """Whether the pointer is on the length of the one selected edge."""
        target = self.edge()
        place = None if target is None else edge_place(self.session.project, target)
        if place is None or len(self._edges()) != 1:
            return False
        (ax, ay), (bx, by) = place[2:]
        return math.dist(event.at, ((ax + bx) / 2, (ay + by) / 2)) <= 3.0 * event.snap

    def _edge_at(self, event: PlanEvent) -> OutlineEdgeId | None:
        """The outline edge near the pointer; one that is selected before others."""
        chosen = set(self._edges())
        near = [
            (target not in chosen, distance, target)
            for target, a, b in outline_segments(self.session.project)
            if (distance := distance_to_segment(event.at, a, b)) <= event.snap
        ]
        return min(near, key=lambda n: n[:2])[2] if near else None

    def _edges(self) -> list[OutlineEdgeId]:
        items: Iterable[Selectable] = (
            i for i in self.session.selection if isinstance(i, (EdgeId, OutlineEdgeId))
        )
        return outline_edges_of(self.session.project, items)

    def _parts(self) -> list[str]:
        project = self.session.project
        return parts_meant(project, self.session.selection)

    def _hover_over(self, event: PlanEvent) -> None:
        hover: Selectable | CornerId | None = corner_at(
            self.session.project, event.at, event.snap
        ) or item_at(self.session.results, event.at, event.snap)
        if hover != self._hover:
            self._hover = hover
            self.changed.emit()

    def _stop_asking(self) -> None:
        if self.asked is not None:
            self.asked, self.typed = None, ""
            self.changed.emit()

    def _forget(self) -> None:
        self.corner = None
        if self.asked is not None and not (self._parts() if self.asked == "turn" else self.edge()):
            self._stop_asking()
        self.changed.emit()


def degrees(text: str) -> float:
    """A typed angle in degrees; a leading minus turns the other way."""
    plain = text.strip().lower().removesuffix("degrees").removesuffix("°").strip()
    plain = plain.replace("\u2212", "-")
    try:
        found = float(plain)
    except ValueError:
        found = math.nan
    if not -360.0 <= found <= 360.0:
        raise TextError(f"'{text.strip()[:30]}' is no angle. Write degrees, such as 12.5 or -90.")
    return found


def _handle(a: Point, b: Point) -> Point:
    return a[0] + HANDLE_SHARE * (b[0] - a[0]), a[1] + HANDLE_SHARE * (b[1] - a[1])
