"""What tools snap to: the job's corners and edges, and lines of drawings under the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QObject, Signal

from roofmodel.document import Point, Project
from roofmodel.geometry.directions import Kind
from roofmodel.geometry.snapping import KINDS, Segments, Snap, Targets, best_snap
from roofmodel.results import Results
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.parts import other_lines, polygons, sides
from roofmodel_ui.plan.picking import outline_segments
from roofmodel_ui.selection import OutlineEdgeId, part_of
from roofmodel_ui.session import Session
from roofmodel_ui.settings import SNAPPING_OFF
from roofmodel_ui.tools.base import PlanEvent

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

SWITCHES: Final[tuple[tuple[str, tuple[Kind, ...]], ...]] = (
    ("Corners", ("corner",)),
    ("Edges and crossings", ("edge", "crossing")),
    ("Middles of edges", ("middle",)),
    ("Square to an edge", ("square to",)),
    ("On the line of an edge", ("on the line of",)),
    ("Parallel", ("parallel",)),
    ("Right angles", ("right angle",)),
    ("Underlay lines", ("underlay line",)),
)
"""The kinds as they are switched, in words."""

Segment = tuple[Point, Point]


class Snapping(QObject):
    """One per session: what is switched on, and the targets of the project as it is now."""

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.underlay: Callable[[Project], ArrayLike] = lambda _: ()
        """Lines (n, 4) or (n, 2, 2), mm, of drawings under the plan, the same object
        while they are the same; the window puts it here. Asked at every move: it must not wait."""
        off = SNAPPING_OFF.get()
        self._off = {k for k in KINDS if k in off}
        self._on = True
        self._known: tuple[Results, Segments, Targets] | None = None
        self._lines: tuple[ArrayLike, Segments] | None = None

    @property
    def on(self) -> bool:
        """Whether anything is snapped to."""
        return self._on

    @property
    def kinds(self) -> frozenset[Kind]:
        """The kinds that count now."""
        return frozenset(KINDS) - self._off if self._on else frozenset()

    def switch(self, on: bool) -> None:
        """Turn all snapping on or off."""
        self._on = on
        self.changed.emit()

    def switch_kinds(self, kinds: Sequence[Kind], on: bool) -> None:
        """Turn some kinds on or off; remembered from one start to the next."""
        self._off = self._off - set(kinds) if on else self._off | set(kinds)
        SNAPPING_OFF.put(tuple(sorted(self._off)))
        self.changed.emit()

    def is_on(self, kinds: Sequence[Kind]) -> bool:
        """Whether these kinds are switched on."""
        return not self._off.intersection(kinds)

    def snap(
        self, event: PlanEvent, begun: Sequence[Point] = (), targets: Targets | None = None
    ) -> Snap | None:
        """What the pointer means; None for just its place. Shift held: nothing. Control held
        while an edge is begun: only the outline's own directions."""
        if event.free:
            return None
        own = event.add and bool(begun)
        if not self._on and not own:
            return None
        kinds = self.kinds
        return best_snap(
            targets or self.targets(), event.at, event.snap, begun, kinds, own_directions=own
        )

    def targets(self) -> Targets:
        """All there is in the job as it is shown."""
        results = self._session.results
        lines = self._underlay_lines(results.project)
        if self._known is None or self._known[0] is not results or self._known[1] is not lines:
            self._known = (results, lines, self._made(results, lambda _: True))
        return self._known[2]

    def targets_without(
        self,
        moving: Sequence[str],
        kept: Sequence[Segment] = (),
        beyond: Sequence[Segment] = (),
    ) -> Targets:
        """The same without parts that are being moved; `kept` are edges of them that stay, and
        the lines of `beyond` count beyond their ends."""
        gone = set(moving)
        return self._made(self._session.results, lambda part: part not in gone, kept, beyond)

    def _made(
        self,
        results: Results,
        wanted: Callable[[str], bool],
        kept: Sequence[Segment] = (),
        beyond: Sequence[Segment] = (),
    ) -> Targets:
        results = shown(results)
        outlines = [*_outlines(results.project, wanted), *kept]
        others = list(_others(results, wanted))
        edges = np.array([(*a, *b) for a, b in (*outlines, *others)]).reshape(-1, 4)
        size = np.hypot(edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1])
        long = np.arange(len(edges)) < len(outlines)
        return Targets(
            edges[size > 1e-6], self._underlay_lines(results.project), long[size > 1e-6],
            [(*a, *b) for a, b in beyond],
        )  # fmt: skip

    def _underlay_lines(self, project: Project) -> Segments:
        lines = self.underlay(project)
        if self._lines is None or self._lines[0] is not lines:
            self._lines = (lines, Segments(lines))
        return self._lines[1]


def snapping_of(session: Session) -> Snapping:
    """The one snapping of a session."""
    found = session.findChild(Snapping)
    return found if isinstance(found, Snapping) else Snapping(session)


def _outlines(project: Project, wanted: Callable[[str], bool]) -> Iterator[Segment]:
    """What lends its directions: outlines and drawn planes."""
    for target, a, b in outline_segments(project):
        if wanted(target.section):
            yield a, b
    for part in polygons(project):
        if wanted(part.id):
            yield from sides(part.corners)


def _others(results: Results, wanted: Callable[[str], bool]) -> Iterator[Segment]:
    """Roof edges that are no outline edges, and the lines that overhangs give."""
    for edge in results.surface.edges:
        second = edge.id.second
        parts = {edge.id.first.section}
        if not isinstance(second, str):
            parts.add(second.section)
        if all(map(wanted, parts)):
            yield (edge.start[0], edge.start[1]), (edge.end[0], edge.end[1])
    for target, a, b in other_lines(results.project):
        if isinstance(target, OutlineEdgeId) and wanted(part_of(target)):
            yield a, b
