"""How panels are laid on a plane: where the first begins, which way they go. Lengths mm."""

from __future__ import annotations

import math
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError

Start = Literal[
    "first end", "least metal", "balanced ends", "ribs aligned across the ridge", "by hand"
]

STARTS: Final[tuple[Start, ...]] = (
    "first end",
    "least metal",
    "balanced ends",
    "ribs aligned across the ridge",
    "by hand",
)


class PanelLayout(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How panels are laid: from the left end to the right, or the other way round.

    `start` says where the first side of a panel lies: at the end they are laid from ("first
    end"), where it takes the least metal, so that both ends are equally wide, in line with the
    plane over the ridge, or `offset` mm in from the end they are laid from ("by hand").
    `vented`: the ridge of the plane is vented, so panels stop further below it.
    """

    start: Start = "first end"
    offset: float = 0.0
    from_right: bool = False
    vented: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.offset) and abs(self.offset) <= 100_000.0):
            raise DocumentError("The first panel must begin within 100 m (328 ft) of its plane.")


class PlaneLayout(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A layout given to one plane; `plane` is its identity in words."""

    plane: str
    layout: PanelLayout
