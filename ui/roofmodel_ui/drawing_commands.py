"""Commands of drawing: rectangles, typed measurements, edges, copies, and snapping."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction

from roofmodel.document import Project, Units
from roofmodel.document.changes import part_of
from roofmodel.document.copies import (
    COPY_GAP_MM,
    align_section,
    copy_part,
    corners_of,
    mirror_copies,
    mirror_parts,
    turn_parts,
)
from roofmodel.document.drawing_edits import square_up
from roofmodel.units import format_length
from roofmodel_ui.plan.bar import SnapButton, ToolBar
from roofmodel_ui.selection import PartId, parts_meant
from roofmodel_ui.session import Session
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.select import NO_PART, Ask, SelectTool
from roofmodel_ui.tools.snaps import snapping_of

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow

LEAST_TOLD_MM = 0.5
MOST_TOLD = 8
_FOR_PARTS = (
    ("copy", "Copy"), ("mirror_across", "Mirror"), ("turn", "Turn"), ("square_up", "Square up"),
)  # fmt: skip
"""Commands that the small bar offers for selected parts, and their words there."""


def drawing_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command

    w, session = window, window.session
    snapping = snapping_of(session)
    return (
        Command("rectangle", "Tools", "Draw rectangle", lambda: w.use_tool("rectangle"), "B",
                "Draw a section as a rectangle: one side, then its depth.", tool="rectangle"),
        Command("measurements", "Tools", "Tape list …", lambda: _open_list(w), "T",
                "Enter a whole outline as a list of tape measurements."),
        Command("edge_length", "Edit", "Edge length …", lambda: _ask(w, "length"), "L",
                "Type the length of the selected edge in the plan.", _has_edge),
        Command("offset_edge", "Edit", "Offset edge …", lambda: _ask(w, "offset"), "",
                "Move the selected edge by a typed distance; its neighbours slide.", _has_edge),
        Command("split_edge", "Edit", "Split edge …", lambda: _ask(w, "split"), "",
                "Put a corner on the selected edge at a typed length.", _has_edge),
        Command("square_up", "Edit", "Square up outline", lambda: _square_up(session), "",
                "Make a nearly square outline square, moving its corners least.", _has_section),
        Command("copy", "Edit", "Copy part", lambda: _copy(session), "Ctrl+D",
                "Copy the selected parts; drag the copies where they belong.", _has_parts),
        Command("mirror_across", "Edit", "Mirror left to right",
                partial(_mirror, session, across=True), "",
                "Mirror the selected parts in place.", _has_parts),
        Command("mirror_along", "Edit", "Mirror top to bottom",
                partial(_mirror, session, across=False), "",
                "Mirror the selected parts in place.", _has_parts),
        Command("copy_across", "Edit", "Copy mirrored, left to right",
                partial(_mirrored_copy, session, across=True), "",
                "Copy the selected parts to the other side of the house, mirrored over its"
                " middle.", _has_parts),
        Command("copy_along", "Edit", "Copy mirrored, top to bottom",
                partial(_mirrored_copy, session, across=False), "",
                "Copy the selected parts to the other side of the house, mirrored over its"
                " middle.", _has_parts),
        Command("turn_quarter", "Edit", "Turn a quarter to the left", lambda: _turn(session, 90.0),
                "", "Turn the selected parts by 90° about their middle.", _has_parts),
        Command("turn", "Edit", "Turn …", lambda: _ask(w, "turn"), "",
                "Turn the selected parts by a typed angle.", _has_parts),
        Command("align", "Edit", "Align section", lambda: _align(session), "",
                "Turn the selected section to run along the first section of the job.",
                _has_section),
        Command("snapping", "View", "Snapping", lambda: snapping.switch(not snapping.on), "F3",
                "Turn snapping on or off; Shift held turns it off for a moment.",
                button="Snapping"),
    )  # fmt: skip


def connect_drawing(window: MainWindow) -> ToolBar:
    """Give the plan its small bar and the line at the bottom the switch for snapping."""
    bar = ToolBar(window.plan)
    action = window.actions_by_id["snapping"]
    button = SnapButton(snapping_of(window.session), action)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    line = window.totals.layout()
    if line is not None:
        line.addWidget(button)
    select = window.tools["select"]
    if isinstance(select, SelectTool):
        select.part_offers = tuple(_offer(window.actions_by_id[i], w) for i, w in _FOR_PARTS)
    window.session.selection_changed.connect(bar.refresh)
    window.session.project_changed.connect(bar.refresh)
    return bar


def _offer(action: QAction, words: str) -> Offer:
    return Offer(words, action.trigger, action.toolTip())


def _has_parts(session: Session) -> bool:
    return bool(parts_meant(session.project, session.selection))


def _has_section(session: Session) -> bool:
    return bool(_sections(session))


def _has_edge(session: Session) -> bool:
    from roofmodel_ui.commands import has_outline_edge

    return has_outline_edge(session)


def _sections(session: Session) -> list[str]:
    """The sections selected, or the only one there is."""
    known = [s.id for s in session.project.sections()]
    chosen = [i for i in parts_meant(session.project, session.selection) if i in known]
    return chosen or (known if len(known) == 1 else [])


def _ask(window: MainWindow, what: Ask) -> None:
    tool = window.tools["select"]
    window.use_tool("select")
    if isinstance(tool, SelectTool):
        tool.ask(what)


def _open_list(window: MainWindow) -> None:
    from roofmodel_ui.measurements import open_measurements

    open_measurements(window)


def _square_up(session: Session) -> None:
    sections = _sections(session)
    moved: list[float] = []

    def edit(project: Project) -> Project:
        for section in sections:
            done = square_up(project, section)
            project = done.project
            moved.extend(done.moved)
        return project

    if session.attempt("Square up outline", edit):
        session.message.emit(_squared_words(moved, session.project.units), False)


def _squared_words(moved: Sequence[float], units: Units) -> str:
    """How far each corner went; of many only how many and the longest way."""
    gone = [(k, mm) for k, mm in enumerate(moved, 1) if mm >= LEAST_TOLD_MM]
    if not gone:
        return "The outline is square as it is."
    if len(gone) > MOST_TOLD:
        most = format_length(max(moved), units)
        return f"Squared up: {len(gone)} corners moved, none further than {most}."
    each = ", ".join(f"corner {k} by {format_length(mm, units)}" for k, mm in gone)
    return f"Squared up: moved {each}."


def _copy(session: Session) -> None:
    parts = parts_meant(session.project, session.selection)
    made: list[str] = []

    def edit(project: Project) -> Project:
        xs = [x for i in parts for x, _ in corners_of(part_of(project, i))]
        east = max(xs) - min(xs) + COPY_GAP_MM if xs else 0.0
        for part in parts:
            project, copy = copy_part(project, part, east, 0.0)
            made.append(copy)
        return project

    if session.attempt("Copy part" if len(parts) == 1 else f"Copy {len(parts)} parts", edit):
        session.select(PartId(m) for m in made)


def _mirror(session: Session, *, across: bool) -> None:
    parts = parts_meant(session.project, session.selection)
    words = "Mirror left to right" if across else "Mirror top to bottom"
    _edit_parts(session, words, lambda p: mirror_parts(p, parts, across=across))


def _mirrored_copy(session: Session, *, across: bool) -> None:
    """Wings and dormers come in pairs: copy them to the other side."""
    from roofmodel_ui.ties import tied_anew  # with it comes all of the geometry

    parts = parts_meant(session.project, session.selection)
    copies: dict[str, str] = {}
    houses: list[str] = []

    def edit(project: Project) -> Project:
        project, made, house = mirror_copies(project, parts, across=across)
        copies.update(made)
        houses.append(house)
        return tied_anew(project, tuple(made.values()))

    if session.attempt("Copy mirrored", edit):
        session.select(PartId(c) for c in copies.values())
        over = f", mirrored over the middle of {houses[0]}" if houses[0] else ""
        what = "1 part" if len(copies) == 1 else f"{len(copies)} parts"
        session.message.emit(f"Copied {what}{over}.", False)


def _turn(session: Session, degrees: float) -> None:
    parts = parts_meant(session.project, session.selection)
    _edit_parts(session, "Turn", lambda p: turn_parts(p, parts, degrees))


def _align(session: Session) -> None:
    sections = _sections(session)

    def edit(project: Project) -> Project:
        for section in sections:
            project = align_section(project, section)
        return project

    before = session.project
    if session.attempt("Align section", edit) and session.project is before:
        session.message.emit("The section runs along the first one already.", False)


def _edit_parts(session: Session, words: str, edit: Callable[[Project], Project]) -> None:
    if not parts_meant(session.project, session.selection):
        session.message.emit(NO_PART, True)
        return
    session.attempt(words, edit)
