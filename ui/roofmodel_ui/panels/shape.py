"""The parts of the job, and the form of what is selected."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final, cast

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QPushButton, QWidget

from roofmodel.document.dormers import dormer_of
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.units import format_area, format_length, format_slope
from roofmodel_ui.panels.angles import compass_word
from roofmodel_ui.panels.building_form import BuildingForm
from roofmodel_ui.panels.dormer_form import DormerForm, NewDormerForm
from roofmodel_ui.panels.edge_form import EdgeForm
from roofmodel_ui.panels.fields import heading, panel_layout, quiet
from roofmodel_ui.panels.opening_form import NewOpeningForm, OpeningForm
from roofmodel_ui.panels.parts import PartsTree
from roofmodel_ui.panels.plane_form import PlaneForm
from roofmodel_ui.panels.ready_form import ReadyForm
from roofmodel_ui.panels.section_form import SectionForm
from roofmodel_ui.selection import OutlineEdgeId, PartId, only_part
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Tool
from roofmodel_ui.tools.dormer import DormerTool
from roofmodel_ui.tools.opening import OpeningTool
from roofmodel_ui.tools.ready import ReadyTool

PLACING: Final = {
    "opening": "New opening", "dormer": "New dormer", "ready": "New body",
}  # fmt: skip
"""Tools with a form of what they place, and its title."""


class ShapePanel(QWidget):
    """The panel of the Shape stage."""

    def __init__(
        self,
        session: Session,
        tools: Mapping[str, Tool],
        adding: Sequence[QAction],
        removing: QAction,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.placing = ""
        """The tool at hand, where it has a form of what it places."""
        self.parts = PartsTree(session, adding, removing)
        self._title, self._facts = heading(""), quiet()
        self.edges = EdgeForm(session)
        self.section, self.plane = SectionForm(session), PlaneForm(session)
        self.opening, self.building = OpeningForm(session), BuildingForm(session)
        self.dormer = DormerForm(session)
        self.new_opening = NewOpeningForm(session, cast(OpeningTool, tools["opening"]))
        self.new_dormer = NewDormerForm(session, cast(DormerTool, tools["dormer"]))
        self.ready = ReadyForm(session, cast(ReadyTool, tools["ready"]))
        self.whole = QPushButton()
        self.whole.setToolTip("Heights, overhang and outline of the whole section.")
        self.whole.clicked.connect(self._select_whole)
        layout = panel_layout(self)
        layout.addWidget(self.parts)
        layout.addSpacing(4)
        for widget in (
            self._title, self._facts, self.edges, self.section, self.dormer, self.plane,
            self.opening, self.building, self.new_opening, self.new_dormer, self.ready,
            self.whole,
        ):  # fmt: skip
            layout.addWidget(widget)
        layout.addStretch(1)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        self.refresh()

    def set_tool(self, name: str) -> None:
        """Show the form of what a tool places while it is at hand."""
        self.placing = name if name in PLACING else ""
        self.refresh()

    def refresh(self) -> None:
        """Show the selection as it is now."""
        project, selection = self.session.project, self.session.selection
        part = "" if self.placing else only_part(project, selection)
        # An edge or plane of a section has a form of its own; the section's is a click away.
        inside = any(not isinstance(item, PartId) for item in selection)
        section = next((s for s in project.sections() if s.id == part), None)
        plane = next((p for p in project.planes() if p.id == part), None)
        opening = next((o for o in project.openings() if o.id == part), None)
        building = next((b for b in project.buildings if b.id == part), None)
        self.edges.setVisible(inside and not self.placing)
        self.section.setVisible(section is not None and not inside)
        self.plane.setVisible(plane is not None)
        self.opening.setVisible(opening is not None)
        self.building.setVisible(building is not None)
        dormer = section is not None and not inside and dormer_of(section) is not None
        self.dormer.setVisible(dormer)
        self.new_opening.setVisible(self.placing == "opening")
        self.new_dormer.setVisible(self.placing == "dormer")
        self.ready.setVisible(self.placing == "ready")
        self.whole.setVisible(section is not None and inside)
        self.edges.refresh()
        if section is not None:
            self.section.show_section(section)
            self.dormer.show_section(section)
            self.whole.setText(f"Whole section: {section.name}")
        if plane is not None:
            self.plane.show_plane(plane)
        if opening is not None:
            self.opening.show_opening(opening)
        if building is not None:
            self.building.show_building(building)
        for form in (self.new_opening, self.new_dormer, self.ready):
            form.refresh()
        title, facts = self._words()
        self._title.setText(title)
        self._facts.setText(facts)
        self._facts.setVisible(bool(facts))

    def _select_whole(self) -> None:
        part = only_part(self.session.project, self.session.selection)
        if part:
            self.session.select((PartId(part),))

    def _words(self) -> tuple[str, str]:
        project, selection = self.session.project, self.session.selection
        if self.placing:
            return PLACING[self.placing], ""
        if not selection:
            if not any(b.part_ids() for b in project.buildings):
                return "No outline yet", "Draw an outline: click its corners, or type lengths."
            part = only_part(project, selection)
            return self._part_words(part)[0] if part else "Nothing selected", (
                "Select an edge or a plane to set its pitch."
            )
        if len(selection) > 1:
            return f"{len(selection)} selected", "What you set here is set for all of them."
        (item,) = selection
        if isinstance(item, PlaneId):
            return self._plane_words(item)
        if isinstance(item, EdgeId):
            return self._edge_words(item)
        if isinstance(item, PartId):
            return self._part_words(item.part)
        name = next((s.name for s in project.sections() if s.id == item.section), "")
        return "Outline edge", f"{self._outline_length(item)} · {name}"

    def _part_words(self, part: str) -> tuple[str, str]:
        project, surface = self.session.project, self.session.results.surface
        units = project.units
        planes = [p for p in surface.planes if part in (p.id.section, p.building)]
        area = format_area(sum(p.true_area for p in planes), units)
        count = "1 plane" if len(planes) == 1 else f"{len(planes)} planes"
        facts = f"{count} · true area {area}" if planes else ""
        named = (
            (project.buildings, "Building"), (project.sections(), "Section"),
            (project.planes(), "Drawn plane"), (project.openings(), ""),
        )  # fmt: skip
        for group, word in named:
            for known in group:
                if known.id == part:
                    if word:
                        return f"{word}: {known.name}", facts
                    return known.name, f"Saddle: {facts}" if facts else ""
        return "", ""

    def _plane_words(self, item: PlaneId) -> tuple[str, str]:
        plane = next((p for p in self.session.results.surface.planes if p.id == item), None)
        if plane is None:
            return "", ""
        units = self.session.project.units
        faces = compass_word(plane.bearing)
        looks = "" if plane.slope < 1e-6 else f", faces {faces} ({plane.bearing:.1f}°)"
        return plane.name, (
            f"Pitch {format_slope(plane.slope)}{looks}\n"
            f"True area {format_area(plane.true_area, units)}\n"
            f"Plan area {format_area(plane.plan_area, units)}"
        )

    def _edge_words(self, item: EdgeId) -> tuple[str, str]:
        edge = next((e for e in self.session.results.surface.edges if e.id == item), None)
        if edge is None:
            return "", ""
        length = format_length(edge.length, self.session.project.units)
        words = f"{edge.kind.capitalize()} · {length}\nFold {edge.fold:.1f}°"
        return edge.name, words + (f"\n{edge.remark}" if edge.remark else "")

    def _outline_length(self, item: OutlineEdgeId) -> str:
        section = self.session.project.section(item.section)
        for ring in section.rings:
            for k, edge in enumerate(ring.edges):
                if edge.id == item.edge:
                    b = ring.corners[(k + 1) % len(ring.corners)]
                    return format_length(math.dist(ring.corners[k], b), self.session.project.units)
        return ""
