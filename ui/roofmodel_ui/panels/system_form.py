"""A roofing system as data: which are in the job, and the values most often changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import msgspec
from PySide6.QtWidgets import QGridLayout, QMenu, QToolButton, QWidget

from roofmodel.document import NOT_IN_JOB, OTHER, Project, Units
from roofmodel.document.cover_edits import (
    Offered,
    add_offered,
    change_system,
    cover_job,
    remove_system,
)
from roofmodel.errors import DocumentError
from roofmodel.systems import EdgeKind, PanelRules, RoofingSystem
from roofmodel.units import format_length
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    bare_hint,
    checked_coverage,
    form,
    heading,
    panel_layout,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
    small_length_field,
)
from roofmodel_ui.panels.fold import Fold
from roofmodel_ui.session import Session

SHIFTS: Final[tuple[tuple[str, EdgeKind, float, bool], ...]] = (
    ("Past the eave", EdgeKind.EAVE, 1.0, False),
    ("Past the rake", EdgeKind.RAKE, 1.0, False),
    ("Back from the ridge", EdgeKind.RIDGE, -1.0, False),
    ("Back, vented ridge", EdgeKind.RIDGE, -1.0, True),
    ("Back from a hip", EdgeKind.HIP, -1.0, False),
    ("Back from a valley", EdgeKind.VALLEY, -1.0, False),
    ("Back from a headwall", EdgeKind.HEADWALL, -1.0, False),
    ("Back from a sidewall", EdgeKind.SIDEWALL, -1.0, False),
)
"""Label, kind of edge, sign of the shift that is meant, whether it holds for a vented ridge."""

RULES: Final[tuple[tuple[str, str], ...]] = (
    ("End lap", "end_lap"),
    ("Lap below {slope}", "low_end_lap"),
    ("Least width", "least_width"),
)


class SystemForm(QWidget):
    """The systems of the job, and the values of the one chosen. `offered` systems can be added
    at once, others by `read`; `save` writes the shown one to a file."""

    def __init__(
        self,
        session: Session,
        offered: Sequence[Offered],
        read: Callable[[], object],
        save: Callable[[], object],
    ) -> None:
        super().__init__()
        self.session = session
        self._offered, self._read, self._save = offered, read, save
        self._shown_system = session.project.system.id
        self._known = frozenset(s.id for s in session.project.systems())
        self._changed: list[Callable[[], object]] = []
        self.system = Choice("Roofing system", self._take_system)
        self.name = Field("Name of the roofing system", self._take_name)
        self.coverage = self.small("Coverage", "Set coverage", self._with_coverage)
        self.longest = Field("Longest panel", self._take_longest)
        self.longest.setPlaceholderText("any length")
        self.lap_leg = self.small("Lap leg", "Set lap leg", self._with_lap_leg)
        self.shifts: dict[tuple[EdgeKind, bool], Field] = {}
        for label, kind, sign, vented in SHIFTS:
            self.shifts[kind, vented] = self.small(
                label, "Set panel end", self._shifter(kind, sign, vented=vented)
            )
        self.eave = self.shifts[EdgeKind.EAVE, False]
        self.rules = {
            key: self.small(label.split(" {")[0], "Set panel rule", self._ruler(key))
            for label, key in RULES
        }
        self._widths = quiet()
        self._hint = quiet()
        self._build()
        session.opened.connect(self._opened)
        session.project_changed.connect(self.refresh)
        self.refresh()

    def when_shown(self, show: Callable[[], object]) -> None:
        """Call this whenever another system shows, or the same one changed."""
        self._changed.append(show)

    def _opened(self) -> None:
        """Another project: its first system shows, not the last one added."""
        self._shown_system = self.session.project.system.id
        self._known = frozenset(s.id for s in self.session.project.systems())
        self.refresh()

    def refresh(self) -> None:
        """Show the systems as they are now; one that is new in the job is shown."""
        project, units = self.session.project, self.session.project.units
        ids = [s.id for s in project.systems()]
        fresh = [i for i in ids if i not in self._known]
        self._known = frozenset(ids)
        if fresh:
            self._shown_system = fresh[-1]
        self.system.offer([(s.name, s.id) for s in project.systems()])
        system = self.current(project)
        self.system.show_choice(system.id)
        self.remove.setEnabled(len(ids) > 1 and system.id != project.system.id)
        self.everywhere.setEnabled(not covers_all(project, system.id))
        self.name.show_value(system.name)
        self.name.setToolTip(system.name)
        show_length(self.coverage, self.session, system.coverage)
        show_length(self.longest, self.session, system.panel.longest)
        show_length(self.lap_leg, self.session, system.lap_leg)
        for _, kind, sign, vented in SHIFTS:
            show_length(
                self.shifts[kind, vented], self.session, sign * _shift(system, kind, vented)
            )
        for _, key in RULES:
            show_length(self.rules[key], self.session, getattr(system.panel, key))
        self._widths.setText(widths_words(system.panel, units))
        self._widths.setVisible(bool(self._widths.text()))
        self._hint.setText(bare_hint(units, small=True))
        self._fill_menu(project)
        for show in self._changed:
            show()

    def current(self, project: Project) -> RoofingSystem:
        """The system whose numbers show."""
        return next((s for s in project.systems() if s.id == self._shown_system), project.system)

    def edit(self, project: Project, **fields: object) -> Project:
        """The project with these fields of the shown system."""
        return change_system(project, msgspec.structs.replace(self.current(project), **fields))

    def small(self, name: str, text: str, change: Callable[[Project, float], Project]) -> Field:
        """A field for a length in inches."""
        return small_length_field(name, self.session, text, change)

    def _build(self) -> None:
        column = panel_layout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading("Roofing system"))
        column.addWidget(self.system)
        column.addLayout(self._build_buttons())
        column.addWidget(
            rows_of(
                ("Name", self.name), ("Coverage", self.coverage), ("Longest panel", self.longest)
            )
        )
        column.addWidget(self._widths)
        column.addWidget(rows_of(("Lap leg", self.lap_leg), ("Past the eave", self.eave)))
        more = QWidget()
        rows = form()
        more.setLayout(rows)
        for label, kind, _, vented in SHIFTS[1:]:
            rows.addRow(label, self.shifts[kind, vented])
        for label, key in RULES:
            rows.addRow(label.split(" {")[0] if key != "low_end_lap" else "Low-slope end lap",
                        self.rules[key])  # fmt: skip
        tip = "How far panels stay back at each kind of edge, and how long ones are split."
        self.more = Fold("More values", more, tip)
        column.addWidget(self.more)
        column.addWidget(self._hint)

    def _build_buttons(self) -> QGridLayout:
        self.add, self.remove = QToolButton(), QToolButton()
        self.everywhere, self.file = QToolButton(), QToolButton()
        self.add.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu = QMenu(self.add)
        self.add.setMenu(self.menu)
        grid = QGridLayout()
        grid.setSpacing(4)
        grid.setColumnStretch(2, 1)
        told: tuple[tuple[QToolButton, str, str, Callable[[], object] | None], ...] = (
            (self.add, "Add system", "Cover part of the job with another roofing system.", None),
            (self.remove, "Remove system", "Take this roofing system out of the job.",
             self._remove_system),
            (self.everywhere, "Use everywhere",
             "Cover with this system all that roofing systems cover now.", self._cover_job),
            (self.file, "Save to a file …",
             "Write this system to a TOML file: change it there, load it again.", self._save),
        )  # fmt: skip
        for k, (button, words, tip, run) in enumerate(told):
            button.setText(words)
            button.setToolTip(tip)
            button.setProperty("class", "small")
            if run is not None:
                button.clicked.connect(lambda _=False, r=run: r())
            grid.addWidget(button, k // 2, k % 2)
            button.setMinimumWidth(124)
        return grid

    def _fill_menu(self, project: Project) -> None:
        self.menu.clear()
        known = {s.id for s in project.systems()}
        for offered in self._offered:
            if offered.system.id not in known:
                action = self.menu.addAction(offered.system.name)
                action.triggered.connect(lambda _=False, o=offered: self._add_system(o))
        self.menu.addAction("From a file …").triggered.connect(lambda: self._read())

    def _take_system(self, value: object) -> None:
        self._shown_system = str(value)
        self.refresh()

    def _take_name(self, text: str) -> None:
        name = text.strip()

        def rename(project: Project) -> Project:
            if not name:
                raise DocumentError("A roofing system needs a name; type one.")
            return self.edit(project, name=name)

        self.session.attempt("Rename roofing system", rename)

    def _add_system(self, offered: Offered) -> None:
        self.session.attempt("Add roofing system", lambda p: add_offered(p, offered))

    def _remove_system(self) -> None:
        system = self.current(self.session.project).id
        self.session.attempt("Remove roofing system", lambda p: remove_system(p, system))

    def _cover_job(self) -> None:
        system = self.current(self.session.project).id
        self.session.attempt("Cover the job", lambda p: cover_job(p, system))

    def _with_coverage(self, project: Project, mm: float) -> Project:
        mm, rules = checked_coverage(mm, project.units), self.current(project).panel
        if not (rules.narrowest or 0.0) <= mm <= (rules.widest or mm):
            made = widths_words(rules, project.units)
            raise DocumentError(f"This coverage is not made: {made[:1].lower()}{made[1:]}")
        return self.edit(project, coverage=mm)

    def _take_longest(self, text: str) -> None:
        def change(project: Project) -> Project:
            longest = parse_small_length(text, project.units) if text.strip() else None
            rules = msgspec.structs.replace(self.current(project).panel, longest=longest)
            return self.edit(project, panel=rules)

        self.session.attempt("Set longest panel", change)

    def _with_lap_leg(self, project: Project, mm: float) -> Project:
        return self.edit(project, lap_leg=mm)

    def _shifter(
        self, kind: EdgeKind, sign: float, *, vented: bool
    ) -> Callable[[Project, float], Project]:
        name = "vented_shifts" if vented else "shifts"

        def change(project: Project, mm: float) -> Project:
            old = getattr(self.current(project), name)
            return self.edit(project, **{name: {**old, kind: sign * mm}})

        return change

    def _ruler(self, key: str) -> Callable[[Project, float], Project]:
        def change(project: Project, mm: float) -> Project:
            rules = msgspec.structs.replace(self.current(project).panel, **{key: mm})
            return self.edit(project, panel=rules)

        return change


def covers_all(project: Project, system_id: str) -> bool:
    """Whether a system covers all that roofing systems cover."""
    named = [b.covering for b in project.buildings]
    named += [c.covering for c in project.plane_coverings]
    used = {n or project.system.id for n in named if n not in (OTHER, NOT_IN_JOB)}
    return used <= {system_id} and project.system.id == system_id


def widths_words(rules: PanelRules, units: Units) -> str:
    """The coverages that a panel is made in, as a sentence; nothing if it is made in any."""
    low, high = (
        None if mm is None else format_length(mm, units) for mm in (rules.narrowest, rules.widest)
    )
    if low and high:
        return f"It is made from {low} to {high} wide."
    if low or high:
        return (
            f"It is made no narrower than {low}." if low else f"It is made no wider than {high}."
        )
    return ""


def _shift(system: RoofingSystem, kind: EdgeKind, vented: bool) -> float:
    plain = system.shifts.get(kind, 0.0)
    return system.vented_shifts.get(kind, plain) if vented else plain
