"""The cutting plans of the trim: every stock length as a bar, with what is cut from it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QApplication, QTreeWidgetItem, QVBoxLayout, QWidget

from roofmodel.results import Results
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.takeoff import TrimBar, TrimPlan, alike, building_names, covering_names, proof_words
from roofmodel.units import format_length
from roofmodel_ui.panels.bars import SHOWN_ROLE, BarDelegate, Bars, Heading, bars_of, words_of
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.panels.lines import Wanted, tabbed
from roofmodel_ui.panels.list_page import ListPage
from roofmodel_ui.panels.table import Rows, inset
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

_EMPTY = "Cutting plans appear as soon as there is trim."
_NOTHING = "No trim fits. Clear the search or choose all."


class CuttingPanel(ListPage):
    """A bar chosen lights up the edges that its pieces are for."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.wanted = Wanted()
        self.table = Rows("Cutting plan", ("Cutting plan",))
        self.table.setHeaderHidden(True)
        self.table.setUniformRowHeights(False)
        self.table.setItemDelegate(BarDelegate(self.table))
        self.table.setIndentation(14)
        self._words = quiet()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.table, 1)
        layout.addLayout(inset(self._words, 6, 8))
        self._bars: list[tuple[TrimPlan, list[TrimBar], QTreeWidgetItem]] = []
        self._shown: list[tuple[Heading, list[Bars]]] = []
        self._busy = False
        self._catch = CatchUp(session, self, self._refresh)
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        self.table.copy_wanted.connect(self.copy)
        self.table.left.connect(self._leave)
        session.highlight.changed.connect(self._unlit)

    def bars(self) -> list[Bars]:
        """The bars as drawn, from above."""
        self._catch.now()
        return [bars for _, some in self._shown for bars in some]

    def headings(self) -> list[Heading]:
        """The headings of the plans shown."""
        self._catch.now()
        return [heading for heading, _ in self._shown]

    def words(self) -> str:
        """What is said below the bars."""
        self._catch.now()
        return self._words.text()

    def enter(self) -> None:
        """Go to the table, and to its first row if none is chosen."""
        self.table.enter()

    def copy(self) -> int:
        """Put the chosen bars, or else all that are shown, on the clipboard; how many."""
        self._catch.now()
        units = self.session.results.project.units
        rows = [(p, b) for p, b, item in self._bars if item.isSelected()] or [
            (p, b) for p, b, _ in self._bars
        ]
        lines = [("Part", "Lengths", "Stock length", "Cut to", "For", "Offcut of each")]
        for plan, some in rows:
            drawn = bars_of(some, 1.0, units)
            cuts = " + ".join(text for _, text, _ in drawn.pieces)
            names = " + ".join(name for *_, name in drawn.pieces)
            stock = format_length(drawn.stock, units)
            lines.append((plan.name, str(len(some)), stock, cuts, names, drawn.offcut_words))
        QApplication.clipboard().setText(tabbed(lines))
        return len(rows)

    def _leave(self) -> None:
        self.session.select(())
        self.table.clearSelection()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()

    def _refresh(self) -> None:
        results = self.session.results
        units, plans = results.project.units, results.take_off.cutting_plans
        longest = max((b.stock_length for p in plans for b in p.bars), default=1.0)
        found = self._fitting(results)
        shown = [
            (_heading(plan, results), [bars_of(some, longest, units) for some in groups])
            for plan, groups in found
        ]
        if shown != self._shown or len(self._bars) != sum(len(g) for _, g in found):
            self._rebuild(found, shown)
        else:
            flat = [(plan, some) for plan, groups in found for some in groups]
            self._bars = [
                (plan, some, item)
                for (plan, some), (*_, item) in zip(flat, self._bars, strict=True)
            ]
        self._say()

    def _fitting(self, results: Results) -> list[tuple[TrimPlan, list[list[TrimBar]]]]:
        wanted, take_off = self.wanted, results.take_off
        buildings, coverings = building_names(results.project), covering_names(results.project)
        about: set[Selectable] = set(wanted.about)
        for plane in results.surface.planes:
            if plane.id in wanted.about:
                about.update(plane.edges)
        whole = [(plan, alike(plan.bars)) for plan in take_off.cutting_plans]
        fits = wanted.finder(_searched(plan, some) for plan, groups in whole for some in groups)
        out = []
        for plan, groups in whole:
            if not wanted.owner_fits(buildings[plan.building], coverings[plan.system]):
                continue
            kept = [
                some for some in groups
                if fits(_searched(plan, some)) and (not about or about & edges_of(some))
            ]  # fmt: skip
            if kept:
                out.append((plan, kept))
        return out

    def _rebuild(
        self,
        found: list[tuple[TrimPlan, list[list[TrimBar]]]],
        shown: list[tuple[Heading, list[Bars]]],
    ) -> None:
        units = self.session.results.project.units
        scroll = self.table.verticalScrollBar().value()
        self._busy = True
        self.table.clear()
        self._bars, self._shown = [], shown
        for (plan, groups), (heading, drawn) in zip(found, shown, strict=True):
            top = QTreeWidgetItem([f"{heading.title}: {heading.words}"])
            top.setFlags(Qt.ItemFlag.ItemIsEnabled)
            top.setData(0, SHOWN_ROLE, heading)
            top.setToolTip(0, f"{heading.title}\n{heading.words}")
            for some, bars in zip(groups, drawn, strict=True):
                words = words_of(bars, units)
                row = QTreeWidgetItem([words])
                row.setData(0, SHOWN_ROLE, bars)
                row.setToolTip(0, words)
                top.addChild(row)
                self._bars.append((plan, some, row))
            self.table.addTopLevelItem(top)
            top.setExpanded(True)
        self.table.verticalScrollBar().setValue(scroll)
        self._busy = False

    def _say(self) -> None:
        plans = self.session.results.take_off.cutting_plans
        if not plans:
            self._words.setText(_EMPTY)
        elif not self._bars:
            self._words.setText(_NOTHING)
        elif any(plan.state == "estimate" for plan in plans):
            self._words.setText("An estimate: each piece from a length of its own.")
        else:
            self._words.setText("To scale; what stays of a length is hatched.")

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        lit: set[Selectable] = set()
        for _, some, item in self._bars:
            if item.isSelected():
                lit |= edges_of(some)
        self._busy = True
        self.session.select(())
        self.session.highlight.show(lit)
        self._busy = False

    def _unlit(self) -> None:
        if not self._busy and not self.session.highlight.items:
            self._busy = True
            self.table.clearSelection()
            self._busy = False


def edges_of(bars: list[TrimBar]) -> set[EdgeId | PlaneId]:
    """The edges that pieces of these bars are for."""
    return {e for b in bars for p in b.pieces for e in p.run.edges}


def _searched(plan: TrimPlan, bars: list[TrimBar]) -> str:
    names = dict.fromkeys(p.run.edge_name for b in bars for p in b.pieces)
    return "\n".join((plan.name, *names)).lower()


def _heading(plan: TrimPlan, results: Results) -> Heading:
    project = results.project
    title = plan.name[:1].upper() + plan.name[1:]
    used = {p.building for p in results.take_off.cutting_plans}
    if len(used) > 1:
        title += f", {building_names(project)[plan.building]}"
    if len({p.system for p in results.take_off.cutting_plans}) > 1:
        title += f", {covering_names(project)[plan.system]}"
    count = len(plan.bars)
    words = f"{count} lengths" if count != 1 else "1 length"
    words += f"; {proof_words(plan, project.units)}; {plan.waste * 100:.1f} % left over"
    return Heading(title, words)
