"""The list of what is wrong or doubtful, at the right: go to each, or have it mended.

Vocabulary
----------
group
    Problems whose sentences are equal but for the names in them: one row, a button for each.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QMouseEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Mend, Problem, Project
from roofmodel.results import Results
from roofmodel_ui.session import Session

ABREAST = 3
"""Buttons in a line."""
SHARE = 0.5
"""Part of its column's height that the list takes."""


@dataclass(frozen=True, slots=True)
class Group:
    """Problems of one kind: the first's sentence, and a name for each of them."""

    problems: tuple[Problem, ...]
    names: tuple[str, ...]

    @property
    def serious(self) -> bool:
        """Whether part of the roof could not be built."""
        return self.problems[0].serious

    @property
    def sentence(self) -> str:
        """What is the matter, and with what else."""
        first = self.problems[0].sentence
        if len(self.problems) == 1:
            return first
        others = [n for n in dict.fromkeys(self.names[1:]) if n != self.names[0]]
        if not others:
            return f"{first} The same at {len(self.problems) - 1} more."
        return f"{first} The same holds for {_listed(others)}."

    def mend(self) -> Mend | None:
        """The mends of all of them as one edit."""
        mends = [p.mend for p in self.problems if p.mend is not None]
        if len(mends) < 2:
            return mends[0] if mends else None

        def mended(project: Project) -> Project:
            for mend in mends:
                project = mend.edit(project)
            return project

        return Mend(f"{mends[0].words}: all {len(mends)}", mended)


def groups_of(problems: Iterable[Problem], names: Iterable[str]) -> list[Group]:
    """Problems with equal sentences together, the serious ones first; `names` are those of the
    planes, edges and parts that sentences may differ in."""
    known = sorted({n for n in names if n}, key=lambda n: (-len(n), n))
    pattern = re.compile("|".join(rf"\b{re.escape(n)}\b" for n in known)) if known else None
    found: dict[tuple[bool, str], list[tuple[Problem, str]]] = {}
    for problem in problems:
        first = pattern.search(problem.sentence) if pattern else None
        key = pattern.sub("#", problem.sentence) if pattern else problem.sentence
        name = first.group() if first else ""
        found.setdefault((not problem.serious, key), []).append((problem, name))
    return [
        Group(tuple(p for p, _ in members), tuple(n for _, n in members))
        for _, members in sorted(found.items(), key=lambda item: item[0][0])
    ]


def names_in(results: Results) -> list[str]:
    """Names of planes, roof edges and parts."""
    project = results.project
    return [
        *(p.name for p in results.surface.planes),
        *(e.name for e in results.surface.edges),
        *(s.name for s in project.sections()),
        *(p.name for p in project.planes()),
        *(o.name for o in project.openings()),
    ]


def counted(problems: Sequence[Problem]) -> str:
    """How many problems there are, in words."""
    serious = sum(p.serious for p in problems)
    if not problems:
        return "No problems"
    if serious == len(problems):
        return "1 serious problem" if serious == 1 else f"{serious} serious problems"
    words = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
    return f"{words}, {serious} serious" if serious else words


class ProblemRow(QFrame):
    """One group in a sentence, with what can be done about it. A click goes to the first."""

    chosen = Signal(object)
    mend_wanted = Signal(object)

    def __init__(self, group: Group) -> None:
        super().__init__()
        self.setObjectName("problem")
        self.group = group
        self.label = QLabel(group.sentence)
        self.label.setWordWrap(True)
        self.go_to: list[QPushButton] = []
        self.mend: QPushButton | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 10)
        column.setSpacing(6)
        if group.serious:
            mark = QLabel("Serious: part of the roof is missing")
            mark.setProperty("class", "serious")
            column.addWidget(mark)
        column.addWidget(self.label)
        grid = QGridLayout()
        grid.setSpacing(6)
        for problem, name in zip(group.problems, group.names, strict=True):
            if not _has_place(problem):
                continue
            words = "Go to" if len(group.problems) == 1 else name or f"Place {len(self.go_to) + 1}"
            button = QPushButton(words)
            button.setProperty("class", "small")
            button.setAccessibleName(f"Go to: {problem.sentence}")
            button.setToolTip("Select what it is about, and show its place in plan and in 3D.")
            button.clicked.connect(lambda _=False, p=problem: self.chosen.emit(p))
            grid.addWidget(button, len(self.go_to) // ABREAST, len(self.go_to) % ABREAST)
            self.go_to.append(button)
        grid.setColumnStretch(ABREAST, 1)
        if self.go_to:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            column.addLayout(grid)
        mend = group.mend()
        if mend is not None:
            self.mend = QPushButton(mend.words)
            self.mend.setProperty("class", "small")
            self.mend.clicked.connect(
                lambda: self.mend_wanted.emit(Problem(group.sentence, mend=mend))
            )
            line = QHBoxLayout()
            line.addWidget(self.mend)
            line.addStretch(1)
            column.addLayout(line)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.go_to:
            self.go_to[0].click()
        event.accept()


class ProblemList(QFrame):
    """The problems one below another. It stays open while one after the other is mended."""

    chosen = Signal(object)
    mend_wanted = Signal(object)
    shown = Signal(bool)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.setObjectName("problems")
        self.setAccessibleName("Problems")
        self.rows: list[ProblemRow] = []
        self._told: tuple[Problem, ...] | None = None
        self._later = QTimer(self, interval=0, singleShot=True)
        self._later.timeout.connect(self.refresh)
        heading = QLabel("Problems")
        heading.setProperty("class", "heading")
        self.all, self.serious, close = QToolButton(), QToolButton(), QToolButton()
        self._which = QButtonGroup(self)
        for button in (self.all, self.serious):
            button.setCheckable(True)
            button.clicked.connect(self._fill)
            self._which.addButton(button)
        self.all.setChecked(True)
        self.all.setAccessibleName("All problems")
        self.serious.setAccessibleName("Serious problems")
        self.serious.setToolTip("Only where part of the roof could not be built.")
        close.setText("Close")
        close.setToolTip("Close the list of problems (Esc)")
        close.clicked.connect(self.hide)
        top = QHBoxLayout()
        top.setContentsMargins(14, 8, 8, 4)
        top.setSpacing(4)
        top.addWidget(heading, 1)
        for button in (self.all, self.serious, close):
            button.setProperty("class", "small")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            top.addWidget(button)
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self._area, 1)
        self.setMinimumHeight(180)
        self.hide()
        session.result_changed.connect(self._changed)

    def open(self) -> None:
        """Show the list, or close it if it is open."""
        if self.isVisible():
            self.hide()
            return
        self.all.setChecked(True)
        self.show()
        first = next((r.go_to[0] for r in self.rows if r.go_to), self)
        first.setFocus()

    def refresh(self) -> None:
        """Bring the list up to the session; it closes once nothing is left."""
        self.show_problems(self.session.results.problems)
        if not self.rows and self.isVisible() and self.all.isChecked():
            self.hide()

    def show_problems(self, problems: tuple[Problem, ...]) -> None:
        """List these problems."""
        if problems != self._told:
            self._told = problems
            self._fill()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()
        self._take_room()
        self.shown.emit(True)

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.shown.emit(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _take_room(self) -> None:
        """In a column of panels take the lower part: a splitter gives a new one nothing."""
        column = self.parentWidget()
        if isinstance(column, QSplitter):
            index = column.indexOf(self)
            sizes = column.sizes()
            own = round(column.height() * SHARE)
            rest = sum(s for k, s in enumerate(sizes) if k != index) or 1
            factor = max(column.height() - own, 1) / rest
            column.setSizes(
                [own if k == index else round(s * factor) for k, s in enumerate(sizes)]
            )

    def _changed(self) -> None:
        # A drag changes results many times over: only the last of them is listed.
        if self.isVisible():
            self._later.start()

    def _fill(self) -> None:
        problems = self._told or ()
        serious = sum(p.serious for p in problems)
        self.all.setText(f"All {len(problems)}")
        self.serious.setText(f"Serious {serious}")
        self.serious.setEnabled(serious > 0)
        if not serious:
            self.all.setChecked(True)
        groups = groups_of(problems, names_in(self.session.results))
        if self.serious.isChecked():
            groups = [g for g in groups if g.serious]
        at = self._area.verticalScrollBar().value()
        holder = QWidget()
        holder.setObjectName("forms")
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.rows = [ProblemRow(g) for g in groups]
        for row in self.rows:
            row.chosen.connect(self.chosen)
            row.mend_wanted.connect(self.mend_wanted)
            column.addWidget(row)
        column.addStretch(1)
        self._area.setWidget(holder)
        self._area.verticalScrollBar().setValue(at)


def _has_place(problem: Problem) -> bool:
    return bool(problem.places or problem.section)


def _listed(names: list[str]) -> str:
    """Names in a row with "and" before the last."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
