"""The trim of a roofing system: lengths it comes in, laps, and the parts per kind of edge."""

from __future__ import annotations

import msgspec
from PySide6.QtWidgets import QLabel, QWidget

from roofmodel.document import Project
from roofmodel_ui.panels.fields import (
    Field,
    bare_hint,
    heading,
    length_field,
    panel_layout,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.panels.fold import Fold
from roofmodel_ui.panels.system_form import SystemForm
from roofmodel_ui.session import Session


class TrimForm(QWidget):
    """The trim of the system that the form above shows."""

    def __init__(self, session: Session, systems: SystemForm) -> None:
        super().__init__()
        self.session, self._systems = session, systems
        self.stock = length_field("Stock length", session, "Set trim length", self._with_stock)
        self.lap = systems.small("Lap of trim", "Set trim lap", self._with_lap)
        self._parts: QLabel = quiet()
        self._hint = quiet()
        column = panel_layout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading("Trim"))
        column.addWidget(rows_of(("Stock length", self.stock), ("Lap", self.lap)))
        column.addWidget(self._hint)
        self.parts = Fold("Parts by kind of edge", self._parts, "What each kind of edge takes.")
        column.addWidget(self.parts)
        systems.when_shown(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the trim as it is now."""
        project = self.session.project
        trim = self._systems.current(project).trim
        rules = [rule for some in trim.values() for rule in some]
        self._show_same(self.stock, {r.stock_length for r in rules})
        self._show_same(self.lap, {r.lap for r in rules})
        self._parts.setText(
            "\n".join(
                f"{kind.capitalize()}: {', '.join(rule.part for rule in some)}"
                for kind, some in trim.items()
            )
        )
        hint = bare_hint(project.units, small=True)
        if project.units.system == "feet":
            hint = "For all parts. Bare numbers are feet for the length, inches for the lap."
        self._hint.setText(hint)

    def _show_same(self, field: Field, lengths: set[float]) -> None:
        field.setPlaceholderText("different")
        show_length(field, self.session, lengths.pop() if len(lengths) == 1 else None)

    def _with_stock(self, project: Project, mm: float) -> Project:
        return self._with(project, stock_length=mm)

    def _with_lap(self, project: Project, mm: float) -> Project:
        return self._with(project, lap=mm)

    def _with(self, project: Project, **fields: float) -> Project:
        trim = {
            kind: tuple(msgspec.structs.replace(rule, **fields) for rule in some)
            for kind, some in self._systems.current(project).trim.items()
        }
        return self._systems.edit(project, trim=trim)
