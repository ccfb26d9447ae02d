"""Trace a ring of corners: by clicks that snap, by typed lengths and directions, or a mixture.

What becomes of the ring is up to the tool: an outline, a drawn plane.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import ClassVar

from PySide6.QtCore import QObject

from roofmodel.document import Point, Project
from roofmodel.document.begun import Begun
from roofmodel.errors import RoofmodelError, TextError
from roofmodel.geometry.snapping import Snap
from roofmodel.geometry.traverse import Leg, Misclosure, misclosure, parse_leg, spread, unit_of
from roofmodel.units import format_angle, format_length
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.crossing import SAME_MM, Crossing, crossings, open_ring
from roofmodel_ui.tools.sizes import begins_place, parse_place
from roofmodel_ui.tools.snaps import snapping_of

MISSED_SHARE = 0.02
"""A typed line that ends within this share of its length of its first corner was meant to close:
a tape misses by less, and a side as short would not be the last."""

DIRECTION = " < "
"""What Tab puts between the length and the direction."""


class TraceTool(Tool):
    """Draw a ring of corners; `thing` is what it is called in messages, and the tool's name among
    the tools."""

    thing: ClassVar[str]

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.corners: list[Point] = []
        self.snapping = snapping_of(session)
        self._pointer: PlanEvent | None = None
        self._free_at: Point | None = None
        self._at: Point = (0.0, 0.0)
        self._snap: Snap | None = None
        self._closing = False
        self._was_typed = False

    def press(self, event: PlanEvent) -> None:
        self.move(event)
        if self._closing:
            self.enter()  # a misclosure is spread, all else just closed
            return
        if self.typed:
            self.enter()
            self.update()
        elif not self.corners or math.dist(self._at, self.corners[-1]) >= event.snap / 4:
            self._add(self._at)
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        # Shift is let go to type the length: the direction it gave stays while the pointer does.
        if event.free:
            self._free_at = event.at
        elif self._free_at is not None and math.dist(event.at, self._free_at) > event.snap:
            self._free_at = None
        self._pointer = event
        self.update()
        self.changed.emit()

    def update(self) -> None:
        """Put the end of the rubber band where a click or Enter would put the corner."""
        self._closing, self._snap = False, None
        event = self._pointer
        if event is None:
            return
        self._at = event.at
        if not self.typed and len(self.corners) >= 3:
            self._closing = math.dist(event.at, self.corners[0]) <= event.snap * 1.5
        leg = self._shown_leg() if self.corners else None
        if self._closing:
            self._at = self.corners[0]
        elif leg is not None:
            self._at = self._leg_end(leg) or self.corners[-1]
        elif self._free_at is None:
            self._snap = self.snapping.snap(event, self.begun())
            self._at = event.at if self._snap is None else self._snap.at

    def busy(self) -> bool:
        # The first corner can be typed: from its first digit on all keys are text.
        return bool(self.corners or self.typed)

    def leave(self) -> None:
        self.typed = ""
        if self.corners:
            self.session.message.emit(
                f"The unfinished {self.thing} is kept; choose {self.name} to go on with it.", False
            )

    def kept(self) -> tuple[Point, ...]:
        return tuple(self.corners)

    def begun_ring(self) -> Begun:
        """What was begun, to be kept with the working copy."""
        return Begun(self.thing, self.kept(), self._was_typed)

    def draw_on(self, ring: Begun) -> None:
        """Go on with what was begun before the program ended."""
        self.corners, self._was_typed = list(ring.corners), ring.typed
        self._at = ring.corners[-1]  # the pointer may be anywhere yet
        self.update()
        self.changed.emit()

    def key(self, key: Key, text: str = "") -> bool:
        if key == "text" and not self.busy() and begins_place(text):
            self.typed = text
            self.changed.emit()
            return True
        if key == "tab" and self.corners:
            if self.typed and "<" not in self.typed:
                self.typed += DIRECTION
            elif self.typed.endswith(DIRECTION):
                self.typed = self.typed.removesuffix(DIRECTION)
            self.update()
            self.changed.emit()
            return True
        return super().key(key, text)

    def enter(self) -> None:
        if not self.typed:
            if self.missed() is not None:
                self.spread()
            else:
                self._close()
            return
        if not self.corners:
            self._begin_typed()
            return
        leg = self._leg()
        if isinstance(leg, str):
            self.session.message.emit(leg, True)
            return
        end = self._leg_end(leg)
        if end is None:
            self.session.message.emit(
                "Point along the edge, away from its corner, then press Enter.", True
            )
            return
        self._add(end, typed=True)
        if len(self.corners) > 3 and math.dist(end, self.corners[0]) < SAME_MM:
            self._close()

    def backspace(self) -> None:
        if self.corners:
            self.corners.pop()
        self._was_typed = False

    def cancel(self) -> None:
        self.corners.clear()
        self._closing = self._was_typed = False
        self.changed.emit()

    def missed(self) -> Misclosure | None:
        """The misclosure of a line that was run by typing and should have closed."""
        if not self._was_typed or len(self.corners) < 4:
            return None
        found = misclosure(self.corners)
        return found if SAME_MM <= found.length <= MISSED_SHARE * found.along else None

    def spread(self) -> None:
        """Spread the misclosure over the sides, then close."""
        if self.missed() is not None:
            self._close(spread(self.corners))

    def note(self) -> str:
        missed = self.missed()
        return "" if missed is None else missed.words(self.session.project.units)

    def offers(self) -> tuple[Offer, ...]:
        if self.missed() is None:
            return ()
        last = tuple(self.corners[:-1])
        return (
            Offer("Spread over all sides", self.spread,
                  "Each corner moves by its share of the way round. Enter does it too."),
            Offer("Last side only", lambda: self._close(last),
                  "The last side ends at the first corner, whatever was measured."),
            Offer("Take it back", self._take_back, "Type it again."),
        )  # fmt: skip

    def overlay(self) -> Overlay:
        if not self.corners:
            typed = self.typed or None
            label = "First corner, east and north" if typed else "First corner"
            return Overlay(at=self._at, label=label, field=typed, snap=self._snap)
        last = self.corners[-1]
        if self.missed() is not None and not self.typed and not self._closing:
            # It is as good as closed: no rubber band, which would only cross what is drawn.
            return Overlay(
                line=(*self.corners, self.corners[0]), dots=tuple(self.corners), at=last,
                label="Enter spreads the misclosure",
            )  # fmt: skip
        line = (*self.corners, self._at)
        label = format_length(math.dist(last, self._at), self.session.project.units)
        leg = self._shown_leg()
        if self._closing:
            label = "Close" if self.missed() is None else "Spread and close"
        elif leg is not None and self._leg_end(leg) is None:
            label = "Point along the edge"
        elif leg is not None and (leg.bearing is not None or leg.turn is not None):
            bearing = math.degrees(math.atan2(self._at[0] - last[0], self._at[1] - last[1]))
            label += f" at {format_angle(bearing % 360.0)}"
        found = crossings(line)
        numbers = {n for crossing in found for n in (crossing.first, crossing.second)}
        return Overlay(
            line=line, dots=tuple(self.corners), label=label,
            field=self.typed or None, at=self._at, snap=self._snap,
            wrong=tuple((line[n], line[n + 1]) for n in sorted(numbers)),
            marks=tuple(crossing.at for crossing in found),
        )  # fmt: skip

    def begun(self) -> Sequence[Point]:
        """The corners that the next one may be snapped square to."""
        return self.corners

    def made(self, corners: tuple[Point, ...]) -> tuple[Project, Selectable]:
        """The project with what the ring becomes, and what to select of it."""
        raise NotImplementedError

    def finish(
        self, corners: tuple[Point, ...],
        make: Callable[[tuple[Point, ...]], tuple[Project, Selectable]],
        text: str,
    ) -> None:  # fmt: skip
        """Make the ring into something by an edit, and be done."""
        try:
            project, chosen = make(corners)
            self.session.edit(text, project)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.corners.clear()
        self._closing = self._was_typed = False
        self.session.select((chosen,))
        self.changed.emit()
        self.fit_wanted.emit()
        self.done.emit()

    def closed(self, corners: tuple[Point, ...]) -> None:
        """A sound ring was closed."""
        self.finish(corners, self.made, self.name)

    def _begin_typed(self) -> None:
        """The first corner where the coordinates typed say."""
        units = self.session.project.units
        try:
            corner = parse_place(self.typed, units)
        except TextError as error:
            self.session.message.emit(str(error), True)
            return
        self._add(corner)
        east, north = (format_length(abs(way), units) for way in corner)
        sides = "east" if corner[0] >= 0 else "west", "north" if corner[1] >= 0 else "south"
        self.session.message.emit(
            f"The first corner lies {east} {sides[0]} and {north} {sides[1]} of the origin.", False
        )

    def _take_back(self) -> None:
        self.key("backspace")

    def _add(self, corner: Point, *, typed: bool = False) -> None:
        self.corners.append(corner)
        self.typed = ""
        self._free_at = None
        self._was_typed = typed
        self.update()

    def _close(self, corners: tuple[Point, ...] | None = None) -> None:
        corners = open_ring(self.corners if corners is None else corners)
        if len(corners) < 3:
            sentence = f"{self.thing.capitalize()}: at least three corners are needed."
            self.session.message.emit(sentence, True)
            return
        found = crossings((*corners, corners[0]))
        if found:
            self.session.message.emit(self._refusal(found[0], corners), True)
            return
        self.closed(corners)

    def _refusal(self, crossing: Crossing, corners: tuple[Point, ...]) -> str:
        along = format_length(
            math.dist(corners[crossing.first], crossing.at), self.session.project.units
        )
        name = f"edge {crossing.second + 1}"
        if crossing.second == len(corners) - 1:
            name = "the closing edge"
        return (
            f"The {self.thing} cannot be closed: {name} crosses edge {crossing.first + 1},"
            f" {along} from its start; take back corners with Backspace, then place them anew."
        )

    def _leg(self) -> Leg | str:
        """What is typed, or one sentence on why it is no side."""
        system = self.session.project.units.system
        try:
            leg = parse_leg(self.typed, "ft" if system == "feet" else "mm")
        except TextError as error:
            return str(error)
        return leg if leg.length > 0 else "A length must be more than 0."

    def _shown_leg(self) -> Leg | None:
        """What is typed as far as it is a side yet: a direction may be still to come."""
        if not self.typed:
            return None
        leg = self._leg()
        if isinstance(leg, str) and "<" in self.typed:
            whole, self.typed = self.typed, self.typed.partition("<")[0].strip()
            try:
                leg = self._leg()
            finally:
                self.typed = whole
        return None if isinstance(leg, str) else leg

    def _leg_end(self, leg: Leg) -> Point | None:
        """Where a typed side ends; None while it is not known where it runs."""
        last = self.corners[-1]
        way: Point | None
        if leg.bearing is not None:
            way = unit_of(leg.bearing)
        elif leg.turn is not None:
            way = unit_of(self._facing() - leg.turn)
        else:
            way = self._way()
        return (
            None if way is None else (last[0] + leg.length * way[0], last[1] + leg.length * way[1])
        )

    def _facing(self) -> float:
        """The bearing of the edge before; north if there is none."""
        if len(self.corners) < 2:
            return 0.0
        (ax, ay), (bx, by) = self.corners[-2:]
        return math.degrees(math.atan2(bx - ax, by - ay))

    def _way(self) -> Point | None:
        """Unit vector of the edge being pointed out; None while the pointer is at its corner."""
        event, last = self._pointer, self.corners[-1]
        if event is None or math.dist(event.at, last) < event.snap / 2:
            return None
        snap = self.snapping.snap(event, self.corners) if self._free_at is None else None
        if snap is not None and snap.way is not None:
            return snap.way
        end = event.at if snap is None or math.dist(snap.at, last) < event.snap / 2 else snap.at
        size = math.dist(end, last)
        return (end[0] - last[0]) / size, (end[1] - last[1]) / size
