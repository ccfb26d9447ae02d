"""Small parts that the panels are made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QHelpEvent, QKeyEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project, Units
from roofmodel.errors import DocumentError
from roofmodel.units import format_length, parse_length
from roofmodel_ui.session import Session
from roofmodel_ui.tools.sizes import default_unit as default_unit
from roofmodel_ui.tools.sizes import parse_small_length as parse_small_length

LEAST_COVERAGE_MM, MOST_COVERAGE_MM = 152.4, 1524.0
LABEL_PX = 96
TALLER_PX = 12
"""What a field is taller than its words: choices are as tall as the fields they stand among."""
MOST_OVERHANG_FT, MOST_OVERHANG_M = 8.0, 2.4


class Field(QLineEdit):
    """A line of text that is taken over by Enter or by leaving it, and put back by Escape.

    In a `small` field a bare number is inches, not feet."""

    small = False

    def __init__(self, name: str, take: Callable[[str], None]) -> None:
        super().__init__()
        self._shown = ""
        self._take = take
        self.setAccessibleName(name)
        self.setMinimumWidth(90)
        self.editingFinished.connect(self._finish)

    def show_value(self, text: str) -> None:
        """Show a value, unless the user is in the middle of typing another."""
        typing = self.hasFocus() and self.isModified()
        self._shown = text
        if not typing and text != self.text():
            self.setText(text)
            self.setCursorPosition(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self._put_back()
            event.accept()
            return
        super().keyPressEvent(event)

    def _finish(self) -> None:
        typed, changed = self.text(), self.isModified()
        if not changed:
            return
        self.setModified(False)
        if typed != self._shown:
            self._take(typed)
        # What the document now holds, formatted, or the old value if it was refused.
        self._put_back()

    def _put_back(self) -> None:
        self.setText(self._shown)
        self.setModified(False)


class Choice(QComboBox):
    """One of several values; taken over as soon as it is chosen."""

    def __init__(
        self,
        name: str,
        take: Callable[[object], None],
        options: Sequence[tuple[str, object]] = (),
    ) -> None:
        super().__init__()
        self._options: list[tuple[str, object]] = []
        self._shown: object = None
        self._take = take
        self.setAccessibleName(name)
        self.setMinimumWidth(90)
        self.setMinimumHeight(self.fontMetrics().height() + TALLER_PX)
        self.setSizeAdjustPolicy(self.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.offer(options)
        self.activated.connect(self._chosen)

    def offer(self, options: Sequence[tuple[str, object]]) -> None:
        """Put these words and values up for choice; what is chosen stays if it can."""
        if list(options) == self._options:
            return
        self._options = list(options)
        self.clear()
        self.addItems([words for words, _ in options])
        self.show_choice(self._shown)

    def show_choice(self, value: object) -> None:
        """Show what the document says; nothing if it is not among the options."""
        self._shown = value
        values = [v for _, v in self._options]
        self.setCurrentIndex(values.index(value) if value in values else -1)

    def _chosen(self, index: int) -> None:
        self._take(self._options[index][1])
        # What the document now holds, or the old value if it was refused.
        self.show_choice(self._shown)

    def elided(self) -> str:
        """The words as they fit: long names differ at their ends too."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        part = QStyle.SubControl.SC_ComboBoxEditField
        kind = QStyle.ComplexControl.CC_ComboBox
        wide = self.style().subControlRect(kind, option, part, self).width() - 6
        middle = Qt.TextElideMode.ElideMiddle
        words = self.currentText() if self.currentIndex() >= 0 else self.placeholderText()
        return self.fontMetrics().elidedText(words, middle, wide)

    def paintEvent(self, event: QPaintEvent) -> None:
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        option.currentText = self.elided()
        painter = QStylePainter(self)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)

    def event(self, event: QEvent) -> bool:
        if (
            event.type() == QEvent.Type.ToolTip
            and isinstance(event, QHelpEvent)
            and self.elided() != self.currentText()
        ):
            QToolTip.showText(event.globalPos(), self.currentText(), self)
            return True
        return super().event(event)

    def showPopup(self) -> None:
        view = self.view()
        view.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        view.setMinimumWidth(max(self.width(), view.sizeHintForColumn(0) + 24))
        super().showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        # The wheel scrolls the panel; a value that changes under it goes unseen.
        event.ignore()


def length_field(
    name: str, session: Session, text: str, change: Callable[[Project, float], Project]
) -> Field:
    """A field for a length; `text` names the undo step."""

    def take(typed: str) -> None:
        def edit(project: Project) -> Project:
            return change(project, parse_length(typed, default_unit(project.units)))

        session.attempt(text, edit)

    return Field(name, take)


def small_length_field(
    name: str, session: Session, text: str, change: Callable[[Project, float], Project]
) -> Field:
    """A field for a length that trade gives in inches; `text` names the undo step."""

    def take(typed: str) -> None:
        session.attempt(text, lambda p: change(p, parse_small_length(typed, p.units)))

    field = Field(name, take)
    field.small = True
    return field


def bare_hint(units: Units, *, small: bool) -> str:
    """What a bare number means in a field."""
    if units.system != "feet":
        return "Bare numbers are millimetres."
    return "Bare numbers are inches." if small else "Bare numbers are feet."


def checked_overhang(mm: float, units: Units) -> float:
    """The overhang, or DocumentError if no roof has such a one."""
    feet = units.system == "feet"
    most = MOST_OVERHANG_FT * 304.8 if feet else MOST_OVERHANG_M * 1000
    if not 0 <= mm <= most:
        shown = f"{MOST_OVERHANG_FT:g} ft" if feet else f"{MOST_OVERHANG_M:g} m"
        raise DocumentError(f"An overhang must lie between 0 and {shown}.")
    return mm


def checked_coverage(mm: float, units: Units) -> float:
    """The coverage of a panel, or DocumentError if no panel is as narrow or wide."""
    if not LEAST_COVERAGE_MM <= mm <= MOST_COVERAGE_MM:
        shown = "6 in and 5 ft" if units.system == "feet" else "152.4 mm and 1524 mm"
        raise DocumentError(f"The coverage of a panel must lie between {shown}.")
    return mm


def show_length(field: Field, session: Session, mm: float | None) -> None:
    """Show a length in the project's units; None leaves the field empty."""
    field.setToolTip(bare_hint(session.project.units, small=field.small))
    field.show_value("" if mm is None else format_length(mm, session.project.units))


def heading(text: str) -> QLabel:
    """The title of a panel."""
    label = QLabel(text)
    label.setProperty("class", "heading")
    label.setWordWrap(True)
    return label


def quiet(text: str = "") -> QLabel:
    """Words of less weight, wrapped."""
    label = QLabel(text)
    label.setProperty("class", "quiet")
    label.setWordWrap(True)
    return label


def panel_layout(panel: QWidget) -> QVBoxLayout:
    """The margins that all panels share."""
    layout = QVBoxLayout(panel)
    layout.setContentsMargins(16, 14, 16, 12)
    layout.setSpacing(8)
    return layout


def rows_of(*rows: tuple[str, QWidget], wide: bool = False) -> QWidget:
    """Rows of label and field, as one thing to show or hide; `wide` fields stand under their
    label and have the whole width."""
    holder = QWidget()
    lines = form()
    if wide:
        lines.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
    for name, widget in rows:
        label = QLabel(name)
        # The same in all groups, so that their fields stand in one line.
        label.setMinimumWidth(LABEL_PX)
        lines.addRow(label, widget)
    holder.setLayout(lines)
    return holder


def form() -> QFormLayout:
    """Rows of label and field."""
    layout = QFormLayout()
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setHorizontalSpacing(12)
    layout.setVerticalSpacing(6)
    layout.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    layout.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    return layout
