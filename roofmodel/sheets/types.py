"""Tables and line drawings as data: the screen, DXF, CSV, XLSX and paper draw the same ones.

Vocabulary
----------
amount
    A number with its unit, never rounded: whoever shows it decides how.
table
    Rows of amounts and texts under column titles; the last row may be a total.
drawing
    Straight lines by kind of roof edge, and texts with their places, in plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

from roofmodel.document import Problem, Project
from roofmodel.surface import EdgeId, PlaneId, Surface
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import TakeOff

Unit = Literal["mm", "mm²", "mm³", "kg", "squares", "share", "slope", "degrees", "count", "money"]
XY = tuple[float, float]


class RoofResults(Protocol):
    """What sheets are made from; `roofmodel.results.Results` is one."""

    @property
    def project(self) -> Project:
        """The document."""

    @property
    def surface(self) -> Surface:
        """Planes and edges."""

    @property
    def take_off(self) -> TakeOff:
        """Panels, trim and quantities."""

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong or doubtful."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in mm, mm², squares, shares (0 to 1), rise over run, degrees, pieces or money."""

    value: float
    unit: Unit


Cell = str | Amount


@dataclass(frozen=True, slots=True)
class Column:
    """Title of a column; `unit` is None for texts, and for amounts of various units. Lengths
    `to_cut` are measured off one by one: in metric files millimetres, while others are metres."""

    title: str
    unit: Unit | None = None
    to_cut: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """`rows` have one cell per column; `total` is a last row that adds up, or None; `subtotals`
    come before it and add up parts."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: tuple[Cell, ...] | None = None
    subtotals: tuple[tuple[Cell, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """One roof edge in plan, mm."""

    kind: EdgeKind
    start: XY
    end: XY
    edge: EdgeId


@dataclass(frozen=True, slots=True)
class DrawnText:
    """One line of text centred on `at` (mm), capitals `height` high (mm), turned
    counter-clockwise by `turn` degrees. `of` is the plane or edge that it belongs to."""

    text: str
    at: XY
    height: float
    turn: float
    of: PlaneId | EdgeId


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines and texts, in mm; `low` and `high` are the corners of the box around both."""

    lines: tuple[DrawnLine, ...]
    texts: tuple[DrawnText, ...]
    low: XY
    high: XY
