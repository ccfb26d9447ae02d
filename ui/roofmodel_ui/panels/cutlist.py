"""The cut list: how many panels of which length for which plane."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QTreeWidgetItem, QWidget

from roofmodel.sheets import panels_table, shown
from roofmodel.surface import PlaneId
from roofmodel_ui.panels.table import RIGHT, bold_of, mark_rows, table_of, titled
from roofmodel_ui.session import Session

COLUMNS = ("Plane", "Panels", "Cut length", "Numbers")
"""Those of the table's columns that fit beside the roof; the files have them all."""


class CutListPanel(QWidget):
    """Selecting a row selects its plane everywhere, and the other way round."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.table = table_of("Cut list", COLUMNS, 3, (1, 2))
        self.table.setRootIsDecorated(False)
        titled(self, "Cut list", self.table)
        self._texts: list[tuple[str, ...]] = []
        self._rows: list[tuple[PlaneId, QTreeWidgetItem]] = []
        self._busy = False
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        self._stale = False
        session.result_changed.connect(self._after_result)
        session.selection_changed.connect(self._mark)
        self.refresh()

    def rows(self) -> list[tuple[str, ...]]:
        """The rows as shown, without the total."""
        if self._stale:
            self.refresh()
        return [tuple(row.text(k) for k in range(len(COLUMNS))) for _, row in self._rows]

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._stale:
            self.refresh()

    def _after_result(self) -> None:
        # Most of the time another stage is shown, and a drag need not wait for this list.
        self._stale = True
        if self.isVisible():
            self.refresh()

    def refresh(self) -> None:
        """Show the results again."""
        self._stale = False
        results = self.session.results
        units = results.project.units
        table = panels_table(results.take_off, units)
        titles = [c.title for c in table.columns]
        kept = [titles.index(title) for title in COLUMNS]
        lines = table.rows + ((table.total,) if table.rows and table.total else ())
        texts = [tuple(shown(line[k], units) for k in kept) for line in lines]
        planes = {p.plane_name: p.plane for p in results.take_off.panels}
        self._busy = True
        if texts != self._texts:
            self._rebuild(texts)
            self._texts = texts
        items = [self.table.topLevelItem(k) for k in range(len(table.rows))]
        self._rows = [
            (planes[text[0]], item)
            for text, item in zip(texts, items, strict=False)
            if item is not None
        ]
        self._busy = False
        self._mark()

    def _rebuild(self, texts: list[tuple[str, ...]]) -> None:
        self.table.clear()
        bold = bold_of(self)
        for number, text in enumerate(texts, 1):
            row = QTreeWidgetItem(list(text))
            row.setTextAlignment(1, RIGHT)
            row.setTextAlignment(2, RIGHT)
            row.setToolTip(3, text[3])
            if number == len(texts):
                row.setFlags(Qt.ItemFlag.ItemIsEnabled)
                for column in range(len(COLUMNS)):
                    row.setFont(column, bold)
            self.table.addTopLevelItem(row)

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        self._busy = True
        self.session.select({plane for plane, row in self._rows if row.isSelected()})
        self._busy = False

    def _mark(self) -> None:
        """Select the rows of the selected planes."""
        if self._busy:
            return
        self._busy = True
        selection = self.session.selection
        mark_rows(self.table, [(row, plane in selection) for plane, row in self._rows])
        self._busy = False
