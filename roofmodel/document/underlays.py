"""What lies under the plan to be traced: pictures, pages of plans, drawings.

Vocabulary
----------
underlay
    A picture, one page of a PDF, or a DXF drawing under the plan, with its place and scale.
pixel
    The underlay's own unit: a pixel of a picture, a point (1/72 in) of a page, the drawing's
    unit of a drawing. Pixel (0, 0) is the top left corner, x to the right, y **down**.
known distance
    Two points of an underlay and how far apart they are in truth.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import msgspec
import numpy as np

from roofmodel.document.parts import Point
from roofmodel.errors import DocumentError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

MOST_MM_PER_PIXEL = 1e7
"""Ten kilometres a pixel: no house is seen in such a picture."""


class KnownDistance(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """`a` and `b` (pixels) are `length` mm apart."""

    a: Point
    b: Point
    length: float

    def __post_init__(self) -> None:
        values = (*self.a, *self.b, self.length)
        if not all(math.isfinite(v) and abs(v) < 1e9 for v in values):
            raise DocumentError("A known distance lies nowhere or too far away.")
        if not self.length > 0:
            raise DocumentError("A distance must be more than 0.")
        if not self.span > 0:
            raise DocumentError("The two points of a distance must lie apart.")

    @property
    def span(self) -> float:
        """How far the points lie apart, pixels."""
        return math.dist(self.a, self.b)


class Underlay(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A picture, a page of a plan or a drawing under the plan.

    `file` names the file inside the project file, `page` the page of a PDF, counted from 0.
    `width` and `height` are pixels, rounded up. The top left corner lies at `origin` (mm); a
    pixel is `mm_per_pixel` large, and all is turned by `turn` degrees, counter-clockwise.

    `distances` are those the scale was found from, kept so that more can be added. `world` is
    where the top left corner lies by the file's own coordinates (mm), if the file says so: files
    in the same coordinates are laid side by side. `hidden_layers` are those of a drawing.
    """

    id: str
    file: str
    width: int
    height: int
    mm_per_pixel: float = 20.0
    origin: Point = (0.0, 0.0)
    turn: float = 0.0
    opacity: float = 0.8
    visible: bool = True
    scaled: bool = False
    kind: Literal["picture", "page", "drawing"] = "picture"
    page: int = 0
    locked: bool = False
    distances: tuple[KnownDistance, ...] = ()
    world: Point | None = None
    hidden_layers: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        what = {"picture": "picture", "page": "page", "drawing": "drawing"}[self.kind]
        if not (0 < self.mm_per_pixel <= MOST_MM_PER_PIXEL):
            raise DocumentError(f"The scale of a {what} must be more than 0, and no house so big.")
        if not 0 <= self.opacity <= 1:
            raise DocumentError(f"The opacity of a {what} must lie between 0 and 1.")
        if self.width < 1 or self.height < 1 or self.page < 0:
            raise DocumentError(f"A {what} needs a width and a height.")

    @property
    def title(self) -> str:
        """What lists call it."""
        return f"{self.file}, page {self.page + 1}" if self.kind == "page" else self.file

    def to_plan(self, pixels: ArrayLike) -> NDArray[np.float64]:
        """Where pixels lie in plan: (..., 2) float -> (..., 2) float, mm.

        >>> u = Underlay("u1", "a.png", 100, 50, 10.0, (500.0, 0.0), 90.0)
        >>> u.to_plan([[0, 0], [100, 0], [0, 50]]).astype(int).tolist()
        [[500, 0], [500, 1000], [1000, 0]]
        """
        p = np.asarray(pixels, float) * self.mm_per_pixel
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x, y = p[..., 0], -p[..., 1]
        return np.stack([self.origin[0] + c * x - s * y, self.origin[1] + s * x + c * y], axis=-1)

    def to_pixels(self, places: ArrayLike) -> NDArray[np.float64]:
        """Which pixels lie at places of the plan: (..., 2) float, mm -> (..., 2) float."""
        p = np.asarray(places, float) - self.origin
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x, y = c * p[..., 0] + s * p[..., 1], -s * p[..., 0] + c * p[..., 1]
        return np.stack([x, -y], axis=-1) / self.mm_per_pixel

    def corners(self) -> NDArray[np.float64]:
        """Its corners in plan, (4, 2) float, mm, from the top left clockwise."""
        w, h = self.width, self.height
        return self.to_plan([[0, 0], [w, 0], [w, h], [0, h]])

    def covers(self, place: Point) -> bool:
        """Whether a place of the plan (mm) lies on it."""
        x, y = self.to_pixels(place).tolist()
        return bool(0 <= x <= self.width and 0 <= y <= self.height)
