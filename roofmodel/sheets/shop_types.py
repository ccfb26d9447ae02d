"""Drawings for shop and crew as data: DXF, paper and the screen draw the same sheet.

All places are mm at true size, 1:1, y up. What is written has the size that it needs on paper
(`SheetText.height` times the scale that the sheet was drawn for), so a sheet is drawn for one
scale: `SheetPlan.draw(scale)`, after `SheetPlan.room(scale)` has told what paper it wants.

Vocabulary
----------
sheet
    Outlines, lines, arcs, texts and dimensions on named layers, with the fields of its title
    block, which whoever draws the sheet puts beside it.
scale
    Millimetres of the roof to one on paper: 48 is 1/4 in to the foot.
layer
    A name in whole words: one of `LAYER_LOOKS`, or a kind of roof edge in capitals.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from roofmodel.surface.types import PlaneId

XY = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, bottom, right, top, mm."""

Anchor = Literal["left", "centre", "right"]
SheetKind = Literal[
    "roof plan", "panel layout", "panel shapes", "trim profile", "trim blank", "saddle sheet"
]

TEXT_MM: Final = 2.0
"""Height of capitals on paper: letters of 8 points."""
SMALL_TEXT_MM: Final = 1.85
"""The least that is written: letters of a little over 7 points."""
WIDTH_PER_HEIGHT: Final = 0.95
"""Width of a character over the height of its capitals, on the wide side."""

CUT: Final = "CUT"
BEND_UP: Final = "BEND-UP"
BEND_DOWN: Final = "BEND-DOWN"
NOTES: Final = "NOTES"
DIMENSIONS: Final = "DIMENSIONS"
PROFILE: Final = "PROFILE"
COLOUR_SIDE: Final = "COLOUR SIDE"
PLANE: Final = "PLANE"
PANELS: Final = "PANELS"
LAPS: Final = "LAPS"
OPENINGS: Final = "OPENINGS"
EDGE_ZONES: Final = "EDGE ZONES"
SCREW_ROWS: Final = "SCREW ROWS"
CLIP_LINES: Final = "CLIP LINES"
START_LINE: Final = "START LINE"
SQUARE_CHECK: Final = "SQUARE CHECK"


@dataclass(frozen=True, slots=True)
class LayerLook:
    """How a layer is drawn: colour "#rrggbb", width of lines in mm on paper, pattern (dash, gap,
    …) in mm on paper, empty for solid; what it holds, in words."""

    color: str
    width: float
    pattern: tuple[float, ...]
    words: str


LAYER_LOOKS: Final[dict[str, LayerLook]] = {
    CUT: LayerLook("#000000", 0.35, (), "Outlines to cut, each closed, and nothing else"),
    BEND_UP: LayerLook("#0072B2", 0.25, (6.0, 2.0), "Bend lines, towards the colour side"),
    BEND_DOWN: LayerLook("#D55E00", 0.25, (3.0, 1.5), "Bend lines, away from the colour side"),
    NOTES: LayerLook("#000000", 0.18, (), "Notes and title block"),
    DIMENSIONS: LayerLook("#404040", 0.13, (), "Dimensions"),
    PROFILE: LayerLook("#000000", 0.35, (), "The section of the bent part"),
    COLOUR_SIDE: LayerLook("#CC79A7", 0.5, (1.5, 1.0), "Runs along the painted side"),
    PLANE: LayerLook("#606060", 0.18, (), "The roof plane itself"),
    PANELS: LayerLook("#000000", 0.25, (), "What each panel covers, and its number"),
    LAPS: LayerLook("#7F7F7F", 0.18, (1.5, 1.0), "End laps: where the panel below reaches to"),
    OPENINGS: LayerLook("#000000", 0.35, (), "Openings in the plane"),
    EDGE_ZONES: LayerLook("#E69F00", 0.18, (4.0, 1.5, 1.0, 1.5), "Edge and corner zones"),
    SCREW_ROWS: LayerLook("#009E73", 0.18, (1.0, 1.0), "Rows of screws"),
    CLIP_LINES: LayerLook("#009E73", 0.18, (1.0, 1.0), "Clips on the seams"),
    START_LINE: LayerLook("#D55E00", 0.5, (), "Start line: the side of the first whole panel"),
    SQUARE_CHECK: LayerLook("#0072B2", 0.18, (8.0, 2.0), "Lines to check the start by"),
}  # fmt: skip
"""The looks of roof edges are those of `roofmodel.scene.EDGE_LOOKS`."""


@dataclass(frozen=True, slots=True)
class SheetOutline:
    """A closed outline; the first corner is not repeated. `bulges` are tan(angle / 4) of the arc
    from each corner to the next, counter-clockwise positive, or empty where all are straight."""

    layer: str
    corners: tuple[XY, ...]
    bulges: tuple[float, ...] = ()

    def polyline(self, steps: int = 8) -> tuple[XY, ...]:
        """Its corners, every arc in so many chords; not repeated at the end."""
        out: list[XY] = []
        bulges = self.bulges or (0.0,) * len(self.corners)
        following = (*self.corners[1:], self.corners[0])
        for a, b, bulge in zip(self.corners, following, bulges, strict=True):
            out.append(a)
            out += _arc(a, b, bulge, steps)
        return tuple(out)


def _arc(a: XY, b: XY, bulge: float, steps: int) -> list[XY]:
    """Points between the ends of an arc."""
    if bulge == 0.0:
        return []
    angle = 4.0 * math.atan(bulge)
    chord = math.dist(a, b)
    radius = chord / (2.0 * math.sin(angle / 2.0))
    way = math.atan2(b[1] - a[1], b[0] - a[0])
    first = way - math.pi / 2.0 - angle / 2.0
    centre = (a[0] - radius * math.cos(first), a[1] - radius * math.sin(first))
    return [
        (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
        for turn in (first + angle * k / steps for k in range(1, steps))
    ]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A straight line. One on the layer of an edge kind is that roof edge."""

    layer: str
    start: XY
    end: XY


@dataclass(frozen=True, slots=True)
class SheetArc:
    """An arc, counter-clockwise from `start` to `end` degrees."""

    layer: str
    centre: XY
    radius: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class SheetText:
    """One line of text; `at` is the middle of its height and, by `anchor`, of its width or one of
    its ends. `height` is that of capitals; `turn` counter-clockwise degrees. `is_masked`: lines
    below it are hidden where it stands."""

    layer: str
    text: str
    at: XY
    height: float
    turn: float = 0.0
    anchor: Anchor = "centre"
    is_masked: bool = False

    @property
    def box(self) -> tuple[XY, XY, XY, XY]:
        """The four corners of what it takes at most."""
        width = len(self.text) * self.height * WIDTH_PER_HEIGHT
        left = {"left": 0.0, "centre": -width / 2.0, "right": -width}[self.anchor]
        half = 0.65 * self.height
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x0, y0 = self.at
        a, b, d, e = (
            (x0 + x * c - y * s, y0 + x * s + y * c)
            for x, y in ((left, -half), (left + width, -half), (left + width, half), (left, half))
        )
        return a, b, d, e


@dataclass(frozen=True, slots=True)
class SheetDimension:
    """A measured length from `start` to `end` along the way `turn` (degrees). Its line passes
    through `base`; `text` says the length and stands in its middle, on the left of its way."""

    start: XY
    end: XY
    base: XY
    turn: float
    text: str
    height: float
    layer: str = DIMENSIONS

    @property
    def measured(self) -> float:
        """The length between the two points along its way."""
        turn = math.radians(self.turn)
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return abs(dx * math.cos(turn) + dy * math.sin(turn))

    @property
    def line(self) -> tuple[XY, XY]:
        """The ends of the dimension line."""
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))

        def on(p: XY) -> XY:
            t = (p[0] - self.base[0]) * c + (p[1] - self.base[1]) * s
            return self.base[0] + t * c, self.base[1] + t * s

        return on(self.start), on(self.end)

    @property
    def written(self) -> SheetText:
        """Its text, where it stands."""
        (x0, y0), (x1, y1) = self.line
        turn = math.radians(self.turn)
        off = 1.1 * self.height
        at = ((x0 + x1) / 2.0 - off * math.sin(turn), (y0 + y1) / 2.0 + off * math.cos(turn))
        return SheetText(self.layer, self.text, at, self.height, self.turn)


@dataclass(frozen=True, slots=True)
class SheetRunning:
    """A running dimension: how far `at` lies from `origin` across (axis "x") or upwards ("y").
    Its leader goes from `at` to `to` (with a knee where they are not in line): down, where `text`
    hangs, turned 90 degrees; or to the left, where `text` ends, or right, where it begins."""

    origin: XY
    at: XY
    to: XY
    text: str
    height: float
    axis: Literal["x", "y"] = "x"
    layer: str = DIMENSIONS

    @property
    def measured(self) -> float:
        """The length along its axis."""
        k = 0 if self.axis == "x" else 1
        return abs(self.at[k] - self.origin[k])

    @property
    def leader(self) -> tuple[XY, ...]:
        """Its corners, from `at` to `to`."""
        (x0, y0), (x1, y1) = self.at, self.to
        across, along = (x1 - x0, y1 - y0) if self.axis == "x" else (y1 - y0, x1 - x0)
        if abs(across) < 1e-9:
            return (self.at, self.to)
        size = abs(along)  # the knee lies near the text, off what is drawn
        tail, knee = min(0.3 * size, self.height), min(0.4 * size, 1.7 * self.height)
        near, far = along * (1.0 - (tail + knee) / size), along * (1.0 - tail / size)
        if self.axis == "x":
            return (self.at, (x0, y0 + near), (x1, y0 + far), self.to)
        return (self.at, (x0 + near, y0), (x0 + far, y1), self.to)

    @property
    def written(self) -> SheetText:
        """Its text, where it stands."""
        gap = 0.5 * self.height
        x, y = self.to
        if self.axis == "x":
            return SheetText(self.layer, self.text, (x, y - gap), self.height, 90.0, "right")
        if x > self.at[0]:
            return SheetText(self.layer, self.text, (x + gap, y), self.height, 0.0, "left")
        return SheetText(self.layer, self.text, (x - gap, y), self.height, 0.0, "right")


@dataclass(frozen=True, slots=True)
class ShopSheet:
    """One drawing for the shop or the crew. `name` is that of its file, `title` what stands above
    it, `fields` are the words and values of its title block, `notes` sentences below it."""

    name: str
    title: str
    kind: SheetKind
    scale: float
    fields: tuple[tuple[str, str], ...]
    notes: tuple[str, ...] = ()
    outlines: tuple[SheetOutline, ...] = ()
    lines: tuple[SheetLine, ...] = ()
    arcs: tuple[SheetArc, ...] = ()
    texts: tuple[SheetText, ...] = ()
    dimensions: tuple[SheetDimension, ...] = ()
    running: tuple[SheetRunning, ...] = ()

    def box(self) -> Box:
        """Around everything that is drawn, texts with it."""
        points = [p for o in self.outlines for p in o.polyline()]
        points += [p for line in self.lines for p in (line.start, line.end)]
        for arc in self.arcs:
            (x, y), r = arc.centre, arc.radius
            points += [(x - r, y - r), (x + r, y + r)]
        points += [p for text in self.all_texts() for p in text.box]
        points += [p for d in self.dimensions for p in d.line]
        points += [p for r in self.running for p in r.leader]
        if not points:
            return (0.0, 0.0, 0.0, 0.0)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)

    def all_texts(self) -> tuple[SheetText, ...]:
        """Its texts and those of its dimensions."""
        lengths = (d.written for d in self.dimensions)
        return (*self.texts, *lengths, *(r.written for r in self.running))


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """A sheet not yet drawn. `size` is the width and height of what it shows, mm; `around` is
    what dimensions and texts take beside that on paper: left, bottom, right, top, mm. `planes`
    are those that it shows."""

    name: str
    title: str
    kind: SheetKind
    size: XY
    around: Box
    draw: Callable[[float], ShopSheet]
    planes: tuple[PlaneId, ...] = ()

    def room(self, scale: float) -> XY:
        """Width and height on paper at a scale, mm, without title block and notes."""
        left, bottom, right, top = self.around
        return (
            self.size[0] / scale + left + right,
            self.size[1] / scale + bottom + top,
        )
