"""The job, its units, and the pictures under the plan."""

from __future__ import annotations

from typing import Literal, cast

import msgspec
from PySide6.QtWidgets import QWidget

from roofmodel.document import Project, Units
from roofmodel.document.edits import set_job, set_units
from roofmodel_ui.panels.fields import Choice, Field, heading, panel_layout, rows_of
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
        choices = [(title, Units(system, fraction)) for title, system, fraction in _UNITS]
        self._units = Choice("Units", self._take_units, choices)
        layout.addWidget(
            rows_of(
                ("Name", self._fields["name"]), ("Customer", self._fields["client"]),
                ("Place", self._fields["place"]), ("Units", self._units),
            )
        )  # fmt: skip
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
        metric = project.units.system == "metric"
        self._units.show_choice(Units("metric") if metric else project.units)

    def _take(self, name: str, text: str) -> None:
        def change(project: Project) -> Project:
            return set_job(project, msgspec.structs.replace(project.job, **{name: text.strip()}))

        self.session.attempt("Set job details", change)

    def _take_units(self, units: object) -> None:
        self.session.attempt("Set units", lambda p: set_units(p, cast(Units, units)))
