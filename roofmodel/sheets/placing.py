"""Where the texts of a shop sheet go: each takes the first of its places where it covers none."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.sheets.shop_types import XY, SheetText

Line = tuple[XY, XY]

_SOLID, _LED, _CROSSED, _SOFT = range(4)  # what may be crossed by less and less
_APART: Final = 0.15
"""Room kept around a text, over its height."""


class Placing:
    """Texts placed one after another; `keep_off` adds lines that texts stay off."""

    def __init__(self) -> None:
        self._taken: list[shapely.Polygon] = []
        self._boxes: list[tuple[float, float, float, float]] = []
        self._kinds: list[int] = []
        self._known: tuple[NDArray[np.float64], NDArray[np.intp]] | None = None

    def take(self, text: SheetText) -> SheetText:
        """A text that stands where it stands."""
        self._add(shapely.Polygon(text.box))
        return text

    def keep_off(
        self, lines: Iterable[Line], room: float, *, crossed: bool = False, soft: bool = False
    ) -> None:
        """Texts put later stay this far off these lines (mm); with `crossed` only texts do, not
        the lines that go with them; `soft` ones may be written across where nothing else helps."""
        for a, b in lines:
            shape = shapely.buffer(shapely.LineString([a, b]), room, quad_segs=2)
            self._add(shape, _SOFT if soft else _CROSSED if crossed else _SOLID)

    def put(
        self,
        places: Iterable[SheetText],
        led: Callable[[SheetText], Sequence[Line]] = lambda text: (),
        *,
        over: bool = False,
        across: bool = False,
    ) -> SheetText | None:
        """The first of the places that is free, and from now on taken; None if there is none.
        The lines that `led` says go with a place must be free too, but with `over` may cross such
        lines of others. With `across` soft lines do not count."""
        most = _SOLID if over else _LED
        for text in places:
            if not self._has_room(text, _CROSSED if across else _SOFT):
                continue
            lines = led(text)
            if all(self._is_free(shapely.LineString(line), most) for line in lines):
                self._add(shapely.Polygon(text.box))
                for line in lines:
                    self._add(shapely.LineString(line).buffer(0.2 * text.height), _LED)
                return text
        return None

    def _add(self, shape: shapely.Polygon, kind: int = _SOLID) -> None:
        self._taken.append(shape)
        self._boxes.append(shape.bounds)
        self._kinds.append(kind)
        self._known = None

    def _has_room(self, text: SheetText, most: int) -> bool:
        """Is it free where a text and what belongs around it would stand?"""
        xs, ys = zip(*text.box, strict=True)
        more = _APART * text.height
        near = self._near((min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more), most)
        if not near.size:  # mostly: no shape need be made
            return True
        box = shapely.buffer(shapely.Polygon(text.box), more, quad_segs=1)
        return not any(shapely.intersects(self._taken[k], box) for k in near)

    def _is_free(self, line: shapely.LineString, most: int) -> bool:
        near = self._near(line.bounds, most)
        return not any(shapely.intersects(self._taken[k], line) for k in near)

    def _near(self, bounds: tuple[float, float, float, float], most: int) -> NDArray[np.intp]:
        """The numbers of what is taken whose extents come up to these."""
        if not self._taken:
            return np.empty(0, np.intp)
        if self._known is None:
            self._known = np.array(self._boxes).T, np.array(self._kinds)
        (w, s, e, n), kinds = self._known
        x0, y0, x1, y1 = bounds
        return np.flatnonzero((w <= x1) & (e >= x0) & (s <= y1) & (n >= y0) & (kinds <= most))


def readable(degrees: float) -> float:
    """The same direction of a line of text, between -90 (excluded) and 90 degrees.

    >>> readable(180.0), readable(-90.0), readable(135.0)
    (0.0, 90.0, -45.0)
    """
    turn = (degrees + 90.0) % 180.0 - 90.0
    return 90.0 if turn <= -90.0 + 1e-6 else turn


def spread(wanted: Sequence[float], least: float) -> list[float]:
    """Falling places moved apart until neighbours lie at least so far from each other, as little
    as can be."""
    groups: list[tuple[float, int]] = []  # sum of wanted places with their shifts, count
    for k, place in enumerate(wanted):
        groups.append((place + k * least, 1))
        while len(groups) > 1 and groups[-1][0] / groups[-1][1] > groups[-2][0] / groups[-2][1]:
            (a, m), (b, n) = groups.pop(), groups.pop()
            groups.append((a + b, m + n))
    out = [total / count for total, count in groups for _ in range(count)]
    return [level - k * least for k, level in enumerate(out)]
