"""The lines of the take-off: searched, sorted, copied, explained, and lit up on the roof."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QItemSelection, QItemSelectionModel, QModelIndex, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.explanation import Explanation
from roofmodel_ui.panels.fields import heading
from roofmodel_ui.panels.line_model import LineModel
from roofmodel_ui.panels.lines import (
    BUILDING,
    COLUMNS,
    COVERING,
    PACKS,
    QUANTITY,
    UNIT,
    Line,
    Wanted,
    about_words,
    amount,
    copied,
    groups_of,
    lines_of,
)
from roofmodel_ui.panels.lines_view import NAMED, LinesView
from roofmodel_ui.panels.table import inset
from roofmodel_ui.selection import Selectable, Selection
from roofmodel_ui.session import Session


def sources_of(line: Line) -> set[Selectable]:
    """What a line stands for: its edges, or its planes where it has none."""
    return set(line.quantity.edges) or set(line.quantity.planes)


class QuantitiesPanel(QWidget):
    """The lines with their explanation below. A line chosen lights up what it came from in plan
    and 3D; one that stands for a single plane or edge selects it. What is selected there chooses
    the lines that stand for it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.model = LineModel(self)
        self.table = LinesView(self.model)
        self.explanation = Explanation()
        self.wanted = Wanted()
        self._lines: list[Line] = []
        self._folded: set[str] = set()
        self._whole = False
        self._busy = False
        self._went = False
        self._catch = CatchUp(session, self, self._read)
        self._sorted = (-1, Qt.SortOrder.AscendingOrder)
        self._own: Selection | None = None
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        self._title = QWidget()
        self._title.setLayout(inset(heading("Quantities"), 10, 6))
        layout.addWidget(self._title)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.addWidget(self.table)
        self._split.addWidget(self.explanation)
        self._split.setStretchFactor(0, 1)
        self._split.setStretchFactor(1, 0)
        self._split.setChildrenCollapsible(False)
        self.table.setMinimumHeight(60)
        self.explanation.setMinimumHeight(58)
        layout.addWidget(self._split, 1)
        self._connect()
        self.set_whole(False)

    def rows(self) -> list[tuple[str, str, str]]:
        """Group, item and quantity as shown, row by row."""
        self._catch.now()
        units = self.session.results.project.units
        return [
            (line.quantity.group, line.quantity.item, amount(line.quantity, units))
            for line, _ in self.model.lines()
        ]

    def chosen(self) -> list[Line]:
        """The lines that are chosen, from above."""
        self._catch.now()
        selection = self.table.selectionModel()
        if not selection.hasSelection():
            return []
        return [line for line, index in self.model.lines() if selection.isSelected(index)]

    def set_whole(self, whole: bool) -> None:
        """Show all columns, or but the two that fit under a form."""
        if not whole:
            self.session.highlight.show(())
            self.wanted = Wanted()
        if whole != self._whole:
            self.table.scrollToTop()  # the job's own totals come first
        self._whole = whole
        self.model.compact = not whole
        self._title.setVisible(not whole)
        self.table.header().setSectionsClickable(whole)
        if not whole:
            self._sort(-1)
        self._split.setSizes([1000, 116 if whole else 58])
        self._catch.later()
        self._fit()

    def show_wanted(self, wanted: Wanted) -> None:
        """Show only the lines that fit."""
        if wanted != self.wanted:
            self.wanted = wanted
            self._refresh()

    def enter(self) -> None:
        """Go to the table, and to its first line if none is chosen."""
        self.table.setFocus(Qt.FocusReason.TabFocusReason)
        first = next((index for _, index in self.model.lines()), None)
        if first is not None and not self.chosen():
            self.table.setCurrentIndex(first)

    def copy(self) -> int:
        """Put the chosen lines, or else all that are shown, on the clipboard; how many."""
        lines = self.chosen() or [line for line, _ in self.model.lines()]
        QApplication.clipboard().setText(copied(lines))
        return len(lines)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()

    def _connect(self) -> None:
        session, table = self.session, self.table
        table.selectionModel().selectionChanged.connect(self._rows_chosen)
        table.expanded.connect(lambda index: self._fold(index, False))
        table.collapsed.connect(lambda index: self._fold(index, True))
        table.copy_wanted.connect(self._copy_said)
        table.left.connect(self.let_go)
        table.header().sectionClicked.connect(self._sort)
        session.selection_changed.connect(self._mark)
        session.highlight.changed.connect(self._unlit)
        session.opened.connect(table.scrollToTop)

    def _copy_said(self) -> None:
        count = self.copy()
        lines = "1 line" if count == 1 else f"{count} lines"
        self.session.message.emit(f"Copied {lines} for a spreadsheet.", False)

    def _read(self) -> None:
        self._lines = lines_of(self.session.results)
        self._refresh()

    def _refresh(self) -> None:
        """Show the lines again; rows that stay are changed in place, so scrolling is kept."""
        units = self.session.results.project.units
        groups = groups_of(self._lines, self.wanted, units)
        chosen = {(q.group, q.item) for q in (line.quantity for line in self.chosen())}
        self._busy = True
        changed = self.model.show(groups)
        if changed:
            self._unfold()
            self._choose(
                index for line, index in self.model.lines()
                if (line.quantity.group, line.quantity.item) in chosen
            )  # fmt: skip
        self._fit(anew=changed)
        self._busy = False
        still = self.chosen()
        if still and self._own == self.session.selection:
            self._explain(still)  # chosen here by hand, and nothing else was selected since
        else:
            self._mark()

    def _unfold(self) -> None:
        searching = bool(self.wanted.words or self.wanted.about)
        self.table.setUpdatesEnabled(False)
        self.table.expandToDepth(0)  # at once: one by one the view is laid out as often
        for row, group in enumerate(self.model.groups):
            if group.title in self._folded and not searching:
                self.table.collapse(self.model.index(row, 0))
            plain = group.total == ("", "")
            self.table.setFirstColumnSpanned(row, QModelIndex(), plain)
        self.table.setUpdatesEnabled(True)

    def _fold(self, index: QModelIndex, folded: bool) -> None:
        if not self._busy and self.model.line(index) is None:
            title = self.model.groups[index.row()].title
            (self._folded.add if folded else self._folded.discard)(title)

    def _fit(self, *, anew: bool = True) -> None:
        shown = {QUANTITY}
        if self._whole:
            shown |= {UNIT, *(column for column in NAMED if self._has(column))}
        self.table.fit_columns(self._lines, shown, anew=anew)

    def _has(self, column: int) -> bool:
        """Buildings and coverings only stand there where there are several."""
        if column == PACKS:
            return any(line.quantity.packs for line in self._lines)
        if column == BUILDING and self.wanted.building:
            return False
        if column == COVERING and self.wanted.covering:
            return False
        return len({line.cells[column] for line in self._lines} - {""}) > 1

    def _sort(self, column: int) -> None:
        """First press rising, second falling, third the lines' own order."""
        rising, falling = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
        # Not what the header shows: it turns its mark by itself before it tells of a press.
        if column < 0 or self._sorted == (column, falling):
            self._sorted = (-1, rising)
        else:
            again = self._sorted[0] == column
            self._sorted = (column, falling if again else rising)
        header = self.table.header()
        header.setSortIndicatorShown(self._sorted[0] >= 0)
        if self._sorted[0] >= 0:
            header.setSortIndicator(*self._sorted)
        chosen = {id(line) for line in self.chosen()}
        self._busy = True
        self.model.sort(*self._sorted)
        self._unfold()
        self._choose(index for line, index in self.model.lines() if id(line) in chosen)
        self._busy = False

    def busy(self) -> bool:
        """Whether this list is selecting just now."""
        return self._busy

    def let_go(self) -> None:
        """Choose nothing and light nothing."""
        self.session.select(())
        self.table.clearSelection()

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        chosen = self.chosen()
        single = [s for s in map(sources_of, chosen) if len(s) == 1]
        lit: set[Selectable] = set()
        for line in chosen:
            lit |= line.about
        self._busy = True
        # Lines that sum up whole roofs select nothing: a command would act on all of it.
        self.session.select(set().union(*single) if len(single) == len(chosen) else ())
        self.session.highlight.show(lit)
        self._own = self.session.selection
        self._busy = False
        self._explain(chosen)

    def _unlit(self) -> None:
        """Nothing is lit any more, as after a click on empty ground."""
        if not self._busy and not self.session.highlight.items and not self.session.selection:
            self._busy = True
            self.table.clearSelection()
            self._busy = False
            self._explain([])

    def _mark(self) -> None:
        """Choose the lines that stand for exactly one of the selected things or all of them."""
        if self._busy or self._catch.stale:
            return
        selection, self._own = self.session.selection, None
        if not selection and self.session.highlight.items:
            self._explain(self.chosen())
            return
        found = []
        for line, index in self.model.lines():
            sources = sources_of(line)
            if sources and (sources == selection or (len(sources) == 1 and sources <= selection)):
                found.append((line, index))
        self._busy = True
        self._choose(index for _, index in found)
        if found:
            self.table.scrollTo(found[0][1])
        elif self._went and not self._whole:
            self.table.scrollToTop()  # back from where a selection had led
        self._went = bool(found)
        self._busy = False
        marked = [line for line, _ in found]
        self._explain(marked[:1] if len(selection) == 1 else marked)

    def _choose(self, indexes: Iterable[QModelIndex]) -> None:
        last = len(COLUMNS) - 1
        wanted = QItemSelection()
        for index in indexes:
            wanted.select(index, index.siblingAtColumn(last))
        self.table.selectionModel().select(
            wanted, QItemSelectionModel.SelectionFlag.ClearAndSelect
        )

    def _explain(self, chosen: list[Line]) -> None:
        results = self.session.results
        if chosen:
            self.explanation.explain(chosen, results)
            return
        serious = [p for p in results.problems if p.serious]
        if self.model.groups:
            sentence = "Select a line to see how its number came about."
        elif self._lines:
            sentence = nothing_found(self.wanted, about_words(self.wanted.about, results))
        elif serious:
            sentence = serious[0].sentence
        else:
            sentence = "Quantities appear as soon as there is a roof."
        self.explanation.say(sentence)


def nothing_found(wanted: Wanted, about: str) -> str:
    """Why no line is shown, and what to do."""
    asked = [f'"{wanted.words}"'] if wanted.words.strip() else []
    asked += [part for part in (about, wanted.building, wanted.covering) if part]
    return f"No line fits {' and '.join(asked)}. Clear the search or choose all."
