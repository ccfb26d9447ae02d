"""The sheet that goes up the ladder: which lengths and pitches to measure, and where they are."""

from __future__ import annotations

from dataclasses import dataclass

from roofmodel.document import DrawnPlane, Project, Section
from roofmodel.document.changes import part_of
from roofmodel.results import Results
from roofmodel.sheets.roof_sheet import Mark, RoofSheet, marked_sheet, roof_size
from roofmodel.sheets.shop_types import NOTES, XY, SheetLine
from roofmodel.spread.readings import Measurement, holds
from roofmodel.spread.run import Spread

SENTENCES = (
    "Plan view, north up; lengths of outline edges are level ones. Numbers are those of the list.",
    "Thin lines are the outlines as drawn. What says first narrows the answer most.",
    "On the roof: fall protection as the law asks for; pitches from the ladder or from inside.",
)


@dataclass(frozen=True, slots=True)
class FieldRow:
    """One thing to measure: its number on the plan, its name, what the model has; `when` is
    "first", "measured", or empty."""

    number: str
    name: str
    model: str
    when: str


@dataclass(frozen=True, slots=True, eq=False)
class FieldSheet:
    """The rows of the list, and the plan that they are numbered on; `size` is the plan's, mm."""

    results: Results
    rows: tuple[FieldRow, ...]
    marks: tuple[Mark, ...]
    outlines: tuple[SheetLine, ...]
    size: XY

    def draw(self, scale: float) -> RoofSheet:
        """The plan for a scale of paper."""
        return marked_sheet(
            self.results,
            scale,
            "Plan",
            self.marks,
            SENTENCES,
            name_planes=False,
            below=self.outlines,
        )


def field_sheet(results: Results, spread: Spread) -> FieldSheet:
    """What to confirm on the house, in the order of the parts."""
    project = results.project
    best = {id(m) for m, _ in spread.best}
    rows, marks = [], []
    for number, m in enumerate(spread.measurements, 1):
        known = any(holds(r, m) for r in project.readings)
        when = "measured" if known else "first" if id(m) in best else ""
        words = m.words(project.units)
        rows.append(FieldRow(str(number), m.name, words, when))
        a, b = _place(results, m)
        marks.append(Mark(NOTES, a, b, words, m.name, str(number)))
    outlines = tuple(SheetLine(NOTES, a, b) for a, b in _outlines(project))
    return FieldSheet(results, tuple(rows), tuple(marks), outlines, roof_size(results))


def _place(results: Results, m: Measurement) -> tuple[XY, XY]:
    """The two ends of what is measured; for a pitch, a place on the largest plane with it."""
    part = part_of(results.project, m.part)
    if m.edge and isinstance(part, Section):
        for ring in part.rings:
            for k, edge in enumerate(ring.edges):
                if edge.id == m.edge:
                    return ring.corners[k], ring.corners[(k + 1) % len(ring.corners)]
    planes = [p for p in results.surface.planes if p.id.section == m.part]
    if not planes:
        assert isinstance(part, Section | DrawnPlane)
        corners = part.rings[0].corners if isinstance(part, Section) else part.corners
        return corners[0], corners[0]
    plane = min(planes, key=lambda p: (abs(p.slope - m.value) > 1e-3, -p.plan_area))
    x, y = _middle([(float(c[0]), float(c[1])) for c in plane.outline])
    return (x, y), (x, y)


def _middle(ring: list[XY]) -> XY:
    """The centre of area of a ring."""
    twice = x = y = 0.0
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        cross = ax * by - bx * ay
        twice += cross
        x += (ax + bx) * cross
        y += (ay + by) * cross
    return (x / (3.0 * twice), y / (3.0 * twice)) if twice else ring[0]


def _outlines(project: Project) -> list[tuple[XY, XY]]:
    out = []
    for section in project.sections():
        for ring in section.rings:
            out += list(zip(ring.corners, (*ring.corners[1:], ring.corners[0]), strict=True))
    return out
