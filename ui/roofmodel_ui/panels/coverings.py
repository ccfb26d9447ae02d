"""What covers each building, and the roof planes selected."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from roofmodel.document import NOT_IN_JOB, OTHER, Project
from roofmodel.document.cover_edits import set_building_covering, set_plane_covering
from roofmodel.surface import Plane
from roofmodel_ui.panels.fields import Choice, heading, quiet, rows_of
from roofmodel_ui.selection import expanded
from roofmodel_ui.session import Session

AS_BUILDING = "as its building"
"""What a plane's choice holds where the plane has no covering of its own."""


def coverings(project: Project) -> list[tuple[str, object]]:
    """Words and values of all coverings there are to choose from."""
    systems: list[tuple[str, object]] = [(s.name, s.id) for s in project.systems()]
    return [*systems, ("Other", OTHER), ("Not in this job", NOT_IN_JOB)]


def in_document(project: Project, value: object) -> str:
    """A chosen covering as the document keeps it: the first system goes without its id, so that
    it can be replaced by another."""
    return "" if value == project.system.id else str(value)


class BuildingCovering(Choice):
    """A choice of what covers a building."""

    def __init__(self, session: Session, name: str, building: str = "") -> None:
        super().__init__(name, self._cover)
        self.session = session
        self.building = building

    def refresh(self) -> None:
        """Show the building as it is now."""
        project = self.session.project
        self.offer(coverings(project))
        covering = project.building(self.building).covering
        self.show_choice(covering or project.system.id)

    def _cover(self, value: object) -> None:
        self.session.attempt(
            "Set covering",
            lambda p: set_building_covering(p, self.building, in_document(p, value)),
        )


class CoveringsForm(QWidget):
    """A choice per building, and one for the planes selected."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.buildings: dict[str, BuildingCovering] = {}
        self._shown: list[tuple[str, str]] = []
        self._rows = QWidget()
        self.plane = Choice("Covering of the selected planes", self._take_plane)
        self._plane_title = heading("")
        self._plane_rows = rows_of(("Covering", self.plane), wide=True)
        self._hint = quiet("Select planes to cover them otherwise than their building.")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._column.addWidget(heading("Coverings"))
        for widget in (self._rows, self._hint, self._plane_title, self._plane_rows):
            self._column.addWidget(widget)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the coverings as they are now."""
        project = self.session.project
        names = [(b.id, b.name) for b in project.buildings]
        if names != self._shown:
            self._rebuild(names)
        for choice in self.buildings.values():
            choice.refresh()
        planes = self._planes()
        self._hint.setVisible(not planes)
        self._plane_title.setVisible(bool(planes))
        self._plane_rows.setVisible(bool(planes))
        if planes:
            self._show_planes(planes)

    def _rebuild(self, names: list[tuple[str, str]]) -> None:
        self._shown = names
        self.buildings = {
            part: BuildingCovering(self.session, f"Covering of {name}", part)
            for part, name in names
        }
        rows = rows_of(*((name, self.buildings[part]) for part, name in names), wide=True)
        self._column.replaceWidget(self._rows, rows)
        self._rows.deleteLater()
        self._rows = rows

    def _show_planes(self, planes: list[Plane]) -> None:
        project = self.session.project
        title = planes[0].name if len(planes) == 1 else f"{len(planes)} planes"
        self._plane_title.setText(title)
        own = {c.plane: c.covering or project.system.id for c in project.plane_coverings}
        names = {project.building(p.building).name for p in planes}
        words = f"As its building ({names.pop()})" if len(names) == 1 else "As its building"
        self.plane.offer([(words, AS_BUILDING), *coverings(project)])
        found = {own.get(str(p.id), AS_BUILDING) for p in planes}
        self.plane.show_choice(found.pop() if len(found) == 1 else "different")

    def _planes(self) -> list[Plane]:
        """The roof planes of what is selected, those of whole parts among them."""
        results = self.session.results
        chosen = expanded(results, self.session.selection)
        return [p for p in results.surface.planes if p.id in chosen]

    def _take_plane(self, value: object) -> None:
        keys = [str(p.id) for p in self._planes()]

        def change(project: Project) -> Project:
            covering = None if value == AS_BUILDING else in_document(project, value)
            for key in keys:
                project = set_plane_covering(project, key, covering)
            return project

        self.session.attempt("Set covering", change)
