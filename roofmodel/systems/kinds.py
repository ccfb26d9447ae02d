"""The kinds of edges a roof can have, as the trade names them."""

from __future__ import annotations

from enum import StrEnum


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
