"""One table of what the user can do: it feeds the menus, the rail of tools and the tips."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QKeySequence

from roofmodel.document import Project
from roofmodel.document.part_edits import new_building, remove_building, remove_part
from roofmodel_ui.count_commands import count_commands
from roofmodel_ui.cover_commands import cover_commands
from roofmodel_ui.drawing_commands import drawing_commands
from roofmodel_ui.habit_commands import habit_commands
from roofmodel_ui.pitches import slope_all
from roofmodel_ui.price_commands import price_commands
from roofmodel_ui.selection import PartId, between_parts, outline_edges_of, parts_of
from roofmodel_ui.session import Session
from roofmodel_ui.shape_commands import shape_commands
from roofmodel_ui.underlay_commands import underlay_commands
from roofmodel_ui.view_commands import view_commands

if TYPE_CHECKING:
    from roofmodel_ui.window import MainWindow


@dataclass(frozen=True, slots=True)
class Command:
    """Something to do: `menu` says where it stands, `enabled` whether it makes sense now."""

    id: str
    menu: str
    title: str
    run: Callable[[], object]
    shortcut: str = ""
    tip: str = ""
    enabled: Callable[[Session], bool] = lambda _: True
    tool: str = ""
    button: str = ""
    """Words of its button where those of the menu would not say enough."""


def has_part(session: Session) -> bool:
    """Whether there is anything that could be removed."""
    project = session.project
    return len(project.buildings) > 1 or any(b.part_ids() for b in project.buildings)


def has_roof(session: Session) -> bool:
    """Whether a roof could be built."""
    return bool(session.results.surface.planes)


def has_outline_edge(session: Session) -> bool:
    """Whether what is selected has a pitch that can be set."""
    return bool(outline_edges_of(session.project, session.selection))


def commands_of(window: MainWindow) -> tuple[Command, ...]:
    """All commands of the window, in the order of the menus."""
    w, files = window, window.files
    stack = w.session.undo_stack

    def undo() -> None:
        """Inside a tool that has begun something first, then in the document."""
        if not w.plan.take_back():
            stack.undo()

    return (
        Command("new", "File", "New", files.new, "Ctrl+N", "Start a new project."),
        Command("open", "File", "Open …", files.open, "Ctrl+O", "Open a project file."),
        Command("save", "File", "Save", files.save, "Ctrl+S", "Save the project."),
        Command("save_as", "File", "Save as …", files.save_as, "Ctrl+Shift+S",
                "Save the project under another name."),
        Command("picture", "File", "Load picture …", files.load_picture, "Ctrl+L",
                "Load an aerial picture, a PDF plan or a DXF drawing to trace."),
        Command("package", "File", "Package for shop and crew …",
                lambda: w.side.handing.ask_where(w), "Ctrl+Shift+E",
                "A folder with every drawing, the cut lists and the booklet.", has_roof),
        Command("export_dxf", "File", "Roof plan as DXF …", files.export_dxf, "Ctrl+E",
                "Roof plan in inches, layers by kind of edge.", has_roof),
        Command("export_picture", "File", "3D picture as PNG …", files.export_picture, "",
                "The roof in 3D as a picture.", has_roof),
        Command("export_quantities", "File", "Quantities as JSON …", files.export_quantities, "",
                "Planes, edges, panels, trim and quantities as data.", has_roof),
        Command("export_csv", "File", "Quantities as CSV …", files.export_csv, "",
                "Quantities for a spreadsheet.", has_roof),
        Command("export_xlsx", "File", "Take-off as XLSX …", files.export_xlsx, "",
                "Workbook with planes, edges, cut list, trim and quantities.", has_roof),
        Command("export_field", "File", "Field sheet as PDF …", files.export_field, "",
                "Plan with the dimensions and pitches to confirm on the house.", has_roof),
        Command("quit", "File", "Quit", w.close, "Ctrl+Q", "Leave the program."),
        Command("undo", "Edit", "Undo", undo, "Ctrl+Z", "Take back the last edit.",
                lambda s: s.undo_stack.canUndo()),
        Command("redo", "Edit", "Redo", stack.redo, "Ctrl+Shift+Z", "Make the edit again.",
                lambda s: s.undo_stack.canRedo()),
        Command("set_pitch", "Edit", "Set pitch", w.go_to_pitch, "P",
                "Type the pitch of the selected edges.", has_outline_edge),
        Command("make_gable", "Edit", "Make gable", lambda: _make_gable(w.session), "G",
                "Make the selected edges gable ends.", has_outline_edge),
        Command("remove", "Edit", "Remove", lambda: _remove(w.session), "Del",
                "Remove the section, drawn plane, opening or building that is selected.",
                has_part),
        Command("add_building", "Edit", "Add building", lambda: _add_building(w.session), "",
                "Add a building without parts, such as a garage."),
        Command("select", "Tools", "Select", lambda: w.use_tool("select"), "S",
                "Select edges and planes; drag corners.", tool="select"),
        Command("outline", "Tools", "Draw outline", lambda: w.use_tool("outline"), "O",
                "Draw the outline of a section.", tool="outline", button="Add section"),
        Command("plane", "Tools", "Draw plane", lambda: w.use_tool("plane"), "D",
                "Draw a single roof plane by its corners; a selected roof edge carries it.",
                tool="plane", button="Add plane"),
        Command("opening", "Tools", "Place opening", lambda: w.use_tool("opening"), "C",
                "Place a chimney, a skylight or a pipe.", tool="opening", button="Add opening"),
        Command("scale", "Tools", "Set scale", lambda: w.use_tool("scale"), "K",
                "Set the scale of the picture by two points.",
                lambda s: bool(s.project.underlays), tool="scale"),
        *underlay_commands(w),
        Command("fit", "View", "Zoom to fit", w.zoom_to_fit, "F", "Show the whole roof.",
                button="Fit"),
        *view_commands(w),
        *shape_commands(w),
        *drawing_commands(w),
        *cover_commands(w),
        *count_commands(w),
        *price_commands(w),
        *habit_commands(w),
    )  # fmt: skip


def action_of(command: Command, window: MainWindow) -> QAction:
    """The Qt action of a command."""
    action = QAction(command.title, window)
    action.setObjectName(command.id)
    action.triggered.connect(lambda _=False: command.run())
    if command.shortcut:
        action.setShortcut(QKeySequence(command.shortcut))
    action.setToolTip(command.tip)
    action.setStatusTip(command.tip)
    action.setCheckable(bool(command.tool))
    action.setProperty("button", command.button)
    return action


def _make_gable(session: Session) -> None:
    session.attempt(
        "Make gable end",
        lambda p: slope_all(p, outline_edges_of(p, session.selection), None),
    )


def _add_building(session: Session) -> None:
    made: list[str] = []

    def add(project: Project) -> Project:
        project, building = new_building(project)
        made.append(building)
        return project

    if session.attempt("Add building", add):
        session.select((PartId(made[0]),))


def _remove(session: Session) -> None:
    """Remove the parts of what is selected; a building goes only if selected as such."""
    from roofmodel_ui.panels.parts import rows_of_job  # late, as the panels are

    chosen = parts_of(session.project, session.selection)
    if between_parts(session.selection):
        sentence = (
            "Two parts meet at this edge: click a plane of the one to remove, or its row in the"
            " list of parts."
        )
        session.message.emit(sentence, True)
        return
    if not chosen:
        sentence = "Select something first: click one of its planes or edges, or its row."
        session.message.emit(sentence, True)
        return
    kinds = {part or building: kind for building, part, _, kind in rows_of_job(session.project)}
    words = {kinds[c] for c in chosen}
    word = words.pop() if len(words) == 1 else "part"
    text = f"Remove {word}" if len(chosen) == 1 else f"Remove {len(chosen)} {word}s"

    def remove(project: Project) -> Project:
        for part in chosen:
            if kinds[part] == "building":
                project = remove_building(project, part)
            elif any(part in b.part_ids() for b in project.buildings):
                project = remove_part(project, part)
        return project

    names = {part or building: name for building, part, name, _ in rows_of_job(session.project)}
    if session.attempt(text, remove):
        gone = ", ".join(names[c] for c in chosen)
        session.message.emit(f"Removed: {gone}. Undo brings it back.", False)
