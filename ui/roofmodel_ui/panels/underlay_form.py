"""What is said of one picture, plan or drawing: strength, lock, place, turn, scale, layers."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QSlider,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project, Underlay
from roofmodel.document.edits import change_underlay
from roofmodel.document.underlay_edits import (
    centre_of,
    fit_of,
    fit_sentence,
    miss_words,
    place_underlay,
    remove_distance,
    set_scale,
    turn_underlay,
    underlay_of,
)
from roofmodel.units import format_angle, format_length, parse_length
from roofmodel_ui.panels.angles import parse_degrees
from roofmodel_ui.panels.fields import Choice, Field, default_unit, quiet, rows_of, show_length
from roofmodel_ui.plan.underlays import supply_of
from roofmodel_ui.session import Session
from roofmodel_ui.tools.underlay_choice import choice_of

POINT_MM = 25.4 / 72
_PAPER_SCALES: tuple[tuple[str, object], ...] = (
    ("1/16 in = 1 ft", 192), ("3/32 in = 1 ft", 128), ("1/8 in = 1 ft", 96),
    ("3/16 in = 1 ft", 64), ("1/4 in = 1 ft", 48), ("3/8 in = 1 ft", 32),
    ("1/2 in = 1 ft", 24), ("3/4 in = 1 ft", 16), ("1 in = 1 ft", 12),
    ("1 to 50", 50), ("1 to 100", 100), ("1 to 200", 200),
)  # fmt: skip
LAYER_ROWS = 6


class UnderlayForm(QWidget):
    """The form of the underlay that is worked on."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.choice = choice_of(session)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        self.strength = QSlider(Qt.Orientation.Horizontal)
        self.strength.setRange(10, 100)
        self.strength.setAccessibleName("Strength")
        self.strength.setToolTip("Dim it, so that the roof stands out.")
        self.strength.valueChanged.connect(self._dim)
        self.lock = QCheckBox("Locked in its place")
        self.lock.clicked.connect(self._lock)
        self.across = Field("Middle, across", lambda text: self._place(text, None))
        self.up = Field("Middle, up", lambda text: self._place(None, text))
        self.turn = Field("Turned", self._turn)
        self.turn.setToolTip("Degrees, counter-clockwise.")
        self.wide = Field("Width", self._width)
        self.paper = Choice("Scale on paper", self._paper, _PAPER_SCALES)
        layout.addWidget(rows_of(("Strength", self.strength)))
        layout.addWidget(self.lock)
        layout.addWidget(
            rows_of(
                ("Middle, across", self.across),
                ("Middle, up", self.up),
                ("Turned", self.turn),
                ("Width", self.wide),
            )
        )
        self._paper_row = rows_of(("Scale on paper", self.paper))
        layout.addWidget(self._paper_row)
        self.fit = quiet()
        layout.addWidget(self.fit)
        self.distance_buttons: list[QToolButton] = []
        self._distances = QVBoxLayout()
        self._distances.setSpacing(2)
        layout.addLayout(self._distances)
        self._layers_title = QLabel("Layers")
        self.layers = QListWidget()
        self.layers.setObjectName("layers")
        self.layers.setAccessibleName("Layers")
        self.layers.itemChanged.connect(self._switch_layer)
        layout.addWidget(self._layers_title)
        layout.addWidget(self.layers)
        self._rows: tuple[object, ...] = ()
        self._layer_rows: tuple[object, ...] = ()
        session.result_changed.connect(self.refresh)
        self.choice.changed.connect(self.refresh)
        supply = supply_of(session)
        if supply is not None:
            supply.arrived.connect(self._show_layers)
        self.refresh()

    def refresh(self) -> None:
        """Show the underlay as it is now, in the middle of a drag too."""
        underlay = self._current()
        if underlay is None:
            return
        self.strength.blockSignals(True)
        if not self.strength.isSliderDown():
            self.strength.setValue(round(underlay.opacity * 100))
        self.strength.blockSignals(False)
        self.lock.setChecked(underlay.locked)
        x, y = centre_of(underlay)
        show_length(self.across, self.session, x)
        show_length(self.up, self.session, y)
        self.turn.show_value(format_angle(underlay.turn, 2))
        show_length(self.wide, self.session, underlay.width * underlay.mm_per_pixel)
        for field in (self.across, self.up, self.turn, self.wide, self.paper):
            field.setEnabled(not underlay.locked)
        self._paper_row.setVisible(underlay.kind == "page")
        over = underlay.mm_per_pixel / POINT_MM
        known = (v for _, v in _PAPER_SCALES if isinstance(v, int) and abs(over / v - 1) < 1e-6)
        self.paper.show_choice(next(known, None) if underlay.scaled else None)
        self._show_distances(underlay)
        self._show_layers()

    def _current(self) -> Underlay | None:
        chosen = self.choice.current()
        pile = self.session.results.project.underlays
        return next((u for u in pile if chosen is not None and u.id == chosen.id), chosen)

    def _show_distances(self, underlay: Underlay) -> None:
        units = self.session.project.units
        if underlay.distances:
            self.fit.setText(fit_sentence(underlay.distances, units))
        elif underlay.scaled:
            self.fit.setText("To scale.")
        else:
            self.fit.setText("Scale not set yet: choose Set scale and click two points.")
        rows = (underlay.id, underlay.distances, units)
        if rows == self._rows:
            return
        self._rows = rows
        while (item := self._distances.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        self.distance_buttons = []
        if not underlay.distances:
            return
        misses = fit_of(underlay.distances).residuals.tolist()
        for index, (known, miss) in enumerate(zip(underlay.distances, misses, strict=True)):
            words = format_length(known.length, units)
            if len(misses) > 1:
                side = "long" if miss > 0 else "short"
                words += f", {miss_words(miss, units)} too {side}"
            self._distances.addWidget(self._distance_row(index, words))

    def _distance_row(self, index: int, words: str) -> QWidget:
        holder = QWidget()
        line = QHBoxLayout(holder)
        line.setContentsMargins(0, 0, 0, 0)
        label = QLabel(words)
        label.setWordWrap(True)
        line.addWidget(label, 1)
        remove = QToolButton()
        remove.setText("Remove")
        remove.setProperty("class", "small")
        remove.setAccessibleName(f"Remove distance {words}")
        remove.clicked.connect(
            lambda _=False: self._edit(
                "Remove distance", lambda p, i: remove_distance(p, i, index)
            )
        )
        line.addWidget(remove)
        self.distance_buttons.append(remove)
        return holder

    def _show_layers(self) -> None:
        underlay, supply = self._current(), supply_of(self.session)
        drawing = underlay is not None and underlay.kind == "drawing"
        names = supply.layers(underlay) if drawing and supply and underlay else ()
        self._layers_title.setVisible(len(names) > 1)
        self.layers.setVisible(len(names) > 1)
        rows = (names, underlay.hidden_layers if underlay else ())
        if rows == self._layer_rows:
            return
        self._layer_rows = rows
        self.layers.blockSignals(True)
        # Rows are kept where they can be: one of them may be telling of its change just now.
        if [self.layers.item(k).text() for k in range(self.layers.count())] != list(names):
            self.layers.clear()
            self.layers.addItems(names)
        for index, name in enumerate(names):
            shown = underlay is not None and name not in underlay.hidden_layers
            mark = Qt.CheckState.Checked if shown else Qt.CheckState.Unchecked
            self.layers.item(index).setCheckState(mark)
        if names:
            high = self.layers.sizeHintForRow(0)
            self.layers.setFixedHeight(min(len(names), LAYER_ROWS) * high + 6)
        self.layers.blockSignals(False)

    def _switch_layer(self, item: QListWidgetItem) -> None:
        name, on = item.text(), item.checkState() == Qt.CheckState.Checked

        def switch(project: Project, underlay_id: str) -> Project:
            hidden = set(underlay_of(project, underlay_id).hidden_layers) ^ {name}
            return change_underlay(project, underlay_id, hidden_layers=tuple(sorted(hidden)))

        self._edit("Show layer" if on else "Hide layer", switch)

    def _dim(self, value: int) -> None:
        self._edit(
            "Set strength", lambda p, i: change_underlay(p, i, opacity=value / 100), "strength"
        )

    def _lock(self, on: bool) -> None:
        text = "Lock picture" if on else "Unlock picture"
        self._edit(text, lambda p, i: change_underlay(p, i, locked=on))

    def _place(self, across: str | None, up: str | None) -> None:
        def place(project: Project, underlay_id: str) -> Project:
            x, y = centre_of(underlay_of(project, underlay_id))
            unit = default_unit(project.units)
            x = x if across is None else parse_length(across, unit)
            y = y if up is None else parse_length(up, unit)
            return place_underlay(project, underlay_id, (x, y))

        self._edit("Move picture", place)

    def _turn(self, text: str) -> None:
        self._edit("Turn picture", lambda p, i: turn_underlay(p, i, parse_degrees(text)))

    def _width(self, text: str) -> None:
        def widen(project: Project, underlay_id: str) -> Project:
            width = parse_length(text, default_unit(project.units))
            underlay = underlay_of(project, underlay_id)
            return set_scale(project, underlay_id, width / underlay.width)

        self._edit("Set scale", widen)

    def _paper(self, over: object) -> None:
        assert isinstance(over, int)
        self._edit("Set scale", lambda p, i: set_scale(p, i, over * POINT_MM))

    def _edit(self, text: str, change: object, merge: str | None = None) -> None:
        underlay = self.choice.current()
        if underlay is not None and callable(change):
            key = None if merge is None else f"{merge} {underlay.id}"
            self.session.attempt(text, lambda p: change(p, underlay.id), key)
