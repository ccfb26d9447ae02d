"""The parts of the job as a tree: buildings, in them sections, drawn planes and openings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import (
    QAction,
    QColor,
    QFont,
    QIcon,
    QPainter,
    QPainterPath,
    QPen,
    QPixmap,
)
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

from roofmodel.document import DrawnPlane, Project, Section
from roofmodel.document.part_edits import move_to_building
from roofmodel.units import format_length
from roofmodel_ui import theme
from roofmodel_ui.hiding import hidden_parts, set_visible
from roofmodel_ui.panels.fields import heading
from roofmodel_ui.selection import PartId, part_of, parts_of
from roofmodel_ui.session import Session

ROW_PX = 22
HEADER_PX = 27
EYE = 3
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
"""The column that shows and hides."""
LEAST_ROWS, MOST_ROWS = 4, 8

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


def facts_of_job(project: Project) -> list[tuple[str, str, bool]]:
    """For each row: eave height and overhang in words, and whether it is shown."""
    units, hidden = project.units, hidden_parts(project)

    def overhang(part: Section | DrawnPlane) -> str:
        return format_length(part.overhang, units) if part.overhang else "none"

    facts: list[tuple[str, str, bool]] = []
    for b in project.buildings:
        facts.append(("", "", not b.part_ids() or not hidden.issuperset(b.part_ids())))
        facts += [
            (format_length(s.eave_height, units), overhang(s), s.visible) for s in b.sections
        ]
        facts += [("plane", overhang(p), p.visible) for p in b.planes]
        facts += [(o.kind, "", o.visible) for o in b.openings]
    return facts


def eye_icon(visible: bool) -> QIcon:
    """An eye, or one that is struck through; light where its row is selected."""
    icon = QIcon()
    for ink, mode in ((theme.INK, QIcon.Mode.Normal), (theme.PAPER, QIcon.Mode.Selected)):
        pixmap = QPixmap(32, 32)
        pixmap.setDevicePixelRatio(2.0)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        _draw_eye(painter, QColor(ink), visible)
        painter.end()
        icon.addPixmap(pixmap, mode)
    return icon


def _draw_eye(painter: QPainter, color: QColor, visible: bool) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    color.setAlpha(255 if visible else 130)
    painter.setPen(QPen(color, 1.3))
    lid = QPainterPath(QPointF(1.5, 8.0))
    lid.quadTo(8.0, 1.5, 14.5, 8.0)
    lid.quadTo(8.0, 14.5, 1.5, 8.0)
    painter.drawPath(lid)
    painter.setBrush(color)
    painter.drawEllipse(QPointF(8.0, 8.0), 2.2, 2.2)
    if not visible:
        painter.drawLine(QPointF(2.5, 13.5), QPointF(13.5, 2.5))


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
        self.tree.setColumnCount(4)
        self.tree.setHeaderLabels(["Part", "Eave", "Overhang", ""])
        self.tree.setAccessibleName("Parts of the job")
        self.tree.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.tree.setIndentation(14)
        self.tree.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # names differ at their ends too
        self.tree.setRootIsDecorated(False)
        self.tree.setItemsExpandable(False)
        # Narrow figures leave the names their room.
        self.tree.setStyleSheet(
            "QHeaderView::section { padding: 4px 3px; } QTreeWidget::item { padding: 2px 2px; }"
        )
        header = self.tree.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setMinimumSectionSize(20)
        for column in (1, 2):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(3, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(3, 26)
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
        self._shown: tuple[list[Row], list[tuple[str, str, bool]]] = ([], [])
        self._items: dict[str, QTreeWidgetItem] = {}
        self._busy = False
        self.tree.itemSelectionChanged.connect(self._rows_chosen)
        # A click on a marked row chooses it too: its part as a whole, not the edge that marked it.
        self.tree.itemClicked.connect(self._clicked)
        session.project_changed.connect(self.refresh)
        session.selection_changed.connect(self._mark)
        self.refresh()

    def rows(self) -> list[tuple[str, str]]:
        """Names and kinds as shown, row by row."""
        kinds = {part or building: kind for building, part, _, kind in self._shown[0]}
        return [
            (item.text(0), "" if kinds[part] == "building" else kinds[part])
            for part, item in self._items.items()
        ]

    def item(self, part: str) -> QTreeWidgetItem:
        """The row of a part or building."""
        return self._items[part]

    def refresh(self) -> None:
        """Show the project's parts as they are now."""
        shown = rows_of_job(self.session.project), facts_of_job(self.session.project)
        if shown != self._shown:
            self._shown = shown
            self._rebuild(*shown)
        self._mark()

    def redress(self) -> None:
        """The theme changed: rows keep their colours, so they are made anew."""
        self._rebuild(*self._shown)
        self._mark()

    def _rebuild(self, rows: Sequence[Row], facts: Sequence[tuple[str, str, bool]]) -> None:
        self._busy = True
        self.tree.clear()
        self._items = {}
        bold = QFont(self.font())
        bold.setBold(True)
        top: QTreeWidgetItem | None = None
        high = self._row_height()
        eyes = {on: eye_icon(on) for on in (True, False)}
        for (building, part, name, kind), (eave, overhang, visible) in zip(
            rows, facts, strict=True
        ):
            item = QTreeWidgetItem([name, eave, overhang, ""])
            item.setSizeHint(0, QSize(0, high))
            item.setIcon(EYE, eyes[visible])
            item.setData(EYE, Qt.ItemDataRole.AccessibleTextRole, "shown" if visible else "hidden")
            item.setToolTip(EYE, f"{'Hide' if visible else 'Show'} it in plan and 3D (H)")
            if not visible:
                item.setForeground(0, QColor(theme.QUIET))
            item.setForeground(2, QColor(theme.QUIET))
            for column in (1, 2):
                item.setTextAlignment(column, RIGHT)
            item.setData(0, Qt.ItemDataRole.UserRole, part or building)
            item.setForeground(1, QColor(theme.QUIET))
            item.setToolTip(0, name if kind == "building" else f"{name}, {kind}")
            if not part or top is None:
                item.setFont(0, bold)
                self.tree.addTopLevelItem(item)
                top = item
            else:
                top.addChild(item)
            self._items[part or building] = item
        self.tree.expandAll()
        self._fit_height()
        self.menu.clear()
        for owner in self.session.project.buildings:
            action = self.menu.addAction(owner.name)
            action.triggered.connect(partial(self._move_to, owner.id))
        self._busy = False

    def _row_height(self) -> int:
        """The height of a row, pixels. It is set, not found out: what the style says of it changes
        once the rows are dressed."""
        return max(self.tree.fontMetrics().height() + 6, ROW_PX)

    def _fit_height(self) -> None:
        """Whole rows, so that none is cut in two."""
        self.tree.ensurePolished()
        rows = min(max(len(self._items), LEAST_ROWS), MOST_ROWS)
        head = max(self.tree.header().sizeHint().height(), HEADER_PX)
        self.tree.setFixedHeight(self._row_height() * rows + head + 2 * self.tree.frameWidth())

    def _clicked(self, item: QTreeWidgetItem, column: int) -> None:
        self._rows_chosen()
        if column == EYE:
            part = item.data(0, Qt.ItemDataRole.UserRole)
            visible = item.data(EYE, Qt.ItemDataRole.AccessibleTextRole) == "hidden"
            text = "Show part" if visible else "Hide part"
            self.session.attempt(text, lambda p: set_visible(p, [part], visible))

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
