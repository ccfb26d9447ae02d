"""The panel of the Count stage: quantities, cut list and cutting plans under one search, with the
pages about work and money beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QTabBar,
    QTabWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.takeoff import building_names
from roofmodel_ui.panels.cutlist import CutListPanel
from roofmodel_ui.panels.cutting import CuttingPanel
from roofmodel_ui.panels.fields import Choice, heading
from roofmodel_ui.panels.lines import Wanted, about_words
from roofmodel_ui.panels.money import SEARCHED, MoneyPages
from roofmodel_ui.panels.quantities import QuantitiesPanel
from roofmodel_ui.panels.table import INSET_PX
from roofmodel_ui.selection import Selection, expanded
from roofmodel_ui.session import Session

ALL_BUILDINGS, ALL_COVERINGS = "All buildings", "All coverings"
TABS = ("Quantities", "Cut list", "Cutting plan")


class Page(Protocol):
    """What stands behind a tab."""

    def show_wanted(self, wanted: Wanted) -> None:
        """Show only what fits."""

    def copy(self) -> int:
        """Put rows on the clipboard; how many."""

    def busy(self) -> bool:
        """Whether it is selecting just now."""

    def enter(self) -> None:
        """Take the keys: go to the first row."""


class CountPanel(QWidget):
    """`set_whole(False)` leaves but the short list of quantities, for the other stages."""

    def __init__(
        self,
        session: Session,
        exports: Sequence[QAction],
        actions: Mapping[str, QAction] = MappingProxyType({}),
    ) -> None:
        super().__init__()
        self.session = session
        self.quantities = QuantitiesPanel(session)
        self.cut_list = CutListPanel(session)
        self.cutting = CuttingPanel(session)
        self.wanted = Wanted()
        self._whole, self._last = False, 0
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self._pages: tuple[Page, ...] = (self.quantities, self.cut_list, self.cutting)
        for page, title in zip((self.quantities, self.cut_list, self.cutting), TABS, strict=True):
            self.tabs.addTab(page, title)
        self.money = MoneyPages(session, actions, self._widen)
        self.money.add_to(self.tabs)
        self.bar = self._make_bar()
        self.tabs.currentChanged.connect(self._turned)
        self._head, self._foot = self._make_head(), self._make_foot(exports)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self._head)
        layout.addWidget(self.tabs, 1)
        layout.addWidget(self._foot)
        for table in (self.quantities.table, self.cut_list.table, self.cutting.table):
            table.left.connect(self._widen)
        session.selection_changed.connect(self._follow)
        session.highlight.changed.connect(self._unlit)
        session.result_changed.connect(self._offer)
        session.result_changed.connect(self._say_state)
        session.planning.changed.connect(self._say_state)
        self.set_whole(False)
        self._offer()
        self._say_state()

    def show_list(self, title: str) -> None:
        """Show what stands behind the tab of this title."""
        titles = [self.tabs.tabText(place) for place in range(self.tabs.count())]
        self.tabs.setCurrentIndex(titles.index(title))

    def set_whole(self, whole: bool) -> None:
        """Show everything, or the short list of quantities alone."""
        if whole and not self._whole:
            self.tabs.setCurrentIndex(self._last)
        elif self._whole and not whole:
            self._last = self.tabs.currentIndex()
        self._whole = whole
        for part in (self._head, self._foot):
            part.setVisible(whole)
        if not whole:
            self.tabs.setCurrentIndex(0)
            self.search.clear()
            self.wanted = Wanted()
            self._show_about()
            for page in self._all_pages():
                page.show_wanted(self.wanted)
        self._turned()
        self.quantities.set_whole(whole)

    def begin_search(self) -> None:
        """Put the cursor into the search field."""
        if self._searched.isHidden():
            self.tabs.setCurrentIndex(0)
        self.search.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.search.selectAll()

    def copy(self) -> None:
        """Copy what the list in front shows, or what is chosen of it."""
        count = self._front().copy()
        lines = "1 line" if count == 1 else f"{count} lines"
        self.session.message.emit(f"Copied {lines} for a spreadsheet.", False)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape empties the search, Down goes on to the list."""
        if watched is self.search and isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Down:
                self._front().enter()
                return True
            if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
                self.search.clear()
                return True
        return super().eventFilter(watched, event)

    def _make_bar(self) -> QTabBar:
        """The tabs. They stand above the search, which some pages go without: a tab must not
        move from under the pointer that presses it."""
        bar = QTabBar()
        bar.setDocumentMode(True)
        bar.setDrawBase(False)
        bar.setExpanding(False)
        bar.setAccessibleName("Lists")
        for place in range(self.tabs.count()):
            bar.addTab(self.tabs.tabText(place))
        self.tabs.tabBar().hide()
        bar.currentChanged.connect(self.tabs.setCurrentIndex)
        self.tabs.currentChanged.connect(bar.setCurrentIndex)
        return bar

    def _make_head(self) -> QWidget:
        head = QWidget()
        whole = QVBoxLayout(head)
        whole.setContentsMargins(0, 10, 0, 0)
        whole.setSpacing(4)
        column = QVBoxLayout()
        column.setContentsMargins(INSET_PX, 4, INSET_PX, 6)
        column.setSpacing(6)
        self.state = QLabel()
        self.state.setProperty("class", "quiet")
        self.state.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.state.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.state.setAccessibleName("State of the cutting plan")
        self.work = QToolButton()
        self.work.setProperty("class", "small")
        self.work.clicked.connect(self._work_pressed)
        kept = self.work.sizePolicy()
        kept.setRetainSizeWhenHidden(True)  # nothing moves when it comes and goes
        self.work.setSizePolicy(kept)
        first = _line(heading("Count"), self.state, self.work)
        first.setStretch(1, 1)
        self.search = QLineEdit()
        self.search.setAccessibleName("Search")
        self.search.setPlaceholderText("Search items, formulas, planes and edges")
        self.search.setToolTip("Shows only the lines with these words (Ctrl+F).")
        self.search.setClearButtonEnabled(True)
        for button in self.search.findChildren(QToolButton):
            button.setAccessibleName("Clear the search")
        self.search.textChanged.connect(self._typed)
        self.search.installEventFilter(self)
        self.copy_button = QPushButton("Copy")
        self.copy_button.setToolTip(
            "Copy the chosen lines, or else all that are shown, for a spreadsheet (Ctrl+C)."
        )
        self.copy_button.clicked.connect(self.copy)
        second = _line(self.search, self.copy_button)
        second.setStretch(0, 1)
        self._searched = QWidget()
        self._searched.setLayout(second)
        self.building = Choice("Building", self._building_chosen)
        self.covering = Choice("Covering", self._covering_chosen)
        self._owners = QWidget()
        self._owners.setLayout(_line(self.building, self.covering))
        self.about = QLabel()
        self.about.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.all_lines = QToolButton()
        self.all_lines.setText("All lines")
        self.all_lines.setToolTip("Show the lines about everything again (Esc in the list).")
        self.all_lines.setProperty("class", "small")
        self.all_lines.clicked.connect(self._all_wanted)
        self._about_row = QWidget()
        about = _line(self.about, self.all_lines)
        about.setStretch(0, 1)
        self._about_row.setLayout(about)
        first.setContentsMargins(INSET_PX, 0, INSET_PX, 0)
        whole.addLayout(first)
        whole.addWidget(self.bar)
        whole.addLayout(column)
        column.addWidget(self._searched)
        column.addWidget(self._owners)
        column.addWidget(self._about_row)
        self._about_row.hide()
        return head

    def _make_foot(self, exports: Sequence[QAction]) -> QWidget:
        foot = QWidget()
        self.exports: list[QPushButton] = []
        for action in exports:
            kind = action.text().replace("…", "").split()[-1]
            button = QPushButton(f"{kind} …")
            button.setToolTip(action.toolTip())
            button.setAccessibleName(action.text().replace("…", "").strip())
            button.setEnabled(action.isEnabled())
            action.enabledChanged.connect(button.setEnabled)
            button.clicked.connect(action.trigger)
            self.exports.append(button)
        words = QLabel("Write to a file:")
        words.setProperty("class", "quiet")
        line = _line(words, *self.exports)
        line.setContentsMargins(INSET_PX, 6, INSET_PX, 8)
        line.addStretch(1)
        foot.setLayout(line)
        return foot

    def _typed(self, text: str) -> None:
        self._show(replace(self.wanted, words=text))

    def _building_chosen(self, value: object) -> None:
        self.building.show_choice(value)
        self._show(replace(self.wanted, building=str(value)))

    def _covering_chosen(self, value: object) -> None:
        self.covering.show_choice(value)
        self._show(replace(self.wanted, covering=str(value)))

    def _front(self) -> Page:
        """What stands behind the tab in front."""
        place = self.tabs.currentIndex()
        money = self.money.page(self.tabs.tabText(place))
        return self._pages[place] if money is None else money

    def _all_pages(self) -> list[Page]:
        """All that are there."""
        return [*self._pages, *self.money.made()]

    def _turned(self) -> None:
        """Another tab is in front: the search stands over those that follow it."""
        title = self.tabs.tabText(self.tabs.currentIndex())
        lists = title in TABS
        self._searched.setVisible(lists or title in SEARCHED)
        self._offer()
        self._show_about()
        self._foot.setVisible(lists and self._whole)
        if self._whole:
            self.session.highlight.show(())  # what another list lit has nothing to do with this
        if not lists and self._whole:
            self._front().show_wanted(self.wanted)

    def _show(self, wanted: Wanted) -> None:
        self.wanted = wanted
        for page in self._all_pages():
            page.show_wanted(wanted)

    def _follow(self) -> None:
        """Something was selected in plan, in 3D or by a command: show the lines about it. A row
        that is chosen in one of the lists leaves them as they are."""
        if not self._whole or not self.isVisible() or any(p.busy() for p in self._all_pages()):
            return
        surface = self.session.results.surface
        known = {p.id for p in surface.planes} | {e.id for e in surface.edges}
        chosen = expanded(self.session.results, self.session.selection)
        self._narrow(frozenset(i for i in chosen if i in known))

    def _unlit(self) -> None:
        """After a click on empty ground nothing is lit or selected, and everything is shown."""
        session = self.session
        if not (
            session.highlight.items
            or session.selection
            or any(p.busy() for p in self._all_pages())
        ):
            self._widen()

    def _all_wanted(self) -> None:
        self.quantities.let_go()
        self._widen()

    def _widen(self) -> None:
        self._narrow(frozenset())

    def _narrow(self, about: Selection) -> None:
        if about != self.wanted.about:
            self._show(replace(self.wanted, about=about))
            self._show_about()

    def _show_about(self) -> None:
        words = about_words(self.wanted.about, self.session.results)
        self.about.setText(f"Lines about {words}" if words else "")
        self.about.setToolTip(self.about.text())
        self._about_row.setVisible(bool(words) and not self._searched.isHidden())

    def _offer(self) -> None:
        """Buildings and coverings are chosen from where there are several."""
        take_off = self.session.results.take_off
        names = building_names(self.session.results.project)
        used = {names[p.building] for p in self.session.results.surface.planes}
        buildings = [n for n in names.values() if n in used]
        coverings = list(dict.fromkeys(q.covering for q in take_off.quantities if q.covering))
        self.building.offer([(ALL_BUILDINGS, ""), *((n, n) for n in buildings)])
        self.covering.offer([(ALL_COVERINGS, ""), *((n, n) for n in coverings)])
        self.building.setVisible(len(buildings) > 1)
        self.covering.setVisible(len(coverings) > 1)
        lists = self.tabs.tabText(self.tabs.currentIndex()) in TABS
        self._owners.setVisible(lists and (len(buildings) > 1 or len(coverings) > 1))
        wanted = self.wanted
        if wanted.building not in ("", *buildings) or len(buildings) < 2:
            wanted = replace(wanted, building="")
        if wanted.covering not in ("", *coverings) or len(coverings) < 2:
            wanted = replace(wanted, covering="")
        self.building.show_choice(wanted.building)
        self.covering.show_choice(wanted.covering)
        if wanted != self.wanted:
            self._show(wanted)

    def _say_state(self) -> None:
        """What the trim's numbers are worth now."""
        session, planning = self.session, self.session.planning
        words, button, tip = "", "", ""
        if session.is_preview():
            words = "Trim is an estimate while you drag"
        elif planning.state == "stopped":
            words, button = "Trim is an estimate", "Work it out"
            tip = "Work out what to cut from which stock length."
        elif planning.state == "working" and planning.is_long:
            words, button = "Working out the cutting plan …", "Stop"
            tip = "Keep the estimate: each piece of trim from a length of its own."
        self.state.setText(words)
        self.state.setToolTip(words)
        self.work.setText(button or "Stop")
        self.work.setToolTip(tip)
        self.work.setVisible(bool(button))

    def _work_pressed(self) -> None:
        planning = self.session.planning
        if planning.state == "working":
            planning.stop()
        else:
            planning.look()


def _line(*widgets: QWidget) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(6)
    for widget in widgets:
        line.addWidget(widget)
    return line
