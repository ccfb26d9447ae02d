"""An outline that is being drawn: no part of the project until it is closed."""

from __future__ import annotations

import msgspec

from roofmodel.document.parts import Point


class Begun(msgspec.Struct, frozen=True):
    """A ring of corners (mm) that is not closed yet: what it is to be, and whether its last
    corner was typed."""

    thing: str
    corners: tuple[Point, ...]
    typed: bool = False
