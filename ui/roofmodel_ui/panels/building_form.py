"""The form of a building."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from roofmodel.document import Building
from roofmodel.document.part_edits import rename_building
from roofmodel_ui.panels.coverings import BuildingCovering
from roofmodel_ui.panels.fields import Field, quiet, rows_of
from roofmodel_ui.session import Session


class BuildingForm(QWidget):
    """Everything that is said of a building."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.name = Field("Name of the building", self._take_name)
        self.covering = BuildingCovering(session, "Covering of the building")
        self._none = quiet("No part belongs to it yet: add one, or move one to it.")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(rows_of(("Name", self.name), ("Covering", self.covering)))
        layout.addWidget(self._none)

    def show_building(self, building: Building) -> None:
        """Show a building as it is now."""
        self.covering.building = building.id
        self.name.show_value(building.name)
        self.covering.refresh()
        self._none.setVisible(not building.part_ids())

    def _take_name(self, text: str) -> None:
        building = self.covering.building
        self.session.attempt("Rename building", lambda p: rename_building(p, building, text))
