"""Where fasteners stand on a plane, as counted: the layout sheet draws the same places."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from roofmodel.surface.types import PlaneId
from roofmodel.tolerance import HEAL_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"

RowKind = Literal["lower end", "upper end", "end lap", "field", "edge zone"]
ROW_KINDS: Final[tuple[RowKind, ...]] = (
    *("lower end", "upper end", "end lap", "field", "edge zone"),
)


@dataclass(frozen=True, slots=True)
class FixRow:
    """Fasteners in a row: at `places` on one rib or seam after the other from `start` to `end`,
    (u, v) each; `each` of them at every place."""

    kind: RowKind
    start: tuple[float, float]
    end: tuple[float, float]
    places: int
    each: int


@dataclass(frozen=True, slots=True, eq=False)
class PlaneFixing:
    """What holds the panels of one plane: screws beside the ribs or clips on the seams.

    `places` is (n, 2): u mm from the left end of the plane's metal seen looking up the slope, v
    mm up the slope from its lowest metal. `kinds` (n,) are numbers in `ROW_KINDS`, `lines` (n,)
    the number of each place's rib or seam from the left; `counts` are the places of each kind,
    `each` how many stand at one of them. `spacing` is that of the field, `edge_spacing` that of
    the edge zone, `zone` its width in plan. `side_laps` are the lengths of the side laps
    of panels screwed through their face.
    """

    plane: PlaneId
    plane_name: str
    system: str
    fastener: Literal["panel screw", "clip"]
    spacing: float
    edge_spacing: float
    zone: float
    places: Array
    kinds: NDArray[np.intp]
    lines: NDArray[np.intp]
    counts: tuple[int, ...]
    each: tuple[int, ...]
    side_laps: tuple[float, ...]

    def places_of(self, kind: RowKind) -> int:
        """At how many places fasteners of this kind stand."""
        return self.counts[ROW_KINDS.index(kind)]

    @property
    def count(self) -> int:
        """All fasteners."""
        return sum(n * each for n, each in zip(self.counts, self.each, strict=True))

    @property
    def rows(self) -> tuple[FixRow, ...]:
        """The same in rows: level ones of the field and of the edge zone, and rows along the
        panels' ends, which bend where the ends do. Kind after kind, from the left."""
        out: list[FixRow] = []
        for number, kind in enumerate(ROW_KINDS):
            mine = np.flatnonzero(self.kinds == number)
            order = mine[np.lexsort((self.places[mine, 1], self.lines[mine]))]
            made: list[list[int]] = []
            waiting: dict[int, list[list[int]]] = {}
            for k in order.tolist():
                line = int(self.lines[k])
                row = next(
                    (r for r in waiting.get(line - 1, []) if self._goes_on(r, k)),
                    None,
                )
                if row is None:
                    row = []
                    made.append(row)
                else:
                    waiting[line - 1].remove(row)
                row.append(k)
                waiting.setdefault(line, []).append(row)
            out += [self._row(row, kind, self.each[number]) for row in made]
        return tuple(out)

    def _goes_on(self, row: list[int], place: int) -> bool:
        """Does the next rib's place lie on the line of a row?"""
        here, there = self.places[row[-1]], self.places[place]
        if self.kinds[place] >= ROW_KINDS.index("field"):
            return bool(abs(there[1] - here[1]) <= HEAL_MM)
        if len(row) == 1:
            return True
        before = self.places[row[-2]]
        slope = (here[1] - before[1]) / (here[0] - before[0])
        return bool(abs(there[1] - here[1] - slope * (there[0] - here[0])) <= HEAL_MM)

    def _row(self, row: list[int], kind: RowKind, each: int) -> FixRow:
        (u0, v0), (u1, v1) = self.places[row[0]].tolist(), self.places[row[-1]].tolist()
        return FixRow(kind, (u0, v0), (u1, v1), len(row), each)
