"""The form of selected edges: what each is, with its numbers, overhang, kind of a roof edge."""

from __future__ import annotations

from typing import cast

from PySide6.QtWidgets import QFormLayout, QLabel, QVBoxLayout, QWidget

from roofmodel.document import OutlineEdge, Project, Section, Step
from roofmodel.document.cover_edits import set_edge_kind
from roofmodel.document.edge_shapes import NUMBERS, EdgeShape, set_shape, shape_of
from roofmodel.document.edits import set_overhang, set_profile
from roofmodel.surface import EdgeId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.units import format_slope, parse_length, parse_slope
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    bare_hint,
    checked_overhang,
    default_unit,
    parse_small_length,
    quiet,
    rows_of,
    show_length,
)
from roofmodel_ui.panels.pictures import PictureChoice, edge_picture
from roofmodel_ui.pitches import slope_all, with_pitch
from roofmodel_ui.selection import OutlineEdgeId, outline_edge, outline_edges_of
from roofmodel_ui.session import Session

DEFAULT_SLOPE = 0.5


class EdgeForm(QWidget):
    """What is set here is set for all selected edges."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.shape = PictureChoice(
            "Edge",
            [(s.capitalize(), s, edge_picture(s)) for s in EdgeShape if s is not EdgeShape.OTHER],
        )
        self.shape.chosen.connect(self._take_shape)
        self.gable = self.shape.buttons[EdgeShape.GABLE]
        self.lower_pitch = Field("Lower pitch", lambda t: self._take_number("lower", t))
        self.break_height = Field("Height of the break", lambda t: self._take_number("break", t))
        self.pitch = Field("Pitch", self._take_pitch)
        self.overhang = Field("Overhang of the edge", self._take_overhang)
        self.overhang.small = True
        for field in (self.lower_pitch, self.break_height, self.overhang):
            field.setPlaceholderText("different")
        self._outline_rows = rows_of(
            ("Lower pitch", self.lower_pitch), ("Break at", self.break_height),
            ("Pitch", self.pitch), ("Overhang", self.overhang),
        )  # fmt: skip
        self._hint = quiet()
        self.kind = Choice("Kind of roof edge", self._take_kind)
        self._kind_rows = rows_of(("Kind", self.kind))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.shape)
        layout.addWidget(self._outline_rows)
        layout.addWidget(self._hint)
        layout.addWidget(self._kind_rows)

    def refresh(self) -> None:
        """Show the selected edges as they are now."""
        session = self.session
        targets = outline_edges_of(session.project, session.selection)
        found = [f for t in targets if (f := outline_edge(session.project, t)) is not None]
        for widget in (self.shape, self._outline_rows, self._hint):
            widget.setVisible(bool(found))
        if found:
            self._show_outline(found)
        edges = self._roof_edges()
        self._kind_rows.setVisible(bool(edges))
        if edges:
            self._show_kind(edges)

    def _show_outline(self, found: list[tuple[Section, OutlineEdge]]) -> None:
        shapes = [shape_of(e.profile) for _, e in found]
        kinds = {shape for shape, _ in shapes}
        one = kinds.pop() if len(kinds) == 1 else None
        self.shape.show_choice(one)
        words = {n.key: n.words for n in NUMBERS[one]} if one is not None else {}
        gable = one is EdgeShape.GABLE
        self.pitch.setEnabled(not gable)
        empty = {EdgeShape.GABLE: "gable end", EdgeShape.OTHER: "in steps"}
        self.pitch.setPlaceholderText(empty.get(one, "different") if one else "different")
        several = {"lower": self.lower_pitch, "pitch": self.pitch}
        for key, field in several.items():
            values = {numbers.get(key) for _, numbers in shapes}
            value = values.pop() if len(values) == 1 else None
            field.show_value("" if value is None or one is None else format_slope(value))
        heights = {numbers.get("break") for _, numbers in shapes}
        show_length(self.break_height, self.session, heights.pop() if len(heights) == 1 else None)
        rows = self._outline_rows.layout()
        assert isinstance(rows, QFormLayout)
        for field, key in (
            (self.lower_pitch, "lower"),
            (self.break_height, "break"),
            (self.pitch, "pitch"),
        ):
            rows.setRowVisible(field, key == "pitch" or key in words)
            label = rows.labelForField(field)
            if isinstance(label, QLabel) and key in words:
                label.setText(words[key])
            elif isinstance(label, QLabel) and key == "pitch":
                label.setText("Pitch")
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

    def _pairs(self) -> list[tuple[str, str]]:
        return [(t.section, t.edge) for t in self._targets()]

    def _shapes(self) -> set[EdgeShape]:
        found = (outline_edge(self.session.project, t) for t in self._targets())
        return {shape_of(f[1].profile)[0] for f in found if f is not None}

    def _take_pitch(self, text: str) -> None:
        if len(self._shapes() | {EdgeShape.EAVE, EdgeShape.GABLE, EdgeShape.OTHER}) == 3:
            self.session.attempt(
                "Set pitch", lambda p: slope_all(p, self._targets(), parse_slope(text))
            )
        elif len(self._shapes()) == 1:
            self._take_number("pitch", text)
        else:
            self.session.attempt("Set pitch", lambda p: with_pitch(p, self._targets(), text))

    def _take_number(self, key: str, text: str) -> None:
        (shape,) = self._shapes()

        def change(project: Project) -> Project:
            if key == "break":
                value = parse_length(text, default_unit(project.units))
            else:
                value = parse_slope(text)
            return set_shape(project, self._pairs(), shape, {key: value})

        words = {"lower": "Set lower pitch", "break": "Set height of break"}
        self.session.attempt(words.get(key, "Set pitch"), change)

    def _take_shape(self, value: object) -> None:
        shape = cast(EdgeShape, value)
        was_gable = self._shapes() == {EdgeShape.GABLE}
        if shape in (EdgeShape.GABLE, EdgeShape.EAVE) and was_gable:
            # pressed again it gives back what it took away
            self.session.attempt("Make sloped", self._sloped_again)
        elif shape is EdgeShape.GABLE:
            self.session.attempt("Make gable end", lambda p: slope_all(p, self._targets(), None))
        else:
            self.session.attempt(f"Make {shape}", lambda p: set_shape(p, self._pairs(), shape))
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
