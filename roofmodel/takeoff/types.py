"""What the roof needs, each line with how it came about. Plain results, frozen.

Lengths mm, areas mm². Nothing here is rounded; only counts are whole numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roofmodel.surface.types import EdgeId, PlaneId
from roofmodel.systems import EdgeKind

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Quantity:
    """One line of the take-off.

    `unit` is "mm", "mm²", "squares", "share" (0 to 1) or "count"; `how` gives the formula with
    its numbers in the project's units; `planes` and `edges` are what it
    came from; `source` names the rule's source. `building` and `covering` are the names of the
    one building and the one covering it belongs to, empty where there are several.
    """

    group: str
    item: str
    unit: str
    quantity: float
    how: str
    source: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()
    building: str = ""
    covering: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One panel on one plane.

    `number` counts in laying order on its plane; `length` is the extent along the slope, mm.
    `left` and `right` are the coverage strip's sides, mm from the plane's left end seen from
    below the eave looking up the slope; `field_width` is the width of the whole plane's metal.
    `outline` is (n, 3): the metal within its coverage, with `holes` where something comes through
    the middle of it. `system` is the id of the roofing system.
    """

    plane: PlaneId
    plane_name: str
    number: int
    left: float
    right: float
    field_width: float
    length: float
    net_area: float
    gross_area: float
    outline: Array
    holes: tuple[Array, ...]
    system: str


@dataclass(frozen=True, slots=True)
class TrimRun:
    """Trim along one edge, or along several that go on straight: `pieces` stock lengths with laps
    cover `length`. `edge_name` names them all; `system` and `building` are ids."""

    edges: tuple[EdgeId, ...]
    edge_name: str
    kind: EdgeKind
    part: str
    length: float
    stock_length: float
    lap: float
    pieces: int
    how: str
    source: str
    system: str
    building: str


@dataclass(frozen=True, slots=True, eq=False)
class TakeOff:
    """Everything counted for the job.

    `coverings` has every plane's covering: a roofing system's id, `OTHER` or `NOT_IN_JOB`;
    `edges` are the ids of the edges in the job.
    """

    panels: tuple[Panel, ...]
    trim: tuple[TrimRun, ...]
    quantities: tuple[Quantity, ...]
    warnings: tuple[str, ...]
    coverings: Mapping[PlaneId, str]
    edges: frozenset[EdgeId]
