"""What the Select tool drags of outlines: a corner, an edge, a new corner out of an edge.

A drag is made where the button goes down. `moved` gives the project as it would be with the
pointer somewhere else; `overlay` says so in the plan.
"""

from __future__ import annotations

import math
from typing import Protocol

from roofmodel.document import Point, Project, Ring
from roofmodel.document.drawing_edits import offset_edge
from roofmodel.document.edits import add_corner, move_corner
from roofmodel.geometry import signed_area
from roofmodel.geometry.snapping import Snap, Targets
from roofmodel.units import format_length
from roofmodel_ui.selection import CornerId, OutlineEdgeId
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Overlay, PlanEvent
from roofmodel_ui.tools.snaps import Segment, Snapping, snapping_of


class Drag(Protocol):
    """Something of an outline taken hold of; `words` name the edit."""

    words: str

    def moved(self, project: Project, event: PlanEvent) -> Project:
        """The project with the pointer at the event's place; RoofmodelError where it cannot."""
        ...

    def overlay(self) -> Overlay:
        """What to draw meanwhile."""
        ...


def edge_place(project: Project, target: OutlineEdgeId) -> tuple[int, int, Point, Point] | None:
    """Ring, number and the two corners of an outline edge; None if it is gone."""
    for section in project.sections():
        if section.id != target.section:
            continue
        for r, ring in enumerate(section.rings):
            for k, edge in enumerate(ring.edges):
                if edge.id == target.edge:
                    return r, k, ring.corners[k], ring.corners[(k + 1) % len(ring.corners)]
    return None


class CornerDrag:
    """A corner moved to where it snaps; Control holds it on the lines of its two edges."""

    words = "Move corner"

    def __init__(self, session: Session, corner: CornerId) -> None:
        self._session = session
        self._corner = corner
        self._snapping = snapping_of(session)
        self._ring = session.project.section(corner.section).rings[corner.ring]
        self._before, self._after = _around(self._ring, corner.corner)
        self._targets = _targets(self._snapping, session.project, corner, self._ring)
        self._at = self._ring.corners[corner.corner]
        self._snap: Snap | None = None

    def moved(self, project: Project, event: PlanEvent) -> Project:
        if event.add:
            self._snap, self._at = None, self._on_edges(event.at)
        else:
            self._snap = self._snapping.snap(event, (), self._targets)
            self._at = event.at if self._snap is None else self._snap.at
        corner = self._corner
        return move_corner(project, corner.section, corner.ring, corner.corner, self._at)

    def overlay(self) -> Overlay:
        units = self._session.project.units
        lengths = " · ".join(
            format_length(math.dist(self._at, p), units) for p in (self._before, self._after)
        )
        return Overlay(dots=(self._at,), label=lengths, at=self._at, snap=self._snap)

    def _on_edges(self, at: Point) -> Point:
        """The nearest point on the line of one of the corner's two edges."""
        old = self._ring.corners[self._corner.corner]
        feet = [_foot(at, p, old) for p in (self._before, self._after)]
        return min(feet, key=lambda p: math.dist(p, at))


class NewCornerDrag:
    """A corner pulled out of an edge; without a pull it stays on the edge where it was taken."""

    words = "Add corner"

    def __init__(self, session: Session, target: OutlineEdgeId, at: Point) -> None:
        place = edge_place(session.project, target)
        assert place is not None
        self._session, self._target = session, target
        self._ring_number, self._index, self._a, self._b = place
        self._snapping = snapping_of(session)
        self.at = _foot(at, self._a, self._b)
        ring = session.project.section(target.section).rings[self._ring_number]
        corner = CornerId(target.section, self._ring_number, self._index)
        self._targets = _targets(self._snapping, session.project, corner, ring, new=True)
        self._snap: Snap | None = None

    def moved(self, project: Project, event: PlanEvent) -> Project:
        self._snap = self._snapping.snap(event, (), self._targets)
        self.at = event.at if self._snap is None else self._snap.at
        return self.placed(project)

    def placed(self, project: Project) -> Project:
        """The project with the corner where it is now."""
        return add_corner(project, self._target.section, self._ring_number, self._index, self.at)

    def overlay(self) -> Overlay:
        units = self._session.project.units
        lengths = " · ".join(
            format_length(math.dist(self.at, p), units) for p in (self._a, self._b)
        )
        return Overlay(dots=(self.at,), label=lengths, at=self.at, snap=self._snap)


class EdgeDrag:
    """Edges of one outline moved parallel to themselves; their neighbours slide."""

    words = "Offset edge"

    def __init__(
        self, session: Session, target: OutlineEdgeId, others: list[OutlineEdgeId]
    ) -> None:
        place = edge_place(session.project, target)
        assert place is not None
        ring_number, _, self._a, self._b = place
        self._session, self._section = session, target.section
        self._edges = [t.edge for t in (target, *others) if t.section == target.section]
        self._snapping = snapping_of(session)
        ring = session.project.section(target.section).rings[ring_number]
        left = (signed_area(ring.corners) > 0) != (ring_number > 0)
        size = math.dist(self._a, self._b)
        out = 1.0 if left else -1.0
        self._normal = (
            out * (self._b[1] - self._a[1]) / size, out * (self._a[0] - self._b[0]) / size
        )  # fmt: skip
        moving = [e.id in self._edges for e in ring.edges]
        kept = [
            side
            for n, side in enumerate(_sides(ring))
            if not (moving[n] or moving[n - 1] or moving[(n + 1) % len(moving)])
        ]
        self._targets = self._snapping.targets_without([target.section], kept)
        self.distance = 0.0
        self._at: Point = self._a
        self._snap: Snap | None = None

    def moved(self, project: Project, event: PlanEvent) -> Project:
        self._snap = self._snapping.snap(event, (), self._targets)
        self._at = event.at if self._snap is None else self._snap.at
        x, y = self._at[0] - self._a[0], self._at[1] - self._a[1]
        self.distance = x * self._normal[0] + y * self._normal[1]
        return offset_edge(project, self._section, self._edges, self.distance)

    def overlay(self) -> Overlay:
        way = "outwards" if self.distance >= 0 else "inwards"
        length = format_length(abs(self.distance), self._session.project.units)
        dx, dy = (self.distance * n for n in self._normal)
        line = ((self._a[0] + dx, self._a[1] + dy), (self._b[0] + dx, self._b[1] + dy))
        return Overlay(line=line, label=f"{length} {way}", at=self._at, snap=self._snap)


def _around(ring: Ring, k: int) -> tuple[Point, Point]:
    return ring.corners[k - 1], ring.corners[(k + 1) % len(ring.corners)]


def _sides(ring: Ring) -> list[Segment]:
    return list(zip(ring.corners, (*ring.corners[1:], ring.corners[0]), strict=True))


def _targets(
    snapping: Snapping, project: Project, corner: CornerId, ring: Ring, *, new: bool = False
) -> Targets:
    """Everything but what moves with a corner, and lines that make the corners beside it square
    again. With `new` the corner is yet to be put on edge number `corner.corner`."""
    k, n = corner.corner, len(ring.corners)
    gone = {k} if new else {k, (k - 1) % n}
    section = project.section(corner.section)
    kept = [s for number, s in enumerate(_sides(ring)) if number not in gone]
    kept += [s for other in section.rings if other is not ring for s in _sides(other)]
    before, after = (k, (k + 1) % n) if new else ((k - 1) % n, (k + 1) % n)
    lines = []
    for at, beyond in ((before, (before - 1) % n), (after, (after + 1) % n)):
        (ax, ay), (bx, by) = ring.corners[at], ring.corners[beyond]
        size = math.hypot(bx - ax, by - ay)
        ux, uy = (bx - ax) / size, (by - ay) / size
        # square to the edge before, through its end; and the axes through it
        lines += [(ring.corners[at], (ax + vx, ay + vy)) for vx, vy in ((-uy, ux), (1, 0), (0, 1))]
    if not new:
        x, y = ring.corners[k]
        lines += [((x, y), (x + 1.0, y)), ((x, y), (x, y + 1.0))]
    return snapping.targets_without([corner.section], kept, lines)


def _foot(p: Point, a: Point, b: Point) -> Point:
    """The foot of p on the line through a and b."""
    size = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / size, (b[1] - a[1]) / size
    t = (p[0] - a[0]) * ux + (p[1] - a[1]) * uy
    return a[0] + t * ux, a[1] + t * uy
