"""The window: stages along the top, tools at the left, plan and 3D, panels at the right."""

from __future__ import annotations

from functools import cached_property, partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QAction, QActionGroup, QCloseEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMainWindow,
    QMenu,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Problem, Project
from roofmodel_ui import settings
from roofmodel_ui.chrome import STAGES, Notice, Rail, StageStrip, Totals
from roofmodel_ui.commands import Command, action_of, commands_of
from roofmodel_ui.cover_commands import connect_cover, prepare_tool
from roofmodel_ui.drawing_commands import connect_drawing
from roofmodel_ui.expects import expected
from roofmodel_ui.files import Files
from roofmodel_ui.habit_commands import Dropping, FirstPaint, connect_habits
from roofmodel_ui.later import Later, Slices, run_later
from roofmodel_ui.plan.canvas import PlanCanvas
from roofmodel_ui.selection import culprit
from roofmodel_ui.session import Session
from roofmodel_ui.side import Side
from roofmodel_ui.tools.all import Tools
from roofmodel_ui.tools.base import Tool
from roofmodel_ui.tools.edit import EditTool
from roofmodel_ui.underlay_commands import connect_underlays
from roofmodel_ui.view_commands import connect_view3d, connect_views

if TYPE_CHECKING:
    from roofmodel_ui.command_list import CommandList
    from roofmodel_ui.panels.cover import CoverPanel
    from roofmodel_ui.panels.cutlist import CutListPanel
    from roofmodel_ui.panels.quantities import QuantitiesPanel
    from roofmodel_ui.panels.shape import ShapePanel
    from roofmodel_ui.view3d.widget import View3D

PROBLEM_ROOM_MM = 8000.0
"""How much of the plan is shown around a problem at least."""
AFTER = (
    "numpy", "shapely", "roofmodel.skeleton", "roofmodel.surface.gather",
    "roofmodel.takeoff.lines", "roofmodel.chain", "roofmodel_ui.panels.shape",
    "roofmodel_ui.panels.quantities", "roofmodel_ui.panels.cover",
)  # fmt: skip
"""What a window that is empty does without; it is imported once it is there, piece by piece."""
TOOLS_OF = {
    "Place": (
        "select",
        "picture",
        "scale",
        "level_picture",
        "move_picture",
        "measure",
        "fit",
    ),
    "Shape": (
        "select",
        "outline",
        "rectangle",
        "measurements",
        "ready",
        "dormer",
        "plane",
        "opening",
        "set_pitch",
        "make_gable",
        "remove",
        "measure",
        "fit",
    ),
    "Cover": ("lay", "select", "measure", "fit"),
    "Count": ("select", "measure", "fit"),
    "Hand over": ("select", "measure", "fit"),
}


class MainWindow(QMainWindow):
    """One project, one window."""

    def __init__(self, project: Project) -> None:
        super().__init__()
        self.session = Session(project, self)
        self.files = Files(self)
        self.plan = PlanCanvas(self.session)
        self._view3d = Later(self._make_view3d, "Preparing the 3D view …")
        self.tools = Tools(self.session, self, self._connect_tool)
        self.commands: dict[str, Command] = {c.id: c for c in commands_of(self)}
        self.actions_by_id: dict[str, QAction] = {
            c.id: action_of(c, self) for c in self.commands.values()
        }
        self.strip, self.rail = StageStrip(), Rail()
        self.notice, self.totals = Notice(), Totals(self.session)
        self.side = Side(
            self.session, self.tools, self.actions_by_id, self.files.add_system, self.totals.list
        )
        self.menus: dict[str, QMenu] = {}
        self.dropping: Dropping
        self.slices = Slices((*map(run_later, AFTER), *self.side.to_make()), self)
        self.slices.done.connect(lambda: self.view3d.start())
        self._shown = False
        self._stage = STAGES[0]
        self._told: frozenset[str] = frozenset()
        self._build()
        self._connect()
        connect_underlays(self)
        self.toolbar = connect_drawing(self)
        connect_views(self)
        connect_cover(self)
        connect_habits(self)
        self.resize(1280, 800)
        self.setMinimumSize(960, 600)
        state = settings.GEOMETRY.get()
        if not state.isEmpty():
            self.restoreGeometry(state)
        self.use_tool("select")
        kept = settings.STAGE.get()
        self.show_stage(kept if kept in STAGES and project.sections() else STAGES[0])
        self.refresh()

    @property
    def editing(self) -> EditTool:
        """The tool that selects."""
        tool = self.tools["select"]
        assert isinstance(tool, EditTool)
        return tool

    @property
    def view3d(self) -> View3D:
        """The 3D view, made now if it is not there yet; so are the panels that follow."""
        return self._view3d.get()

    @property
    def made_view3d(self) -> View3D | None:
        """The 3D view if it is there: one that is made later shows what there is then."""
        return self._view3d.made

    @property
    def shape(self) -> ShapePanel:
        """The panel of Shape."""
        return self.side.shape

    @property
    def cover(self) -> CoverPanel:
        """The panel of Cover."""
        return self.side.cover

    @property
    def quantities(self) -> QuantitiesPanel:
        """The table of quantities."""
        return self.side.quantities

    @property
    def cut_list(self) -> CutListPanel:
        """The cut list."""
        return self.side.cut_list

    @cached_property
    def command_list(self) -> CommandList:
        """The searchable list of commands, made when it is first wanted."""
        from roofmodel_ui.command_list import CommandList

        return CommandList(self)

    def use_tool(self, name: str) -> None:
        """Take up a tool."""
        self.plan.set_tool(self.tools[name])
        if (view := self.made_view3d) is not None:
            view.set_tool(self.tools[name])
        self.toolbar.set_tool(self.tools[name])
        self.actions_by_id[name].setChecked(True)
        self.totals.show_hint(expected(self.tools[name]))
        self.side.set_tool(name)
        if name in ("outline", "rectangle", "plane", "opening", "dormer", "ready"):
            self.show_stage("Shape")
        self.plan.setFocus()

    def show_stage(self, stage: str) -> None:
        """Go to a stage: its tools at the left, its panel at the right."""
        self._stage = stage
        self.strip.check(stage)
        self.rail.fill([self.actions_by_id[i] for i in TOOLS_OF[stage]])
        self.side.show_stage(stage, self.height())
        self.side.setFixedWidth(self.side.width_in(self.width()))
        # The tables of Count are wide: plan and 3D stay together, one above the other.
        count = stage == "Count"
        self._views.setOrientation(Qt.Orientation.Vertical if count else Qt.Orientation.Horizontal)

    def go_to_pitch(self) -> None:
        """Type the pitch of the selected edges in the plan, or else in the form."""
        self.show_stage("Shape")
        self.use_tool("select")
        if self.editing.type_pitch():
            return
        pitch = self.shape.edges.pitch
        pitch.setFocus()
        pitch.selectAll()

    def zoom_to_fit(self) -> None:
        """Show the whole roof in plan and in 3D."""
        self.plan.zoom_to_fit()
        if (view := self.made_view3d) is not None:
            view.fit()

    def show_problem(self, problem: Problem) -> None:
        """Select what a problem is about, show its place in plan, and say it again."""
        self.use_tool("select")
        self.session.select(culprit(self.session.results, problem))
        if problem.places:
            self.plan.show_places(problem.places, PROBLEM_ROOM_MM)
            if (view := self.made_view3d) is not None:
                view.show_places(problem.places, PROBLEM_ROOM_MM)
        self.notice.say(problem.sentence, True)

    def mend_problem(self, problem: Problem) -> None:
        """Take a problem away by the edit it brings; it can be undone as any other."""
        if problem.mend is not None:
            self.session.attempt(problem.mend.words, problem.mend.edit)

    def after_open(self) -> None:
        """A project was opened."""
        self.notice.hide()  # what was said is about the one before
        self.use_tool("select")
        self.show_stage("Shape" if self.session.project.sections() else "Place")
        self.plan.zoom_to_fit()
        if (view := self.made_view3d) is not None:
            view.fit(turn=True)
        self._told = frozenset()  # another project may have the very same problem
        self._after_edit()
        self.refresh()

    def after_picture(self) -> None:
        """A picture was loaded: its scale comes next, unless it brought one."""
        self.plan.zoom_to_fit()
        self.use_tool("select" if self.session.project.underlays[-1].scaled else "scale")

    def refresh(self) -> None:
        """Bring titles and what is possible up to the session."""
        session = self.session
        name = session.path.name if session.path else session.project.job.name
        self.setWindowTitle(f"{name}[*] · Roofmodel")
        self.setWindowModified(not session.is_saved())
        for command in self.commands.values():
            self.actions_by_id[command.id].setEnabled(command.enabled(session))
        stack = session.undo_stack
        for word, text in (("undo", stack.undoText()), ("redo", stack.redoText())):
            title = word.capitalize()
            self.actions_by_id[word].setText(f"{title}: {text}" if text else title)

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_leave():
            event.ignore()
            return
        settings.GEOMETRY.put(self.saveGeometry())
        settings.STAGE.put(self._stage)
        self.slices.stop()
        self.files.close()
        if (view := self.made_view3d) is not None:
            view.shut_down()
        # The stack announces its own end, when there is nobody left to hear it.
        self.session.undo_stack.blockSignals(True)
        event.accept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.side.setFixedWidth(self.side.width_in(self.width()))
        self.side.fit(self.height())

    def _place_notice(self) -> None:
        at = self.plan.mapTo(self._whole, QPoint(0, 0))
        width = self.plan.width()
        self.notice.setGeometry(at.x(), at.y(), width, self.notice.height_for(width))
        self.notice.raise_()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._shown:
            self._shown = True
            FirstPaint(self)

    def _build(self) -> None:
        for command in self.commands.values():
            self.menu(command.menu).addAction(self.actions_by_id[command.id])
        group = QActionGroup(self)
        for name in self.tools:
            group.addAction(self.actions_by_id[name])
        self._views = views = QSplitter(Qt.Orientation.Horizontal)
        views.addWidget(self.plan)
        views.addWidget(self._view3d)
        views.setSizes([500, 500])
        views.setChildrenCollapsible(False)
        middle = QHBoxLayout()
        middle.setContentsMargins(0, 0, 0, 0)
        middle.setSpacing(0)
        middle.addWidget(self.rail)
        middle.addWidget(views, 1)
        middle.addWidget(self.side)
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip)
        column.addLayout(middle, 1)
        column.addWidget(self.totals)
        self.setCentralWidget(whole)
        self._whole = whole
        # It lies over the plan: pushing it down would move the plan under the pointer.
        self.notice.setParent(whole)
        self.notice.changed.connect(self._place_notice)
        self.plan.resized.connect(self._place_notice)
        self.notice.hide()

    def _make_view3d(self) -> View3D:
        from roofmodel_ui.view3d.widget import View3D  # with it comes all of the geometry

        view = View3D(self.session)
        connect_view3d(self, view)
        view.set_panels(self.plan.panels)
        if self.plan.tool is not None:
            view.set_tool(self.plan.tool)
        return view

    def menu(self, title: str) -> QMenu:
        """The menu of this title, made if there is none; "View/Units" stands in "View"."""
        if title not in self.menus:
            above, _, own = title.rpartition("/")
            bar = self.menu(above) if above else self.menuBar()
            self.menus[title] = bar.addMenu(own)
        return self.menus[title]

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._shown:
            self.session.result_changed.emit()  # colours are read when things are drawn
            self.side.redress()

    def _connect(self) -> None:
        session = self.session
        session.project_changed.connect(self.refresh)
        session.project_changed.connect(self._after_edit)
        session.project_changed.connect(self._follow_tool)
        self.totals.problem_chosen.connect(self.show_problem)
        self.totals.mend_wanted.connect(self.mend_problem)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        session.undo_stack.indexChanged.connect(self.refresh)
        session.undo_stack.cleanChanged.connect(self.refresh)
        session.message.connect(self.notice.say)
        self.strip.chosen.connect(self.show_stage)

    def _connect_tool(self, name: str, tool: Tool) -> None:
        tool.changed.connect(self._follow_tool)
        tool.changed.connect(self.files.keeper.look)
        if name in ("outline", "plane", "opening", "rectangle"):
            tool.done.connect(self._outline_done)
        elif name == "scale":
            tool.done.connect(self._scale_done)
        elif name == "lay":
            prepare_tool(self, tool)
        elif name in ("ready", "dormer", "level_picture"):
            tool.done.connect(partial(self.use_tool, "select"))

    def _follow_tool(self) -> None:
        if self.plan.tool is not None:
            self.totals.show_hint(expected(self.plan.tool))

    def _after_edit(self) -> None:
        """What could not be built is said once; an error that was mended goes away."""
        serious = [p.sentence for p in self.session.results.problems if p.serious]
        fresh = [s for s in serious if s not in self._told]
        self._told = frozenset(serious)
        if fresh:
            self.notice.say(fresh[0], True)
        elif self.notice.label.text() not in serious:
            self.notice.forget()

    def _outline_done(self) -> None:
        self.use_tool("select")
        self.show_stage("Shape")

    def _scale_done(self) -> None:
        if not self.session.project.sections():
            self.plan.zoom_to_fit()
            self.show_stage("Shape")
            self.use_tool("outline")
        else:
            self.use_tool("select")
