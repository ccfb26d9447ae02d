"""What is said about the work, and what rules say of the roof."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QSplitter, QVBoxLayout, QWidget

from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.checks import ChecksList
from roofmodel_ui.panels.lines import Wanted
from roofmodel_ui.panels.table import INSET_PX
from roofmodel_ui.panels.work_forms import (
    ExtrasForm,
    attic_form,
    codes_form,
    labour_form,
    layers_form,
    old_roof_form,
)
from roofmodel_ui.session import Session

GAP_PX = 10


class WorkPage(QWidget):
    """Forms above, checks below."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.old_roof, self.layers = old_roof_form(session), layers_form(session)
        self.attic, self.codes = attic_form(session), codes_form(session)
        self.extras, self.labour = ExtrasForm(session), labour_form(session)
        self.checks = ChecksList(session)
        self._forms = (
            self.old_roof, self.layers, self.attic, self.codes, self.extras, self.labour,
        )  # fmt: skip
        holder = QWidget()
        holder.setObjectName("forms")
        column = QVBoxLayout(holder)
        column.setContentsMargins(INSET_PX, 10, INSET_PX, 10)
        for form in self._forms:
            column.addWidget(form)
            column.addSpacing(GAP_PX)
        column.addStretch(1)
        self.area = QScrollArea()
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidget(holder)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.area)
        split.addWidget(self.checks)
        split.setSizes([560, 440])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(split)
        self._catch = CatchUp(session, self, self.refresh)

    def show_wanted(self, wanted: Wanted) -> None:
        """What is said is not searched."""

    def busy(self) -> bool:
        """Whether the list of checks is selecting just now."""
        return self.checks._busy

    def enter(self) -> None:
        """Go to the checks."""
        self.checks.table.enter()

    def copy(self) -> int:
        """Put the checks on the clipboard; how many."""
        self._catch.now()
        return self.checks.copy()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.checks.redress()

    def refresh(self) -> None:
        """Show the document and the checks as they are now."""
        for form in self._forms:
            form.refresh()
        self.checks.refresh()
