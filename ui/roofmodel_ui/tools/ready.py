"""Place a ready-made body: its outline follows the pointer, R turns it, a click puts it there."""

from __future__ import annotations

import math

import msgspec
from PySide6.QtCore import QObject

from roofmodel.document import Point, Project, Section
from roofmodel.document.starts import NAMES, Start, StartKind, outline_of, place_start, usual
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel.surface.leaning import placed_against
from roofmodel.surface.reach import joined
from roofmodel.units import format_length, format_slope, parse_length
from roofmodel_ui.plan.picking import outline_segments
from roofmodel_ui.selection import OutlineEdgeId, PartId, building_of
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool
from roofmodel_ui.tools.sizes import BETWEEN

NEAR_WALL_PX = 2.5
"""A porch takes hold of a wall within this many snaps of its back."""

WINGS = (StartKind.GABLE, StartKind.HIP, StartKind.GAMBREL)
"""Bodies that reach into the roof at whose wall they are placed."""


class ReadyTool(Tool):
    """Click where the middle of the body lies; its sizes are in the form."""

    name = "Add body"
    hint = (
        "Click where its middle lies; R turns it. Type width by depth, such as 40 by 28, then"
        " Enter. Escape ends."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.draft = usual(StartKind.GABLE)
        self.turned = 0
        self.own_turn: float | None = None
        """A turn typed in the form; None lies square to the house there is."""
        self._event: PlanEvent | None = None
        self._eaves: dict[bool, float] = {}
        session.opened.connect(self._start_afresh)

    @property
    def own_eave(self) -> float | None:
        """The eave height (mm) that was typed; None is the usual one. A porch has its own: what
        is typed for it is not meant for a house, nor the other way round."""
        return self._eaves.get(self.draft.kind is StartKind.PORCH)

    def take_eave(self, eave: float | None) -> None:
        """An eave height typed in the form, mm; None goes back to the usual one."""
        is_porch = self.draft.kind is StartKind.PORCH
        self._eaves.pop(is_porch, None)
        if eave is not None:
            self._eaves[is_porch] = eave
        wanted = usual(self.draft.kind).eave if eave is None else eave
        self.draft = msgspec.structs.replace(self.draft, eave=wanted)
        self.changed.emit()

    def take_kind(self, kind: StartKind) -> None:
        """Start over with the usual size and eave of another kind; an overhang, and an eave that
        was typed, stay."""
        if kind is not self.draft.kind:
            new = usual(kind)
            eave = self._eaves.get(kind is StartKind.PORCH, new.eave)
            self.draft = msgspec.structs.replace(new, eave=eave, overhang=self.draft.overhang)
        self.changed.emit()

    def press(self, event: PlanEvent) -> None:
        self._event = event
        made: list[str] = []
        start, wall = self._found(event)

        def place(project: Project) -> Project:
            building = building_of(project, self.session.selection)
            project, section = place_start(project, start, None, building)
            made.append(section)
            if wall is not None:
                back = project.section(section).rings[0].edges[2].id
                own = self.own_eave is not None
                return placed_against(project, section, back, *wall, own_eave=own)
            return joined(project, section) if start.kind in WINGS else project

        if self.session.attempt(f"Add {NAMES[start.kind]}", place):
            self.session.select((PartId(made[0]),))
            self._event = None
            self._tell(self.session.project.section(made[0]), start, wall)
            self.done.emit()
        self.changed.emit()

    def _tell(self, made: Section, start: Start, wall: OutlineEdgeId | None) -> None:
        """Say what became of the eave and the pitch of a porch."""
        slope = made.rings[0].edges[0].profile[0].slope or start.slope
        if wall is None or (abs(made.eave_height - start.eave) < 1.0 and slope == start.slope):
            return
        height = format_length(made.eave_height, self.session.project.units)
        house = self.session.project.section(wall.section).name
        pitch = "" if slope == start.slope else f" and its pitch {format_slope(slope)}"
        words = f"{made.name} meets the eave of {house}: its own is {height} high{pitch}."
        self.session.message.emit(words, False)

    def move(self, event: PlanEvent) -> None:
        self._event = event
        self.changed.emit()

    def here(self, event: PlanEvent) -> Start:
        """The body at the pointer; a porch near a wall lies with its back against it."""
        return self._found(event)[0]

    def _found(self, event: PlanEvent) -> tuple[Start, OutlineEdgeId | None]:
        """The body at the pointer, and the edge that it lies against."""
        base = square_turn(self.session.project) if self.own_turn is None else self.own_turn
        start = msgspec.structs.replace(
            self.draft, middle=event.at, turn=round((base + 90.0 * self.turned) % 360.0, 9)
        )
        if start.kind is not StartKind.PORCH or event.free:
            return start, None
        return against_wall(self.session.project, start, NEAR_WALL_PX * event.snap)

    def _start_afresh(self) -> None:
        self._eaves.clear()
        self.draft, self.turned, self.own_turn = usual(StartKind.GABLE), 0, None
        self.typed, self._event = "", None
        self.changed.emit()

    def enter(self) -> None:
        if not self.typed:
            return
        try:
            self.draft = sized(self.draft, self.typed, self.session.project.units.system)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.typed = ""

    def cancel(self) -> None:
        self._event = None
        self.done.emit()

    def leave(self) -> None:
        self.typed, self._event = "", None

    def busy(self) -> bool:
        return bool(self.typed)

    def key(self, key: Key, text: str = "") -> bool:
        if key == "text" and not self.typed:
            if text in ("r", "R"):
                self.turned = (self.turned + (1 if text == "r" else -1)) % 4
            elif text[:1].isdigit():
                self.typed = text
            else:
                return False
            self.changed.emit()
            return True
        return super().key(key, text)

    def overlay(self) -> Overlay:
        if self._event is None:
            return Overlay()
        try:
            start = self.here(self._event)
            ring = outline_of(start)
        except DocumentError:
            return Overlay()
        units = self.session.project.units
        size = " by ".join(format_length(v, units) for v in (start.width, start.depth))
        return Overlay(
            line=(*ring, ring[0]), at=self._event.at,
            label=f"{str(start.kind).capitalize()}, {size}", field=self.typed or None,
            guide=_ridge(start, ring),
        )  # fmt: skip


def _ridge(start: Start, ring: tuple[Point, ...]) -> tuple[Point, ...]:
    """The ridge of a plain body, so that one sees which way it lies."""
    if start.kind not in (StartKind.GABLE, StartKind.GAMBREL):
        return ()
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = ring
    return ((ax + dx) / 2, (ay + dy) / 2), ((bx + cx) / 2, (by + cy) / 2)


def sized(start: Start, text: str, system: str) -> Start:
    """The body with a typed width, or width by depth; DocumentError if they are none."""
    parts = [p for p in BETWEEN.split(text.strip()) if p]
    if not 1 <= len(parts) <= 2:
        raise DocumentError("Type a width, or width by depth, such as 40 by 28.")
    mm = [parse_length(p, "ft" if system == "feet" else "mm") for p in parts]
    if not all(v > 0 for v in mm):
        raise DocumentError("The width and depth of a body must be more than 0.")
    depth = mm[1] if len(mm) > 1 else start.depth
    return msgspec.structs.replace(start, width=mm[0], depth=depth)


def square_turn(project: Project) -> float:
    """The turn (degrees, below 90) at which a body lies square to the longest outline edge."""
    longest, turn = 0.0, 0.0
    for _, a, b in outline_segments(project):
        if math.dist(a, b) > longest + 1.0:
            longest = math.dist(a, b)
            turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 90.0
    turn = round(turn, 6)
    return 0.0 if turn in (0.0, 90.0) else turn


def against_wall(
    project: Project, start: Start, near: float
) -> tuple[Start, OutlineEdgeId | None]:
    """The porch with its back along the outline edge that lies within `near` mm of its middle or
    of its back, if there is one; and that edge."""
    best: tuple[float, Point, float, OutlineEdgeId] | None = None
    for target, a, b in outline_segments(project):
        ax, ay = a
        size = math.dist(a, b)
        if size < 1.0:
            continue
        ux, uy = (b[0] - ax) / size, (b[1] - ay) / size
        wx, wy = start.middle[0] - ax, start.middle[1] - ay
        along = min(max(wx * ux + wy * uy, 0.0), size)
        off = abs(ux * wy - uy * wx)
        if math.dist(start.middle, (ax + along * ux, ay + along * uy)) > off + 1.0:
            continue  # beyond its ends
        miss = min(off, abs(off - start.depth / 2.0))
        if miss <= near and (best is None or miss < best[0]):
            # the roof lies left of an edge, so the porch goes to its right
            half = start.depth / 2.0
            middle = ax + along * ux + half * uy, ay + along * uy - half * ux
            best = miss, middle, math.degrees(math.atan2(uy, ux)) % 360.0, target
    if best is None:
        return start, None
    turn = round(best[2], 9) % 360.0
    return msgspec.structs.replace(start, middle=best[1], turn=turn), best[3]
