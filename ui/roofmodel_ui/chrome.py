"""What frames the work: the strip of stages, the rail of tools, the notice, the totals."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QAction, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import NOT_IN_JOB
from roofmodel.units import format_area, format_squares
from roofmodel_ui.problems import ProblemList, counted
from roofmodel_ui.session import Session

STAGES = ("Place", "Shape", "Cover", "Count", "Hand over")
_TIPS = ("Job, pictures and their scale", "Outlines and pitches", "Roofing system and trim",
         "Quantities", "Drawings and files")  # fmt: skip
NOTICE_MS = 7000


class StageStrip(QWidget):
    """The five stages of the work, in the order it usually takes; none locks another."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("stages")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        line = QHBoxLayout(self)
        line.setContentsMargins(8, 0, 8, 0)
        line.setSpacing(2)
        self._group = QButtonGroup(self)
        self.buttons: dict[str, QToolButton] = {}
        for number, (stage, tip) in enumerate(zip(STAGES, _TIPS, strict=True), 1):
            button = QToolButton()
            button.setText(f"{number}  {stage}")
            button.setAccessibleName(stage)
            button.setToolTip(tip)
            button.setCheckable(True)
            button.setProperty("class", "stage")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(lambda _=False, s=stage: self.chosen.emit(s))
            self._group.addButton(button)
            self.buttons[stage] = button
            line.addWidget(button)
        line.addStretch(1)

    def check(self, stage: str) -> None:
        """Mark the stage we are in."""
        self.buttons[stage].setChecked(True)


class Rail(QWidget):
    """The tools and commands of a stage, as buttons with whole words."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("rail")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(124)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(8, 10, 8, 10)
        self._column.setSpacing(4)
        self._column.addStretch(1)

    def fill(self, actions: Sequence[QAction]) -> None:
        """Show these actions."""
        while self._column.count() > 1:
            item = self._column.takeAt(0)
            if item is not None and (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        for place, action in enumerate(actions):
            button = QToolButton()
            button.setDefaultAction(action)
            button.setProperty("class", "tool")
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            keys = action.shortcut().toString()
            button.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())
            self._column.insertWidget(place, button)


class Notice(QFrame):
    """One calm sentence under the stages; errors stay until they are closed."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("notice")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 6, 8, 6)
        self.label = QLabel()
        self.label.setWordWrap(True)
        self.label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QToolButton()
        close.setText("Close")
        close.setAutoRaise(True)
        close.clicked.connect(self.hide)
        self.offer = QToolButton()
        self.offer.setAccessibleName("What the notice offers")
        self.offer.clicked.connect(lambda: self._offered())
        self._offered: Callable[[], object] = self.hide
        line.addWidget(self.label, 1)
        line.addWidget(self.offer)
        line.addWidget(close)
        self._timer = QTimer(self, interval=NOTICE_MS, singleShot=True)
        self._timer.timeout.connect(self.hide)
        self.hide()

    def height_for(self, width: int) -> int:
        """The height that the sentence needs at a width, pixels."""
        return self.heightForWidth(width)

    def forget(self) -> None:
        """The mistake was mended: an error no longer holds."""
        if self.property("error") == "true":
            self.hide()

    def say(
        self, sentence: str, error: bool, offer: tuple[str, Callable[[], object]] | None = None
    ) -> None:
        """Show a sentence; with an `offer`, words on a button and what it does, until the next."""
        self.label.setText(sentence)
        self.offer.setVisible(offer is not None)
        if offer is not None:
            self.offer.setText(offer[0])
            self._offered = offer[1]
        self.setProperty("error", "true" if error else "false")
        self.style().unpolish(self)
        self.style().polish(self)
        self.label.style().unpolish(self.label)
        self.label.style().polish(self.label)
        self.show()
        self.changed.emit()
        if error or offer is not None:
            self._timer.stop()
        else:
            self._timer.start()


class Hint(QLabel):
    """Words at the right; where there is no room for all of them their end is left out."""

    def elided(self) -> str:
        """The words as they fit."""
        end = Qt.TextElideMode.ElideRight
        return self.fontMetrics().elidedText(self.text(), end, self.contentsRect().width())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        at = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(self.contentsRect(), at, self.elided())


class Totals(QWidget):
    """The line at the bottom: what the roof comes to, what is doubtful, what the tool wants."""

    problem_chosen = Signal(object)
    mend_wanted = Signal(object)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.setObjectName("totals")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 5, 16, 5)
        line.setSpacing(24)
        self.area, self.planes, self.problems = QLabel(), QLabel(), QToolButton()
        self.problems.setToolTip("Show what is wrong or doubtful.")
        self.list = ProblemList(session)
        self.problems.clicked.connect(self.list.open)
        self.list.chosen.connect(self.problem_chosen)
        self.list.mend_wanted.connect(self.mend_wanted)
        self._hint = Hint()
        self._hint.setProperty("class", "quiet")
        self._hint.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        for part in (self.area, self.planes, self.problems):
            line.addWidget(part)
        line.addWidget(self._hint, 1)
        session.result_changed.connect(self.refresh)
        self.refresh()

    def show_hint(self, text: str) -> None:
        """Say how the tool at hand is used."""
        if text != self._hint.text():
            self._hint.setText(text)
            self._hint.setToolTip(text)

    def refresh(self) -> None:
        """Count again."""
        results = self.session.results
        planes = results.surface.planes
        in_job = [p for p in planes if results.take_off.coverings[p.id] != NOT_IN_JOB]
        words = "" if len(in_job) == len(planes) else " in this job"
        total, units = sum(p.true_area for p in in_job), results.project.units
        # A square is 100 square feet: nobody who works in metres counts in it.
        area = format_area(total, units) if units.system == "metric" else format_squares(total)
        self.area.setText(f"Roof {area}{words}")
        self.planes.setText(f"{len(planes)} planes" if len(planes) != 1 else "1 plane")
        problems = results.problems
        self.problems.setText(counted(problems))
        self.problems.setAutoRaise(not problems)
        self.problems.setEnabled(bool(problems))
