"""The cut list: how many panels of which length, with which ends, for which plane."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QHeaderView, QTreeWidgetItem, QVBoxLayout, QWidget

from roofmodel.sheets import Amount, Cell, panels_table, shown
from roofmodel.surface import PlaneId
from roofmodel.takeoff import building_names, covering_names
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.panels.lines import Wanted, tabbed
from roofmodel_ui.panels.table import RIGHT, bold_of, inset, mark_rows, table_of
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

COLUMNS = ("Plane", "Panels", "Cut length", "Lower end", "Upper end", "Numbers")
"""Those of the table's columns that are shown beside the roof; the files have them all."""
PLANE, PANELS, LENGTH, LOWER, UPPER, NUMBERS = range(len(COLUMNS))
RISES = " up to the "
"""Left out of the ends' words, which are many and alike; the tips have it."""
PADDING_PX, NUMBERS_PX, LEAST_END_PX = 18, 96, 70


class CutListPanel(QWidget):
    """Selecting a row selects its plane everywhere, and the other way round. Rows stand in the
    order in which they are printed: plane after plane, the longest first."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.wanted = Wanted()
        self.table = table_of("Cut list", COLUMNS, NUMBERS, (PANELS, LENGTH))
        self.table.setRootIsDecorated(False)
        self._words = quiet()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.table, 1)
        layout.addLayout(inset(self._words, 6, 8))
        self._texts: list[tuple[str, ...]] = []
        metrics = QFontMetrics(bold_of(self))
        self._needed = [metrics.horizontalAdvance(title) + PADDING_PX for title in COLUMNS]
        self._rows: list[tuple[PlaneId, QTreeWidgetItem]] = []
        self._busy = False
        self._catch = CatchUp(session, self, self.refresh)
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        self.table.copy_wanted.connect(self.copy)
        self.table.left.connect(self._leave)
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

    def show_wanted(self, wanted: Wanted) -> None:
        """Show only the rows that fit."""
        if wanted != self.wanted:
            self.wanted = wanted
            self._catch.later()

    def busy(self) -> bool:
        """Whether this list is selecting just now."""
        return self._busy

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
        units = self.session.results.project.units
        found = self._fitting()
        planes = [plane for plane, _ in found]
        whole = [tuple(shown(cell, units) for cell in cells) for _, cells in found]
        texts = [tuple(text.replace(RISES, " ") for text in row) for row in whole]
        if found:
            count = sum(c.value for _, cells in found if isinstance(c := cells[PANELS], Amount))
            texts.append(("Total", f"{count:.0f}", *[""] * (len(COLUMNS) - 2)))
        self._busy = True
        if texts != self._texts:
            self._rebuild(texts, whole)
            self._texts = texts
        items = [self.table.topLevelItem(k) for k in range(len(planes))]
        self._rows = [(p, i) for p, i in zip(planes, items, strict=True) if i is not None]
        self._busy = False
        self._say(bool(found))
        self._mark()

    def _fitting(self) -> list[tuple[PlaneId, list[Cell]]]:
        """The rows that are shown, each with its plane."""
        results, wanted = self.session.results, self.wanted
        project, take_off = results.project, results.take_off
        table = panels_table(take_off, project.units)
        titles = [c.title for c in table.columns]
        kept = [titles.index(title) for title in COLUMNS]
        ids = {p.plane_name: p.plane for p in take_off.panels}
        buildings, coverings = building_names(project), covering_names(project)
        planes = {p.id: p for p in results.surface.planes}
        fits = wanted.finder(_searched(row) for row in table.rows)
        out = []
        for row in table.rows:
            plane = planes[ids[str(row[0])]]
            owner = buildings[plane.building], coverings[take_off.coverings[plane.id]]
            about: set[Selectable] = {plane.id, *plane.edges}
            if (
                wanted.owner_fits(*owner)
                and (not wanted.about or about & wanted.about)
                and fits(_searched(row))
            ):
                out.append((plane.id, [row[k] for k in kept]))
        return out

    def _rebuild(self, texts: list[tuple[str, ...]], whole: list[tuple[str, ...]]) -> None:
        self.table.clear()
        bold = bold_of(self)
        for number, text in enumerate(texts, 1):
            row = QTreeWidgetItem(list(text))
            for column in range(len(COLUMNS)):
                row.setToolTip(column, (whole + texts[-1:])[number - 1][column])
                if column in (PANELS, LENGTH):
                    row.setTextAlignment(column, RIGHT)
            if number == len(texts):
                row.setFlags(Qt.ItemFlag.ItemIsEnabled)
                for column in range(len(COLUMNS)):
                    row.setFont(column, bold)
            self.table.addTopLevelItem(row)
        metrics = QFontMetrics(bold)
        self._needed = [
            max(metrics.horizontalAdvance(t[column]) for t in (*texts, COLUMNS)) + PADDING_PX
            for column in range(len(COLUMNS))
        ]
        self._fit_columns()

    def _fit_columns(self) -> None:
        """Every column as wide as it needs; where there is no room for that the ends are cut
        short, and their tips have them whole."""
        header = self.table.header()
        numbers = min(self._needed[NUMBERS], NUMBERS_PX)
        others = sum(self._needed[k] for k in (PLANE, PANELS, LENGTH)) + numbers
        room = (self.table.viewport().width() - others) // 2
        for column in range(NUMBERS):
            wide = self._needed[column]
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


def _searched(row: tuple[Cell, ...]) -> str:
    return "\n".join(cell for cell in row if isinstance(cell, str)).lower()
