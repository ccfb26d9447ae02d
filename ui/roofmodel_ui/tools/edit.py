"""The Select tool as the window has it: beside corners it drags what `grips` knows, and takes
pitches and heights typed where they stand in the plan."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import replace

from PySide6.QtCore import QObject

from roofmodel.document import ByHeights, Project
from roofmodel.document.lies import by_slope, height_at
from roofmodel.document.part_edits import change_plane
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.surface import PlaneId
from roofmodel.units import parse_length
from roofmodel_ui.hiding import shown
from roofmodel_ui.pitches import with_pitch
from roofmodel_ui.plan.picking import item_at
from roofmodel_ui.plan.spots import CornerHeight, Placed, Spot, spots_of
from roofmodel_ui.selection import OutlineEdgeId, PartId, outline_edges_of
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent
from roofmodel_ui.tools.grips import DormerGrip, Grip, PartGrip, grip_at, part_grip
from roofmodel_ui.tools.select import Ask, SelectTool
from roofmodel_ui.tools.snaps import snapping_of

DRAG_AGAIN = "It is selected now: drag it again to move its section."


class EditTool(SelectTool):
    """Select, drag, and type values in place."""

    name = "Select"
    hint = (
        "Click to select, then drag it: a plane moves its section. Type a pitch, then Enter."
        " Double-click: new corner."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.placed = Placed([])
        self._spot: Spot | None = None
        self._grip: Grip | None = None
        self._pressed: PlanEvent | None = None
        self._dragged: Project | None = None
        self._label = ""
        self._tag: Spot | None = None
        """The value that was pressed: a click types it, a drag is as if it were not there."""
        self._still: PlaneId | None = None
        """The plane that was pressed and not selected: a drag moves nothing, and says so."""
        session.selection_changed.connect(self._selection_changed)

    def press(self, event: PlanEvent) -> None:
        if self._spot is not None:
            # A click elsewhere takes what was typed; a wrong one stays to be mended.
            if self.typed:
                self.enter()
                if self._spot is not None:
                    return
            self._stop()
        spot = self.placed.at(event.at) if self.asked is None else None
        self._still = None
        if spot is not None:
            self._tag, self._pressed = spot, event
            return
        self._take_hold(event)

    def _take_hold(self, event: PlanEvent, own: str = "") -> None:
        """Take hold of what lies here, or else of the part `own`."""
        grip = part_grip(self.session.results, self.session.selection, own, event.at)
        if not isinstance(grip, DormerGrip):
            grip = grip_at(shown(self.session.results), self.session.selection, event) or grip
        if isinstance(grip, PartGrip | DormerGrip) and self._drag_at(event) is not None:
            grip = None  # an edge or a corner of it is meant
        self._grip = None if self.asked is not None else grip
        if self._grip is not None:
            self._pressed, self._dragged = event, None
            return
        super().press(event)
        item = item_at(self.session.results, event.at, event.snap)
        if isinstance(item, PlaneId) and self.asked is None and self._drag_at(event) is None:
            self._still = item

    def move(self, event: PlanEvent) -> None:
        if self._tag is not None and self._pressed is not None:
            if math.dist(event.at, self._pressed.at) < event.snap / 2:
                return
            tag, self._tag, pressed = self._tag, None, self._pressed
            own = tag.target.section if isinstance(tag.target, OutlineEdgeId) else tag.target.part
            self._take_hold(pressed, own)
        if self._grip is None or self._pressed is None:
            super().move(event)
            return
        small = math.dist(event.at, self._pressed.at) < event.snap / 2
        if self._dragged is None and small:
            return
        self._at = event.at
        if not snapping_of(self.session).on:
            event = replace(event, free=True)
        try:
            self._dragged = self._grip.moved(self.session.project, event)
            self._label = self._grip.label(self._dragged)
            self.session.preview(self._dragged)
        except RoofmodelError as error:
            self._label = str(error).partition(". ")[0]
        self.changed.emit()

    def release(self, event: PlanEvent) -> None:
        tag, self._tag = self._tag, None
        if tag is not None:
            self._pressed = None
            self._begin(tag, event.add)
            return
        still, self._still = self._still, None
        if still is not None and math.dist(event.at, self._from) >= event.snap:
            super().release(replace(event, at=self._from))
            self.session.message.emit(DRAG_AGAIN, False)
            return
        grip, self._grip = self._grip, None
        if grip is None:
            super().release(event)
            return
        moved, self._dragged = self._dragged, None
        if moved is not None:
            self.session.attempt(grip.words, lambda _: moved)
            self.session.select((PartId(grip.part),))
        elif self._pressed is not None:
            super().press(self._pressed)
            super().release(event)
        self._pressed = None
        self.changed.emit()

    def let_go(self) -> None:
        super().let_go()
        held = self._grip is not None
        self._tag = self._still = self._grip = self._dragged = self._pressed = None
        if held:
            self.session.cancel_preview()
            self.changed.emit()

    def cancel(self) -> None:
        self._tag = self._still = None
        if self._spot is not None:
            self._stop()
        elif self._grip is not None:
            self.let_go()
        else:
            super().cancel()

    def leave(self) -> None:
        self._stop()
        super().leave()

    def busy(self) -> bool:
        return self._spot is not None or super().busy()

    def key(self, key: Key, text: str = "") -> bool:
        # A figure typed while edges are selected is their pitch.
        if (
            key == "text"
            and not self.busy()
            and self.corner is None
            and text[:1].isdigit()
            and self._targets()
        ):
            self.type_pitch()
        return super().key(key, text)

    def type_pitch(self) -> bool:
        """Begin to type the pitch of the selected edges in the plan; whether there are any."""
        edges = set(self._targets())
        for spot in spots_of(self.session.results, self.session.selection, 0.0):
            if spot.target in edges:
                self._spot, self.typed = spot, ""
                self.changed.emit()
                return True
        return False

    def enter(self) -> None:
        if self._spot is None:
            super().enter()
            return
        spot, text = self._spot, self.typed.strip()
        if not text or self._take(spot, text):
            self._stop()

    def overlay(self) -> Overlay:
        if self._spot is not None:
            return Overlay(label=self._words(self._spot), field=self.typed, at=self._spot.beside)
        if self._grip is not None and self._dragged is not None:
            return Overlay(label=self._label, at=self._at)
        return super().overlay()

    def holds(self, part: str) -> bool:
        """Whether something of this part is being dragged."""
        return self._grip is not None and self._grip.part == part

    def ask(self, what: Ask) -> None:
        self._stop()
        super().ask(what)

    def _begin(self, spot: Spot, add: bool) -> None:
        target = spot.target
        if isinstance(target, OutlineEdgeId):
            # Of several selected edges any one's value stands for all of them.
            if add:
                self.session.select((*self.session.selection, target))
            elif target not in self._targets():
                self.session.select((target,))
        self._spot, self.typed = spot, ""
        self.changed.emit()

    def _stop(self) -> None:
        if self._spot is not None:
            self._spot, self.typed = None, ""
            self.changed.emit()

    def _selection_changed(self) -> None:
        spot = self._spot
        if spot is not None and isinstance(spot.target, OutlineEdgeId) and not self._targets():
            self._stop()

    def _targets(self) -> list[OutlineEdgeId]:
        return outline_edges_of(self.session.project, self.session.selection)

    def _words(self, spot: Spot) -> str:
        if isinstance(spot.target, CornerHeight):
            return f"Height at corner {spot.target.corner + 1}"
        count = len(self._targets())
        return "Pitch" if count < 2 else f"Pitch of {count} edges"

    def _take(self, spot: Spot, text: str) -> bool:
        if isinstance(spot.target, CornerHeight):
            target = spot.target
            return self.session.attempt("Set height", lambda p: with_height(p, target, text))
        edges = self._targets() or [spot.target]
        return self.session.attempt("Set pitch", lambda p: with_pitch(p, edges, text))


def with_height(project: Project, target: CornerHeight, text: str) -> Project:
    """The project with a typed height over a corner of a drawn plane that lies by three heights.
    Where the corner's height was not among them it takes the place of the nearest."""
    plane = project.plane(target.part)
    mm = parse_length(text, "ft" if project.units.system == "feet" else "mm")
    lies = plane.lies
    if not isinstance(lies, ByHeights):
        raise DocumentError(f"{plane.name} does not lie by three heights any more.")
    x, y = plane.corners[target.corner]
    known = list(lies.points)
    order = sorted(range(3), key=lambda k: math.dist(known[k][:2], (x, y)))
    for k in order:
        tried = list(known)
        tried[k] = (x, y, mm)
        with suppress(DocumentError):
            a, b, c = tried
            return change_plane(project, target.part, lies=ByHeights((a, b, c)))
    flat = by_slope(lies)
    height = 0.0 if flat is None else height_at(flat, (x, y))
    raise DocumentError(f"The height at this corner stays {height:.0f} mm: it lies on one line.")
