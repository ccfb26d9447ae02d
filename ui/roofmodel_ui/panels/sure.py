"""How sure quantities and price are, what to measure first, and what a measured value changes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import msgspec
from PySide6.QtCore import QDate, Qt
from PySide6.QtGui import QAction, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Job, Project
from roofmodel.document.sureness_edits import forget_readings, set_tolerances
from roofmodel.errors import RoofmodelError
from roofmodel.units import format_slope, parse_slope
from roofmodel_ui.background import Background
from roofmodel_ui.money_tasks import (
    Certainty,
    Compared,
    CompareTask,
    FieldTask,
    SpreadTask,
    Told,
    Wanted,
)
from roofmodel_ui.panels import lines
from roofmodel_ui.panels.bound import BoundForm, Words
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.fields import heading, quiet
from roofmodel_ui.panels.measure_rows import MeasureRows, read_into
from roofmodel_ui.panels.price_book import button_of
from roofmodel_ui.panels.sure_tables import (
    CHANGES,
    SPANS,
    change_rows,
    fill,
    span_rows,
    sure_table,
    texts_of,
)
from roofmodel_ui.panels.table import INSET_PX, Rows
from roofmodel_ui.selection import OutlineEdgeId, PartId, Selectable, expanded
from roofmodel_ui.session import Session

NOT_YET = (
    "Traced lines and pitches are never exact. Work it out to see how far off quantities and price"
    " may be, and which measurements on the house would help most."
)
STALE = "The project has changed since: work it out again."
CAVEAT = "Low and high are estimates. Field-measure before cutting."


def counts_in(project: Project) -> Project:
    """What certainty depends on: not what lies under the plan, nor names, nor offers."""
    return msgspec.structs.replace(project, offers=(), underlays=(), job=Job(), ids_used=0)


class SurePage(QWidget):
    """Nothing is worked out before `work_out`; a result says when it is of another project."""

    def __init__(self, session: Session, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self.session = session
        self.work, self.comparing = Background(self), Background(self)
        self.found: Certainty | None = None
        self._of: Project | None = None
        self._asked: Project | None = None
        self._written: Path | None = None
        self._tried: tuple[Wanted, str] | None = None
        self.tolerances = _tolerances(session)
        self.go = QPushButton("Work it out")
        self.go.setToolTip(
            "Build the roof again and again with every line and pitch off a little."
        )
        self.go.clicked.connect(self._go_pressed)
        self.progress = QProgressBar()
        self.progress.setAccessibleName("Progress")
        self.progress.setTextVisible(False)
        self.progress.setMaximumHeight(8)
        self.state = quiet(NOT_YET)
        self.state.setAccessibleName("State")
        self.table = sure_table("Low and high", SPANS)
        self.table.copy_wanted.connect(self.copy)
        self.rows = MeasureRows(session)
        self.rows.typed.connect(self._try)
        self.rows.put.connect(self._put)
        self.rows.pointed.connect(self._point)
        self.changes = sure_table("What it changes", CHANGES)
        self.told = quiet()
        self.forget = QPushButton("Forget them")
        self.forget.setProperty("class", "small")
        self.forget.setToolTip(
            "Count them as traced again; the model keeps its lengths and pitches."
        )
        self.forget.clicked.connect(
            lambda: session.attempt("Forget measurements", forget_readings)
        )
        self.readings = quiet()
        self.sheet = (
            button_of(actions["export_field"], "Field sheet …")
            if ("export_field" in actions)
            else None
        )
        self._build()
        self._catch = CatchUp(session, self, self.refresh)
        session.opened.connect(self._begin_anew)
        self.work.told.connect(self._take)
        self.work.changed.connect(self._work_changed)
        self.comparing.told.connect(self._take_compared)
        self.comparing.changed.connect(self._say_compared)

    def work_out(self) -> None:
        """Begin, in the background."""
        if not self.session.results.surface.planes:
            self.session.message.emit("There is no roof to be sure about yet: draw one.", True)
            return
        self._asked, self._written = self.session.project, None
        self.progress.setRange(0, 0)
        self.work.ask(SpreadTask(self.session.project))

    def write_field_sheet(self, path: Path) -> None:
        """Write the sheet of what to measure to a PDF file, in the background."""
        self._asked, self._written = self.session.project, path
        self.progress.setRange(0, 0)
        today = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        self.work.ask(FieldTask(self.session.project, str(path), today))

    def is_stale(self) -> bool:
        """Whether what is shown is of another project."""
        project = self.session.project
        return (
            self._of is not None
            and self._of is not project
            and (counts_in(self._of) != counts_in(project))
        )

    def shut_down(self) -> None:
        """The window closes."""
        self.work.shut_down()
        self.comparing.shut_down()

    def show_wanted(self, wanted: lines.Wanted) -> None:
        """Certainty is not searched."""

    def busy(self) -> bool:
        """Nothing is selected from here."""
        return False

    def enter(self) -> None:
        """Go to the table."""
        self.table.enter()

    def copy(self) -> int:
        """Put low and high on the clipboard; how many rows."""
        self._catch.now()
        rows = texts_of(self.table)
        QApplication.clipboard().setText(lines.tabbed((SPANS, *rows)))
        return len(rows)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()

    def refresh(self) -> None:
        """Show what is known, and what it is worth."""
        self.tolerances.refresh()
        working, stale = self.work.state == "working", self.is_stale()
        self.go.setText("Stop" if working else "Work it out")
        self.go.setEnabled(working or bool(self.session.results.surface.planes))
        self.progress.setVisible(working and self.work.is_long)
        if not working:
            self.state.setText(self._words(stale))
        elif not self.state.text().startswith("Building"):
            self.state.setText("Working it out …")
        found = self.found
        self._results.setVisible(found is not None)
        if found is not None:
            fill(self.table, span_rows(found.spans, self.session.project), stale=stale)
            self._fit(self.table)
            self.rows.show_wanted(list(found.wanted), found.target)
        count = len(self.session.project.readings)
        self._read.setVisible(count > 0)
        have = "measurement is" if count == 1 else "measurements are"
        self.readings.setText(f"{count} {have} in the model and counted as exact.")

    def _words(self, stale: bool) -> str:
        if self.work.state == "failed":
            return self.work.sentence
        if self.work.state == "stopped":
            return "Stopped." if self.found is None else f"Stopped. {STALE if stale else ''}"
        if self.found is None:
            return NOT_YET
        invented = self.session.project.prices
        words = STALE if stale else CAVEAT
        return f"{words} Prices are invented." if invented and invented.sample else words

    def _take(self, answer: object) -> None:
        if isinstance(answer, Told):
            self.progress.setRange(0, answer.count)
            self.progress.setValue(answer.done)
            self.state.setText(f"Building roof {answer.done} of {answer.count} …")
        elif isinstance(answer, Certainty):
            self.found, self._of = answer, self._asked
            self._tried = None
            self._changed.setVisible(False)
            self._catch.later()

    def _work_changed(self) -> None:
        """A field sheet that was asked for is there, or is not to be had."""
        path, state = self._written, self.work.state
        if path is not None and state != "working":
            self._written = None
            if state == "idle":
                self.session.message.emit(f"Written to {path.name}.", False)
            else:
                why = self.work.sentence or "it was stopped."
                self.session.message.emit(f"{path.name} was not written: {why}", True)
        self._catch.later()

    def _go_pressed(self) -> None:
        if self.work.state == "working":
            self.work.stop()
        else:
            self.work_out()

    def _begin_anew(self) -> None:
        """Another project was opened."""
        self.work.stop()
        self.comparing.stop()
        self.found = self._of = self._tried = None
        self.rows.forget()
        self._changed.setVisible(False)
        self._catch.later()

    def _try(self, wanted: Wanted, typed: str) -> None:
        """Show what a measured value would change."""
        project = self.session.project
        try:
            after = read_into(project, wanted, typed)
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
            return
        self._tried = (wanted, typed)
        self.comparing.ask(CompareTask(project, after))

    def _put(self, wanted: Wanted, typed: str) -> None:
        """Make the model as it was measured."""
        words = "Put in measured length" if wanted.edge else "Put in measured pitch"
        if self.session.attempt(words, lambda p: read_into(p, wanted, typed)):
            self.rows.mark_in_model(wanted)
            self.session.message.emit(
                f"{wanted.name}: the model has {typed.strip()} now. Undo takes it back.", False
            )

    def _take_compared(self, answer: object) -> None:
        if isinstance(answer, Compared):
            rows = change_rows(answer, self.session.project)
            fill(self.changes, rows)
            self.changes.setVisible(bool(rows))
            self._fit(self.changes)
            if self._tried is not None:
                wanted, typed = self._tried
                nothing = "" if rows else " Nothing changes."
                self.told.setText(f"{wanted.name} as {typed.strip()}:{nothing}")
            self._changed.setVisible(True)

    def _say_compared(self) -> None:
        if self.comparing.state == "failed":
            self.session.message.emit(self.comparing.sentence, True)

    def _point(self, wanted: Wanted) -> None:
        """Light up what is to be measured."""
        results = self.session.results
        item: Selectable
        item = OutlineEdgeId(wanted.part, wanted.edge) if wanted.edge else PartId(wanted.part)
        self.session.select(())
        self.session.highlight.show(expanded(results, frozenset({item})))

    def _fit(self, table: Rows) -> None:
        """As tall as its rows are: the page scrolls, not every table in it."""
        rows = (table.sizeHintForRow(0) or 20) * table.topLevelItemCount()
        table.setFixedHeight(table.header().sizeHint().height() + rows + 4)

    def _build(self) -> None:
        self._results, self._changed, self._read = QWidget(), QWidget(), QWidget()
        results = QVBoxLayout(self._results)
        results.setContentsMargins(0, 0, 0, 0)
        results.setSpacing(6)
        results.addWidget(self.table)
        results.addWidget(heading("Measure these first"))
        results.addWidget(self.rows)
        changed = QVBoxLayout(self._changed)
        changed.setContentsMargins(0, 4, 0, 0)
        changed.setSpacing(4)
        changed.addWidget(heading("What it changes"))
        changed.addWidget(self.told)
        changed.addWidget(self.changes)
        self._changed.hide()
        read = QHBoxLayout(self._read)
        read.setContentsMargins(0, 0, 0, 0)
        read.addWidget(self.readings, 1)
        read.addWidget(self.forget)
        line = QHBoxLayout()
        line.setSpacing(6)
        line.addWidget(self.go)
        if self.sheet is not None:
            line.addWidget(self.sheet)
        line.addWidget(self.progress, 1)
        line.addStretch(0)
        holder = QWidget()
        holder.setObjectName("forms")
        column = QVBoxLayout(holder)
        column.setContentsMargins(INSET_PX, 10, INSET_PX, 10)
        column.setSpacing(8)
        column.addWidget(self.tolerances)
        column.addLayout(line)
        for part in (self.state, self._results, self._changed, self._read):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setWidget(holder)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(area)


def _tolerances(session: Session) -> BoundForm:
    form = BoundForm(session, "How far off may it be?")
    form.length(
        Words(
            "Traced lines, either way by",
            "How far a side of an outline may lie off where it was traced.",
            "Set tolerance of lines",
        ),
        lambda p: p.tolerances.tracing,
        lambda p, v: set_tolerances(p, tracing=v),
        small=True,
    )
    form.text(
        Words("Pitches, either way by", "How far a pitch may be off, such as 0.5/12.",
              "Set tolerance of pitches"),
        lambda p: format_slope(p.tolerances.pitch),
        lambda p, t: set_tolerances(p, pitch=parse_slope(t)),
    )  # fmt: skip
    return form
