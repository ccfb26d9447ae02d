"""The window: stages along the top, tools at the left, plan and 3D, panels at the right."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import (
    QAction,
    QActionGroup,
    QCloseEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMainWindow,
    QMenu,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Problem, Project
from roofmodel_io.defaults import built_in_systems
from roofmodel_ui import settings
from roofmodel_ui.chrome import STAGES, Notice, Rail, StageStrip, Totals
from roofmodel_ui.command_list import CommandList
from roofmodel_ui.commands import Command, action_of, commands_of
from roofmodel_ui.drawing_commands import connect_drawing
from roofmodel_ui.expects import expected
from roofmodel_ui.files import Files
from roofmodel_ui.habit_commands import Dropping, FirstPaint, connect_habits
from roofmodel_ui.panels import (
    CoverPanel,
    CutListPanel,
    HandOverPanel,
    PlacePanel,
    QuantitiesPanel,
    ShapePanel,
)
from roofmodel_ui.plan.canvas import PlanCanvas
from roofmodel_ui.selection import culprit
from roofmodel_ui.session import Session
from roofmodel_ui.shape_commands import connect_shape
from roofmodel_ui.tools import (
    MeasureTool,
    OpeningTool,
    OutlineTool,
    PlaneTool,
    RectangleTool,
    ScaleTool,
    Tool,
)
from roofmodel_ui.tools.dormer import DormerTool
from roofmodel_ui.tools.edit import EditTool
from roofmodel_ui.tools.ready import ReadyTool
from roofmodel_ui.underlay_commands import connect_underlays, underlay_tools
from roofmodel_ui.view3d.widget import View3D
from roofmodel_ui.view_commands import connect_views

SIDE_PX, SIDE_SHARE, WIDEST_SIDE_PX = 330, 0.22, 420
"""The side panel takes a share of the window, but no less and no more than so much."""
TALL_PX = 900
"""Height of a window that has room for the forms and for the quantities."""
ADDING = ("outline", "plane", "opening", "add_building")
EXPORTS = ("export_dxf", "export_picture", "export_quantities", "export_csv", "export_xlsx")
PROBLEM_ROOM_MM = 8000.0
"""How much of the plan is shown around a problem at least."""
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
    "Cover": ("select", "measure", "fit"),
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
        self.view3d = View3D(self.session)
        self.placing = OpeningTool(self.session, self)
        self.editing = EditTool(self.session, self)
        self.tools: dict[str, Tool] = {
            "select": self.editing, "outline": OutlineTool(self.session, self),
            "plane": PlaneTool(self.session, self), "opening": self.placing,
            "scale": ScaleTool(self.session, self), "measure": MeasureTool(self.session, self),
            "dormer": DormerTool(self.session, self), "ready": ReadyTool(self.session, self),
            "rectangle": RectangleTool(self.session, self),
            **underlay_tools(self.session, self),
        }  # fmt: skip
        self.commands: dict[str, Command] = {c.id: c for c in commands_of(self)}
        self.actions_by_id: dict[str, QAction] = {
            c.id: action_of(c, self) for c in self.commands.values()
        }
        self.strip, self.rail = StageStrip(), Rail()
        self.notice, self.totals = Notice(), Totals(self.session)
        self.quantities = QuantitiesPanel(self.session)
        self.cut_list = CutListPanel(self.session)
        self.shape = ShapePanel(
            self.session, self.tools,
            [self.actions_by_id[i] for i in ADDING], self.actions_by_id["remove"],
        )  # fmt: skip
        self.cover = CoverPanel(self.session, built_in_systems(), self.files.add_system)
        self._menus: dict[str, QMenu] = {}
        self.command_list: CommandList
        self.dropping: Dropping
        self._shown = False
        self._stage = STAGES[0]
        self._told: frozenset[str] = frozenset()
        self._build()
        self._connect()
        connect_views(self)
        connect_underlays(self)
        connect_shape(self)
        self.toolbar = connect_drawing(self)
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

    def use_tool(self, name: str) -> None:
        """Take up a tool."""
        self.plan.set_tool(self.tools[name])
        self.view3d.set_tool(self.tools[name])
        self.toolbar.set_tool(self.tools[name])
        self.actions_by_id[name].setChecked(True)
        self.totals.show_hint(expected(self.tools[name]))
        self.shape.set_tool(name)
        if name in ("outline", "rectangle", "plane", "opening", "dormer", "ready"):
            self.show_stage("Shape")
        self.plan.setFocus()

    def show_stage(self, stage: str) -> None:
        """Go to a stage: its tools at the left, its panel at the right."""
        index = STAGES.index(stage)
        self.strip.check(stage)
        self.rail.fill([self.actions_by_id[i] for i in TOOLS_OF[stage]])
        for place, panel in enumerate(self._panels):
            panel.setVisible(place == index)
        self._form_area.setVisible(stage != "Count")
        self._stage = stage
        self._show_quantities()
        self.cut_list.setVisible(stage == "Count")

    def _show_quantities(self) -> None:
        """Forms are tall: on a low screen the quantities are left to Count."""
        wanted = ("Shape", "Cover", "Count") if self.height() >= TALL_PX else ("Count",)
        self.quantities.setVisible(self._stage in wanted)

    def go_to_pitch(self) -> None:
        """Type the pitch of the selected edges in the plan, or else in the form."""
        self.show_stage("Shape")
        self.use_tool("select")
        if self.editing.type_pitch():
            return
        self.shape.edges.pitch.setFocus()
        self.shape.edges.pitch.selectAll()

    def zoom_to_fit(self) -> None:
        """Show the whole roof in plan and in 3D."""
        self.plan.zoom_to_fit()
        self.view3d.fit()

    def show_problem(self, problem: Problem) -> None:
        """Select what a problem is about, show its place in plan, and say it again."""
        self.use_tool("select")
        self.session.select(culprit(self.session.results, problem))
        if problem.places:
            self.plan.show_places(problem.places, PROBLEM_ROOM_MM)
            self.view3d.show_places(problem.places, PROBLEM_ROOM_MM)
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
        self.view3d.fit(turn=True)
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
        self.files.close()
        self.view3d.shut_down()
        self.files.underlays.supply.shut_down()
        # The stack announces its own end, when there is nobody left to hear it.
        self.session.undo_stack.blockSignals(True)
        event.accept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        share = round(self.width() * SIDE_SHARE)
        self._side.setFixedWidth(min(max(share, SIDE_PX), WIDEST_SIDE_PX))
        self._place_notice()
        self._show_quantities()

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
        views = QSplitter(Qt.Orientation.Horizontal)
        views.addWidget(self.plan)
        views.addWidget(self.view3d)
        views.setSizes([500, 500])
        views.setChildrenCollapsible(False)
        middle = QHBoxLayout()
        middle.setContentsMargins(0, 0, 0, 0)
        middle.setSpacing(0)
        middle.addWidget(self.rail)
        middle.addWidget(views, 1)
        middle.addWidget(self._build_side())
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
        self.notice.hide()

    def _build_side(self) -> QWidget:
        exports = [self.actions_by_id[i] for i in EXPORTS]
        # Hidden panels take no room, so each scrolls only where it is too tall itself.
        forms = QWidget()
        forms.setObjectName("forms")
        stack = QVBoxLayout(forms)
        stack.setContentsMargins(0, 0, 0, 0)
        self._panels: tuple[QWidget, ...] = (
            PlacePanel(self.session),
            self.shape,
            self.cover,
            QWidget(),
            HandOverPanel(self.session, exports),
        )
        for panel in self._panels:
            stack.addWidget(panel)
        self._form_area = QScrollArea()
        self._form_area.setWidgetResizable(True)
        self._form_area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._form_area.setWidget(forms)
        side = QSplitter(Qt.Orientation.Vertical)
        side.setObjectName("side")
        side.addWidget(self._form_area)
        side.addWidget(self.quantities)
        side.addWidget(self.cut_list)
        side.addWidget(self.totals.list)
        side.setStretchFactor(0, 0)
        side.setStretchFactor(1, 1)
        side.setStretchFactor(2, 1)
        side.setSizes([560, 340, 340])
        side.setChildrenCollapsible(False)
        holder = QWidget()
        self._side = holder
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(side)
        return holder

    def menu(self, title: str) -> QMenu:
        """The menu of this title, made if there is none; "View/Units" stands in "View"."""
        if title not in self._menus:
            above, _, own = title.rpartition("/")
            bar = self.menu(above) if above else self.menuBar()
            self._menus[title] = bar.addMenu(own)
        return self._menus[title]

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._shown:
            self.session.result_changed.emit()  # colours are read when things are drawn
            self.shape.parts.redress()

    def _connect(self) -> None:
        session = self.session
        session.project_changed.connect(self.refresh)
        session.project_changed.connect(self._after_edit)
        self.totals.problem_chosen.connect(self.show_problem)
        self.totals.mend_wanted.connect(self.mend_problem)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        session.undo_stack.indexChanged.connect(self.refresh)
        session.undo_stack.cleanChanged.connect(self.refresh)
        session.message.connect(self.notice.say)
        self.strip.chosen.connect(self.show_stage)
        for tool in self.tools.values():
            tool.changed.connect(self._follow_tool)
        for name in ("outline", "plane", "opening"):
            self.tools[name].done.connect(self._outline_done)
        self.tools["scale"].done.connect(self._scale_done)

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
