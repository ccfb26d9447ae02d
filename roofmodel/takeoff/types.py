"""What the roof needs, each line with how it came about. Plain results, frozen.

Lengths mm, areas mm². Nothing here is rounded; only counts are whole numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from roofmodel.surface.types import EdgeId, PlaneId
from roofmodel.tolerance import HEAL_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from roofmodel.takeoff.check_types import Check, PlaneZones
    from roofmodel.takeoff.fixing_types import PlaneFixing
    from roofmodel.takeoff.trim_types import TrimPlan, TrimRun

Array: TypeAlias = "NDArray[np.float64]"


@dataclass(frozen=True, slots=True)
class Quantity:
    """One line of the take-off.

    `unit` is "mm", "mm²", "mm³", "kg", "squares", "share" (0 to 1) or "count"; `how` is the
    formula with its numbers in the project's units, as `formula` says, `note` what else is to
    be said; `planes` and `edges` are what it came from; `source` names the rule's source.
    `building` and `covering` are the names of the one building and the one covering it belongs
    to, empty where there are several. What is bought has a `key`, its name in the price book;
    where it comes in packs, `packs` of them (`pack` says what one is) are bought, `pack_how`
    is that formula; `piece` is the length (mm) of each of what comes in pieces of one length.
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
    note: str = ""
    key: str = ""
    packs: int = 0
    pack: str = ""
    pack_how: str = ""
    piece: float = 0.0

    @property
    def words(self) -> str:
        """The formula and the note as one text."""
        return f"{self.how}; {self.note}" if self.note else self.how


@dataclass(frozen=True, slots=True)
class EndCut:
    """How one end of a panel is cut: `lines` are (width, rise) in mm, one after the other from
    left to right as seen looking up the slope, over the whole sheet with its lap leg."""

    lines: tuple[tuple[float, float], ...]

    @property
    def shape(self) -> Literal["square", "angled", "shaped"]:
        """Square, along one sloping line, or along several lines."""
        if len(self.lines) > 1:
            return "shaped"
        return "angled" if any(abs(rise) > HEAL_MM for _, rise in self.lines) else "square"

    @property
    def angle(self) -> float | None:
        """Degrees between the cut and a square one; None along several lines."""
        if self.shape == "shaped":
            return None
        if self.shape == "square":
            return 0.0
        ((width, rise),) = self.lines
        return math.degrees(math.atan2(abs(rise), width))

    @property
    def hand(self) -> Literal["", "left", "right"]:
        """The side to which an angled cut rises, seen looking up the slope."""
        if self.shape != "angled":
            return ""
        return "right" if self.lines[0][1] > 0 else "left"


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One panel on one plane.

    `number` counts in laying order on its plane; `length` is what it is cut to along the slope,
    hems with it, mm. `left` and `right` are the coverage strip's sides, mm from the plane's left
    end seen from below the eave looking up the slope (the first and the last strip may reach
    past its ends); `field_width` is the width of the whole plane's metal. `outline` is (n, 3):
    the metal within its coverage, with `holes` where something comes through the middle of it.
    `system` is the id of the roofing system. `strip` counts strips in laying order; `lower` and
    `upper` are the cuts at its ends; `end_lap` is what of its lower end lies on the panel below,
    where a strip is longer than the longest panel. `notched`: it is cut out at a side, or has a
    hole, whatever its ends.
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
    strip: int
    lower: EndCut
    upper: EndCut
    end_lap: float = 0.0
    notched: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Laying:
    """How the panels of one plane are laid. `system` is an id.

    `start` is what was asked for; `offset` (mm) from the end they are laid from to the first
    side of a panel, less than a coverage; `from_right`: from the right end to the left, seen
    looking up the slope. `strips` is their number; `first_width` and `last_width` what the
    coverage of the first and the last strip leaves within the field; `narrow` how many pieces
    are under the system's least width. `remark` is empty or a sentence.
    """

    plane: PlaneId
    plane_name: str
    system: str
    start: str
    offset: float
    from_right: bool
    strips: int
    first_width: float
    last_width: float
    narrow: int
    field_area: float
    panels: tuple[Panel, ...]
    remark: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class TakeOff:
    """Everything counted for the job.

    `coverings` has every plane's covering: a roofing system's id, `OTHER` or `NOT_IN_JOB`;
    `edges` are the ids of the edges in the job, `owners` the covering each counts with;
    `layings` how the panels of each plane are laid;
    `cutting_plans` what trim is cut from; `fixings` where the panels of each plane are fastened;
    `checks` what rules say of the roof, `zones` its edge and corner zones.
    """

    panels: tuple[Panel, ...]
    trim: tuple[TrimRun, ...]
    quantities: Sequence[Quantity]
    warnings: tuple[str, ...]
    coverings: Mapping[PlaneId, str]
    edges: frozenset[EdgeId]
    layings: tuple[Laying, ...] = ()
    cutting_plans: tuple[TrimPlan, ...] = ()
    fixings: Sequence[PlaneFixing] = ()
    checks: Sequence[Check] = ()
    zones: Sequence[PlaneZones] = ()
    owners: Mapping[EdgeId, str] = field(default_factory=dict)
