"""Sides of an outline rounded to whole inches: tracings are never exact."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from roofmodel.document import Project
from roofmodel.units import MM_PER_IN, format_length
from roofmodel_ui.selection import parts_meant
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel.document.rounding import Rounded

METRIC_STEP_MM: Final = 10.0


def rounded_sections(session: Session) -> list[str]:
    """The sections selected, or the only one there is."""
    known = [s.id for s in session.project.sections()]
    meant = [i for i in parts_meant(session.project, session.selection) if i in known]
    return meant or (known if len(known) == 1 else [])


def round_sides(
    session: Session, step: float | None = None, sections: Sequence[str] | None = None
) -> None:
    """Round the sides of sections (None: those meant) to whole steps of `step` mm, and say what
    became of them."""
    from roofmodel.document.rounding import round_outline  # late: geometry comes with it

    units = session.project.units
    by = step or (MM_PER_IN if units.system == "feet" else METRIC_STEP_MM)
    done: list[Rounded] = []

    def change(project: Project) -> Project:
        for section in rounded_sections(session) if sections is None else sections:
            done.append(round_outline(project, section, by))
            project = done[-1].project
        return project

    if not session.attempt("Round outline", change):
        return
    count = sum(d.changed for d in done)
    if not count:
        session.message.emit("All sides are round already.", False)
        return
    most = format_length(max(d.most for d in done), units)
    words = f"Sides rounded: {count}, none by more than {most}."
    broken = sum(d.broken for d in done)
    if broken:
        words += f" Sides that cannot be round, as the outline has to close: {broken}."
    session.message.emit(words, False)
