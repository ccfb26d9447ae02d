"""Small buttons on the 3D view: sides to look from, and switches."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QWidget

GAP_PX = 8


class Bar(QWidget):
    """A row of buttons for actions."""

    def __init__(self, parent: QWidget, name: str, actions: Sequence[QAction]) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(3)
        self.buttons: list[QToolButton] = []
        for action in actions:
            button = _button(action)
            line.addWidget(button)
            self.buttons.append(button)
        self.adjustSize()

    def stand(self, *, bottom: bool) -> None:
        """Take the upper left, or the lower left, corner of the parent."""
        self.adjustSize()
        parent = self.parentWidget()
        low = 0 if parent is None else parent.height() - self.height() - GAP_PX
        self.move(GAP_PX, low if bottom else GAP_PX)
        self.raise_()

    def place(self) -> QRectF:
        """Where it stands, for words to keep clear of."""
        return QRectF(self.geometry())


def _button(action: QAction) -> QToolButton:
    """A button that does what the action does, with the action's short words."""
    button = QToolButton()
    button.setText(action.property("button") or action.text())
    button.setAccessibleName(action.text())
    button.setProperty("class", "small")
    button.setCheckable(action.isCheckable())
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    keys = action.shortcut().toString()
    button.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())

    def follow() -> None:
        button.setChecked(action.isChecked())
        button.setEnabled(action.isEnabled())

    # Not the default action: the button would take its long words again at every change.
    button.clicked.connect(action.trigger)
    button.clicked.connect(follow)
    action.changed.connect(follow)
    follow()
    return button
