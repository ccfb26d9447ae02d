"""What is selected: an edge, several, a plane, or with nothing selected the sections."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable

from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from roofmodel.document import OutlineEdge, Project, Section, Step
from roofmodel.document.edits import (
    rename_section,
    set_eave_height,
    set_line,
    set_overhang,
    set_profile,
    set_slope,
)
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.units import format_area, format_length, format_slope, parse_slope
from roofmodel_ui.panels.fields import (
    Field,
    bare_hint,
    checked_overhang,
    form,
    heading,
    length_field,
    panel_layout,
    quiet,
    show_length,
    small_length_field,
)
from roofmodel_ui.selection import OutlineEdgeId, outline_edge, outline_edges_of
from roofmodel_ui.session import Session

DEFAULT_SLOPE = 0.5
COMPASS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)


def slope_all(project: Project, targets: Iterable[OutlineEdgeId], slope: float | None) -> Project:
    """The project with the slope of these outline edges set; None makes them gable ends."""
    by_section: dict[str, list[str]] = defaultdict(list)
    for target in targets:
        by_section[target.section].append(target.edge)
    for section, edges in by_section.items():
        project = set_slope(project, section, edges, slope)
    return project


class ShapePanel(QWidget):
    """The panel of the Shape stage."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        layout = panel_layout(self)
        self._title = heading("")
        self._facts = quiet()
        layout.addWidget(self._title)
        layout.addWidget(self._facts)
        self.pitch = Field("Pitch", self._take_pitch)
        self.gable = QCheckBox("Gable end (vertical)")
        self.gable.clicked.connect(self._take_gable)
        self._edge_overhang = small_length_field(
            "Overhang of the edge", session, "Set overhang", self._overhang_edges
        )
        self._edge_form = self._rows(
            layout, ("Pitch", self.pitch), ("", self.gable), ("Overhang", self._edge_overhang)
        )
        self._pitch_hint = quiet()
        layout.addWidget(self._pitch_hint)
        self._which = QComboBox()
        self._which.setAccessibleName("Section")
        self._which.currentIndexChanged.connect(lambda _: self.refresh())
        self._name = Field("Name of the section", self._take_name)
        self._eave = length_field("Eave height", session, "Set eave height", self._set_eave)
        self._overhang = small_length_field(
            "Overhang", session, "Set overhang", self._set_overhang
        )
        self._line = QComboBox()
        self._line.setAccessibleName("Outline is")
        self._line.addItem("Drip line (roof edge)", "drip")
        self._line.addItem("Wall line", "wall")
        self._line.activated.connect(self._take_line)
        self._section_form = self._rows(
            layout, ("Section", self._which), ("Name", self._name), ("Eave height", self._eave),
            ("Overhang", self._overhang), ("Outline is", self._line),
        )  # fmt: skip
        layout.addStretch(1)
        session.result_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the selection as it is now."""
        session = self.session
        targets = outline_edges_of(session.project, session.selection)
        found = [f for t in targets if (f := outline_edge(session.project, t)) is not None]
        self._show_edges(found)
        self._show_sections(bool(session.selection))
        small = bare_hint(session.project.units, small=True)
        self._overhang.setPlaceholderText(small)
        title, facts = self._words(found)
        self._title.setText(title)
        self._facts.setText(facts)

    def _rows(self, layout: QVBoxLayout, *rows: tuple[str, QWidget]) -> QWidget:
        holder = QWidget()
        lines: QFormLayout = form()
        for name, widget in rows:
            lines.addRow(QLabel(name), widget)
        holder.setLayout(lines)
        layout.addWidget(holder)
        return holder

    def _show_edges(self, found: list[tuple[Section, OutlineEdge]]) -> None:
        self._edge_form.setVisible(bool(found))
        self._pitch_hint.setVisible(bool(found))
        if not found:
            return
        slopes = {e.profile[-1].slope for _, e in found if len(e.profile) == 1}
        stepped = any(len(e.profile) > 1 for _, e in found)
        same = slopes.pop() if len(slopes) == 1 and not stepped else math.nan
        gable = same is None
        self.gable.setChecked(gable)
        self.pitch.setEnabled(not gable)
        plain = same is not None and not math.isnan(same)
        self.pitch.show_value(format_slope(same) if plain else "")
        several = "in steps" if stepped else "different"
        self.pitch.setPlaceholderText("gable end" if gable else several)
        small = bare_hint(self.session.project.units, small=True)
        self._pitch_hint.setText(
            f"Pitch: 6/12, 26.6° or 50 %.\nOverhang: {small[0].lower()}{small[1:]}"
        )
        overhangs = {s.overhang if e.overhang is None else e.overhang for s, e in found}
        show_length(
            self._edge_overhang, self.session, overhangs.pop() if len(overhangs) == 1 else None
        )

    def _show_sections(self, hidden: bool) -> None:
        sections = self.session.project.sections()
        self._section_form.setVisible(bool(sections) and not hidden)
        if [self._which.itemData(k) for k in range(self._which.count())] != [
            s.id for s in sections
        ] or [self._which.itemText(k) for k in range(self._which.count())] != [
            s.name for s in sections
        ]:
            kept = self._which.currentData()
            self._which.blockSignals(True)
            self._which.clear()
            for section in sections:
                self._which.addItem(section.name, section.id)
            self._which.setCurrentIndex(max(0, self._which.findData(kept)))
            self._which.blockSignals(False)
        current = self._section()
        if current is not None:
            self._name.show_value(current.name)
            show_length(self._eave, self.session, current.eave_height)
            show_length(self._overhang, self.session, current.overhang)
            self._line.setCurrentIndex(self._line.findData(current.line))

    def _section(self) -> Section | None:
        wanted = self._which.currentData()
        return next((s for s in self.session.project.sections() if s.id == wanted), None)

    def _words(self, found: list[tuple[Section, OutlineEdge]]) -> tuple[str, str]:
        session = self.session
        selection = session.selection
        if not selection:
            if not session.project.sections():
                return "No outline yet", "Draw an outline: click its corners, or type lengths."
            return "Section", "Select an edge or a plane to set its pitch."
        if len(selection) > 1:
            return f"{len(selection)} selected", "What you set here is set for all of them."
        (item,) = selection
        if isinstance(item, PlaneId):
            return self._plane_words(item)
        if isinstance(item, EdgeId):
            return self._edge_words(item)
        section = found[0][0].name if found else ""
        return "Outline edge", f"{self._outline_length(item)} · {section}"

    def _plane_words(self, item: PlaneId) -> tuple[str, str]:
        plane = next((p for p in self.session.results.surface.planes if p.id == item), None)
        if plane is None:
            return "", ""
        units = self.session.project.units
        faces = COMPASS[round(plane.bearing / 45.0) % 8]
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

    def _targets(self) -> list[OutlineEdgeId]:
        return outline_edges_of(self.session.project, self.session.selection)

    def _take_pitch(self, text: str) -> None:
        self.session.attempt(
            "Set pitch", lambda p: slope_all(p, self._targets(), parse_slope(text))
        )

    def _take_gable(self, on: bool) -> None:
        text = "Make gable end" if on else "Make sloped"
        if on:
            self.session.attempt(text, lambda p: slope_all(p, self._targets(), None))
        else:
            self.session.attempt(text, self._sloped_again)
        self.refresh()

    def _sloped_again(self, project: Project) -> Project:
        """The project with the slopes that the edges had before they became gable ends."""
        for target in self._targets():
            steps = self.session.last_profile(target) or (Step(0.0, DEFAULT_SLOPE),)
            project = set_profile(project, target.section, [target.edge], steps)
        return project

    def _overhang_edges(self, project: Project, mm: float) -> Project:
        mm = checked_overhang(mm, project.units)
        for target in self._targets():
            project = set_overhang(project, target.section, target.edge, mm)
        return project

    def _in_section(self, change: Callable[[str], Project], project: Project) -> Project:
        current = self._section()
        return project if current is None else change(current.id)

    def _set_eave(self, project: Project, mm: float) -> Project:
        return self._in_section(lambda s: set_eave_height(project, s, mm), project)

    def _set_overhang(self, project: Project, mm: float) -> Project:
        mm = checked_overhang(mm, project.units)
        return self._in_section(lambda s: set_overhang(project, s, None, mm), project)

    def _take_name(self, text: str) -> None:
        self.session.attempt(
            "Rename section",
            lambda p: self._in_section(lambda s: rename_section(p, s, text), p),
        )

    def _take_line(self, index: int) -> None:
        line = self._line.itemData(index)
        self.session.attempt(
            "Set kind of outline", lambda p: self._in_section(lambda s: set_line(p, s, line), p)
        )
