"""The take-off as a table: what, how much, and how it came about."""

from __future__ import annotations

from itertools import groupby

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHeaderView, QTreeWidgetItem, QWidget

from roofmodel.document import Units
from roofmodel.takeoff import Quantity
from roofmodel.units import format_area, format_length, round_half_up
from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.panels.table import RIGHT, bold_of, mark_rows, table_of, titled
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

EACH_EDGE = "Each edge"
"""The group of single lengths: they stay in millimetres, sums of lengths are metres."""


def amount(quantity: Quantity, units: Units) -> str:
    """The quantity with its unit, as the project shows it."""
    value = quantity.quantity
    if quantity.unit == "mm":
        if units.system == "metric" and quantity.group != EACH_EDGE:
            return f"{_rounded(value / 1000.0, 2)} m"
        return format_length(value, units)
    if quantity.unit == "mm²":
        return format_area(value, units)
    if quantity.unit == "share":
        return f"{_rounded(value * 100.0, 1)} %"
    if quantity.unit == "squares":
        return f"{value:.2f}"
    return f"{value:g}"


def _rounded(value: float, places: int) -> str:
    """Decimals, half up; what rounds to nothing has no sign."""
    return f"{round_half_up(value * 10**places) / 10**places:.{places}f}"


def sources_of(quantity: Quantity) -> set[Selectable]:
    """What a row stands for: its edges, or its planes where it has none."""
    return set(quantity.edges) or set(quantity.planes)


class QuantitiesPanel(QWidget):
    """Selecting a row selects its planes and edges everywhere, and the other way round."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.table = table_of("Quantities", ("Item", "Quantity"), 0, (1,))
        self.table.setIndentation(12)
        self._how = quiet()
        self._how.setMinimumHeight(58)
        self._how.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._how.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        titled(self, "Quantities", self.table, self._how)
        self._keys: list[tuple[str, str]] = []
        self._rows: list[tuple[Quantity, QTreeWidgetItem]] = []
        self._busy = False
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self._mark)
        self.refresh()

    def rows(self) -> list[tuple[str, str, str]]:
        """Group, item and quantity as shown, row by row."""
        return [(q.group, item.text(0), item.text(1)) for q, item in self._rows]

    def refresh(self) -> None:
        """Show the results again; rows that stay are changed in place, so scrolling is kept."""
        results = self.session.results
        quantities = sorted_by_group(results.take_off.quantities)
        keys = [(q.group, q.item) for q in quantities]
        self._busy = True
        # Else each text that changes has the whole column measured again.
        self.table.header().setSectionResizeMode(1, QHeaderView.ResizeMode.Fixed)
        if keys != self._keys:
            self._rebuild(quantities)
            self._keys = keys
        self._rows = [(q, row) for q, (_, row) in zip(quantities, self._rows, strict=True)]
        for quantity, row in self._rows:
            text = amount(quantity, results.project.units)
            if row.text(1) != text:
                row.setText(1, text)
            row.setToolTip(0, quantity.how)
            row.setToolTip(1, quantity.how)
        self.table.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self._busy = False
        self._mark()

    def _rebuild(self, quantities: list[Quantity]) -> None:
        self.table.clear()
        self._rows = []
        bold = bold_of(self)
        for group, members in groupby(quantities, key=lambda q: q.group):
            top = QTreeWidgetItem([group])
            top.setFlags(Qt.ItemFlag.ItemIsEnabled)
            top.setFont(0, bold)
            top.setToolTip(0, group)
            self.table.addTopLevelItem(top)
            top.setFirstColumnSpanned(True)
            for quantity in members:
                row = QTreeWidgetItem([quantity.item, ""])
                row.setTextAlignment(1, RIGHT)
                top.addChild(row)
                self._rows.append((quantity, row))
            top.setExpanded(True)

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        chosen = [q for q, row in self._rows if row.isSelected()]
        items: set[Selectable] = set()
        for quantity in chosen:
            items |= sources_of(quantity)
        self._busy = True
        self.session.select(items)
        self._busy = False
        self._explain(chosen)

    def _mark(self) -> None:
        """Select the rows that stand for exactly one of the selected things or all of them."""
        if self._busy:
            return
        self._busy = True
        selection = self.session.selection
        marks = []
        for quantity, row in self._rows:
            sources = sources_of(quantity)
            same = sources == selection or (len(sources) == 1 and sources <= selection)
            marks.append((row, bool(sources) and same))
        mark_rows(self.table, marks)
        marked = [q for (q, _), (_, mark) in zip(self._rows, marks, strict=True) if mark]
        self._busy = False
        self._explain(marked[:1] if len(selection) == 1 else marked)

    def _explain(self, chosen: list[Quantity]) -> None:
        if len(chosen) == 1:
            text = chosen[0].how
            if chosen[0].source:
                text += f" ({chosen[0].source})"
        elif chosen:
            text = f"{len(chosen)} rows selected."
        elif self._rows:
            text = "Select a row to see how its number came about."
        elif serious := [p for p in self.session.results.problems if p.serious]:
            text = serious[0].sentence
        else:
            text = "Quantities appear as soon as there is a roof."
        self._how.setText(text)


def sorted_by_group(quantities: tuple[Quantity, ...]) -> list[Quantity]:
    """The lines group by group; groups and lines keep the order they first came in."""
    order: dict[str, int] = {}
    for quantity in quantities:
        order.setdefault(quantity.group, len(order))
    return sorted(quantities, key=lambda q: order[q.group])
