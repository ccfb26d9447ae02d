"""The list of what is wrong or doubtful, over the totals: go to each, or have it mended."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Problem

WIDTH, MOST_HEIGHT = 560, 400


class ProblemRow(QFrame):
    """One problem in a sentence, with what can be done about it."""

    def __init__(self, problem: Problem) -> None:
        super().__init__()
        self.setObjectName("problem")
        self.problem = problem
        self.label = QLabel(problem.sentence)
        self.label.setWordWrap(True)
        self.go_to = QPushButton("Go to")
        self.go_to.setToolTip("Select what it is about, and show its place in plan.")
        self.mend: QPushButton | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 10)
        column.setSpacing(6)
        column.addWidget(self.label)
        line = QHBoxLayout()
        line.setSpacing(8)
        if problem.places or problem.section:
            line.addWidget(self.go_to)
        else:
            self.go_to.setParent(self)
            self.go_to.hide()
        if problem.mend is not None:
            self.mend = QPushButton(problem.mend.words)
            line.addWidget(self.mend)
        line.addStretch(1)
        if line.count() > 1:
            column.addLayout(line)


class ProblemList(QFrame):
    """The problems one below another, over the button that opens the list."""

    chosen = Signal(object)
    mend_wanted = Signal(object)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowFlag(Qt.WindowType.Popup)
        self.setObjectName("problems")
        self.setAccessibleName("Problems")
        self.rows: list[ProblemRow] = []
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 1, 1, 1)
        column.addWidget(self._area)

    def open_over(self, button: QWidget, problems: Sequence[Problem]) -> None:
        """Show these problems with the lower left corner at the button's upper left."""
        holder = QWidget()
        holder.setObjectName("forms")
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.rows = [ProblemRow(p) for p in problems]
        for row in self.rows:
            column.addWidget(row)
            row.go_to.clicked.connect(lambda _=False, p=row.problem: self._go_to(p))
            if row.mend is not None:
                row.mend.clicked.connect(lambda _=False, p=row.problem: self._mend(p))
        column.addStretch(1)
        self._area.setWidget(holder)
        inner = WIDTH - 2 - self._area.verticalScrollBar().sizeHint().width()
        tall = sum(row.heightForWidth(inner) for row in self.rows) + 4
        self.resize(WIDTH, min(tall, MOST_HEIGHT))
        self.move(button.mapToGlobal(QPoint(0, -self.height() - 4)))
        self.show()
        first = next((r.go_to for r in self.rows if not r.go_to.isHidden()), self)
        first.setFocus()

    def _go_to(self, problem: Problem) -> None:
        self.hide()
        self.chosen.emit(problem)

    def _mend(self, problem: Problem) -> None:
        self.hide()
        self.mend_wanted.emit(problem)
