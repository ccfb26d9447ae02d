"""Commands of sections, edges, drawn planes and openings beside those of the main table."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from roofmodel.document import Project
from roofmodel.document.edge_shapes import step_pitches
from roofmodel.errors import DocumentError
from roofmodel_ui.hiding import hidden_parts, set_visible
from roofmodel_ui.rounding import round_sides, rounded_sections
from roofmodel_ui.selection import outline_edges_of, parts_of
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow

STEP: Final = 1.0 / 12.0


def shape_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command, has_outline_edge, has_part, has_roof

    w, session = window, window.session
    return (
        Command("steeper", "Edit", "Steeper by 1/12", partial(step, session, STEP), "+",
                "Make the selected edges steeper by 1 in 12.", has_outline_edge),
        Command("flatter", "Edit", "Flatter by 1/12", partial(step, session, -STEP), "-",
                "Make the selected edges flatter by 1 in 12.", has_outline_edge),
        Command("reach", "Edit", "Reach the roof", partial(reach_roof, session), "E",
                "Extend a wing at the selected edge, or a dormer, back to the roof it meets.",
                has_part),
        Command("round_outline", "Edit", "Round outline", partial(round_sides, session), "",
                "Round the sides of the selected section to whole inches (10 mm in metric jobs).",
                lambda s: bool(rounded_sections(s))),
        Command("show_hide", "Edit", "Show or hide", partial(show_or_hide, session), "H",
                "Hide the selected parts in plan and 3D, or show them; they count all the same.",
                lambda s: bool(parts_of(s.project, s.selection))),
        Command("show_all", "Edit", "Show all parts", partial(show_all, session), "Shift+H",
                "Show all parts that are hidden.", lambda s: bool(hidden_parts(s.project))),
        Command("ready", "Tools", "Add body", lambda: w.use_tool("ready"), "N",
                "Place a usual body: gable, hip, shed, gambrel, mansard, L, T or porch.",
                tool="ready"),
        Command("dormer", "Tools", "Add dormer", lambda: w.use_tool("dormer"), "Shift+D",
                "Drop a gabled, hipped or shed dormer on a plane of the roof.",
                has_roof, tool="dormer"),
    )  # fmt: skip


def step(session: Session, by: float) -> None:
    """Step the pitch of the selected edges; steps in a row are one step of undo."""
    edges = outline_edges_of(session.project, session.selection)
    pairs = [(e.section, e.edge) for e in edges]
    merge = "step pitch " + " ".join(map(str, pairs))
    session.attempt("Step pitch", lambda p: step_pitches(p, pairs, by), merge)


def reach_roof(session: Session) -> None:
    """Extend what is selected back to the roof: an edge at the end of a wing, or else a dormer
    or a wing that knows its back."""
    from roofmodel.surface.reach import reached, seated  # with it comes all of the geometry

    edges = outline_edges_of(session.project, session.selection)
    parts = parts_of(session.project, session.selection)

    def change(project: Project) -> Project:
        sections = {s.id for s in project.sections()}
        if edges:
            for edge in edges:
                project = reached(project, edge.section, edge.edge)
            return project
        wanted = [p for p in parts if p in sections]
        if not wanted:
            raise DocumentError("Select the edge of a wing that lies towards the roof first.")
        for part in wanted:
            project = seated(project, part)
        return project

    session.attempt("Reach the roof", change)


def show_or_hide(session: Session) -> None:
    """Hide what is selected, or show it if all of it is hidden."""
    parts = parts_of(session.project, session.selection)
    owners = {b.id: b.part_ids() for b in session.project.buildings}
    whole = {i for p in parts for i in owners.get(p, (p,))}
    visible = whole <= hidden_parts(session.project)
    text = "Show part" if visible else "Hide part"
    session.attempt(text, lambda p: set_visible(p, parts, visible))


def show_all(session: Session) -> None:
    """Show everything."""
    hidden = sorted(hidden_parts(session.project))
    session.attempt("Show all parts", lambda p: set_visible(p, hidden, True))
