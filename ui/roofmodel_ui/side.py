"""The column at the right: the panel of the stage, the quantities, the cut list, the problems."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QScrollArea, QSplitter, QVBoxLayout, QWidget

from roofmodel_ui.chrome import STAGES
from roofmodel_ui.later import Later
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Tool

if TYPE_CHECKING:
    from roofmodel_ui.handing import Handing
    from roofmodel_ui.panels.count import CountPanel
    from roofmodel_ui.panels.cover import CoverPanel
    from roofmodel_ui.panels.cutlist import CutListPanel
    from roofmodel_ui.panels.handover import HandOverPanel
    from roofmodel_ui.panels.place import PlacePanel
    from roofmodel_ui.panels.quantities import QuantitiesPanel
    from roofmodel_ui.panels.shape import ShapePanel
    from roofmodel_ui.problems import ProblemList

TALL_PX = 900
"""Height of a window that has room for the forms and for the quantities."""
ADDING = ("outline", "plane", "opening", "add_building")
EXPORTS = ("export_dxf", "export_picture", "export_quantities", "export_csv", "export_xlsx")
COUNTED = ("export_csv", "export_xlsx", "export_quantities")
"""Files that are written from the Count stage."""
SIDE_PX, SIDE_SHARE, WIDEST_SIDE_PX = 330, 0.22, 420
"""The column takes a share of the window, but no less and no more than so much."""
COUNT_PX, COUNT_SHARE, WIDEST_COUNT_PX = 500, 0.47, 880
"""The same in Count, whose tables are wide."""


class Side(QWidget):
    """Each panel is made, and what it needs imported, when its stage is first shown."""

    def __init__(
        self,
        session: Session,
        tools: Mapping[str, Tool],
        actions: Mapping[str, QAction],
        read_system: Callable[[], object],
        problems: ProblemList,
    ) -> None:
        super().__init__()
        self._session, self._tools, self._actions = session, tools, actions
        self._read_system = read_system
        self._tool, self._stage = "", STAGES[0]
        self._place, self._shape = Later(self._make_place), Later(self._make_shape)
        self._cover, self._hand_over = Later(self._make_cover), Later(self._make_hand_over)
        self._count = Later(self._make_count)
        self._of_stage: Mapping[str, QWidget] = {
            "Place": self._place, "Shape": self._shape, "Cover": self._cover,
            "Hand over": self._hand_over,
        }  # fmt: skip
        # Hidden panels take no room, so each scrolls only where it is too tall itself.
        forms = QWidget()
        forms.setObjectName("forms")
        stack = QVBoxLayout(forms)
        stack.setContentsMargins(0, 0, 0, 0)
        for panel in self._of_stage.values():
            stack.addWidget(panel)
        self.forms = QScrollArea()
        self.forms.setWidgetResizable(True)
        self.forms.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.forms.setWidget(forms)
        rows = QSplitter(Qt.Orientation.Vertical)
        rows.setObjectName("side")
        for row in (self.forms, self._count, problems):
            rows.addWidget(row)
        rows.setStretchFactor(0, 5)
        rows.setStretchFactor(1, 2)
        rows.setSizes([700, 280, 320])
        rows.setChildrenCollapsible(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(rows)
        self._height, self._listing = 0, False
        problems.shown.connect(self._list_shown)

    @cached_property
    def handing(self) -> Handing:
        """What writes the package for the shop, made when it is first wanted."""
        from roofmodel_io import folders
        from roofmodel_ui.handing import Handing

        return Handing(self._session, folders)

    @property
    def shape(self) -> ShapePanel:
        """The panel of Shape."""
        return self._shape.get()

    @property
    def cover(self) -> CoverPanel:
        """The panel of Cover."""
        return self._cover.get()

    @property
    def count(self) -> CountPanel:
        """The panel of Count; the short list of quantities in it stands in other stages too."""
        return self._count.get()

    @property
    def quantities(self) -> QuantitiesPanel:
        """The table of quantities."""
        return self.count.quantities

    @property
    def cut_list(self) -> CutListPanel:
        """The cut list."""
        return self.count.cut_list

    def width_in(self, window: int) -> int:
        """The width of the column in a window so wide, pixels."""
        count = self._stage == "Count"
        least, share, most = (
            (COUNT_PX, COUNT_SHARE, WIDEST_COUNT_PX)
            if count
            else (SIDE_PX, SIDE_SHARE, WIDEST_SIDE_PX)
        )
        return min(max(round(window * share), least), most)

    def show_stage(self, stage: str, height: int) -> None:
        """Show what belongs to a stage in a window of this height, pixels."""
        if stage != self._stage:
            self.forms.verticalScrollBar().setValue(0)
        self._stage = stage
        for name, panel in self._of_stage.items():
            panel.setVisible(name == stage)
        self.forms.setVisible(stage in self._of_stage)
        if stage == "Count" or self._count.made is not None:
            self.count.set_whole(stage == "Count")
        self.fit(height)

    def fit(self, height: int) -> None:
        """Forms are tall: in a window that is not, or that lists problems too, the quantities are
        left to Count."""
        self._height = height
        roomy = height >= TALL_PX and not self._listing
        wanted = ("Shape", "Cover", "Count") if roomy else ("Count",)
        self._count.setVisible(self._stage in wanted)

    def _list_shown(self, on: bool) -> None:
        self._listing = on
        self.fit(self._height)

    def set_tool(self, name: str) -> None:
        """Show the form of what a tool places while it is at hand."""
        self._tool = name
        if self._shape.made is not None:
            self._shape.made.set_tool(name)

    def shut_down(self) -> None:
        """The window closes: nothing is worked out any more."""
        if self._count.made is not None:
            self._count.made.money.shut_down()
        if "handing" in vars(self):
            self.handing.shut_down()

    def redress(self) -> None:
        """The theme changed."""
        if self._shape.made is not None:
            self._shape.made.parts.redress()

    def to_make(self) -> tuple[Callable[[], object], ...]:
        """What makes the panels that are not there yet, in the order they are likely wanted."""
        places: tuple[Later[QWidget], ...] = (
            self._shape, self._count, self._cover, self._hand_over, self._place,
        )  # type: ignore[assignment]  # fmt: skip
        return tuple(place.get for place in places)

    # What the panels need is imported with them: most of it is of no use before.

    def _make_place(self) -> PlacePanel:
        from roofmodel_ui.panels.place import PlacePanel

        return PlacePanel(self._session)

    def _make_shape(self) -> ShapePanel:
        from roofmodel_ui.panels.shape import ShapePanel

        adding = [self._actions[i] for i in ADDING]
        panel = ShapePanel(self._session, self._tools, adding, self._actions["remove"])
        panel.set_tool(self._tool)
        return panel

    def _make_cover(self) -> CoverPanel:
        from roofmodel_io.defaults import offered_systems
        from roofmodel_ui.panels.cover import CoverPanel

        return CoverPanel(self._session, offered_systems(), self._read_system, self._actions)

    def _make_hand_over(self) -> HandOverPanel:
        from roofmodel_ui.panels.handover import HandOverPanel

        return HandOverPanel(self._session, [self._actions[i] for i in EXPORTS], self.handing)

    def _make_count(self) -> CountPanel:
        from roofmodel_ui.panels.count import CountPanel

        return CountPanel(self._session, [self._actions[i] for i in COUNTED], self._actions)
