"""Sizes of paper, and the parts of a page. Lengths mm, from the lower left corner of the page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Paper = Literal["letter", "tabloid", "a4", "a3"]
XY = tuple[float, float]

PAPERS: Final[dict[Paper, XY]] = {
    "letter": (215.9, 279.4),
    "tabloid": (279.4, 431.8),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
}
PAPER_WORDS: Final[dict[Paper, str]] = {
    "letter": "Letter",
    "tabloid": "tabloid",
    "a4": "A4",
    "a3": "A3",
}

MARGIN: Final = 12.7
"""Printers leave less than half an inch blank."""
HEADER: Final = 11.0
FOOTER: Final = 7.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the content of a page goes."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top."""
        return self.top - self.bottom


def size_of(paper: Paper, *, wide: bool) -> XY:
    """Width and height of a page, upright or `wide`."""
    short, long = PAPERS[paper]
    return (long, short) if wide else (short, long)


def frame_of(size: XY) -> Frame:
    """The content's place on a page of this size, between header and footer."""
    return Frame(MARGIN, MARGIN + FOOTER, size[0] - MARGIN, size[1] - MARGIN - HEADER)
