"""What a roofing system is made of, as data. The values live in TOML files and in the project.

Vocabulary
----------
coverage
    Width of roof one panel covers, rib to rib, once it is lapped with its neighbour.
lap leg
    The part of a sheet beyond its coverage that goes under the next sheet.
shift
    How far the metal's edge lies from the edge of the plane, in the plane, by kind of edge:
    positive outwards (past the eave), negative back (from a ridge, a valley's centre, a wall).
run
    A length of edge covered by one kind of trim, piece after piece with laps.
"""

from __future__ import annotations

import math

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.kinds import EdgeKind


class TrimRule(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Trim for one kind of edge: the part, the length it comes in and its lap (mm)."""

    part: str
    stock_length: float
    lap: float
    source: str = "common practice"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.stock_length) and math.isfinite(self.lap)):
            raise DocumentError(f"The trim '{self.part}' needs finite lengths.")
        if not 0 <= self.lap < self.stock_length:
            raise DocumentError(
                f"The lap of the trim '{self.part}' must be 0 or more and shorter than its stock"
                " length."
            )


class RoofingSystem(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A roofing system: panel, how it is held back or run out at edges, and its trim (mm)."""

    id: str
    name: str
    coverage: float
    lap_leg: float
    shifts: dict[EdgeKind, float]
    trim: dict[EdgeKind, TrimRule]
    source: str = "common practice"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.coverage) and self.coverage >= 25.0):
            raise DocumentError(f"The coverage of '{self.name}' must be at least 25 mm (1 in).")
        if not 0 <= self.lap_leg <= self.coverage:
            raise DocumentError(
                f"The lap leg of '{self.name}' must lie between 0 and its coverage."
            )
        for kind, shift in self.shifts.items():
            if not abs(shift) <= 1000.0:
                raise DocumentError(
                    f"'{self.name}': the shift at a {kind} must lie within 1000 mm (39 in)."
                )
