"""The job, its units, and the pictures under the plan."""

from __future__ import annotations

from typing import Literal

import msgspec
from PySide6.QtWidgets import QComboBox, QWidget

from roofmodel.document import Project, Units
from roofmodel.document.edits import set_job, set_units
from roofmodel_ui.panels.fields import Field, form, heading, panel_layout
from roofmodel_ui.panels.underlays import UnderlaysPart
from roofmodel_ui.session import Session

_UNITS: tuple[tuple[str, Literal["feet", "metric"], Literal[8, 16]], ...] = (
    ("Feet and inches, to 1/8 in", "feet", 8),
    ("Feet and inches, to 1/16 in", "feet", 16),
    ("Millimetres", "metric", 8),
)


class PlacePanel(QWidget):
    """The panel of the Place stage."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        layout = panel_layout(self)
        layout.addWidget(heading("Job"))
        self._fields = {
            name: Field(title, lambda text, name=name: self._take(name, text))  # type: ignore[misc]
            for name, title in (("name", "Job"), ("client", "Customer"), ("place", "Place"))
        }
        self._units = QComboBox()
        self._units.setAccessibleName("Units")
        for title, *_ in _UNITS:
            self._units.addItem(title)
        self._units.activated.connect(self._take_units)
        rows = form()
        rows.addRow("Name", self._fields["name"])
        rows.addRow("Customer", self._fields["client"])
        rows.addRow("Place", self._fields["place"])
        rows.addRow("Units", self._units)
        layout.addLayout(rows)
        layout.addSpacing(10)
        self.underlays = UnderlaysPart(session)
        layout.addWidget(self.underlays)
        layout.addStretch(1)
        session.project_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the project as it is now."""
        project = self.session.project
        for name, field in self._fields.items():
            field.show_value(getattr(project.job, name))
        units = (project.units.system, project.units.fraction)
        index = next(
            (
                k
                for k, (_, s, f) in enumerate(_UNITS)
                if s == units[0] and (s != "feet" or f == units[1])
            ),
            0,
        )
        self._units.setCurrentIndex(index)

    def _take(self, name: str, text: str) -> None:
        def change(project: Project) -> Project:
            return set_job(project, msgspec.structs.replace(project.job, **{name: text.strip()}))

        self.session.attempt("Set job details", change)

    def _take_units(self, index: int) -> None:
        _, system, fraction = _UNITS[index]
        self.session.attempt("Set units", lambda p: set_units(p, Units(system, fraction)))
