"""The cut list: how many panels of which length, with which ends, for which plane; and below it
what to order of which length."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QHeaderView,
    QSplitter,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Units
from roofmodel.sheets import PanelRow, order_table, panel_rows, shown
from roofmodel.surface import PlaneId
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.fields import heading, quiet
from roofmodel_ui.panels.lines import Wanted, tabbed
from roofmodel_ui.panels.list_page import ListPage
from roofmodel_ui.panels.table import RIGHT, bold_of, inset, mark_rows, table_of
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

COLUMNS = (
    *("Plane", "Panels", "Cut length", "Lower end", "Upper end"),
    *("Cut out", "Covering", "Building", "Numbers"),
)
"""Those of the table's columns that are shown beside the roof; the files have areas too. Panels
cut out, coverings and buildings have theirs only where they tell something; buildings not where
ends would be cut short for them: planes have names of their own, and tips with the building."""
PLANE, PANELS, LENGTH, LOWER, UPPER, CUT_OUT, COVERING, BUILDING, NUMBERS = range(len(COLUMNS))
ORDER_COLUMNS = ("Covering", "Panels", "Cut length", "Total length")
LEFT_OUT = ((" up to the ", " "), ("along ", ""))
"""Words of the ends that are many and alike, and what stands for them; the tips have them."""
PADDING_PX, NUMBERS_PX, LEAST_END_PX, OWNER_PX = 18, 96, 70, 96
"""Names of coverings and buildings take no more than `OWNER_PX`; their tips have them whole."""


class CutListPanel(ListPage):
    """Selecting a row selects its plane everywhere, and the other way round. Rows stand in the
    order in which they are printed: plane after plane, the longest first."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.wanted = Wanted()
        self.table = table_of("Cut list", COLUMNS, NUMBERS, (PANELS, LENGTH))
        self.table.setRootIsDecorated(False)
        self.order = table_of("Panels to order", ORDER_COLUMNS, 0, (1, 2, 3))
        self.order.setRootIsDecorated(False)
        self._words = quiet()
        split = QSplitter(Qt.Orientation.Vertical)
        split.addWidget(self.table)
        split.addWidget(self._below())
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setChildrenCollapsible(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(split, 1)
        layout.addLayout(inset(self._words, 6, 8))
        self._texts: list[tuple[str, ...]] = []
        metrics = QFontMetrics(bold_of(self))
        self._needed = [metrics.horizontalAdvance(title) + PADDING_PX for title in COLUMNS]
        self._rows: list[tuple[PlaneId, QTreeWidgetItem]] = []
        self._telling = dict.fromkeys((CUT_OUT, COVERING, BUILDING), False)
        self._busy = False
        self._catch = CatchUp(session, self, self.refresh)
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        self.table.copy_wanted.connect(self.copy)
        self.table.left.connect(self._leave)
        self.order.copy_wanted.connect(self._copy_order)
        self.order.left.connect(self._leave)
        session.selection_changed.connect(self._mark)

    def rows(self) -> list[tuple[str, ...]]:
        """The rows as shown, without the total."""
        self._catch.now()
        return [tuple(row.text(k) for k in range(len(COLUMNS))) for _, row in self._rows]

    def total(self) -> tuple[str, ...]:
        """The last row, which adds up what is shown; empty without rows."""
        self._catch.now()
        return self._texts[-1] if self._texts else ()

    def words(self) -> str:
        """What is said below the list."""
        self._catch.now()
        return self._words.text()

    def enter(self) -> None:
        """Go to the table, and to its first row if none is chosen."""
        self.table.enter()

    def copy(self) -> int:
        """Put the chosen rows, or else all that are shown, on the clipboard; how many."""
        self._catch.now()
        chosen = [row.isSelected() for _, row in self._rows]
        rows = [t for t, c in zip(self.rows(), chosen, strict=True) if c or not any(chosen)]
        QApplication.clipboard().setText(tabbed((COLUMNS, *rows)))
        return len(rows)

    def _leave(self) -> None:
        self.session.select(())
        self.table.clearSelection()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()
        self._fit_columns()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._texts:
            self._fit_columns()

    def refresh(self) -> None:
        """Show the results again."""
        results = self.session.results
        units = results.project.units
        found = self._fitting()
        whole = [_cells(row, units) for row in found]
        texts = [tuple(_short(cell, k) for k, cell in enumerate(row)) for row in whole]
        texts += self._totals(found)
        self._busy = True
        if texts != self._texts:
            self._rebuild(texts, whole)
            self._texts = texts
        items = [self.table.topLevelItem(k) for k in range(len(found))]
        rows = zip(found, items, strict=True)
        self._rows = [(r.panels[0].plane, item) for r, item in rows if item is not None]
        for column in (CUT_OUT, COVERING, BUILDING):
            kinds = {row[column] for row in whole}
            tells = len(kinds) > 1 or (column == CUT_OUT and kinds > {""})
            self._telling[column] = tells
        self._fit_columns()
        self._show_order(found)
        self._busy = False
        self._say(bool(found))
        self._mark()

    def _totals(self, found: list[PanelRow]) -> list[tuple[str, ...]]:
        """The last rows: one per covering where there are several, and one for all."""
        counts: dict[str, int] = {}
        for row in found:
            counts[row.covering] = counts.get(row.covering, 0) + len(row.panels)
        rows = [(n, name) for name, n in counts.items()] if len(counts) > 1 else []
        rows += [(sum(counts.values()), "")] if found else []
        return [
            ("Total", str(n), *[""] * (COVERING - LENGTH), name, *[""] * (NUMBERS - COVERING))
            for n, name in rows
        ]

    def _show_order(self, found: list[PanelRow]) -> None:
        """What to order of the rows that are shown."""
        results = self.session.results
        table = order_table(results, found)
        totals = [*table.subtotals, *([table.total] if table.total and found else [])]
        self.order.clear()
        for cells in (*table.rows, *totals):
            row = QTreeWidgetItem([shown(cell, results.project.units) for cell in cells])
            for column in range(1, len(ORDER_COLUMNS)):
                row.setTextAlignment(column, RIGHT)
            if cells in totals:
                for column in range(len(ORDER_COLUMNS)):
                    row.setFont(column, bold_of(self))
            self.order.addTopLevelItem(row)

    def _below(self) -> QWidget:
        part = QWidget()
        column = QVBoxLayout(part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(inset(heading("Panels to order"), 8, 4))
        column.addWidget(self.order, 1)
        return part

    def order_rows(self) -> list[tuple[str, ...]]:
        """The rows of what to order as shown, with the totals."""
        self._catch.now()
        return _texts_of(self.order)

    def _copy_order(self) -> None:
        QApplication.clipboard().setText(tabbed((ORDER_COLUMNS, *self.order_rows())))

    def _fitting(self) -> list[PanelRow]:
        """The rows that are shown."""
        results, wanted = self.session.results, self.wanted
        planes = {p.id: p for p in results.surface.planes}
        rows = panel_rows(results)
        fits = wanted.finder(map(_searched, rows))
        out = []
        for row in rows:
            plane = planes[row.panels[0].plane]
            about: set[Selectable] = {plane.id, *plane.edges}
            if (
                wanted.owner_fits(row.building, row.covering)
                and (not wanted.about or about & wanted.about)
                and fits(_searched(row))
            ):
                out.append(row)
        return out

    def _rebuild(self, texts: list[tuple[str, ...]], whole: list[tuple[str, ...]]) -> None:
        self.table.clear()
        bold = bold_of(self)
        tips = [*whole, *texts[len(whole) :]]
        for number, (text, tip) in enumerate(zip(texts, tips, strict=True)):
            row = QTreeWidgetItem(list(text))
            for column in range(len(COLUMNS)):
                row.setToolTip(column, tip[column])
                if column in (PANELS, LENGTH):
                    row.setTextAlignment(column, RIGHT)
            if number < len(whole):
                row.setToolTip(PLANE, f"{tip[PLANE]}, {tip[BUILDING]}")
            else:
                row.setFlags(Qt.ItemFlag.ItemIsEnabled)
                for column in range(len(COLUMNS)):
                    row.setFont(column, bold)
            self.table.addTopLevelItem(row)
        metrics = QFontMetrics(bold)
        self._needed = [
            max(metrics.horizontalAdvance(t[column]) for t in (*texts, COLUMNS)) + PADDING_PX
            for column in range(len(COLUMNS))
        ]

    def _fit_columns(self) -> None:
        """Every column as wide as it needs; where there is no room for that buildings are left
        out, then the ends are cut short, and their tips have them whole."""
        header = self.table.header()
        needed = [
            min(w, {COVERING: OWNER_PX, BUILDING: OWNER_PX, NUMBERS: NUMBERS_PX}.get(k, w))
            for k, w in enumerate(self._needed)
        ]
        seen = [k for k in range(len(COLUMNS)) if self._telling.get(k, True)]
        width = self.table.viewport().width()
        if sum(needed[k] for k in seen) > width and BUILDING in seen:
            seen.remove(BUILDING)
        for column in self._telling:
            self.table.setColumnHidden(column, column not in seen)
        room = (width - sum(needed[k] for k in seen if k not in (LOWER, UPPER))) // 2
        for column in range(NUMBERS):
            wide = needed[column]
            if column in (LOWER, UPPER):
                wide = min(wide, max(room, LEAST_END_PX))
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
            self.table.setColumnWidth(column, wide)

    def _say(self, some: bool) -> None:
        if some:
            words = (
                "Cut lengths with hems and turn-ups; numbers in laying order. An end cut at an"
                " angle rises to the side named, looking up the slope."
            )
        elif self.session.results.take_off.panels:
            words = "No panel fits. Clear the search or choose all."
        else:
            words = "The cut list appears as soon as planes are covered with panels."
        self._words.setText(words)

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        self._busy = True
        self.session.select({plane for plane, row in self._rows if row.isSelected()})
        self._busy = False

    def _mark(self) -> None:
        """Select the rows of the selected planes."""
        if self._busy or self._catch.stale:
            return
        self._busy = True
        selection = self.session.selection
        mark_rows(self.table, [(row, plane in selection) for plane, row in self._rows])
        self._busy = False


def _cells(row: PanelRow, units: Units) -> tuple[str, ...]:
    """A row as `COLUMNS`, as text."""
    plane, count, length, _, _, lower, upper, numbers, cut_out = (
        shown(cell, units) for cell in row.cells
    )
    return plane, count, length, lower, upper, cut_out, row.covering, row.building, numbers


def _short(text: str, column: int) -> str:
    """A cell as it is shown."""
    if column in (LOWER, UPPER):
        for words, instead in LEFT_OUT:
            text = text.replace(words, instead)
    return text


def _searched(row: PanelRow) -> str:
    texts = (*(cell for cell in row.cells if isinstance(cell, str)), row.covering, row.building)
    return "\n".join(texts).lower()


def _texts_of(table: QTreeWidget) -> list[tuple[str, ...]]:
    items = [table.topLevelItem(k) for k in range(table.topLevelItemCount())]
    return [
        tuple(item.text(k) for k in range(table.columnCount()))
        for item in items
        if item is not None
    ]
