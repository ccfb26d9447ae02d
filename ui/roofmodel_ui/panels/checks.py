"""Checks of the roof against rules: what was found, by which rule, and where."""

from __future__ import annotations

from html import escape
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor
from PySide6.QtWidgets import (
    QApplication,
    QHeaderView,
    QLabel,
    QSplitter,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel.takeoff.check_types import Check
from roofmodel_ui import theme
from roofmodel_ui.panels.explanation import Explanation
from roofmodel_ui.panels.fields import heading
from roofmodel_ui.panels.lines import about_words, tabbed
from roofmodel_ui.panels.table import bold_of, inset, table_of
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

COLUMNS: Final = ("Result", "Check", "Found")
RESULT, RULE, FOUND = range(len(COLUMNS))
PASSED, LOOK = "Passed", "Worth a look"
HINT: Final = "Select a check to see its rule, and where on the roof it is about."
CAVEAT: Final = "Checks are hints where to look, no verdict on the structure."


class CheckWords(Explanation):
    """A check in full."""

    def explain_check(self, check: Check, where: str) -> None:
        """Sentence, rule, edition and place."""
        quiet = f'<span style="color:{theme.QUIET}">'
        rows = [
            f"<b>{escape(check.rule)}: {PASSED.lower() if check.passed else LOOK.lower()}</b>",
            escape(check.sentence),
            f"{quiet}By: </span>{escape(check.edition)}" if check.edition else "",
            f"{quiet}Where: </span>{escape(where)}" if where else "",
        ]
        self._put("".join(f'<p style="margin:0 0 3px 0">{row}</p>' for row in rows if row))


class ChecksList(QWidget):
    """What is worth a look stands first. A check that is chosen goes to its place."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.checks: list[Check] = []
        self.table = table_of("Checks", COLUMNS, FOUND, ())
        self.table.setRootIsDecorated(False)
        header = self.table.header()
        header.setSectionResizeMode(RESULT, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(RULE, QHeaderView.ResizeMode.ResizeToContents)
        self.words = CheckWords()
        self.title: QLabel = heading("Checks")
        self._busy = False
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.table)
        split.addWidget(self.words)
        split.setStretchFactor(0, 1)
        split.setSizes([1000, 92])
        self.table.setMinimumHeight(70)
        self.words.setMinimumHeight(50)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(inset(self.title, 8, 6))
        column.addWidget(split, 1)
        self.table.itemSelectionChanged.connect(self._chosen)
        self.table.left.connect(self._leave)
        self.table.copy_wanted.connect(self.copy)
        session.highlight.changed.connect(self._unlit)

    def refresh(self) -> None:
        """Show the checks of the results."""
        checks = sorted(self.session.results.take_off.checks, key=lambda c: c.passed)
        if checks != self.checks or self.table.topLevelItemCount() != len(checks):
            before = self._current()
            self.checks = checks
            self._busy = True
            self._rebuild(before)
            self._busy = False
        look = sum(not c.passed for c in checks)
        words = f": {look} worth a look, {len(checks) - look} passed" if checks else ""
        self.title.setText(f"Checks{words}")
        self._explain()

    def redress(self) -> None:
        """The theme changed."""
        self._busy = True
        self._rebuild(self._current())
        self._busy = False

    def copy(self) -> int:
        """Put the checks on the clipboard; how many."""
        rows = [("Result", "Check", "Found", "By")]
        rows += [
            (PASSED if c.passed else LOOK, c.rule, c.sentence, c.edition) for c in self.checks
        ]
        QApplication.clipboard().setText(tabbed(rows))
        return len(self.checks)

    def _rebuild(self, chosen: Check | None) -> None:
        self.table.clear()
        bold = bold_of(self)
        for check in self.checks:
            item = QTreeWidgetItem([PASSED if check.passed else LOOK, check.rule, check.sentence])
            for column in range(len(COLUMNS)):
                item.setToolTip(column, f"{check.sentence}\n{check.edition}")
            if not check.passed:
                item.setFont(RESULT, bold)
                item.setForeground(RESULT, QBrush(QColor(theme.ERROR_INK)))
            self.table.addTopLevelItem(item)
            item.setSelected(check == chosen)

    def _current(self) -> Check | None:
        for place, check in enumerate(self.checks):
            item = self.table.topLevelItem(place)
            if item is not None and item.isSelected():
                return check
        return None

    def _chosen(self) -> None:
        if self._busy:
            return
        check = self._current()
        items: set[Selectable] = set() if check is None else {*check.planes, *check.edges}
        self._busy = True
        self.session.select(items if len(items) == 1 else ())
        self.session.highlight.show(items)
        if items:
            self.session.highlight.seek()
        self._busy = False
        self._explain()

    def _leave(self) -> None:
        self.session.select(())
        self.table.clearSelection()

    def _unlit(self) -> None:
        if not self._busy and not self.session.highlight.items:
            self._busy = True
            self.table.clearSelection()
            self._busy = False
            self._explain()

    def _explain(self) -> None:
        check = self._current()
        if check is not None:
            where = about_words(frozenset((*check.planes, *check.edges)), self.session.results)
            self.words.explain_check(check, where)
        elif self.checks:
            self.words.say(f"{HINT} {CAVEAT}")
        else:
            self.words.say("Checks appear as soon as there is a roof.")
