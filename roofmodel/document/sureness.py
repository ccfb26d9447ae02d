"""How exactly a roof was traced, and what was measured on the house since."""

from __future__ import annotations

import msgspec

from roofmodel.errors import DocumentError


class Tolerances(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Sides of outlines may lie `tracing` mm off either way, pitches `pitch` (rise over run)."""

    tracing: float = 76.2
    pitch: float = 0.5 / 12.0

    def __post_init__(self) -> None:
        if not (0.0 <= self.tracing <= 3000.0 and 0.0 <= self.pitch <= 1.0):
            raise DocumentError(
                "Traced lines may be off by 0 to 3 m (10 ft), pitches by 0 to 12/12."
            )


class Reading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Something measured on the house: the length (mm) of an outline edge of a part, or, without
    an edge, one of its pitches (rise over run)."""

    part: str
    edge: str
    value: float

    def __post_init__(self) -> None:
        if not 0.0 < self.value < 1e6:
            raise DocumentError("A measured value must be more than 0 and less than 1 km.")
