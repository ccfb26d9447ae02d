"""The roof plan for one scale of paper: true lengths of edges, names of planes.

Texts keep their size on paper. What has no room for its words gets a number beside it, with a
leader where it must stand further off, and is written in a list of keys.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.document import NOT_IN_JOB, OTHER
from roofmodel.sheets.placing import readable
from roofmodel.sheets.shop_types import (
    NOTES,
    OPENINGS,
    PLANE,
    SMALL_TEXT_MM,
    TEXT_MM,
    WIDTH_PER_HEIGHT,
    XY,
    SheetLine,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.tables import roofing_words, squares_of
from roofmodel.sheets.types import RoofResults
from roofmodel.surface import Plane, RoofEdge
from roofmodel.surface.types import Array
from roofmodel.systems import EdgeKind
from roofmodel.units import format_area, format_length, format_slope

_AROUND_OPENING: Final = {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE}
_SHARES: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
_FAR: Final = (
    2.4,
    3.6,
    5.0,
    6.5,
    8.5,
    11.0,
    14.0,
    18.0,
    23.0,
)  # of a number from what it stands for, mm
_WAYS: Final = np.array(
    [(math.cos(math.radians(t)), math.sin(math.radians(t))) for t in range(0, 360, 15)]
)
_OVER: Final = 1.25  # words may be so much longer than their edge


@dataclass(frozen=True, slots=True)
class Mark:
    """Something beside a line (a point, where `start` is `end`): its `words`, or else a number
    for which the list of keys says `key`. With `number` it has that one in any case, before its
    words or without them. Where there are no keys, `short` stands for its words."""

    layer: str
    start: XY
    end: XY
    words: str
    key: str
    number: str = ""
    short: str = ""


@dataclass(frozen=True, slots=True)
class RoofSheet:
    """The drawing, and its list of keys: number and words. `left_out` is how much had no room
    and has no key."""

    sheet: ShopSheet
    keys: tuple[tuple[str, str], ...]
    left_out: int


def roof_size(results: RoofResults, building: str = "") -> XY:
    """Width and height in plan of the roof, or of one building's (an id), mm."""
    points = [_xy(p) for e in _edges_of(results, building) for p in (e.start, e.end)]
    if not points:
        return 0.0, 0.0
    wide, high = np.ptp(np.array(points), axis=0).tolist()
    return wide, high


def roof_sheet(
    results: RoofResults, scale: float, building: str = "", *, keyed: bool = True
) -> RoofSheet:
    """The roof plan of the job, or of one building (an id), with lengths of edges and names of
    planes; unless `keyed`, what has no room is left out."""
    marks = [*_openings(results, building), *_edges(results, building)]
    notes = tuple(_notes(results))
    made = marked_sheet(
        results, scale, "Roof plan", marks, notes, building, name_planes=True, keyed=keyed
    )
    more = "A number alone stands for a line of the list of keys."
    if made.left_out:
        more = "What has no room here is on the plan of each building."
    elif not made.keys:
        return made
    return replace(made, sheet=replace(made.sheet, notes=(*made.sheet.notes, more)))


def marked_sheet(
    results: RoofResults,
    scale: float,
    title: str,
    marks: Sequence[Mark],
    notes: tuple[str, ...],
    building: str = "",
    *,
    name_planes: bool,
    keyed: bool = True,
    below: tuple[SheetLine, ...] = (),
) -> RoofSheet:
    """The roof's edges, over the lines `below`, with some marks beside them."""
    lines = tuple(
        SheetLine(e.kind.value.upper(), _xy(e.start), _xy(e.end))
        for e in _edges_of(results, building)
        if math.dist(_xy(e.start), _xy(e.end)) > 1.0
    )
    page = _Page((*lines, *below), scale, keyed)
    if name_planes:
        planes = [p for p in results.surface.planes if building in ("", p.building)]
        for plane in sorted(planes, key=lambda p: -p.plan_area):
            page.name(plane, *_plane_words(results, plane))
    for mark in sorted(marks, key=lambda m: -math.dist(m.start, m.end)):
        page.mark(mark)
    sheet = ShopSheet(
        title, title, "roof plan", scale,
        _fields(results, building),
        notes, (), (*below, *lines, *page.leaders), (), tuple(page.texts),
    )  # fmt: skip
    return RoofSheet(sheet, tuple(page.keys), page.left_out)


def _fields(results: RoofResults, building: str) -> tuple[tuple[str, str], ...]:
    roofing = ("Roofing", roofing_words(results))
    return (roofing,) if building else (roofing, ("Roof area", squares_of(results)))


def _edges_of(results: RoofResults, building: str) -> list[RoofEdge]:
    """All edges, or those at the planes of one building."""
    if not building:
        return list(results.surface.edges)
    ids = {p.id for p in results.surface.planes if p.building == building}
    return [e for e in results.surface.edges if ids.intersection(e.planes)]


def _notes(results: RoofResults) -> Iterator[str]:
    yield "Plan view, north up. Lengths beside edges are true lengths along the roof, not in plan."
    for p in results.problems:
        if p.serious:
            yield f"NOT COMPLETE: {p.sentence}"


def _edges(results: RoofResults, building: str) -> Iterator[Mark]:
    units = results.project.units
    for e in _edges_of(results, building):
        a, b = _xy(e.start), _xy(e.end)
        if e.kind in _AROUND_OPENING or math.dist(a, b) <= 1.0:
            continue
        length = format_length(e.length, units)
        yield Mark(
            *(e.kind.value.upper(), a, b, f"{e.name}: {length}", f"{e.name}, {length}"),
            short=length,
        )


def _openings(results: RoofResults, building: str) -> Iterator[Mark]:
    """Names of chimneys, skylights and pipes, in the middle of their sides."""
    points: dict[str, list[XY]] = {}
    for e in _edges_of(results, building):
        if e.kind in _AROUND_OPENING and isinstance(e.id.second, str):
            points.setdefault(e.id.second, []).extend((_xy(e.start), _xy(e.end)))
    names = {f"opening {o.id}": o.name for o in results.project.openings()}
    for key, some in points.items():
        if key in names:
            x, y = np.mean(np.array(some), axis=0).tolist()
            yield Mark(OPENINGS, (x, y), (x, y), names[key], names[key])


def _plane_words(results: RoofResults, plane: Plane) -> tuple[tuple[tuple[str, ...], ...], str]:
    """What is written on a plane, in ever fewer lines, and its line of the keys."""
    name, pitch = plane.name, format_slope(plane.slope)
    area = format_area(plane.true_area, results.project.units)
    covering = results.take_off.coverings[plane.id]
    if covering == OTHER:
        area = f"{area}, other covering"
    elif covering == NOT_IN_JOB:
        area = covering
    one = f"{name}, {pitch}, {area}"
    return ((name, pitch, area), (name, f"{pitch}, {area}"), (one,), (name, pitch)), one


class _Page:
    """What is on the drawing so far."""

    def __init__(self, lines: Sequence[SheetLine], scale: float, keyed: bool) -> None:
        self.scale, self.keyed = scale, keyed
        self.texts: list[SheetText] = []
        self.leaders: list[SheetLine] = []
        self.keys: list[tuple[str, str]] = []
        self.left_out = 0
        ends = np.array([[line.start, line.end] for line in lines]).reshape(-1, 2, 2)
        self._lines = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
        self._taken: list[shapely.Geometry] = []
        self._tree: shapely.STRtree | None = None

    def name(self, plane: Plane, wordings: Sequence[tuple[str, ...]], key: str) -> None:
        """Write a plane's name on it, or its number."""
        rings = ([_xy(c) for c in plane.outline], [[_xy(c) for c in h] for h in plane.holes])
        shape = shapely.Polygon(*rings)
        if shape.area <= 1.0:
            return
        centres = list(_places_on(shape))
        for words in wordings:
            for height in (TEXT_MM, SMALL_TEXT_MM):
                for x, y in centres:
                    h = height * self.scale
                    top = y + (len(words) - 1) * 0.8 * h
                    texts = [
                        SheetText(PLANE, w, (x, top - k * 1.6 * h), h) for k, w in enumerate(words)
                    ]
                    if self._put(texts, 0.3):
                        return
        self._number(PLANE, centres, key, on_it=True)

    def mark(self, mark: Mark) -> None:
        """Write something beside its line, or its number."""
        words = f"{mark.number}: {mark.words}" if mark.number else mark.words
        wordings: list[tuple[str, ...]] = [(words,)]
        if mark.short:  # on both sides of the line
            wordings.append((words.removesuffix(f": {mark.short}"), mark.short))
        if mark.short and not self.keyed:
            wordings.append((mark.short,))
        for wording in wordings:
            for height in (TEXT_MM, SMALL_TEXT_MM):
                for texts in self._beside(mark, wording, height * self.scale):
                    if self._put(texts, 0.15):
                        if mark.number:
                            self.keys.append((mark.number, mark.key))
                        return
        points = [_between(mark.start, mark.end, k) for k in _SHARES]
        on_it = mark.start == mark.end
        self._number(mark.layer, points, mark.key, mark.number, on_it=on_it)

    def _beside(self, mark: Mark, words: tuple[str, ...], h: float) -> Iterator[list[SheetText]]:
        """Places for words on one side of a line, two of them on both."""
        (x0, y0), (x1, y1) = mark.start, mark.end
        size = math.dist(mark.start, mark.end)
        if size == 0.0:
            for down in (0.0, 1.6, -1.6, 2.6, -2.6):
                yield [SheetText(mark.layer, words[0], (x0, y0 + down * h), h)]
            return
        if max(map(len, words)) * WIDTH_PER_HEIGHT * h > _OVER * size:
            return
        turn = readable(math.degrees(math.atan2(y1 - y0, x1 - x0)))
        up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
        for away in (1.15, -1.15):
            for share in _SHARES:
                x, y = _between(mark.start, mark.end, share)
                yield [
                    SheetText(
                        *(mark.layer, word),
                        (x + up[0] * side * away * h, y + up[1] * side * away * h),
                        *(h, turn),
                    )
                    for word, side in zip(words, (1.0, -1.0), strict=False)
                ]

    def _number(
        self, layer: str, spots: Sequence[XY], key: str, number: str = "", *, on_it: bool
    ) -> None:
        """A number as near as there is room (`on_it`: in its very place, if it can be), with a
        leader where it stands off."""
        if not self.keyed:
            self.left_out += 1
            return
        number = number or str(1 + len(self.keys))
        self.keys.append((number, key))
        h = SMALL_TEXT_MM * self.scale
        half = (len(number) * h * WIDTH_PER_HEIGHT / 2.0, 0.65 * h)
        at = np.array(spots)
        best: tuple[float, XY, XY | None] | None = None
        for far in (0.0, *_FAR) if on_it else _FAR:
            ways = _WAYS if far else _WAYS[:1]
            places = (at[:, None, :] + far * self.scale * ways).reshape(-1, 2)
            of = np.repeat(at, len(ways), axis=0)
            ends = np.clip(of, places - half, places + half)  # of leaders, at the text's side
            led = np.hypot(*(ends - of).T) > 0.5 * h
            room = np.add(half, 0.15 * h)
            boxes = np.asarray(shapely.box(*(places - room).T, *(places + room).T))
            leaders = np.asarray(shapely.linestrings(np.stack([ends, of], axis=1)))
            harm = self._harm(boxes) + np.where(led, 2.0 * self._hits(leaders), 0.0)
            k = int(harm.argmin())
            if best is None or harm[k] < best[0]:
                x, y = places[k].tolist()
                start = ends[k].tolist() if led[k] else None
                best = (float(harm[k]), (x, y), start and (start[0], start[1]))
                spot = (float(of[k, 0]), float(of[k, 1]))
            if best[0] == 0.0:
                break
        assert best is not None  # there always are places
        text = SheetText(layer, number, best[1], h)
        self.texts.append(text)
        self._take([_box(text, 0.0)])
        if best[2] is not None:
            self.leaders.append(SheetLine(NOTES, best[2], spot))
            line = shapely.LineString([best[2], spot])
            self._take([shapely.buffer(line, 0.2 * h, quad_segs=1)])

    def _put(self, texts: Sequence[SheetText], room: float) -> bool:
        if self._harm(np.array([_box(t, room) for t in texts])).any():
            return False
        self.texts += texts
        self._take([_box(t, 0.0) for t in texts])
        return True

    def _take(self, shapes: Sequence[shapely.Geometry]) -> None:
        self._taken += shapes
        self._tree = None

    def _harm(self, boxes: NDArray[np.object_]) -> Array:
        """For each box 0 where it stands free, else how much it covers."""
        crossed = self._lines.query(boxes, predicate="intersects")[0]
        return np.bincount(crossed, minlength=len(boxes)) + 3.0 * self._hits(boxes)

    def _hits(self, shapes: NDArray[np.object_]) -> Array:
        if not self._taken:
            return np.zeros(len(shapes))
        if self._tree is None:
            self._tree = shapely.STRtree(self._taken)
        found = self._tree.query(shapes, predicate="intersects")[0]
        return np.bincount(found, minlength=len(shapes)).astype(float)


def _box(text: SheetText, room: float) -> shapely.Polygon:
    """What a text takes at most, with `room` times its height around it."""
    if text.turn == 0.0:
        (x0, y0), _, (x1, y1), _ = text.box
        more = room * text.height
        return shapely.box(x0 - more, y0 - more, x1 + more, y1 + more)
    shape = shapely.Polygon(text.box)
    return shapely.buffer(shape, room * text.height, join_style="mitre") if room else shape


def _places_on(shape: shapely.Polygon) -> Iterator[XY]:
    """Places for a text on a plane: its centre, its widest place, a few more."""
    centre = shape.centroid
    widest = shapely.maximum_inscribed_circle(
        shape, tolerance=max(math.sqrt(shape.area) / 50, 1.0)
    )
    x0, y0, x1, y1 = shape.bounds
    shares = (0.5, 0.35, 0.65, 0.2, 0.8)
    grid = [(x0 + (x1 - x0) * a, y0 + (y1 - y0) * b) for b in shares for a in shares]
    first = widest.coords[0]
    yield float(first[0]), float(first[1])
    for p in ((float(centre.x), float(centre.y)), *grid):
        if shape.contains(shapely.Point(p)):
            yield p


def _between(a: XY, b: XY, share: float) -> XY:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _xy(point: Array) -> XY:
    return float(point[0]), float(point[1])
