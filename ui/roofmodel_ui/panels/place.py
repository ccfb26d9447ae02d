"""The job, its units, and the pictures under the plan."""

from __future__ import annotations

from typing import Literal

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project, Underlay, Units
from roofmodel.document.edits import change_underlay, remove_underlay, set_job, set_units
from roofmodel.units import format_length
from roofmodel_ui.panels.fields import Field, form, heading, panel_layout, quiet
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
        layout.addWidget(heading("Pictures"))
        self._none = quiet("Load an aerial picture or a scanned plan to trace over it.")
        layout.addWidget(self._none)
        self._list = QVBoxLayout()
        self._list.setSpacing(12)
        layout.addLayout(self._list)
        layout.addStretch(1)
        self._shown: tuple[Underlay, ...] = ()
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
        self._none.setVisible(not project.underlays)
        if project.underlays != self._shown:
            self._shown = project.underlays
            while (item := self._list.takeAt(0)) is not None:
                if (old := item.widget()) is not None:
                    old.deleteLater()
            for underlay in project.underlays:
                self._list.addWidget(self._row(underlay))

    def _row(self, underlay: Underlay) -> QWidget:
        holder = QWidget()
        rows = QVBoxLayout(holder)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(4)
        shown = QCheckBox(underlay.file)
        shown.setChecked(underlay.visible)
        shown.toggled.connect(
            lambda on: self._change("Show picture" if on else "Hide picture", underlay, visible=on)
        )
        rows.addWidget(shown)
        width = format_length(underlay.width * underlay.mm_per_pixel, self.session.project.units)
        rows.addWidget(quiet(f"{width} wide" if underlay.scaled else "Scale not set yet"))
        line = QHBoxLayout()
        strength = QSlider(Qt.Orientation.Horizontal)
        strength.setRange(10, 100)
        strength.setValue(round(underlay.opacity * 100))
        strength.setAccessibleName(f"Strength of {underlay.file}")
        strength.sliderReleased.connect(
            lambda: self._change("Set strength", underlay, opacity=strength.value() / 100)
        )
        remove = QPushButton("Remove")
        remove.clicked.connect(
            lambda: self.session.attempt(
                "Remove picture", lambda p: remove_underlay(p, underlay.id)
            )
        )
        line.addWidget(QLabel("Strength"))
        line.addWidget(strength, 1)
        line.addWidget(remove)
        rows.addLayout(line)
        return holder

    def _change(self, text: str, underlay: Underlay, **fields: object) -> None:
        self.session.attempt(text, lambda p: change_underlay(p, underlay.id, **fields))

    def _take(self, name: str, text: str) -> None:
        def change(project: Project) -> Project:
            return set_job(project, msgspec.structs.replace(project.job, **{name: text.strip()}))

        self.session.attempt("Set job details", change)

    def _take_units(self, index: int) -> None:
        _, system, fraction = _UNITS[index]
        self.session.attempt("Set units", lambda p: set_units(p, Units(system, fraction)))
