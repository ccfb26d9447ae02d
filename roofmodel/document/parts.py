"""Parts of a building beside its sections: planes drawn by hand, and openings.

Vocabulary
----------
drawn plane
    A polygon in plan that lies in one plane, given in one of three ways (`BySlope`,
    `ByHeights`, `ByEdge`). It joins the roof as a section does.
opening
    Something that comes through the roof: the planes it touches are cut around it.
saddle
    Two small planes behind a chimney that lead the water around it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import msgspec

from roofmodel.errors import DocumentError

Point = tuple[float, float]
Point3 = tuple[float, float, float]


class BySlope(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="slope"):
    """The plane passes through `through` (mm) and falls at `slope` (rise over run) towards
    `bearing` (degrees clockwise from north)."""

    through: Point3
    slope: float
    bearing: float

    def __post_init__(self) -> None:
        if not 0 <= self.slope <= 1000.0:
            raise DocumentError("A drawn plane's pitch must lie between 0 and 12000/12.")
        if not math.isfinite(self.bearing):
            raise DocumentError("A drawn plane must fall towards some bearing.")
        _check_place(self.through)


class ByHeights(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="heights"):
    """The plane passes through three points (mm) that do not lie on one line in plan."""

    points: tuple[Point3, Point3, Point3]

    def __post_init__(self) -> None:
        for p in self.points:
            _check_place(p)
        (ax, ay, _), (bx, by, _), (cx, cy, _) = self.points
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        reach = max(math.hypot(bx - ax, by - ay), math.hypot(cx - ax, cy - ay))
        if not abs(area) > 1e-6 * reach * reach:
            raise DocumentError(
                "The three known heights of a drawn plane lie on one line; move one of them"
                " to the side."
            )


class ByEdge(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="edge"):
    """The plane holds a roof edge of a section, taken alone, and rises from it at `slope`.

    `edge` is the roof edge's identity in words (`str` of a `roofmodel.surface.EdgeId`); a
    negative slope falls away from the edge. The plane lies on the side of the edge where most
    of its polygon lies.
    """

    section: str
    edge: str
    slope: float

    def __post_init__(self) -> None:
        if not abs(self.slope) <= 1000.0:
            raise DocumentError("A drawn plane's pitch must lie between 0 and 12000/12.")


class DrawnPlane(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A plane drawn by hand: `corners` in plan (mm), its height given by `lies`.

    With `overhang` (mm) the walls below it stand that far inside its corners; one that is
    `open_below` (a porch on posts) hides nothing. One that is not `visible` is only not drawn.
    """

    id: str
    name: str
    corners: tuple[Point, ...]
    lies: BySlope | ByHeights | ByEdge
    overhang: float = 0.0
    open_below: bool = False
    visible: bool = True

    def __post_init__(self) -> None:
        _check_ring(self.name, self.corners)
        if not 0 <= self.overhang <= 10_000:
            raise DocumentError(f"The overhang of {self.name} must lie between 0 and 10 m.")


class Opening(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Something that comes through the roof, `corners` in plan (mm).

    A chimney or pipe cuts every plane it touches, a skylight only the topmost. With `saddle` two
    small planes rise behind it at `saddle_slope` (rise over run; None: the pitch of the plane it
    stands on). `height` is how far it stands out above the roof, for pictures only. One that is
    not `visible` is only not drawn.
    """

    id: str
    name: str
    kind: Literal["chimney", "skylight", "pipe"]
    corners: tuple[Point, ...]
    saddle: bool = False
    saddle_slope: float | None = None
    height: float = 600.0
    visible: bool = True

    def __post_init__(self) -> None:
        _check_ring(self.name, self.corners)
        if self.saddle_slope is not None and not 0.001 <= self.saddle_slope <= 1000.0:
            raise DocumentError(f"The saddle of {self.name} needs a pitch above 0.012/12.")
        if not 0 <= self.height <= 100_000:
            raise DocumentError(f"The height of {self.name} must lie between 0 and 100 m.")


def _check_place(point: Sequence[float]) -> None:
    if not all(math.isfinite(v) and abs(v) < 1e9 for v in point):
        raise DocumentError("A known height lies nowhere or too far away.")


def _check_ring(name: str, corners: Sequence[Point]) -> None:
    if len(corners) < 3:
        raise DocumentError(f"{name} needs at least three corners.")
    if not all(math.isfinite(v) and abs(v) < 1e9 for c in corners for v in c):
        raise DocumentError(f"A corner of {name} lies nowhere or too far away.")
