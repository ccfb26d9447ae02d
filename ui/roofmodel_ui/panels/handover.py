"""Files to hand over, and what is still doubtful before they go."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QPushButton, QWidget

from roofmodel_ui.panels.fields import heading, panel_layout, quiet
from roofmodel_ui.session import Session


class HandOverPanel(QWidget):
    """The panel of the Hand over stage: a button for every file."""

    def __init__(
        self, session: Session, actions: Sequence[QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        layout = panel_layout(self)
        layout.addWidget(heading("Files"))
        for action in actions:
            button = QPushButton(action.text().replace("…", "").strip() + " …")
            button.setToolTip(action.toolTip())
            button.clicked.connect(action.trigger)
            button.setEnabled(action.isEnabled())
            action.enabledChanged.connect(button.setEnabled)
            layout.addWidget(button)
            layout.addWidget(quiet(action.toolTip()))
            layout.addSpacing(6)
        layout.addSpacing(4)
        layout.addWidget(heading("To check"))
        self._problems = quiet()
        layout.addWidget(self._problems)
        layout.addStretch(1)
        session.result_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """List what is doubtful."""
        results = self.session.results
        sentences = [p.sentence for p in results.problems] + list(results.take_off.warnings)
        sentences += [e.remark for e in results.surface.edges if e.remark]
        unique = list(dict.fromkeys(sentences))
        self._problems.setText("\n\n".join(unique) or "Nothing doubtful was found.")
