"""Questions about unsaved work and files that others have open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMessageBox,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel_io.working_copy import Leftover
from roofmodel_ui.recovery import when

if TYPE_CHECKING:
    from roofmodel_ui.files import Files


PADDING_PX = 6
"""About the words of a row."""


def ask(parent: QWidget, title: str, sentence: str, yes: str) -> bool:
    """Ask one question; whether the answer is `yes`, and not to leave all as it is."""
    box = QMessageBox(QMessageBox.Icon.NoIcon, title, sentence, parent=parent)
    accept = box.addButton(yes, QMessageBox.ButtonRole.AcceptRole)
    cancel = box.addButton("Cancel", QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(accept)
    box.setEscapeButton(cancel)
    box.exec()
    return box.clickedButton() is accept


def offer(files: Files, left: Sequence[Leftover]) -> None:
    """Show what was left unsaved, if anything; take up, throw away or leave what is chosen."""
    if not left:
        return
    dialog = RecoveryDialog(files.window, left)
    done = dialog.exec() == QDialog.DialogCode.Accepted
    for each in left:
        if done and each is dialog.chosen():
            files.go_on_with(each)
        elif each not in dialog.thrown:
            each.release()


class RecoveryDialog(QDialog):
    """The unsaved work that was found, one line each."""

    def __init__(self, parent: QWidget, left: Sequence[Leftover]) -> None:
        super().__init__(parent)
        self.setWindowTitle("Unsaved work")
        self.setMinimumWidth(520)
        self.thrown: list[Leftover] = []
        heading = QLabel("Nothing was lost")
        heading.setProperty("class", "heading")
        about = QLabel(
            "The program ended before this work was saved. Go on with it, or leave it for later."
        )
        about.setWordWrap(True)
        about.setProperty("class", "quiet")
        self.rows = QListWidget()
        self.rows.setAccessibleName("Unsaved work")
        for each in left:
            item = QListWidgetItem(words_of(each))
            item.setData(Qt.ItemDataRole.UserRole, each)
            self.rows.addItem(item)
        self.rows.setCurrentRow(0)
        self.rows.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rows.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.rows.setStyleSheet(f"QListWidget::item {{ padding: {PADDING_PX}px; }}")
        high = 2 * self.rows.fontMetrics().lineSpacing() + 2 * PADDING_PX + 2
        self.rows.setFixedHeight(min(max(len(left), 2), 6) * high + 4)
        self.rows.itemDoubleClicked.connect(lambda _: self.accept())
        self.go_on = QPushButton("Go on with it")
        self.go_on.setDefault(True)
        self.later = QPushButton("Later")
        self.throw = QPushButton("Throw away")
        self.go_on.clicked.connect(self.accept)
        self.later.clicked.connect(self.reject)
        self.throw.clicked.connect(self._throw)
        buttons = QHBoxLayout()
        buttons.addWidget(self.throw)
        buttons.addStretch(1)
        buttons.addWidget(self.later)
        buttons.addWidget(self.go_on)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        for part in (heading, about, self.rows):
            column.addWidget(part)
        column.addLayout(buttons)
        self.rows.setFocus()

    def chosen(self) -> Leftover | None:
        """The work of the marked row."""
        item = self.rows.currentItem()
        left = None if item is None else item.data(Qt.ItemDataRole.UserRole)
        return left if isinstance(left, Leftover) else None

    def _throw(self) -> None:
        left = self.chosen()
        if left is None:
            return
        sentence = f"Throw away the unsaved work on {left.name}? It cannot be brought back."
        if not ask(self, "Throw away", sentence, "Throw away"):
            return
        left.remove()
        self.thrown.append(left)
        self.rows.takeItem(self.rows.currentRow())
        if not self.rows.count():
            self.reject()


def words_of(left: Leftover) -> str:
    """What it is, where the house stands, how much was drawn, from when, where it was saved."""
    if left.saved_as is None:
        where = "never saved"
    elif left.is_older_than_saved():
        where = f"{left.saved_as.name} was saved after this"
    else:
        where = f"changes to {left.saved_as.name}"
    facts = [left.name, left.place]
    if left.parts is not None:
        facts.append("1 part" if left.parts == 1 else f"{left.parts or 'no'} parts")
    facts += [f"unfinished {ring.thing}" for ring in left.begun]
    return f"{' · '.join(f for f in facts if f)}\n{when(left.written)}, {where}"
