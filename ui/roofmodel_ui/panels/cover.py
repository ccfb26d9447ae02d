"""The roofing system: coverage, lap leg, how far panels pass the eave, trim lengths."""

from __future__ import annotations

import msgspec
from PySide6.QtWidgets import QLabel, QWidget

from roofmodel.document import Project
from roofmodel.document.edits import set_system
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel_ui.panels.fields import (
    Field,
    bare_hint,
    checked_coverage,
    form,
    heading,
    length_field,
    panel_layout,
    quiet,
    show_length,
    small_length_field,
)
from roofmodel_ui.session import Session


class CoverPanel(QWidget):
    """The panel of the Cover stage."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        layout = panel_layout(self)
        self._title = heading("")
        layout.addWidget(self._title)
        self._coverage = small_length_field("Coverage", session, "Set coverage", _with_coverage)
        self._lap_leg = small_length_field("Lap leg", session, "Set lap leg", _with_lap_leg)
        self._eave = small_length_field("Past the eave", session, "Set panel overhang", _with_eave)
        rows = form()
        rows.addRow("Panel coverage", self._coverage)
        rows.addRow("Lap leg", self._lap_leg)
        rows.addRow("Panels pass the eave by", self._eave)
        layout.addLayout(rows)
        self._hint = quiet()
        layout.addWidget(self._hint)
        layout.addSpacing(10)
        layout.addWidget(heading("Trim"))
        self._stock = length_field("Stock length", session, "Set trim length", _with_stock)
        self._lap = small_length_field("Lap of trim", session, "Set trim lap", _with_lap)
        rows = form()
        rows.addRow("Stock length, all kinds", self._stock)
        rows.addRow("Lap, all kinds", self._lap)
        layout.addLayout(rows)
        self._trim = QLabel()
        self._trim.setWordWrap(True)
        self._trim.setProperty("class", "quiet")
        layout.addWidget(self._trim)
        layout.addStretch(1)
        session.project_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the system as it is now."""
        system = self.session.project.system
        self._title.setText(system.name)
        show_length(self._coverage, self.session, system.coverage)
        show_length(self._lap_leg, self.session, system.lap_leg)
        show_length(self._eave, self.session, system.shifts.get(EdgeKind.EAVE, 0.0))
        self._show_same(self._stock, {r.stock_length for r in system.trim.values()})
        self._show_same(self._lap, {r.lap for r in system.trim.values()})
        units = self.session.project.units
        hint = bare_hint(units, small=True)
        if units.system == "feet":
            hint = f"{hint[:-1]}, for stock length feet."
        self._hint.setText(hint)
        parts = [f"{kind.capitalize()}: {rule.part}" for kind, rule in system.trim.items()]
        self._trim.setText("\n".join(parts))

    def _show_same(self, field: Field, lengths: set[float]) -> None:
        field.setPlaceholderText("different")
        show_length(field, self.session, lengths.pop() if len(lengths) == 1 else None)


def _with_coverage(project: Project, mm: float) -> Project:
    coverage = checked_coverage(mm, project.units)
    return set_system(project, msgspec.structs.replace(project.system, coverage=coverage))


def _with_lap_leg(project: Project, mm: float) -> Project:
    return set_system(project, msgspec.structs.replace(project.system, lap_leg=mm))


def _with_eave(project: Project, mm: float) -> Project:
    shifts = {**project.system.shifts, EdgeKind.EAVE: mm}
    return set_system(project, msgspec.structs.replace(project.system, shifts=shifts))


def _with_stock(project: Project, mm: float) -> Project:
    return set_system(project, _with_trim(project.system, stock_length=mm))


def _with_lap(project: Project, mm: float) -> Project:
    return set_system(project, _with_trim(project.system, lap=mm))


def _with_trim(system: RoofingSystem, **fields: float) -> RoofingSystem:
    trim = {k: msgspec.structs.replace(r, **fields) for k, r in system.trim.items()}
    return msgspec.structs.replace(system, trim=trim)
