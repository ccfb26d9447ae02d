"""What covers each building, and the roof planes selected."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from roofmodel.document import NOT_IN_JOB, OTHER, Project
from roofmodel.document.cover_edits import (
    Offered,
    add_offered,
    set_building_covering,
    set_plane_covering,
)
from roofmodel_ui.covering import keys_of, planes_selected
from roofmodel_ui.panels.fields import Choice, heading, rows_of
from roofmodel_ui.session import Session

AS_BUILDING = "as its building"
"""What a plane's choice holds where the plane has no covering of its own."""


def coverings(project: Project, offered: Sequence[Offered] = ()) -> list[tuple[str, object]]:
    """Words and values of all coverings there are to choose from: the job's systems by their ids,
    and of those `offered` the ones that the job has not yet."""
    systems: list[tuple[str, object]] = [(s.name, s.id) for s in project.systems()]
    known = {s.id for s in project.systems()}
    systems += [(o.system.name, o) for o in offered if o.system.id not in known]
    return [*systems, ("Other", OTHER), ("Not in this job", NOT_IN_JOB)]


def chosen(project: Project, value: object) -> tuple[Project, str]:
    """The project with the system that was chosen, and the covering as the document keeps it:
    the first system goes without its id, so that it can be replaced by another."""
    if isinstance(value, Offered):
        return add_offered(project, value), value.system.id
    return project, "" if value == project.system.id else str(value)


class BuildingCovering(Choice):
    """A choice of what covers a building."""

    def __init__(
        self,
        session: Session,
        name: str,
        building: str = "",
        offered: Sequence[Offered] = (),
    ) -> None:
        super().__init__(name, self._cover)
        self.session, self._offered = session, offered
        self.building = building

    def refresh(self) -> None:
        """Show the building as it is now."""
        project = self.session.project
        self.offer(coverings(project, self._offered))
        covering = project.building(self.building).covering
        self.show_choice(covering or project.system.id)

    def _cover(self, value: object) -> None:
        def change(project: Project) -> Project:
            project, covering = chosen(project, value)
            return set_building_covering(project, self.building, covering)

        self.session.attempt("Set covering", change)


class PlaneCovering(Choice):
    """A choice of what covers the selected planes."""

    def __init__(self, session: Session, offered: Sequence[Offered] = ()) -> None:
        super().__init__("Covering of the selected planes", self._take)
        self.setPlaceholderText("different")
        self.session, self._offered = session, offered

    def refresh(self) -> None:
        """Show the planes as they are now."""
        project, planes = self.session.project, planes_selected(self.session)
        if not planes:
            return
        own = {c.plane: c.covering or project.system.id for c in project.plane_coverings}
        names = {project.building(p.building).name for p in planes}
        words = f"As its building ({names.pop()})" if len(names) == 1 else "As its building"
        self.offer([(words, AS_BUILDING), *coverings(project, self._offered)])
        found = {own.get(str(p.id), AS_BUILDING) for p in planes}
        self.show_choice(found.pop() if len(found) == 1 else "different")

    def _take(self, value: object) -> None:
        keys = keys_of(planes_selected(self.session))

        def change(project: Project) -> Project:
            covering: str | None = None
            if value != AS_BUILDING:
                project, covering = chosen(project, value)
            for key in keys:
                project = set_plane_covering(project, key, covering)
            return project

        self.session.attempt("Set covering", change)


class BuildingsForm(QWidget):
    """What covers each building."""

    def __init__(self, session: Session, offered: Sequence[Offered] = ()) -> None:
        super().__init__()
        self.session, self._offered = session, offered
        self.buildings: dict[str, BuildingCovering] = {}
        self._shown: list[tuple[str, str]] = []
        self._rows = QWidget()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._column.addWidget(heading("Buildings"))
        self._column.addWidget(self._rows)
        session.result_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the coverings as they are now."""
        names = [(b.id, b.name) for b in self.session.project.buildings]
        if names != self._shown:
            self._rebuild(names)
        for choice in self.buildings.values():
            choice.refresh()

    def _rebuild(self, names: list[tuple[str, str]]) -> None:
        self._shown = names
        self.buildings = {
            part: BuildingCovering(self.session, f"Covering of {name}", part, self._offered)
            for part, name in names
        }
        rows = rows_of(*((name, self.buildings[part]) for part, name in names), wide=True)
        self._column.replaceWidget(self._rows, rows)
        self._rows.hide()  # it goes only when this is over, and lay over the new ones until then
        self._rows.deleteLater()
        self._rows = rows
