"""Forms whose fields stand for something the document says: label, field and tip in one row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from PySide6.QtWidgets import QFormLayout, QLabel, QVBoxLayout, QWidget

from roofmodel.document import Project
from roofmodel.units import format_length, parse_length
from roofmodel_ui.money_words import as_share, share
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    bare_hint,
    default_unit,
    form,
    heading,
    parse_small_length,
)
from roofmodel_ui.panels.ticks import Tick
from roofmodel_ui.session import Session

LABEL_PX = 150
W = TypeVar("W", bound=QWidget)
Options = Callable[[Project], Sequence[tuple[str, object]]]


def always(project: Project) -> bool:
    """A row that is there in every project."""
    return True


@dataclass(frozen=True, slots=True)
class Words:
    """What stands about a field: `label` before it, `tip` over it, `edit` names the undo step,
    `when` says in which projects it makes sense."""

    label: str
    tip: str
    edit: str
    when: Callable[[Project], bool] = always


class BoundForm(QWidget):
    """Rows under a title. `fields` has their widgets by label."""

    def __init__(self, session: Session, title: str) -> None:
        super().__init__()
        self.session = session
        self.fields: dict[str, QWidget] = {}
        self._shows: list[Callable[[Project], None]] = []
        self._rows: QFormLayout = form()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(heading(title))
        column.addLayout(self._rows)

    def refresh(self) -> None:
        """Show the document as it is now."""
        for show in self._shows:
            show(self.session.project)

    def choice(
        self,
        words: Words,
        options: Options,
        read: Callable[[Project], object],
        write: Callable[[Project, object], Project],
    ) -> Choice:
        """One of several values."""
        field = Choice(words.label, lambda v: self._attempt(words.edit, lambda p: write(p, v)))

        def show(project: Project) -> None:
            field.offer(options(project))
            field.show_choice(read(project))

        return self._added(words, field, show)

    def tick(
        self,
        words: Words,
        read: Callable[[Project], bool],
        write: Callable[[Project, bool], Project],
    ) -> Tick:
        """Yes or no; the label is its own."""
        field = Tick(words.label, lambda on: self._attempt(words.edit, lambda p: write(p, on)))
        return self._added(words, field, lambda p: field.show_value(read(p)), alone=True)

    def length(
        self,
        words: Words,
        read: Callable[[Project], float | None],
        write: Callable[[Project, float | None], Project],
        *,
        small: bool = False,
        empty: str = "",
    ) -> Field:
        """A length; `empty` is shown where there is none, and then it may be left empty."""

        def take(typed: str) -> None:
            def edit(project: Project) -> Project:
                if empty and not typed.strip():
                    return write(project, None)
                units = project.units
                parsed = (
                    parse_small_length(typed, units)
                    if small
                    else parse_length(typed, default_unit(units))
                )
                return write(project, parsed)

            self._attempt(words.edit, edit)

        field = Field(words.label, take)
        field.small = small
        field.setPlaceholderText(empty)

        def show(project: Project) -> None:
            value = read(project)
            field.show_value("" if value is None else format_length(value, project.units))
            field.setToolTip(f"{words.tip} {bare_hint(project.units, small=small)}")

        return self._added(words, field, show)

    def share(
        self,
        words: Words,
        read: Callable[[Project], float],
        write: Callable[[Project, float], Project],
    ) -> Field:
        """A share in per cent."""

        def take(typed: str) -> None:
            self._attempt(words.edit, lambda p: write(p, float(share(typed, f"'{words.label}'"))))

        field = Field(words.label, take)
        return self._added(words, field, lambda p: field.show_value(shown_share(read(p))))

    def text(
        self,
        words: Words,
        read: Callable[[Project], str],
        write: Callable[[Project, str], Project],
    ) -> Field:
        """Text that `write` understands."""
        field = Field(
            words.label, lambda typed: self._attempt(words.edit, lambda p: write(p, typed))
        )
        return self._added(words, field, lambda p: field.show_value(read(p)))

    def _attempt(self, edit: str, change: Callable[[Project], Project]) -> None:
        self.session.attempt(edit, change)

    def _added(
        self, words: Words, field: W, show: Callable[[Project], None], *, alone: bool = False
    ) -> W:
        field.setToolTip(words.tip)
        if alone:
            self._rows.addRow(field)
        else:
            label = QLabel(words.label)
            label.setMinimumWidth(LABEL_PX)
            label.setToolTip(words.tip)
            self._rows.addRow(label, field)
        self.fields[words.label] = field

        def show_row(project: Project) -> None:
            self._rows.setRowVisible(field, words.when(project))
            show(project)

        self._shows.append(show_row)
        return field


def shown_share(value: float) -> str:
    """A share as per cent, without noise of floats."""
    return as_share(Decimal(f"{value:.6g}"))
