"""One table of what the user can do: it feeds the menus, the rail of tools and the tips."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QKeySequence

from roofmodel.document.edits import remove_section
from roofmodel.surface import EdgeId
from roofmodel_ui.panels.shape import slope_all
from roofmodel_ui.selection import outline_edges_of
from roofmodel_ui.session import Session

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


def has_section(session: Session) -> bool:
    """Whether there is an outline."""
    return bool(session.project.sections())


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
                "Load an aerial picture or a scanned plan to trace."),
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
        Command("quit", "File", "Quit", w.close, "Ctrl+Q", "Leave the program."),
        Command("undo", "Edit", "Undo", undo, "Ctrl+Z", "Take back the last edit.",
                lambda s: s.undo_stack.canUndo()),
        Command("redo", "Edit", "Redo", stack.redo, "Ctrl+Shift+Z", "Make the edit again.",
                lambda s: s.undo_stack.canRedo()),
        Command("set_pitch", "Edit", "Set pitch", w.go_to_pitch, "P",
                "Type the pitch of the selected edges.", has_outline_edge),
        Command("make_gable", "Edit", "Make gable", lambda: _make_gable(w.session), "G",
                "Make the selected edges gable ends.", has_outline_edge),
        Command("delete_section", "Edit", "Delete section", lambda: _delete(w.session), "Del",
                "Delete the section of what is selected.",
                has_section),
        Command("select", "Tools", "Select", lambda: w.use_tool("select"), "S",
                "Select edges and planes; drag corners.", tool="select"),
        Command("outline", "Tools", "Draw outline", lambda: w.use_tool("outline"), "O",
                "Draw the outline of a section.", tool="outline"),
        Command("scale", "Tools", "Set scale", lambda: w.use_tool("scale"), "K",
                "Set the scale of the picture by two points.",
                lambda s: bool(s.project.underlays), tool="scale"),
        Command("fit", "View", "Zoom to fit", w.zoom_to_fit, "F", "Show the whole roof."),
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
    return action


def _make_gable(session: Session) -> None:
    session.attempt(
        "Make gable end",
        lambda p: slope_all(p, outline_edges_of(p, session.selection), None),
    )


def _delete(session: Session) -> None:
    chosen = {t.section for t in outline_edges_of(session.project, session.selection)}
    for item in session.selection:
        chosen.add(item.first.section if isinstance(item, EdgeId) else item.section)
    if not chosen:
        sentence = "Select a section first: click one of its planes or edges."
        session.message.emit(sentence, True)
        return
    text = "Delete section" if len(chosen) == 1 else f"Delete {len(chosen)} sections"
    session.attempt(text, lambda p: reduce(remove_section, sorted(chosen), p))
