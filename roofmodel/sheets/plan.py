"""The roof plan as a line drawing: each edge with its true length and, where there is room, its
name, each plane with its name, pitch and true area.

Texts are placed one after another, planes first: each takes the first of a few places where it
covers no other text and crosses no line, or the place where it does so least.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from roofmodel.document import NOT_IN_JOB, OTHER, Units
from roofmodel.sheets.types import XY, Drawing, DrawnLine, DrawnText, RoofResults
from roofmodel.surface import EdgeId, Plane, RoofEdge
from roofmodel.surface.types import Array
from roofmodel.units import format_area, format_length, format_slope

WIDTH_PER_HEIGHT: Final = 0.95
"""Width of a character over the height of its capitals, on the wide side so that texts keep
apart in whatever typeface they are drawn."""

LINE_PITCH: Final = 1.7
"""Distance of lines of text over the height of capitals."""

_GAP: Final = 0.7  # between an edge and its text, over the text's height
_ALONG: Final = (0.5, 0.38, 0.62, 0.27, 0.73, 0.18, 0.82)  # places of a text along its edge
_AWAY: Final = (0.0, 1.4, 2.8)  # further from a short edge whose text finds no room beside it
_SIZES: Final = (1.0, 0.8, 0.65, 0.45, 0.3, 0.2)
_TEXT_SHARE: Final = 1 / 90  # height of text over the size of the roof
_TEXT_RANGE: Final = (60.0, 600.0)
_LONGER: Final = 0.06  # what a text counts that is twice as long as its edge
_MOST_OVER: Final = 0.5  # a text may be so much longer than its edge, unless it is the smallest
_NAMELESS: Final = 0.04  # what an edge without its name counts
_CROSSING: Final = 0.5  # what a crossed line counts beside covered text, over its share


def plan_drawing(results: RoofResults) -> Drawing:
    """The roof plan, mm. Lengths beside edges are true lengths, not those in plan."""
    surface, units = results.surface, results.project.units
    lines = tuple(
        DrawnLine(e.kind, _xy(e.start), _xy(e.end), e.id)
        for e in surface.edges
        # An edge that stands plumb is a point in plan.
        if math.dist(_xy(e.start), _xy(e.end)) > 1.0
    )
    if not lines:
        return Drawing((), (), (0.0, 0.0), (0.0, 0.0))
    corners = [p for line in lines for p in (line.start, line.end)]
    low, high = _box_of(corners)
    height = min(max(math.dist(low, high) * _TEXT_SHARE, _TEXT_RANGE[0]), _TEXT_RANGE[1])
    page = _Page(lines)
    texts: list[DrawnText] = []
    for plane in sorted(surface.planes, key=lambda p: -p.plan_area):
        covering = results.take_off.coverings[plane.id]
        texts += _plane_texts(plane, covering, units, height, page)
    drawn = {line.edge for line in lines}
    shapes = {p.id: shapely.Polygon([_xy(c) for c in p.outline]) for p in surface.planes}
    for edge in sorted(surface.edges, key=lambda e: -e.length):
        if edge.id in drawn:
            inside = [shapes[p] for p in edge.planes if p in shapes]
            texts.append(_edge_text(edge, units, height, inside, page))
    low, high = _box_of([*corners, *page.corners()])
    return Drawing(lines, tuple(texts), low, high)


@dataclass(frozen=True, slots=True)
class _Place:
    """Somewhere a text of one or more lines could stand; `cost` is how unwelcome in itself."""

    cost: float
    words: tuple[str, ...]
    at: XY
    height: float
    turn: float

    def box(self, margin: float) -> shapely.Polygon:
        """The box the text takes, grown by `margin` times its height, turned about its centre."""
        width = max(len(w) for w in self.words) * WIDTH_PER_HEIGHT + 2 * margin
        tall = 1 + (len(self.words) - 1) * LINE_PITCH + 2 * margin
        w, h = width * self.height / 2, tall * self.height / 2
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x, y = self.at
        corners = ((-w, -h), (w, -h), (w, h), (-w, h))
        return shapely.Polygon([(x + c * u - s * v, y + s * u + c * v) for u, v in corners])


class _Page:
    """What is on the drawing so far; finds the best place for the next text."""

    def __init__(self, lines: Sequence[DrawnLine]) -> None:
        ends = np.array([[line.start, line.end] for line in lines])
        self._lines = np.asarray(shapely.linestrings(ends))
        self._numbers = {line.edge: i for i, line in enumerate(lines)}
        self._boxes: list[tuple[shapely.Polygon, tuple[float, float, float, float]]] = []

    def put(
        self, places: Iterable[_Place], margin: float, own: EdgeId | None = None
    ) -> _Place | None:
        """The place that does least harm, now taken; crossing the line of `own` is none."""
        best: tuple[float, _Place, shapely.Polygon] | None = None
        for place in sorted(places, key=lambda p: p.cost):
            if best is not None and place.cost >= best[0]:
                break
            box = place.box(margin)
            harm = place.cost + self._harm(box, own)
            if best is None or harm < best[0] - 1e-9:
                best = (harm, place, box)
        if best is None:
            return None
        self._boxes.append((best[2], best[2].bounds))
        return best[1]

    def corners(self) -> Iterable[XY]:
        """Corners of all texts, mm."""
        for box, _ in self._boxes:
            yield from ((float(x), float(y)) for x, y in box.exterior.coords)

    def _near(self, box: shapely.Polygon) -> list[shapely.Polygon]:
        """The boxes whose extents come up to that of this one."""
        west, south, east, north = box.bounds
        return [
            other
            for other, (w, s, e, n) in self._boxes
            if w <= east and e >= west and s <= north and n >= south
        ]

    def _harm(self, box: shapely.Polygon, own: EdgeId | None) -> float:
        """0 where `box` stands free, else about the share of it that lies on others."""
        shapely.prepare(box)
        touched = np.asarray(shapely.intersects(box, self._lines))
        if own is not None:
            touched[self._numbers[own]] = False
        crossed = 0.0
        if touched.any():
            parts = shapely.intersection(self._lines[touched], box)
            crossed = float(np.sum(shapely.length(parts)))
        covered = sum(box.intersection(b).area for b in self._near(box))
        return float(covered) / box.area + _CROSSING * crossed / math.sqrt(box.area)


def _plane_texts(
    plane: Plane, covering: str, units: Units, height: float, page: _Page
) -> list[DrawnText]:
    """Name, pitch and true area, one below the other, level, about the plane's widest place;
    a plane that no system of the job covers says so."""
    shape = shapely.Polygon(
        [_xy(c) for c in plane.outline], [[_xy(c) for c in h] for h in plane.holes]
    )
    name, pitch = plane.name, format_slope(plane.slope)
    area = format_area(plane.true_area, units)
    if covering == OTHER:
        area = f"{area}, other covering"
    elif covering == NOT_IN_JOB:
        area = covering
    # One below the other where there is room, in one line on a narrow plane.
    wordings = ((name, pitch, area), (name, f"{pitch}, {area}"), (f"{name}, {pitch}, {area}",))
    centre = shape.centroid
    centres = [
        (float(centre.x), float(centre.y)),
        _widest_place(shape, max(math.sqrt(shape.area) / 50, 1.0)),
        *_spots(shape),
    ]
    centres = [c for c in centres if shape.contains(shapely.Point(c))]
    places = [
        _Place(
            cost=(1 - size) * 0.05 + (3 - len(words)) * 0.001 + rank * 1e-5,
            words=words,
            at=at,
            height=height * size,
            turn=0.0,
        )
        for size, words in itertools.product(_SIZES, wordings)
        for rank, at in enumerate(centres)
    ]
    place = page.put(places, 0.6)
    if place is None:  # a sliver in which no place could be found
        return []
    (x, y), h, lines = place.at, place.height, place.words
    top = y + (len(lines) - 1) / 2 * h * LINE_PITCH
    return [
        DrawnText(word, (x, top - i * h * LINE_PITCH), h, 0.0, plane.id)
        for i, word in enumerate(lines)
    ]


def _edge_text(
    edge: RoofEdge,
    units: Units,
    height: float,
    inside: Sequence[shapely.Polygon],
    page: _Page,
) -> DrawnText:
    """Its name and true length, or only that, beside the edge and readable from below or from
    the right."""
    word = format_length(edge.length, units)
    (x0, y0), (x1, y1) = _xy(edge.start), _xy(edge.end)
    length = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    turn = _readable(math.degrees(math.atan2(uy, ux)))
    sides = _sides(edge, inside, (-uy, ux), (x0 + x1) / 2, (y0 + y1) / 2)
    places = []
    named = f"{edge.name}: {word}"
    wordings = (
        [(named, 0.0)] if len(named) * WIDTH_PER_HEIGHT * _SIZES[-1] * height < length else []
    )
    wordings.append((word, _NAMELESS))
    for (text, less), size, extra in itertools.product(wordings, _SIZES, _AWAY):
        for (order, side), (rank, share) in itertools.product(enumerate(sides), enumerate(_ALONG)):
            away = side * (0.5 + _GAP + extra) * height * size
            at = (x0 + ux * length * share - uy * away, y0 + uy * length * share + ux * away)
            over = len(text) * WIDTH_PER_HEIGHT * height * size / length - 1.0
            cost = less + (1 - size) * 0.05 + extra * 0.02 + order * 1e-3 + rank * 1e-4
            if over > _MOST_OVER and size > _SIZES[-1]:
                continue
            cost += _LONGER * max(over, 0.0)
            places.append(_Place(cost, (text,), at, height * size, turn))
    place = page.put(places, 0.2, edge.id)
    assert place is not None  # there always are places
    return DrawnText(place.words[0], place.at, place.height, turn, edge.id)


def _sides(
    edge: RoofEdge,
    inside: Sequence[shapely.Polygon],
    normal: XY,
    x: float,
    y: float,
) -> tuple[float, ...]:
    """+1 (left of the edge) and -1 in the order to try; a plane's own end goes outside first."""
    upward = 1.0 if normal[1] > 1e-9 or (abs(normal[1]) <= 1e-9 and normal[0] < 0) else -1.0
    if len(edge.planes) == 1 and inside:
        probe = shapely.Point(x + normal[0], y + normal[1])
        outward = -1.0 if inside[0].distance(probe) < 1e-6 else 1.0
        return (outward, -outward)
    return (upward, -upward)


def _readable(degrees: float) -> float:
    """The same direction of a line of text, between -90 (excluded) and 90 degrees.

    >>> _readable(180.0), _readable(-90.0), _readable(135.0)
    (0.0, 90.0, -45.0)
    """
    turn = (degrees + 90.0) % 180.0 - 90.0
    return 90.0 if turn <= -90.0 + 1e-6 else turn


def _widest_place(shape: shapely.Polygon, tolerance: float) -> XY:
    """Centre of the largest circle inside the shape."""
    radius = shapely.maximum_inscribed_circle(shape, tolerance=tolerance)
    x, y = radius.coords[0]
    return float(x), float(y)


def _spots(shape: shapely.Polygon) -> list[XY]:
    """A few more places within a shape's box, middle first."""
    x0, y0, x1, y1 = shape.bounds
    shares = (0.5, 0.35, 0.65, 0.2, 0.8)
    return [(x0 + (x1 - x0) * a, y0 + (y1 - y0) * b) for b in shares for a in shares]


def _box_of(points: Sequence[XY]) -> tuple[XY, XY]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _xy(point: Array) -> XY:
    return float(point[0]), float(point[1])
