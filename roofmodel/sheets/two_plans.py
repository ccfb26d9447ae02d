"""Trim has two plans, for two ways of making it: which to follow when, in words."""

from __future__ import annotations

from typing import Final

CUTTING_PLAN: Final = (
    "Follow this plan where trim is bought, or bent, in stock lengths. Where the shop slits it"
    " from coil, follow the slitting plan instead: both give the same pieces."
)
SLITTING_PLAN: Final = (
    "Follow this plan where the shop slits trim from coil. Where it is bought, or bent, in stock"
    " lengths, follow the cutting plan instead: both give the same pieces."
)


def goods_words(pieces: int, bars: int) -> str:
    """What of trim comes to the site, for the crew: so many pieces, or so many stock lengths."""
    return (
        f"Trim: from the shop {pieces} pieces, each with its mark, placed as the trim list says;"
        f" or {bars} stock lengths, cut on site as the cutting plan shows."
    )
