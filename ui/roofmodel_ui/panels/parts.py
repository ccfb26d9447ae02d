"""The parts of the job as a tree: buildings, in them sections, drawn planes and openings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QColor, QFont
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGridLayout,
    QHeaderView,
    QMenu,
    QSizePolicy,
    QToolButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project
from roofmodel.document.part_edits import move_to_building
from roofmodel_ui import theme
from roofmodel_ui.panels.fields import heading
from roofmodel_ui.selection import PartId, part_of, parts_of
from roofmodel_ui.session import Session

ROW_PX = 18
MOST_ROWS = 8

Row = tuple[str, str, str, str]
"""Building, part ("" for the building itself), name, kind."""


def rows_of_job(project: Project) -> list[Row]:
    """What the tree shows, from above to below."""
    rows: list[Row] = []
    for building in project.buildings:
        rows.append((building.id, "", building.name, "building"))
        rows += [(building.id, s.id, s.name, "section") for s in building.sections]
        rows += [(building.id, p.id, p.name, "drawn plane") for p in building.planes]
        rows += [(building.id, o.id, o.name, o.kind) for o in building.openings]
    return rows


def _button_of(action: QAction) -> QToolButton:
    button = QToolButton()
    button.setText(action.property("button") or action.text())
    button.setAccessibleName(button.text())
    button.setToolTip(action.toolTip())
    button.setEnabled(action.isEnabled())
    action.enabledChanged.connect(button.setEnabled)
    button.clicked.connect(lambda _=False: action.trigger())
    return button


class PartsTree(QWidget):
    """Selecting a part selects it everywhere, and the other way round."""

    def __init__(self, session: Session, adding: Sequence[QAction], removing: QAction) -> None:
        super().__init__()
        self.session = session
        self.tree = QTreeWidget()
        self.tree.setObjectName("parts")
        self.tree.setColumnCount(2)
        self.tree.setHeaderHidden(True)
        self.tree.setAccessibleName("Parts of the job")
        self.tree.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.tree.setIndentation(14)
        self.tree.setRootIsDecorated(False)
        self.tree.setItemsExpandable(False)
        header = self.tree.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.mover = QToolButton()
        self.mover.setText("Move to …")
        self.mover.setAccessibleName("Move to building")
        self.mover.setToolTip("Make the selected parts belong to another building.")
        self.mover.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu = QMenu(self.mover)
        self.mover.setMenu(self.menu)
        self.buttons = {a.objectName(): _button_of(a) for a in (*adding, removing)}
        grid = QGridLayout()
        grid.setSpacing(4)
        *firsts, last = self.buttons.values()
        for place, button in enumerate((*firsts, self.mover, last)):
            button.setProperty("class", "small")
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            grid.addWidget(button, place // 3, place % 3)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(heading("Parts of the job"))
        layout.addWidget(self.tree)
        layout.addLayout(grid)
        self._shown: list[Row] = []
        self._items: dict[str, QTreeWidgetItem] = {}
        self._busy = False
        self.tree.itemSelectionChanged.connect(self._rows_chosen)
        # A click on a marked row chooses it too: its part as a whole, not the edge that marked it.
        self.tree.itemClicked.connect(lambda *_: self._rows_chosen())
        session.project_changed.connect(self.refresh)
        session.selection_changed.connect(self._mark)
        self.refresh()

    def rows(self) -> list[tuple[str, str]]:
        """Names and kinds as shown, row by row."""
        return [(i.text(0), i.text(1)) for i in self._items.values()]

    def item(self, part: str) -> QTreeWidgetItem:
        """The row of a part or building."""
        return self._items[part]

    def refresh(self) -> None:
        """Show the project's parts as they are now."""
        rows = rows_of_job(self.session.project)
        if rows != self._shown:
            self._shown = rows
            self._rebuild(rows)
        self._mark()

    def _rebuild(self, rows: Sequence[Row]) -> None:
        self._busy = True
        self.tree.clear()
        self._items = {}
        bold = QFont(self.font())
        bold.setBold(True)
        top: QTreeWidgetItem | None = None
        for building, part, name, kind in rows:
            item = QTreeWidgetItem([name, "" if kind == "building" else kind])
            item.setData(0, Qt.ItemDataRole.UserRole, part or building)
            item.setForeground(1, QColor(theme.QUIET))
            item.setToolTip(0, name)
            if not part or top is None:
                item.setFont(0, bold)
                self.tree.addTopLevelItem(item)
                top = item
            else:
                top.addChild(item)
            self._items[part or building] = item
        self.tree.expandAll()
        self.tree.setFixedHeight(ROW_PX * min(max(len(rows), 4), MOST_ROWS) + 4)
        self.menu.clear()
        for owner in self.session.project.buildings:
            action = self.menu.addAction(owner.name)
            action.triggered.connect(partial(self._move_to, owner.id))
        self._busy = False

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        self._busy = True
        self.session.select(
            PartId(item.data(0, Qt.ItemDataRole.UserRole)) for item in self.tree.selectedItems()
        )
        self._busy = False
        self._enable()

    def _mark(self) -> None:
        """Select the rows of the parts that what is selected belongs to."""
        self._enable()
        if self._busy:
            return
        self._busy = True
        wanted = {part_of(item) for item in self.session.selection}
        first: QTreeWidgetItem | None = None
        for part, item in self._items.items():
            if item.isSelected() != (part in wanted):
                item.setSelected(part in wanted)
            if part in wanted:
                first = first or item
        if first is not None:
            self.tree.scrollToItem(first)
        self._busy = False

    def _enable(self) -> None:
        buildings = self.session.project.buildings
        self.mover.setEnabled(len(buildings) > 1 and bool(self._movable()))

    def _movable(self) -> list[str]:
        """The parts meant that can change their building."""
        buildings = {b.id for b in self.session.project.buildings}
        parts = parts_of(self.session.project, self.session.selection)
        return [p for p in parts if p not in buildings]

    def _move_to(self, building: str, _checked: bool = False) -> None:
        parts = self._movable()

        def change(project: Project) -> Project:
            for part in parts:
                project = move_to_building(project, part, building)
            return project

        self.session.attempt("Move to building", change)
