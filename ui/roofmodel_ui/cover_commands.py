"""Commands of coverings and panel layouts, and what the stage Cover brings with it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from roofmodel.document import NOT_IN_JOB, Project, Start
from roofmodel.document.cover_edits import set_plane_covering
from roofmodel.document.layout_edits import (
    lay_all_alike,
    set_plane_layout,
    set_start,
    turn_laying,
    vent_ridges,
)
from roofmodel_ui import settings
from roofmodel_ui.covering import has_panels, keys_of, planes_selected
from roofmodel_ui.hiding import shown
from roofmodel_ui.session import Session
from roofmodel_ui.system_files import ask_where_to_save
from roofmodel_ui.tools.choices import Offer

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.tools.base import Tool
    from roofmodel_ui.window import MainWindow

WITH_PANELS: Final = ("Cover", "Count", "Hand over")
"""The stages in which panels show, in plan and in 3D."""

STARTS: Final[tuple[tuple[str, Start, str, str, str], ...]] = (
    ("start_end", "first end", "Begin at the end", "At the end",
     "The first panel begins at the end that panels are laid from."),
    ("start_least", "least metal", "Begin for least metal", "Least metal",
     "Begin where it takes the least metal and leaves no narrow piece."),
    ("start_balanced", "balanced ends", "Begin for equal ends", "Equal ends",
     "Begin so that the first and the last panel are equally wide."),
    ("start_ridge", "ribs aligned across the ridge", "Begin in line over the ridge", "In line",
     "Begin so that ribs are in line with those of the plane over the ridge."),
)  # fmt: skip
"""Command, start, title, words on its button, tip."""


def cover_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command

    w, session = window, window.session
    return (
        Command("lay", "Tools", "Lay panels", partial(take_up, w), "Y",
                "Select planes and drag the line where their panels begin.", tool="lay"),
        Command("select_planes", "Edit/Panels", "Select all planes",
                partial(select_planes, session),
                "Ctrl+A", "Select every plane of the job that is in view."),
        *(Command(name, "Edit/Panels", title, partial(begin, session, start, title),
                  "W" if start == "least metal" else "",
                  f"{tip} For the planes selected, or all.", has_panels)
          for name, start, title, _, tip in STARTS),
        Command("start_typed", "Edit/Panels", "Starting line …", partial(ask_start, w), "",
                "Type how far from the end the starting line of the selected planes lies.",
                has_selected_panels),
        Command("turn_laying", "Edit/Panels", "Lay from the other end", partial(turn, session),
                "R", "Lay the panels the other way round. For the planes selected, or all.",
                has_panels),
        Command("vent_ridge", "Edit/Panels", "Vent or close the ridge", partial(vent, session), "",
                "Panels stop further below a vented ridge. For the planes selected, or all.",
                has_panels),
        Command("lay_alike", "Edit/Panels", "Lay all planes like this one",
                partial(lay_alike, session), "",
                "Lay the panels of all planes as those of the selected plane.",
                has_selected_panels),
        Command("lay_as_others", "Edit/Panels", "Lay like all other planes",
                partial(lay_as_others, session), "",
                "Give up what was set for the panels of the selected planes alone.",
                has_own_layout),
        Command("leave_out", "Edit/Panels", "Leave out of the job", partial(leave_out, session),
                "", "Take the selected planes out of the job, or back into it.",
                lambda s: bool(planes_selected(s))),
        Command("load_system", "File", "Roofing system from a file …", w.files.add_system, "",
                "Load a roofing system from a TOML file; one with the same id is replaced."),
        Command("save_system", "File", "Roofing system to a file …",
                partial(save_shown, w), "",
                "Write the roofing system that Cover shows to a TOML file."),
        Command("panels_shown", "View", "Panels", partial(show_panels, w), "Shift+R",
                "Show or hide panels in plan and ribs in 3D, in Cover, Count and Hand over."),
    )  # fmt: skip


def connect_cover(window: MainWindow) -> None:
    """Panels show where they are of use, and Cover brings the tool that lays them."""
    action = window.actions_by_id["panels_shown"]
    action.setCheckable(True)
    action.setChecked(settings.PANELS.get())
    # In fields and tables the same keys select what they hold.
    every = window.actions_by_id["select_planes"]
    every.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
    window._views.addAction(every)
    for stage, button in window.strip.buttons.items():
        button.toggled.connect(partial(_stage_toggled, window, stage))


def offers_of(window: MainWindow) -> tuple[Offer, ...]:
    """What the small bar of the tool offers: commands by short words."""
    actions = window.actions_by_id
    short = [(name, words) for name, _, _, words, _ in STARTS]
    short.append(("turn_laying", "Other end"))
    return tuple(Offer(w, actions[name].trigger, actions[name].toolTip()) for name, w in short)


def prepare_tool(window: MainWindow, tool: Tool) -> None:
    """Give the tool that lays panels its commands."""
    from roofmodel_ui.tools.lay import LayTool

    if isinstance(tool, LayTool):
        tool.commands = offers_of(window)


def select_planes(session: Session) -> None:
    """Select every plane of the job that is in view."""
    results = shown(session.results)
    coverings = results.take_off.coverings
    session.select({p.id for p in results.surface.planes if coverings[p.id] != NOT_IN_JOB})


def take_up(window: MainWindow) -> None:
    """Take up the tool that lays panels, where panels show."""
    window.use_tool("lay")
    if window._stage not in WITH_PANELS:
        window.show_stage("Cover")


def begin(session: Session, start: Start, title: str) -> None:
    """Let the panels of the selected planes, or of all, begin so."""
    keys = keys_of(planes_selected(session))
    session.attempt(title, lambda p: set_start(p, keys, start))


def turn(session: Session) -> None:
    """Lay the other way round."""
    keys = keys_of(planes_selected(session))
    session.attempt("Lay from the other end", lambda p: turn_laying(p, keys))


def vent(session: Session) -> None:
    """Vent the ridge of the selected planes, or of all; close it if all are vented."""
    keys = keys_of(planes_selected(session))
    project = session.project
    all_keys = keys or [str(p.id) for p in session.results.surface.planes]
    vented = not all(project.layout_of(k).vented for k in all_keys)
    text = "Vent the ridge" if vented else "Close the ridge"
    session.attempt(text, lambda p: vent_ridges(p, keys, vented))


def lay_alike(session: Session) -> None:
    """Lay all planes as the first one selected."""
    keys = keys_of(planes_selected(session))
    if keys:
        session.attempt("Lay all alike", lambda p: lay_all_alike(p, p.layout_of(keys[0])))


def lay_as_others(session: Session) -> None:
    """Lay the selected planes as all others."""
    keys = keys_of(planes_selected(session))

    def change(project: Project) -> Project:
        for key in keys:
            project = set_plane_layout(project, key, None)
        return project

    session.attempt("Lay like all others", change)


def leave_out(session: Session) -> None:
    """Take planes out of the job; back into it if all of them are out."""
    keys = keys_of(planes_selected(session))
    coverings = session.results.take_off.coverings
    out = all(coverings.get(p.id) == NOT_IN_JOB for p in planes_selected(session))

    def change(project: Project) -> Project:
        for key in keys:
            project = set_plane_covering(project, key, None if out else NOT_IN_JOB)
        return project

    session.attempt("Take into the job" if out else "Leave out of the job", change)


def ask_start(window: MainWindow) -> None:
    """Type where the starting line lies, in the plan."""
    from roofmodel_ui.tools.lay import LayTool

    take_up(window)
    tool = window.tools["lay"]
    if isinstance(tool, LayTool):
        tool.ask()


def show_panels(window: MainWindow) -> None:
    """Show panels, or hide them."""
    settings.PANELS.put(not settings.PANELS.get())
    _bring_up_to(window, window._stage)


def save_shown(window: MainWindow) -> None:
    """Write the roofing system that Cover shows to a file."""
    session = window.session
    ask_where_to_save(window, session, window.cover.systems.current(session.project))


def has_selected_panels(session: Session) -> bool:
    """Whether a plane with panels is selected."""
    chosen = {p.id for p in planes_selected(session)}
    return any(x.panels and x.plane in chosen for x in session.results.take_off.layings)


def has_own_layout(session: Session) -> bool:
    """Whether a selected plane is laid in its own way."""
    own = {p.plane for p in session.project.plane_layouts}
    return any(key in own for key in keys_of(planes_selected(session)))


def _stage_toggled(window: MainWindow, stage: str, on: bool) -> None:
    if on:
        _bring_up_to(window, stage)
    if stage != "Cover" or window.plan.tool is None:
        return
    wanted, given = ("Select", "lay") if on else ("Lay panels", "select")
    if window.plan.tool.name == wanted and not window.plan.tool.busy():
        # A stage reached by keys leaves them where they were.
        focus = QApplication.focusWidget()
        window.use_tool(given)
        if focus is not None:
            focus.setFocus()


def _bring_up_to(window: MainWindow, stage: str) -> None:
    shown = settings.PANELS.get() and stage in WITH_PANELS
    window.actions_by_id["panels_shown"].setChecked(settings.PANELS.get())
    window.plan.set_panels(shown)
    if (view := window.made_view3d) is not None:
        view.set_panels(shown)
