"""What covers what, and the roofing systems: coverage, lap leg, panels past the eave, trim."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QToolButton, QWidget

from roofmodel.document import Project
from roofmodel.document.cover_edits import add_system, change_system, remove_system
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel_ui.panels.coverings import CoveringsForm
from roofmodel_ui.panels.fields import (
    Choice,
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
    """The panel of the Cover stage. `offered` systems can be added at once, others by `read`."""

    def __init__(
        self,
        session: Session,
        offered: Sequence[RoofingSystem],
        read: Callable[[], object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.session = session
        self._offered, self._read = offered, read
        self._shown_system = session.project.system.id
        layout = panel_layout(self)
        self.coverings = CoveringsForm(session)
        layout.addWidget(self.coverings)
        layout.addSpacing(10)
        layout.addWidget(heading("Roofing system"))
        self.system = Choice("Roofing system", self._take_system)
        layout.addWidget(self.system)
        layout.addLayout(self._build_buttons())
        self.coverage = small_length_field(
            "Coverage", session, "Set coverage", self._with_coverage
        )
        self.lap_leg = small_length_field("Lap leg", session, "Set lap leg", self._with_lap_leg)
        self.eave = small_length_field(
            "Past the eave", session, "Set panel overhang", self._with_eave
        )
        rows = form()
        rows.addRow("Panel coverage", self.coverage)
        rows.addRow("Lap leg", self.lap_leg)
        rows.addRow("Panels pass the eave by", self.eave)
        layout.addLayout(rows)
        self._hint = quiet()
        layout.addWidget(self._hint)
        layout.addSpacing(10)
        layout.addWidget(heading("Trim"))
        self.stock = length_field("Stock length", session, "Set trim length", self._with_stock)
        self.lap = small_length_field("Lap of trim", session, "Set trim lap", self._with_lap)
        rows = form()
        rows.addRow("Stock length, all kinds", self.stock)
        rows.addRow("Lap, all kinds", self.lap)
        layout.addLayout(rows)
        self._trim = QLabel()
        self._trim.setWordWrap(True)
        self._trim.setProperty("class", "quiet")
        layout.addWidget(self._trim)
        layout.addStretch(1)
        session.project_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the systems as they are now."""
        project = self.session.project
        self.system.offer([(s.name, s.id) for s in project.systems()])
        system = self._current(project)
        self.system.show_choice(system.id)
        self.remove.setEnabled(system.id != project.system.id)
        show_length(self.coverage, self.session, system.coverage)
        show_length(self.lap_leg, self.session, system.lap_leg)
        show_length(self.eave, self.session, system.shifts.get(EdgeKind.EAVE, 0.0))
        self._show_same(self.stock, {r.stock_length for r in system.trim.values()})
        self._show_same(self.lap, {r.lap for r in system.trim.values()})
        units = project.units
        hint = bare_hint(units, small=True)
        if units.system == "feet":
            hint = f"{hint[:-1]}, for stock length feet."
        self._hint.setText(hint)
        parts = [f"{kind.capitalize()}: {rule.part}" for kind, rule in system.trim.items()]
        self._trim.setText("\n".join(parts))
        self._fill_menu(project)

    def _build_buttons(self) -> QHBoxLayout:
        self.add = QToolButton()
        self.add.setText("Add system")
        self.add.setToolTip("Cover part of the job with another roofing system.")
        self.add.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu = QMenu(self.add)
        self.add.setMenu(self.menu)
        self.remove = QToolButton()
        self.remove.setText("Remove system")
        self.remove.setToolTip("Take this roofing system out of the job.")
        self.remove.clicked.connect(self._remove_system)
        line = QHBoxLayout()
        line.setSpacing(4)
        for button in (self.add, self.remove):
            button.setProperty("class", "small")
            line.addWidget(button)
        line.addStretch(1)
        return line

    def _fill_menu(self, project: Project) -> None:
        self.menu.clear()
        known = {s.id for s in project.systems()}
        for system in self._offered:
            if system.id not in known:
                action = self.menu.addAction(system.name)
                action.triggered.connect(lambda _=False, s=system: self._add_system(s))
        self.menu.addAction("From a file …").triggered.connect(lambda: self._read())

    def _current(self, project: Project) -> RoofingSystem:
        """The system whose numbers show."""
        return next((s for s in project.systems() if s.id == self._shown_system), project.system)

    def _take_system(self, value: object) -> None:
        self._shown_system = str(value)
        self.refresh()

    def _add_system(self, system: RoofingSystem) -> None:
        if self.session.attempt("Add roofing system", lambda p: add_system(p, system)):
            self._take_system(system.id)

    def _remove_system(self) -> None:
        system = self._current(self.session.project).id
        self.session.attempt("Remove roofing system", lambda p: remove_system(p, system))

    def _show_same(self, field: Field, lengths: set[float]) -> None:
        field.setPlaceholderText("different")
        show_length(field, self.session, lengths.pop() if len(lengths) == 1 else None)

    def _with(self, project: Project, **fields: object) -> Project:
        system = self._current(project)
        return change_system(project, msgspec.structs.replace(system, **fields))

    def _with_coverage(self, project: Project, mm: float) -> Project:
        return self._with(project, coverage=checked_coverage(mm, project.units))

    def _with_lap_leg(self, project: Project, mm: float) -> Project:
        return self._with(project, lap_leg=mm)

    def _with_eave(self, project: Project, mm: float) -> Project:
        return self._with(project, shifts={**self._current(project).shifts, EdgeKind.EAVE: mm})

    def _with_stock(self, project: Project, mm: float) -> Project:
        return self._with_trim(project, stock_length=mm)

    def _with_lap(self, project: Project, mm: float) -> Project:
        return self._with_trim(project, lap=mm)

    def _with_trim(self, project: Project, **fields: float) -> Project:
        rules = self._current(project).trim.items()
        return self._with(
            project, trim={k: msgspec.structs.replace(r, **fields) for k, r in rules}
        )
