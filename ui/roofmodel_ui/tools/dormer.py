"""Drop a dormer on a plane: what would be seen of it follows the pointer until a click."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QObject

from roofmodel.document import Point, Project
from roofmodel.document.dormers import Dormer, DormerKind, outline_of
from roofmodel.errors import RoofmodelError
from roofmodel.surface import Body
from roofmodel.surface.reach import bodies_but, drop_dormer, ghost_of, on_roof
from roofmodel.units import format_length, format_slope
from roofmodel_ui.plan.picking import plane_at
from roofmodel_ui.selection import PartId
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool


class DormerTool(Tool):
    """Click where the middle of its front wall stands; size and pitch are in the form."""

    name = "Add dormer"
    hint = (
        "Click on a plane where the middle of the dormer's front wall stands."
        " A length and Enter sets its width. Escape ends."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.draft = Dormer(DormerKind.GABLE, (0.0, 0.0), 180.0)
        self.own_pitch = False
        """Whether a pitch was typed; until then a dormer takes that of the plane below it."""
        self._at: Point | None = None
        self._bodies: tuple[Project, tuple[Body, ...]] | None = None

    def press(self, event: PlanEvent) -> None:
        self._at = event.at
        made: list[str] = []

        def drop(project: Project) -> Project:
            project, section = drop_dormer(project, self.here(event.at), bodies=self._others())
            made.append(section)
            return project

        if self.session.attempt("Add dormer", drop):
            self.session.select((PartId(made[0]),))
            self._at = None
            self.done.emit()
        self.changed.emit()

    def move(self, event: PlanEvent) -> None:
        self._at = event.at
        self.changed.emit()

    def here(self, at: Point) -> Dormer:
        """The next dormer, standing at a plan point."""
        draft = msgspec.structs.replace(self.draft, front=at)
        plane = plane_at(self.session.results, at)
        if self.own_pitch or plane is None or plane.slope < 1e-6:
            return draft
        slope = plane.slope if draft.kind is not DormerKind.SHED else plane.slope / 3.0
        return msgspec.structs.replace(draft, slope=slope)

    def enter(self) -> None:
        if not self.typed:
            return
        width = self.typed_length()
        if width is None:
            return
        try:
            self.draft = msgspec.structs.replace(self.draft, width=width)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self.typed = ""

    def cancel(self) -> None:
        self._at = None
        self.done.emit()

    def leave(self) -> None:
        self.typed, self._at = "", None

    def busy(self) -> bool:
        return bool(self.typed)

    def key(self, key: Key, text: str = "") -> bool:
        if key == "text" and text[:1].isdigit() and not self.typed:
            self.typed = text
            self.changed.emit()
            return True
        return super().key(key, text)

    def overlay(self) -> Overlay:
        if self._at is None:
            return Overlay()
        dormer = self.here(self._at)
        units = self.session.project.units
        label = (
            f"{format_length(dormer.width, units)} wide, {format_slope(dormer.slope)},"
            f" face {format_length(dormer.face, units)}"
        )
        field = self.typed or None
        try:
            ring = ghost_of(self._others(), dormer)
        except RoofmodelError as error:
            return Overlay(
                line=self._front(dormer), at=self._at, label=_short(str(error)), field=field,
                dots=(self._at,),
            )  # fmt: skip
        return Overlay(
            line=(*ring, ring[0]), at=self._at, label=label, field=field, dots=(self._at,)
        )

    def _front(self, dormer: Dormer) -> tuple[Point, ...]:
        """The front of a dormer that cannot stand there."""
        try:
            return outline_of(on_roof(self._others(), dormer)[0], 0.0)[:2]
        except RoofmodelError:
            return ()

    def _others(self) -> tuple[Body, ...]:
        project = self.session.project
        if self._bodies is None or self._bodies[0] is not project:
            self._bodies = project, bodies_but(project)
        return self._bodies[1]


def _short(sentence: str) -> str:
    """The first sentence of a message, for a tag beside the pointer."""
    return sentence.partition(". ")[0].rstrip(".")
