"""The panel of the Cover stage: how panels are laid, what covers what, the roofing systems."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from roofmodel.document.cover_edits import Offered
from roofmodel_ui.panels.coverings import BuildingsForm
from roofmodel_ui.panels.fields import panel_layout
from roofmodel_ui.panels.layout_form import LayoutForm
from roofmodel_ui.panels.system_form import SystemForm
from roofmodel_ui.panels.trim_form import TrimForm
from roofmodel_ui.session import Session

GAP_PX = 10
"""Between the groups of the panel."""


class CoverPanel(QWidget):
    """The panel of the Cover stage. `offered` systems can be added at once, others by `read`;
    `actions` are the window's, by the names of their commands."""

    def __init__(
        self,
        session: Session,
        offered: Sequence[Offered],
        read: Callable[[], object],
        actions: Mapping[str, QAction] = MappingProxyType({}),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        save = actions.get("save_system")
        self.layouts = LayoutForm(session, actions, offered)
        self.buildings = BuildingsForm(session, offered)
        self.systems = SystemForm(
            session, offered, read, lambda: save.trigger() if save is not None else None
        )
        self.trim = TrimForm(session, self.systems)
        column = panel_layout(self)
        for group in (self.layouts, self.buildings, self.systems, self.trim):
            column.addWidget(group)
            column.addSpacing(GAP_PX)
        column.addStretch(1)
