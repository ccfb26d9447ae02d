"""The form of selected edges: pitch, gable end, overhang, and the kind of a roof edge."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from roofmodel.document import OutlineEdge, Project, Section, Step
from roofmodel.document.cover_edits import set_edge_kind
from roofmodel.document.edits import set_overhang, set_profile, set_slope
from roofmodel.surface import EdgeId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.units import format_slope, parse_slope
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    bare_hint,
    checked_overhang,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.selection import OutlineEdgeId, outline_edge, outline_edges_of
from roofmodel_ui.session import Session

DEFAULT_SLOPE = 0.5


def slope_all(project: Project, targets: Iterable[OutlineEdgeId], slope: float | None) -> Project:
    """The project with the slope of these outline edges set; None makes them gable ends."""
    by_section: dict[str, list[str]] = defaultdict(list)
    for target in targets:
        by_section[target.section].append(target.edge)
    for section, edges in by_section.items():
        project = set_slope(project, section, edges, slope)
    return project


class EdgeForm(QWidget):
    """What is set here is set for all selected edges."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.pitch = Field("Pitch", self._take_pitch)
        self.gable = QCheckBox("Gable end (vertical)")
        self.gable.clicked.connect(self._take_gable)
        self.overhang = Field("Overhang of the edge", self._take_overhang)
        self.overhang.small = True
        self.overhang.setPlaceholderText("different")
        self._outline_rows = rows_of(
            ("Pitch", self.pitch), ("", self.gable), ("Overhang", self.overhang)
        )
        self._hint = quiet()
        self.kind = Choice("Kind of roof edge", self._take_kind)
        self._kind_rows = rows_of(("Kind", self.kind))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self._outline_rows)
        layout.addWidget(self._hint)
        layout.addWidget(self._kind_rows)

    def refresh(self) -> None:
        """Show the selected edges as they are now."""
        session = self.session
        targets = outline_edges_of(session.project, session.selection)
        found = [f for t in targets if (f := outline_edge(session.project, t)) is not None]
        self._outline_rows.setVisible(bool(found))
        self._hint.setVisible(bool(found))
        if found:
            self._show_outline(found)
        edges = self._roof_edges()
        self._kind_rows.setVisible(bool(edges))
        if edges:
            self._show_kind(edges)

    def _show_outline(self, found: list[tuple[Section, OutlineEdge]]) -> None:
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
        self._hint.setText(
            f"Pitch: 6/12, 26.6° or 50 %.\nOverhang: {small[0].lower()}{small[1:]} Empty: the"
            " section's."
        )
        overhangs = {s.overhang if e.overhang is None else e.overhang for s, e in found}
        show_length(self.overhang, self.session, overhangs.pop() if len(overhangs) == 1 else None)

    def _show_kind(self, edges: list[RoofEdge]) -> None:
        found = {e.found or e.kind for e in edges}
        words = f"found: {found.pop()}" if len(found) == 1 else "as found"
        self.kind.offer([(words, None), *((k.capitalize(), k) for k in EdgeKind)])
        by_hand = {o.edge: o.kind for o in self.session.results.project.edge_overrides}
        kinds = {by_hand.get(str(e.id)) for e in edges}
        self.kind.show_choice(kinds.pop() if len(kinds) == 1 else "different")

    def _roof_edges(self) -> list[RoofEdge]:
        """The selected roof edges, if nothing else is selected."""
        selection = self.session.selection
        if not all(isinstance(item, EdgeId) for item in selection):
            return []
        return [e for e in self.session.results.surface.edges if e.id in selection]

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

    def _take_overhang(self, text: str) -> None:
        """Nothing typed gives the edges the overhang of their section again."""

        def change(project: Project) -> Project:
            mm = None
            if text.strip():
                mm = parse_small_length(text, project.units)
                checked_overhang(mm, project.units)
            for target in self._targets():
                project = set_overhang(project, target.section, target.edge, mm)
            return project

        self.session.attempt("Set overhang", change)

    def _take_kind(self, value: object) -> None:
        kind = value if isinstance(value, EdgeKind) else None
        words = [str(e.id) for e in self._roof_edges()]

        def change(project: Project) -> Project:
            for edge in words:
                project = set_edge_kind(project, edge, kind)
            return project

        self.session.attempt("Set kind of edge" if kind else "Set kind as found", change)
