"""Where the panels of a plane begin, as lines in plan: to be drawn, and to be dragged.

Vocabulary
----------
starting line
    The line up the slope where the first side of a panel was put.
end
    The end of the metal that panels are laid from.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from roofmodel.document import PanelLayout
from roofmodel.scene.laid import Laid
from roofmodel.surface import Plane, PlaneId
from roofmodel.takeoff import Laying
from roofmodel.takeoff.field import Frame

Point = tuple[float, float]
_ON_LINE_MM: Final = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class StartLine:
    """A plane's starting line in plan, mm: from `foot` up the slope to `head`.

    `end` is a point on the end that panels are laid from, `along` the unit vector of the way
    they are laid, `uphill` that up the slope. `offset` lies between the end and the line,
    `width` between both ends.
    """

    plane: PlaneId
    foot: Point
    head: Point
    end: Point
    along: Point
    uphill: Point
    offset: float
    width: float

    def offset_of(self, p: Point) -> float:
        """How far a plan point lies from the end, on the way that panels are laid, mm."""
        return (p[0] - self.end[0]) * self.along[0] + (p[1] - self.end[1]) * self.along[1]

    def moved_to(self, offset: float) -> tuple[Point, Point]:
        """The line at another offset, as long as it is: for while it is dragged."""
        by = offset - self.offset
        dx, dy = by * self.along[0], by * self.along[1]
        return (self.foot[0] + dx, self.foot[1] + dy), (self.head[0] + dx, self.head[1] + dy)


def start_line(laid: Laid, layout: PanelLayout) -> StartLine:
    """The starting line of a plane's panels."""
    return _found(laid, offset_shown(laid.laying, layout))


def offset_shown(laying: Laying, layout: PanelLayout) -> float:
    """How far from their end (mm) some panels begin: by hand where they were put, else where the
    first side of a panel is."""
    width = max((p.field_width for p in laying.panels), default=0.0)
    by_hand = layout.start == "by hand" and 0.0 <= layout.offset <= width
    return layout.offset if by_hand else laying.offset


@lru_cache(maxsize=1024)
def _found(laid: Laid, offset: float) -> StartLine:
    laying = laid.laying
    frame = Frame.of(laid.plane)
    frame = frame.mirrored() if laying.from_right else frame
    flat = np.vstack([frame.flat(p.outline) for p in laying.panels])
    left, width = float(flat[:, 0].min()), laying.panels[0].field_width
    off = np.abs(flat[:, 0] - left - offset)
    on = flat[off <= max(_ON_LINE_MM, float(off.min()) + _ON_LINE_MM)]
    low, high = float(on[:, 1].min()), float(on[:, 1].max())
    u = left + offset
    foot, head, end = frame.raised(np.array([[u, low], [u, high], [left, low]]))[:, :2].tolist()
    return StartLine(
        laying.plane,
        (foot[0], foot[1]), (head[0], head[1]), (end[0], end[1]),
        frame.across, frame.uphill, offset, width,
    )  # fmt: skip


def snap_places(line: StartLine, plane: Plane, coverage: float) -> list[tuple[float, str]]:
    """What a dragged starting line is drawn to, by its offset (mm) and in words: the ends of the
    metal, its middle or half a panel before it, corners of the plane and of its holes."""
    middle = line.width / 2.0
    found = {
        0.0: "at the end",
        line.width: "at the other end",
        middle: "in the middle",
        middle - coverage / 2.0: "a panel in the middle",
    }
    corners = np.vstack([plane.outline, *plane.holes])[:, :2]
    for offset in ((corners - np.array(line.end)) @ np.array(line.along)).tolist():
        if all(abs(offset - known) > _ON_LINE_MM for known in found):
            found[offset] = "at a corner"
    return sorted((o, words) for o, words in found.items() if 0.0 <= o <= line.width)
