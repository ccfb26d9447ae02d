"""The form of a section: heights, overhang, what its outline is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from PySide6.QtWidgets import QCheckBox, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from roofmodel.document import Project, Section
from roofmodel.document.dormers import dormer_of
from roofmodel.document.edits import (
    match_overhangs,
    rename_section,
    set_deck_height,
    set_eave_height,
    set_level,
    set_line,
    set_overhang,
)
from roofmodel.document.part_edits import set_open_below
from roofmodel.errors import RoofmodelError
from roofmodel.units import parse_length
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    bare_hint,
    checked_overhang,
    default_unit,
    length_field,
    parse_small_length,
    rows_of,
    show_length,
    small_length_field,
)
from roofmodel_ui.rounding import round_sides
from roofmodel_ui.session import Session


class SectionForm(QWidget):
    """Everything that is said of a section as a whole."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.part = ""
        self.name = Field("Name of the section", self._take_name)
        self.eave = length_field(
            "Eave height", session, "Set eave height",
            lambda p, mm: set_eave_height(p, self.part, mm),
        )  # fmt: skip
        self.overhang = small_length_field(
            "Overhang", session, "Set overhang", self._with_overhang
        )
        self.level = Choice(
            "Level", self._take_level,
            (("Fascias", "fascias"), ("Wall plates", "plates")),
        )  # fmt: skip
        self.level.setToolTip(
            "With unlike pitches: either all fascias lie at the eave height, or the wall plates do"
            " and each eave lies below its plate."
        )
        self.line = Choice(
            "Outline is", self._take_line,
            (("Drip line (roof edge)", "drip"), ("Wall line", "wall")),
        )  # fmt: skip
        self.deck = Field("Deck height", self._take_deck)
        self.deck.setPlaceholderText("no deck")
        self.match = QPushButton("Match overhangs")
        self.match.setToolTip(
            "Give each sloping edge the overhang at which its fascia is level with the first's:"
            " less where it is steeper."
        )
        self.match.clicked.connect(lambda: self._edit("Match overhangs", self._with_matched))
        self.open_below = QCheckBox("Open below (carport)")
        self.open_below.setToolTip("It hides nothing that reaches under it.")
        self.open_below.clicked.connect(
            lambda on: self._edit("Set open below", lambda p: set_open_below(p, self.part, on))
        )
        self.round = Field("Round sides to", self._take_round)
        self.round.small = True
        self.round.setToolTip(
            "A length, such as 1 or 1/2: every side becomes a whole number of it, and the outline"
            " stays closed."
        )
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        rows = rows_of(
            ("Name", self.name), ("Outline is", self.line), ("Eave height", self.eave),
            ("What is level", self.level), ("Overhang", self.overhang), ("", self.match),
            ("Deck above eave", self.deck), ("Round sides to", self.round),
            ("", self.open_below),
        )  # fmt: skip
        layout.addWidget(rows)
        self._eave_label = rows.findChildren(QLabel)[2]
        self._rows = cast(QFormLayout, rows.layout())

    def show_section(self, section: Section) -> None:
        """Show a section as it is now."""
        self.part = section.id
        self.name.show_value(section.name)
        # A dormer's form says the rest of it, in other words.
        plain = dormer_of(section) is None
        for field in (
            self.line, self.eave, self.level, self.overhang, self.match, self.deck,
            self.round, self.open_below,
        ):  # fmt: skip
            self._rows.setRowVisible(field, plain)
        show_length(self.eave, self.session, section.eave_height)
        show_length(self.overhang, self.session, section.overhang)
        show_length(self.deck, self.session, section.deck_height)
        self.level.show_choice(section.level)
        at = "Eave height" if section.level == "fascias" else "Plate height"
        self._eave_label.setText(at)
        self.line.show_choice(section.line)
        self.open_below.setChecked(section.open_below)
        self.round.show_value("")
        is_feet = self.session.project.units.system == "feet"
        self.round.setPlaceholderText("such as 1 or 1/2 inch" if is_feet else "such as 10 mm")
        self.overhang.setPlaceholderText(bare_hint(self.session.project.units, small=True))

    def _edit(self, text: str, change: Callable[[Project], Project]) -> None:
        self.session.attempt(text, change)

    def _with_overhang(self, project: Project, mm: float) -> Project:
        return set_overhang(project, self.part, None, checked_overhang(mm, project.units))

    def _with_matched(self, project: Project) -> Project:
        return match_overhangs(project, self.part, project.section(self.part).overhang)

    def _take_name(self, text: str) -> None:
        self._edit("Rename section", lambda p: rename_section(p, self.part, text))

    def _take_deck(self, text: str) -> None:
        def change(project: Project) -> Project:
            height = parse_length(text, default_unit(project.units)) if text.strip() else None
            return set_deck_height(project, self.part, height)

        self._edit("Set deck", change)

    def _take_round(self, text: str) -> None:
        if text.strip():
            try:
                step = parse_small_length(text, self.session.project.units)
            except RoofmodelError as error:
                self.session.message.emit(str(error), True)
                return
            round_sides(self.session, step, [self.part])
        self.round.show_value("")

    def _take_level(self, value: object) -> None:
        level = cast(Literal["fascias", "plates"], value)
        self._edit("Set what is level", lambda p: set_level(p, self.part, level))

    def _take_line(self, value: object) -> None:
        line = cast(Literal["drip", "wall"], value)
        self._edit("Set kind of outline", lambda p: set_line(p, self.part, line))
