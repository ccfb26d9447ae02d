"""The finished roof of a job: planes, edges with their kinds, walls. Plain results, frozen.

Coordinates are millimetres: x east, y north, z above the job's datum. Arrays are read-only.
Bearings are degrees clockwise from north and say which way a plane looks (downhill).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, TypeAlias, TypeVar, overload

import numpy as np

from roofmodel.systems import EdgeKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"


class PlaneId(NamedTuple):
    """Identity of a plane: it survives edits elsewhere.

    `section` is the id of its part (a section, a drawn plane, or an opening with a saddle);
    `edge` an outline edge's id, "deck", "plane" or a side of a saddle; `step` counts the steps of
    its profile; `piece` tells apart planes of one step.
    """

    section: str
    edge: str
    step: int
    piece: int

    def __str__(self) -> str:
        return f"{self.section}/{self.edge}/{self.step}/{self.piece}"


class EdgeId(NamedTuple):
    """Identity of a roof edge: its planes and a number among edges of the same planes. In place
    of a second plane a plane's own end names the outline edge below it (or "cut"), one at a wall
    "wall" and the part whose wall it is, one around an opening "opening" and its part."""

    first: PlaneId
    second: PlaneId | str
    ordinal: int

    def __str__(self) -> str:
        return f"{self.first}|{self.second}|{self.ordinal}"


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """One roof plane.

    `outline` is (n, 3), counter-clockwise seen from above; `holes` likewise, clockwise.
    `slope` is rise over run; `edges` are the ids of the roof edges around it, in no order.
    """

    id: PlaneId
    name: str
    building: str
    outline: Array
    holes: tuple[Array, ...]
    slope: float
    bearing: float
    plan_area: float
    true_area: float
    edges: tuple[EdgeId, ...]


@dataclass(frozen=True, slots=True, eq=False)
class RoofEdge:
    """One straight roof edge.

    `start` and `end` are (3,) points; `fold` is the deviation from flat in degrees, positive
    where the roof bends down over the line (ridge, hip, eave), negative where it bends up
    (valley, walls). `planes` holds one or two ids. `remark` is empty or a sentence about
    something doubtful here. `found` is the kind that geometry gives where `kind` was set by hand.
    """

    id: EdgeId
    name: str
    kind: EdgeKind
    start: Array
    end: Array
    length: float
    fold: float
    planes: tuple[PlaneId, ...]
    remark: str = ""
    found: EdgeKind | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """An upright face below the roof of a part, from the ground or from a roof it stands on.

    `edge` is the outline edge above it or "step wall"; `outline` is (n, 3).
    """

    section: str
    edge: str
    outline: Array

    @property
    def area(self) -> float:
        """Its true area, mm²."""
        p = self.outline - self.outline[0]
        return float(np.linalg.norm(np.cross(p[1:-1], p[2:]).sum(axis=0))) / 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """A place (3,) where roof edges meet; `kind` in words, `edges` those that end there."""

    place: Array
    kind: str
    edges: tuple[EdgeId, ...]


_T = TypeVar("_T")


class Late(Sequence[_T]):
    """What is found when someone looks at it first: walls, nodes, lines of the take-off."""

    __slots__ = ("_find", "_found")

    def __init__(self, find: Callable[[], tuple[_T, ...]]) -> None:
        self._find: Callable[[], tuple[_T, ...]] | None = find
        self._found: tuple[_T, ...] = ()

    def _all(self) -> tuple[_T, ...]:
        if self._find is not None:
            self._found, self._find = self._find(), None
        return self._found

    def __len__(self) -> int:
        return len(self._all())

    def __iter__(self) -> Iterator[_T]:
        return iter(self._all())

    def __eq__(self, other: object) -> bool:
        return self._all() == (other._all() if isinstance(other, Late) else other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return repr(self._all())

    @overload
    def __getitem__(self, index: int) -> _T: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[_T]: ...
    def __getitem__(self, index: int | slice) -> _T | Sequence[_T]:
        return self._all()[index]


class Gap(NamedTuple):
    """Overhangs of two parts that pass each other at a height of `height` mm around `place`."""

    height: float
    place: tuple[float, float]
    first: str
    second: str


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """The roof of a job. `lost` names parts whose planes do not cover their drip line."""

    planes: tuple[Plane, ...]
    edges: tuple[RoofEdge, ...]
    walls: Sequence[Wall]
    nodes: Sequence[Node] = ()
    gaps: tuple[Gap, ...] = ()
    lost: tuple[str, ...] = ()

    def plane(self, plane_id: PlaneId) -> Plane:
        """The plane with this id; KeyError if there is none."""
        for p in self.planes:
            if p.id == plane_id:
                return p
        raise KeyError(plane_id)

    def edge(self, edge_id: EdgeId) -> RoofEdge:
        """The edge with this id; KeyError if there is none."""
        for e in self.edges:
            if e.id == edge_id:
                return e
        raise KeyError(edge_id)
