"""What to measure on the house first, with a field for each measured value."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QPushButton, QSizePolicy, QWidget

from roofmodel.document import Project
from roofmodel.document.sureness_edits import read_length, read_pitch
from roofmodel.errors import DocumentError
from roofmodel.units import LengthUnits, format_length, format_slope, parse_length, parse_slope
from roofmodel_ui.money_tasks import Wanted
from roofmodel_ui.money_words import as_share
from roofmodel_ui.panels.fields import bare_hint, default_unit
from roofmodel_ui.session import Session

NAME, MODEL, LEFT, FIELD, PUT = range(5)
Key = tuple[str, str, float]


def key_of(wanted: Wanted) -> Key:
    """What tells measurements apart: pitches of one part by their value."""
    return wanted.part, wanted.edge, 0.0 if wanted.edge else wanted.value


def value_words(wanted: Wanted, units: LengthUnits) -> str:
    """What the model has."""
    return format_length(wanted.value, units) if wanted.edge else format_slope(wanted.value)


def read_into(project: Project, wanted: Wanted, typed: str) -> Project:
    """The project with a measured value in it; DocumentError if that cannot be."""
    if not typed.strip():
        raise DocumentError(f"Type what was measured: {wanted.name}.")
    if wanted.edge:
        length = parse_length(typed, default_unit(project.units))
        if not 0.0 < length < 1e6:
            raise DocumentError("A measured length must be more than 0 and less than 1 km.")
        return read_length(project, wanted.part, wanted.edge, length)
    slope = parse_slope(typed)
    if not slope > 0.0:
        raise DocumentError("A measured pitch must be more than 0.")
    return read_pitch(project, wanted.part, wanted.value, slope)


class MeasureRows(QWidget):
    """`typed` with a measurement and the text of its field; `put` when it is to go into the
    model; `pointed` when the user turns to one."""

    typed = Signal(object, str)
    put = Signal(object, str)
    pointed = Signal(object)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.fields: list[QLineEdit] = []
        self.buttons: list[QPushButton] = []
        self._wanted: list[Wanted] = []
        self._typed: dict[Key, str] = {}
        self._in_model: set[Key] = set()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(NAME, 1)
        self._cells: list[QWidget] = []

    def wanted(self) -> list[Wanted]:
        """The measurements that are shown."""
        return list(self._wanted)

    def show_wanted(self, wanted: list[Wanted], target: str) -> None:
        """Show these; what was typed for one that stays stays typed."""
        if wanted != self._wanted:
            self._wanted = wanted
            self._in_model.clear()
            self._rebuild(target)
        self.refresh()

    def refresh(self) -> None:
        """Show values in the project's units."""
        units = self.session.project.units
        for place, wanted in enumerate(self._wanted):
            label = self._cells[place * 3 + 1]
            assert isinstance(label, QLabel)
            label.setText(value_words(wanted, units))
            hint = bare_hint(units, small=False) if wanted.edge else "As rise in 12, such as 6/12."
            self.fields[place].setToolTip(
                f"What was measured on the house; Enter shows what it changes. {hint}"
            )
            self._mend_button(place)

    def forget(self) -> None:
        """Show nothing, and forget what was typed."""
        self._typed.clear()
        self.show_wanted([], "")

    def mark_in_model(self, wanted: Wanted) -> None:
        """This one is in the model now."""
        self._in_model.add(key_of(wanted))
        self.refresh()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Turning to a field shows what is to be measured."""
        if event.type() == QEvent.Type.FocusIn and watched in self.fields:
            self.pointed.emit(self._wanted[self.fields.index(watched)])
        return super().eventFilter(watched, event)

    def _rebuild(self, target: str) -> None:
        while self._grid.count():
            item = self._grid.takeAt(0)
            if item is not None and (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        self.fields, self.buttons, self._cells = [], [], []
        tip = f"How much of the spread of the {target.lower()} is left with this and those above."
        titles = ("Measure", "Model has", "Leaves", "Measured")
        for column, title in enumerate(titles if self._wanted else ()):
            head = QLabel(title)
            head.setProperty("class", "quiet")
            head.setToolTip(tip if column == LEFT else "")
            self._grid.addWidget(head, 0, column)
        for place, wanted in enumerate(self._wanted):
            name = QLabel(wanted.name)
            name.setWordWrap(True)
            name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            model = QLabel()
            left = QLabel(as_share(Decimal(f"{wanted.left * 100:.0f}") / 100))
            left.setToolTip(tip)
            self._cells += [name, model, left]
            for column, cell in enumerate((name, model, left)):
                self._grid.addWidget(cell, place + 1, column)
            self._add_field(place, wanted)

    def _add_field(self, place: int, wanted: Wanted) -> None:
        field = QLineEdit(self._typed.get(key_of(wanted), ""))
        field.setAccessibleName(f"Measured: {wanted.name}")
        field.setMinimumWidth(84)
        field.setMaximumWidth(100)
        field.installEventFilter(self)
        field.textEdited.connect(partial(self._keep, place))
        field.editingFinished.connect(self._finished(place, field))
        button = QPushButton("Put into the model")
        button.setProperty("class", "small")
        button.setAccessibleName(f"Put into the model: {wanted.name}")
        button.clicked.connect(lambda: self.put.emit(wanted, field.text()))
        self.fields.append(field)
        self.buttons.append(button)
        self._grid.addWidget(field, place + 1, FIELD)
        self._grid.addWidget(button, place + 1, PUT)

    def _finished(self, place: int, field: QLineEdit) -> Callable[[], None]:
        def finish() -> None:
            if field.isModified() and field.text().strip():
                field.setModified(False)
                self.typed.emit(self._wanted[place], field.text())

        return finish

    def _keep(self, place: int, text: str) -> None:
        key = key_of(self._wanted[place])
        if not self._typed.get(key):
            self.pointed.emit(self._wanted[place])
        self._typed[key] = text
        self._in_model.discard(key)
        self._mend_button(place)

    def _mend_button(self, place: int) -> None:
        done = key_of(self._wanted[place]) in self._in_model
        button = self.buttons[place]
        button.setText("In the model" if done else "Put into the model")
        button.setEnabled(not done and bool(self.fields[place].text().strip()))
        button.setToolTip(
            "The model has it. Undo takes it back."
            if done
            else "Make the model as it was measured; undo takes it back."
        )
        self._cells[place * 3].setToolTip(self._wanted[place].name)
        label = self._cells[place * 3 + 2]
        label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        assert isinstance(label, QLabel)
        label.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
