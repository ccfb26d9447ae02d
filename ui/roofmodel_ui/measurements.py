"""Enter a whole outline as a list of tape measurements, with the outline drawn beside it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Point
from roofmodel.document.edits import new_section
from roofmodel.errors import RoofmodelError
from roofmodel.geometry.traverse import misclosure, parse_outline, run, spread
from roofmodel.units import format_length
from roofmodel_ui import theme
from roofmodel_ui.panels.fields import heading, quiet
from roofmodel_ui.selection import PartId, building_of
from roofmodel_ui.session import Session
from roofmodel_ui.tools.crossing import SAME_MM, crossings, open_ring

if TYPE_CHECKING:
    from roofmodel_ui.window import MainWindow

OPEN_SHARE = 0.05
"""A list that misses its start by more of its length lacks its last side, which then is drawn."""

GAP_MM = 3000.0
"""A typed outline is put this far to the east of what there is already."""

HELP = (
    "One side per line, going round the house. A direction goes with each length: 40' E,"
    " 24' N, 12' 8 at 37.5° (degrees from north, clockwise), 16' N45E. L and R turn left and"
    " right from the side before, by 90° or as said: R 16', 12' L 45."
)
EXAMPLE = "40' E\n24' N\n16' W\nR 12'\nL 24'\n36' S"


class Measurements(QDialog):
    """The list, what is wrong with it, and the outline it gives."""

    drawn = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.corners: tuple[Point, ...] = ()
        self.setWindowTitle("Tape list")
        self.text = QPlainTextEdit()
        self.text.setAccessibleName("Measurements")
        self.text.setPlaceholderText(EXAMPLE)
        self.text.setTabChangesFocus(True)
        self.text.textChanged.connect(self.refresh)
        self.picture = _Picture()
        self.says = QLabel()
        self.says.setWordWrap(True)
        self.says.setAccessibleName("What the measurements give")
        self.spread = QCheckBox("Spread the misclosure over all sides")
        self.spread.setToolTip("In proportion to their length; otherwise the last side takes it.")
        self.spread.setChecked(True)
        self.spread.toggled.connect(self.refresh)
        self.draw = QPushButton("Draw outline")
        self.draw.setToolTip("Make it a section of the job (Control and Enter).")
        self.draw.setShortcut("Ctrl+Return")
        self.draw.clicked.connect(self._draw)
        close = QPushButton("Close")
        close.setToolTip("The list is kept until the program ends.")
        close.clicked.connect(self.close)
        left = QVBoxLayout()
        left.addWidget(self.text, 1)
        middle = QHBoxLayout()
        middle.setSpacing(12)
        middle.addLayout(left, 2)
        middle.addWidget(self.picture, 3)
        last = QHBoxLayout()
        last.addWidget(self.spread, 1)
        last.addWidget(close)
        last.addWidget(self.draw)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(10)
        column.addWidget(heading("Outline by tape"))
        column.addWidget(quiet(HELP))
        column.addLayout(middle, 1)
        column.addWidget(self.says)
        column.addLayout(last)
        self.resize(760, 560)
        self.refresh()

    def refresh(self) -> None:
        """Read the list again."""
        units = self.session.project.units
        unit: Literal["ft", "mm"] = "ft" if units.system == "feet" else "mm"
        legs, faults = parse_outline(self.text.toPlainText(), unit)
        points = run(legs) if legs else ()
        sentence, can_spread = "", False
        ring: tuple[Point, ...] = ()
        if faults:
            sentence = faults[0].sentence
            if len(faults) > 1:
                rest = len(faults) - 1
                more = "1 more line is" if rest == 1 else f"{rest} more lines are"
                sentence += f" ({more} wrong.)"
        elif len(legs) < 2:
            sentence = "Type at least three sides." if legs else ""
        else:
            missed = misclosure(points)
            if missed.length <= SAME_MM:
                ring, sentence = open_ring(points), "It closes."
            elif missed.length > OPEN_SHARE * missed.along:
                ring = points
                length = format_length(missed.length, units)
                sentence = f"The last side is not in the list; it comes to {length}."
            else:
                can_spread, sentence = True, missed.words(units)
                ring = open_ring(spread(points)) if self.spread.isChecked() else points[:-1]
            if len(ring) < 3:
                sentence, ring = "Type at least three sides.", ()
            elif crossings((*ring, ring[0])):
                found = crossings((*ring, ring[0]))[0]
                sentence = f"Side {found.second + 1} crosses side {found.first + 1}."
                ring = ()
        self.corners = ring
        self.says.setText(sentence)
        self.says.setVisible(True)
        self.spread.setEnabled(can_spread)
        self.draw.setEnabled(bool(ring))
        self.picture.show_line(points, ring)

    def _draw(self) -> None:
        session = self.session
        project = session.project
        extent = [c for s in project.sections() for r in s.rings for c in r.corners]
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        dx = max(x for x, _ in extent) + GAP_MM - min(xs) if extent else 0.0
        dy = min(y for _, y in extent) - min(ys) if extent else 0.0
        corners = [(x + dx, y + dy) for x, y in self.corners]
        try:
            building = building_of(project, session.selection)
            after, section = new_section(project, corners, building=building)
            session.edit("Draw outline by tape", after)
        except RoofmodelError as error:
            self.says.setText(str(error))
            return
        session.select((PartId(section),))
        self.drawn.emit(section)
        self.close()


class _Picture(QWidget):
    """The outline as measured (dashed) and as it will be drawn, north up."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumSize(QSize(300, 240))
        self.setAccessibleName("Outline as measured")
        self._points: tuple[Point, ...] = ()
        self._ring: tuple[Point, ...] = ()

    def show_line(self, points: tuple[Point, ...], ring: tuple[Point, ...]) -> None:
        """Show the line as measured and the ring that comes of it."""
        self._points, self._ring = points, ring
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(theme.GROUND))
        if len(self._points) < 2:
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(
                self.rect(), Qt.AlignmentFlag.AlignCenter, "The outline appears here."
            )
            return
        xs, ys = zip(*(*self._points, *self._ring), strict=True)
        wide, high = max(max(xs) - min(xs), 1.0), max(max(ys) - min(ys), 1.0)
        scale = min((self.width() - 40) / wide, (self.height() - 40) / high)
        cx, cy = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
        at_x, at_y = self.width() / 2, self.height() / 2

        def pixel(p: Point) -> QPointF:
            return QPointF(at_x + (p[0] - cx) * scale, at_y - (p[1] - cy) * scale)

        if self._ring:
            painter.setPen(QPen(QColor(theme.ACCENT), 2.2))
            painter.setBrush(QColor(theme.ROOF_FILL))
            painter.drawPolygon(QPolygonF([pixel(p) for p in self._ring]))
        pen = QPen(QColor(theme.INK), 1.2, Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if not self._ring or math.dist(self._points[0], self._points[-1]) > SAME_MM:
            painter.drawPolyline(QPolygonF([pixel(p) for p in self._points]))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.ACCENT))
        painter.drawEllipse(pixel(self._points[0]), 4.5, 4.5)


def open_measurements(window: MainWindow) -> Measurements:
    """Show the dialog over the window; the same one each time, so that nothing typed is lost."""
    known = window.findChild(Measurements)
    dialog = known if isinstance(known, Measurements) else Measurements(window.session, window)
    if known is None:
        dialog.drawn.connect(lambda _: window.show_stage("Shape"))
        dialog.drawn.connect(lambda _: window.zoom_to_fit())
    dialog.refresh()
    dialog.show()
    dialog.raise_()
    dialog.text.setFocus()
    return dialog
