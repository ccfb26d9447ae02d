"""What lies below the metal and what comes off the old roof, as data. Values live in the project
and in a TOML file; lengths mm, slopes rise over run, weights kg, volumes mm³.

Vocabulary
----------
course
    A strip of a roll laid level along a plane.
head lap
    How far a course reaches over the one below it, measured up the slope.
end lap
    How far two lengths of one course lie over each other.
membrane
    The self-adhered sheet for high temperatures, at valleys, walls, openings and cold eaves.
"""

from __future__ import annotations

import math
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import KG_PER_LB, MM3_PER_CU_YD


def inches(value: float) -> float:
    """Inches as mm, rounded once, so that 6 in is 152.4 mm and not 152.39999999999998."""
    return value * 127 / 5


def feet(value: float) -> float:
    """Feet as mm, rounded once."""
    return inches(12.0 * value)


KG_PER_M2_PER_LB_SQUARE: Final = KG_PER_LB / 9.290304
"""1 lb per square (100 sq ft) in kg per m²."""

PRACTICE: Final = "common practice, no source"


class Roll(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A sheet that comes in rolls. On planes flatter than `low_slope` courses lap by
    `low_head_lap` over a starter course, if that is given. `key` is its name in the price book.
    """

    key: str
    width: float
    length: float
    head_lap: float
    end_lap: float
    source: str = PRACTICE
    low_head_lap: float | None = None
    low_slope: float = 0.0

    def __post_init__(self) -> None:
        laps = (self.head_lap, self.low_head_lap or 0.0)
        if not all(
            (
                100.0 <= self.width <= 10_000.0,
                1000.0 <= self.length <= 1e6,
                all(0.0 <= lap <= self.width - 25.0 for lap in laps),
                0.0 <= self.end_lap <= self.length / 2.0,
                0.0 <= self.low_slope <= 1000.0,
            )
        ):
            raise DocumentError(
                f"The roll '{self.key}' must be 100 mm to 10 m (4 in to 33 ft) wide and 1 m to"
                " 1 km long, its laps at least 1 in less than its width and up to half its length."
            )

    def lap_at(self, slope: float) -> tuple[float, bool]:
        """Head lap (mm) on a plane of this slope, and whether it wants a starter course."""
        if self.low_head_lap is not None and slope < self.low_slope - COUNT_EPS:
            return self.low_head_lap, True
        return self.head_lap, False


class Strip(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Membrane along one kind of edge: how wide, and how much longer than the edge at each of
    its two ends (mm)."""

    width: float
    at_ends: float = 0.0
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not (25.0 <= self.width <= 10_000.0 and 0.0 <= self.at_ends <= 10_000.0):
            raise DocumentError(
                "A strip of membrane must be 25 mm to 10 m (1 in to 33 ft) wide, and up to 10 m"
                " longer at its ends."
            )


class Sheet(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Deck sheets: size and the gap left between them (mm)."""

    key: str
    width: float
    length: float
    gap: float = 0.0
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not (100.0 <= self.width <= 1e4 and 100.0 <= self.length <= 1e5 and 0 <= self.gap < 50):
            raise DocumentError(
                f"The sheet '{self.key}' must be 100 mm (4 in) or more wide and long, its gap"
                " under 50 mm (2 in)."
            )


class OldCovering(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What lies on an old roof: kg per m² and layer, its fasteners per m² and layer. One that is
    `never_covered` must come off before another roof is laid."""

    key: str
    weight: float
    fasteners: float = 0.0
    never_covered: bool = False
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not (0.0 <= self.weight <= 1000.0 and 0.0 <= self.fasteners <= 10_000.0):
            raise DocumentError(
                f"The old covering '{self.key}' must weigh 0 to 1000 kg per m² and have up to"
                " 10000 fasteners in a m²."
            )


class Waste(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How what is torn off is carried away: kg per m² of one felt layer, kg per m³ of the heap,
    payload (kg) and box (mm³) of the trailer; where a roof has `most_layers` nothing may be laid
    over them."""

    felt: float = 15.0 * KG_PER_M2_PER_LB_SQUARE
    density: float = 415.0 * (KG_PER_LB / (MM3_PER_CU_YD / 1e9))
    payload: float = 10_000.0 * KG_PER_LB
    box: float = 12.0 * MM3_PER_CU_YD
    most_layers: int = 2
    felt_source: str = PRACTICE
    density_source: str = (
        "landfill totals in a building journal: 11 million tons in 53 million cubic yards"
    )
    trailer_source: str = "common practice, no source: the plates of the trailer govern"
    layers_source: str = "residential code R908.3, from memory: confirm the adopted edition"

    def __post_init__(self) -> None:
        if not (0.0 <= self.felt <= 100.0 and 1 <= self.most_layers <= 9):
            raise DocumentError(
                "Felt must weigh 0 to 100 kg per m², and the layers that stop a re-cover must be"
                " 1 to 9."
            )
        if not 1.0 <= self.density <= 20_000.0:
            raise DocumentError(
                "What is torn off must weigh 1 to 20000 kg per m³ (2 to 33000 lb per cubic yard)."
            )
        if not (10.0 <= self.payload <= 1e6 and 1e7 <= self.box <= 1e12):
            raise DocumentError(
                "The trailer must carry 10 kg to 1000 t (22 to 2200000 lb) and hold 0.01 to 1000"
                " m³ (0.02 to 1300 cubic yards)."
            )


class Batten(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Battens for a re-cover: how far apart their rows are, the boards they come in (mm)."""

    key: str = "batten"
    spacing: float = inches(24.0)
    length: float = feet(12.0)
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not (50.0 <= self.spacing <= 3048.0 and 300.0 <= self.length <= 20_000.0):
            raise DocumentError(
                "Rows of battens must be 50 to 3048 mm (2 in to 10 ft) apart, their boards 300 mm"
                " to 20 m (1 to 65 ft) long."
            )


Measure = Literal["eaves", "rakes", "eaves and rakes", "length by hand", "count"]


class Extra(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Something that may be added to the job: by the length of its eaves or rakes, or by hand.
    `stock_length` (mm) is the length it is sold in; 0: by the length itself, or piece by piece.
    """

    key: str
    measure: Measure
    stock_length: float = 0.0
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not (self.stock_length == 0.0 or 25.0 <= self.stock_length <= 1e5):
            raise DocumentError(f"The lengths of '{self.key}' must be 25 mm (1 in) to 100 m.")


class PanelLimits(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is doubtful on one kind of panel. `least_slope` is what makers ask for; below
    `sealed_slope` not even sealed laps serve by the code. A panel longer than `fixed_length` (mm)
    moves too much for its fastening, one over `handling` is hard to carry; at the eave its metal
    reaches from `least_overhang` to `most_overhang` past the edge."""

    least_slope: float
    sealed_slope: float
    fixed_length: float
    handling: float = feet(45.0)
    least_overhang: float = inches(1.0)
    most_overhang: float = inches(2.0)
    slope_source: str = PRACTICE
    length_source: str = PRACTICE
    overhang_source: str = PRACTICE

    def __post_init__(self) -> None:
        lengths = (self.fixed_length, self.handling)
        if not all(
            (
                0.0 <= self.sealed_slope <= self.least_slope <= 1000.0,
                all(300.0 <= v <= 1e6 for v in lengths),
                0.0 <= self.least_overhang <= self.most_overhang <= 1000.0,
            )
        ):
            raise DocumentError(
                "The limits of a panel: its sealed slope is no more than its least slope, lengths"
                " are 300 mm (1 ft) or more, the least overhang is no more than the most."
            )


class Metal(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A metal's expansion: millionths of its length per degree F."""

    expansion: float
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not 0.0 < self.expansion <= 100.0:
            raise DocumentError(
                "A metal grows by more than 0 and up to 100 millionths a degree F."
            )


class Factor(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """From `at` upward (rise over run, or mm above the ground) labour takes `factor` times."""

    at: float
    factor: float

    def __post_init__(self) -> None:
        if not (0.0 <= self.at < math.inf and 0.0 < self.factor <= 100.0):
            raise DocumentError("A labour factor is more than 0 and up to 100, from 0 upward.")
