"""How panels are laid on the selected planes, or on all, and what that comes to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QCheckBox, QFormLayout, QHBoxLayout, QLabel, QToolButton, QWidget

from roofmodel.document import NOT_IN_JOB, OTHER, Project, Start
from roofmodel.document.changes import changed
from roofmodel.document.cover_edits import Offered
from roofmodel.document.layout_edits import (
    change_layouts,
    set_start,
    start_by_hand,
    vent_ridges,
)
from roofmodel.scene.start_lines import offset_shown
from roofmodel.takeoff import Laying
from roofmodel_ui.covering import keys_of, layings_meant, layouts_meant, planes_selected, words_for
from roofmodel_ui.panels.coverings import PlaneCovering
from roofmodel_ui.panels.fields import (
    LABEL_PX,
    Choice,
    form,
    heading,
    length_field,
    panel_layout,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.panels.laying_words import facts
from roofmodel_ui.session import Session

STARTS: Final[tuple[tuple[str, object], ...]] = (
    ("At the end", "first end"),
    ("For least metal", "least metal"),
    ("For equal ends", "balanced ends"),
    ("In line over the ridge", "ribs aligned across the ridge"),
    ("By hand", "by hand"),
)
ENDS: Final[tuple[tuple[str, object], ...]] = (("From the left", False), ("From the right", True))
BUTTONS: Final = (("lay_as_others", "Like all others"), ("lay_alike", "All like this one"))


class LayoutForm(QWidget):
    """Panels of the selected planes; with none selected, of all."""

    def __init__(
        self,
        session: Session,
        actions: Mapping[str, QAction],
        offered: Sequence[Offered] = (),
    ) -> None:
        super().__init__()
        self.session = session
        self.title = heading("")
        self.plane = PlaneCovering(session, offered)
        self._covering = rows_of(("Covering", self.plane), wide=True)
        self.start = Choice("Where the first panel begins", self._take_start, STARTS)
        self.line = length_field(
            "Starting line, from the end", session, "Move starting line", self._with_line
        )
        self.end = Choice("End that panels are laid from", self._take_end, ENDS)
        for choice in (self.start, self.end):
            choice.setPlaceholderText("different")
        self.end.setToolTip("Left and right as seen looking up the slope.")
        self.vented = QCheckBox("The ridge is vented")
        self.vented.setToolTip("Panels stop further below a vented ridge.")
        self.vented.clicked.connect(self._take_vented)
        self._rows = rows_of(
            ("Begin", self.start), ("Starting line", self.line), ("Lay panels", self.end)
        )
        self.buttons: dict[str, QToolButton] = {}
        self._line = QWidget()
        self._build_buttons(actions)
        self.facts = Facts()
        self._none = quiet()
        self._hint = quiet("Click planes to lay or cover them by themselves.")
        column = panel_layout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (
            self.title,
            self._hint,
            self._covering,
            self._rows,
            self.vented,
            self._line,
        ):
            column.addWidget(widget)
        column.addWidget(self.facts)
        column.addWidget(self._none)
        session.result_changed.connect(self._refresh_if_seen)
        session.selection_changed.connect(self._refresh_if_seen)
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _refresh_if_seen(self) -> None:
        if self.isVisible():  # drags in other stages need not wait for it
            self.refresh()

    def refresh(self) -> None:
        """Show how the panels are laid now."""
        session, units = self.session, self.session.project.units
        planes, layings = planes_selected(session), layings_meant(session)
        words = words_for(planes)
        self.title.setText(words[:1].upper() + words[1:])
        self._covering.setVisible(bool(planes))
        self._hint.setVisible(not planes)
        self.plane.refresh()
        has_panels = bool(layings)
        for widget in (self._rows, self.vented, self._line, self.facts):
            widget.setVisible(has_panels)
        self._none.setVisible(not has_panels)
        self._line.setVisible(has_panels and bool(planes))
        if not has_panels:
            self._none.setText(self._why_none())
            return
        layouts = layouts_meant(session)
        self.start.show_choice(_same(x.start for x in layouts))
        self.end.show_choice(_same(x.from_right for x in layouts))
        vented = {x.vented for x in layouts}
        self.vented.setTristate(len(vented) > 1)
        state = Qt.CheckState
        self.vented.setCheckState(
            state.PartiallyChecked if len(vented) > 1 else
            state.Checked if vented == {True} else state.Unchecked
        )  # fmt: skip
        offsets = {round(self._offset(x), 6) for x in layings}
        self.line.setPlaceholderText("different")
        show_length(self.line, session, offsets.pop() if len(offsets) == 1 else None)
        systems = {s.id: s for s in session.project.systems()}
        self.facts.show_rows(facts(layings, systems, units))

    def _offset(self, laying: Laying) -> float:
        """How far from its end the starting line of a plane lies, as it is drawn."""
        return offset_shown(laying, self.session.results.project.layout_of(str(laying.plane)))

    def _why_none(self) -> str:
        planes = planes_selected(self.session)
        if not planes:
            return "There are no panels yet: draw a roof in Shape first."
        coverings = self.session.results.take_off.coverings
        found = {coverings.get(p.id) for p in planes}
        if found <= {OTHER, NOT_IN_JOB}:
            return "No panels here: no roofing system covers it."
        return "No panels here: panels need a sloping plane that is wide enough."

    def _build_buttons(self, actions: Mapping[str, QAction]) -> None:
        line = QHBoxLayout(self._line)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(4)
        for name, words in BUTTONS:
            action = actions.get(name)
            if action is None:
                continue
            button = QToolButton()
            button.setText(words)
            button.setToolTip(action.toolTip())
            button.setProperty("class", "small")
            button.clicked.connect(action.trigger)
            action.enabledChanged.connect(button.setEnabled)
            button.setEnabled(action.isEnabled())
            self.buttons[name] = button
            line.addWidget(button)
        line.addStretch(1)

    def _keys(self) -> list[str]:
        return keys_of(planes_selected(self.session))

    def _take_start(self, value: object) -> None:
        start, keys = cast(Start, value), self._keys()
        if start == "by hand":
            # The line stays where it is; from now on it is there by hand.
            found = {str(x.plane): self._offset(x) for x in layings_meant(self.session)}
            self.session.attempt("Move starting line", lambda p: _held(p, found))
            return
        words = next(w for w, v in STARTS if v == start)
        self.session.attempt(
            f"Begin {words[:1].lower()}{words[1:]}", lambda p: set_start(p, keys, start)
        )

    def _with_line(self, project: Project, mm: float) -> Project:
        return start_by_hand(project, self._keys(), mm)

    def _take_end(self, value: object) -> None:
        keys, right = self._keys(), bool(value)
        self.session.attempt(
            "Set laying direction",
            lambda p: change_layouts(p, keys, lambda x: changed(x, from_right=right)),
        )

    def _take_vented(self, on: bool) -> None:
        keys = self._keys()
        text = "Vent the ridge" if on else "Close the ridge"
        self.session.attempt(text, lambda p: vent_ridges(p, keys, on))
        self.refresh()


class Facts(QWidget):
    """Rows of label and words; words are wrapped and can be copied."""

    def __init__(self) -> None:
        super().__init__()
        self._form: QFormLayout = form()
        self._form.setVerticalSpacing(3)
        self.setLayout(self._form)
        self.rows: list[tuple[str, str]] = []

    def show_rows(self, rows: Iterable[tuple[str, str]]) -> None:
        """Show exactly these."""
        rows = list(rows)
        if rows == self.rows:
            return
        if [label for label, _ in rows] != [label for label, _ in self.rows]:
            while self._form.rowCount():
                self._form.removeRow(0)
            for label, _ in rows:
                name = quiet(label)
                name.setMinimumWidth(LABEL_PX)
                name.setAlignment(Qt.AlignmentFlag.AlignTop)
                self._form.addRow(name, _words())
        for k, (label, words) in enumerate(rows):
            item = self._form.itemAt(k, QFormLayout.ItemRole.FieldRole)
            shown = None if item is None else item.widget()
            if isinstance(shown, QLabel):
                shown.setText(words)
                shown.setAccessibleName(f"{label}: {words}")
        self.rows = rows
        self._form.invalidate()

    def resizeEvent(self, event: QResizeEvent) -> None:
        # In another width the form would give the words their lines of before.
        super().resizeEvent(event)
        self._form.invalidate()
        self._form.activate()

    def text(self, label: str) -> str:
        """The words beside a label; empty if it has none."""
        return dict(self.rows).get(label, "")


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse
        | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    return label


def _held(project: Project, found: Mapping[str, float]) -> Project:
    """The project with starting lines held where they are."""
    for key, offset in found.items():
        project = start_by_hand(project, [key], offset)
    return project


def _same(values: Iterable[object]) -> object:
    """The one value that all are, or what no choice holds."""
    found = set(values)
    return found.pop() if len(found) == 1 else "different"
