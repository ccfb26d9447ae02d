"""The kinds of edges a roof can have, as the trade names them."""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class EdgeKind(StrEnum):
    """Kind of a roof edge; the value is the whole word shown everywhere."""

    RIDGE = "ridge"
    HIP = "hip"
    VALLEY = "valley"
    PITCH_TRANSITION = "pitch transition"
    EAVE = "eave"
    HIGH_EAVE = "high eave"
    RAKE = "rake"
    HEADWALL = "headwall"
    SIDEWALL = "sidewall"
    DECK_EDGE = "deck edge"
    UPHILL_SIDE = "uphill side"
    """Of an opening: water runs against it."""
    DOWNHILL_SIDE = "downhill side"
    """Of an opening: water runs away from it."""
    SIDE = "side"
    """Of an opening, along the slope."""


NODE_KINDS: Final = (
    "opening corner", "valley at a wall", "ridge end at a wall", "wall corner",
    "valley foot", "valley head", "valley joint",
    "ridge end at a gable", "ridge end at hips", "ridge joint",
    "hip foot", "hip joint", "peak", "roof corner", "joint",
)  # fmt: skip
"""The kinds of places where roof edges meet, in words."""
