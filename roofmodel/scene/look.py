"""How each kind of edge is drawn everywhere: a colour and a line pattern, so that prints without
colour read as well. The colours are the published Okabe-Ito set, safe for colour-blind eyes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from roofmodel.systems import EdgeKind


@dataclass(frozen=True, slots=True)
class EdgeLook:
    """Colour as "#rrggbb", width in screen pixels, pattern as (dash, gap, …) in line widths;
    an empty pattern is solid."""

    color: str
    width: float
    pattern: tuple[float, ...] = ()


REDDISH_PURPLE: Final = "#CC79A7"
VERMILLION: Final = "#D55E00"
BLUISH_GREEN: Final = "#009E73"
BLUE: Final = "#0072B2"
ORANGE: Final = "#E69F00"
SKY_BLUE: Final = "#56B4E9"
BLACK: Final = "#000000"
GREY: Final = "#7F7F7F"

EDGE_LOOKS: Final[dict[EdgeKind, EdgeLook]] = {
    EdgeKind.RIDGE: EdgeLook(REDDISH_PURPLE, 4.0),
    EdgeKind.HIP: EdgeLook(VERMILLION, 2.5),
    EdgeKind.VALLEY: EdgeLook(BLUISH_GREEN, 2.5, (6.0, 2.0, 1.0, 2.0)),
    EdgeKind.EAVE: EdgeLook(BLUE, 1.8),
    EdgeKind.RAKE: EdgeLook(ORANGE, 2.5, (8.0, 3.0)),
    EdgeKind.PITCH_TRANSITION: EdgeLook(SKY_BLUE, 2.5, (4.0, 2.0)),
    EdgeKind.HEADWALL: EdgeLook(BLACK, 2.5),
    EdgeKind.SIDEWALL: EdgeLook(BLACK, 2.5, (1.0, 2.0)),
    EdgeKind.HIGH_EAVE: EdgeLook(BLUE, 2.2, (4.0, 2.0)),
    EdgeKind.DECK_EDGE: EdgeLook(GREY, 2.5),
    # an opening's edges are walls too, hence black; no other kind has their patterns
    EdgeKind.UPHILL_SIDE: EdgeLook(BLACK, 2.2, (6.0, 1.5, 1.0, 1.5, 1.0, 1.5)),
    EdgeKind.DOWNHILL_SIDE: EdgeLook(BLACK, 2.2, (3.0, 3.0)),
    EdgeKind.SIDE: EdgeLook(BLACK, 2.2, (2.0, 1.0, 2.0, 4.0)),
}
"""One table for plan, 3D and drawings; every kind has its row."""
