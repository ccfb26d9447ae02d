"""Where fasteners stand on a plane, as counted: the layout sheet draws the same places."""

from __future__ import annotations

from collections.abc import Sequence
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

_STEEPEST: Final = 4.0
"""Two places alone whose line rises by more over its run are no row: hips and valleys of the
steepest roofs rise by less on their planes."""


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
            by_line: dict[int, list[int]] = {}
            for k in order.tolist():
                by_line.setdefault(int(self.lines[k]), []).append(k)
            made: list[list[int]] = []
            for line, here in by_line.items():
                waiting = [r for r in made if int(self.lines[r[-1]]) == line - 1]
                taken = self._joined(waiting, here, by_line.get(line + 1, ()))
                for k in here:
                    if k in taken:
                        taken[k].append(k)
                    else:
                        made.append([k])
            out += [self._row(row, kind, self.each[number]) for row in made]
        return tuple(out)

    def _joined(
        self, waiting: Sequence[list[int]], here: Sequence[int], after: Sequence[int]
    ) -> dict[int, list[int]]:
        """Which places on a rib go on which rows that end on the one before; `after` are the
        places on the next. Rows that run straight on come first; of one place alone it is not
        known which way its row runs: it goes on where a third place lies on the line, else to
        what is nearest, not up a line that is no end of a panel."""
        pairs = []
        for row in waiting:
            for k in here:
                if len(row) > 1 or self.kinds[k] >= ROW_KINDS.index("field"):
                    if self._goes_on(row, k):
                        pairs.append((0, 0.0, row, k))
                    continue
                rise = abs(float(self.places[k, 1] - self.places[row[-1], 1]))
                run = float(self.places[k, 0] - self.places[row[-1], 0])
                is_led = any(self._goes_on([*row, k], j) for j in after)
                if is_led or rise <= _STEEPEST * run:
                    pairs.append((1 if is_led else 2, rise, row, k))
        out: dict[int, list[int]] = {}
        for _, _, row, k in sorted(pairs, key=lambda p: p[:2]):
            if k not in out and not any(r is row for r in out.values()):
                out[k] = row
        return out

    def _goes_on(self, row: Sequence[int], place: int) -> bool:
        """Does the next rib's place lie on the line of a row?"""
        here, there = self.places[row[-1]], self.places[place]
        if self.kinds[place] >= ROW_KINDS.index("field"):
            return bool(abs(there[1] - here[1]) <= HEAL_MM)
        before = self.places[row[-2]]
        slope = (here[1] - before[1]) / (here[0] - before[0])
        return bool(abs(there[1] - here[1] - slope * (there[0] - here[0])) <= HEAL_MM)

    def _row(self, row: list[int], kind: RowKind, each: int) -> FixRow:
        (u0, v0), (u1, v1) = self.places[row[0]].tolist(), self.places[row[-1]].tolist()
        return FixRow(kind, (u0, v0), (u1, v1), len(row), each)
