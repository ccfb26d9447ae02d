"""The layout sheet of one plane for the crew: its true shape with every panel where it goes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from roofmodel.document import Units
from roofmodel.sheets.layout_words import notes_of
from roofmodel.sheets.placing import Placing, readable
from roofmodel.sheets.shop_types import (
    CLIP_LINES,
    EDGE_ZONES,
    LAPS,
    OPENINGS,
    PANELS,
    PLANE,
    SCREW_ROWS,
    SMALL_TEXT_MM,
    SQUARE_CHECK,
    START_LINE,
    TEXT_MM,
    XY,
    Anchor,
    SheetDimension,
    SheetLine,
    SheetOutline,
    SheetPlan,
    SheetRunning,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import end_fields, job_fields
from roofmodel.shop.job import ShopJob
from roofmodel.shop.layout import PlaneSheet
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_area, format_length, format_slope

_LEADER_MM: Final = 4.0  # of running dimensions, on paper
_WRITTEN_MM: Final = 22.0  # the longest running dimension
_AROUND: Final = (16.0, _LEADER_MM + _WRITTEN_MM + 12.0, 12.0, 12.0)
_AWAY_MM: Final = 2.6  # from an edge to its words
_TICK_MM: Final = 1.2
_ARROW_MM: Final = 9.0
_LEAST_APART: Final = 1.35
"""Running dimensions stand at least so many heights of their text apart."""
_AROUND_OPENING: Final = {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE}
_SHARES: Final = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)


def layout_plan(job: ShopJob, sheet: PlaneSheet) -> SheetPlan:
    """The sheet of a plane, not yet drawn."""
    size = np.ptp(np.vstack([sheet.outline, *sheet.covered]), axis=0)
    return SheetPlan(
        f"layout {sheet.plane.name}",
        f"{sheet.plane.name}: panel layout",
        "panel layout",
        (float(size[0]), float(size[1])),
        _AROUND,
        lambda scale: _Drawing(job, sheet, scale).done(),
        (sheet.plane.id,),
    )


class _Drawing:
    def __init__(self, job: ShopJob, sheet: PlaneSheet, scale: float) -> None:
        self.job, self.sheet, self.scale = job, sheet, scale
        self.units: Units = job.project.units
        self.height = TEXT_MM * scale
        self.small = SMALL_TEXT_MM * scale
        self.placing = Placing()
        self.sides_shown, self.unsaid = 0, list[PanelShape]()
        self.unnamed: list[str] = []
        self.written = 0.0
        self.lines: list[SheetLine] = []
        self.texts: list[SheetText] = []
        points = np.vstack([sheet.outline, *sheet.covered])
        (self.left, self.bottom), (self.right, self.top) = (
            points.min(axis=0).tolist(),
            points.max(axis=0).tolist(),
        )

    def done(self) -> ShopSheet:
        """The sheet."""
        sheet = self.sheet
        outlines = [SheetOutline(PLANE, _corners(sheet.outline))]
        outlines += [SheetOutline(OPENINGS, _corners(h)) for h in sheet.holes]
        self._draw_lines()
        running = self._running()
        dimensions = self._overall()
        for text in (*(r.written for r in running), *(d.written for d in dimensions)):
            self.placing.take(text)
        self.placing.keep_off([(r.at, r.to) for r in running], 0.2 * self.small)
        self._mark_start()
        edges = [(e.start, e.end) for e in sheet.edges]
        self.placing.keep_off(edges, 0.1 * self.small, soft=True)
        self._name_openings()
        self._name_panels()
        self._name_square()
        self.placing.keep_off([*edges, *sheet.seams], 0.2 * self.small)
        self._name_edges()
        return ShopSheet(
            f"layout {sheet.plane.name}",
            f"{sheet.plane.name}: panel layout",
            "panel layout",
            self.scale,
            (*job_fields(self.job), *self._fields(), *end_fields(self.job, "panels")),
            tuple(notes_of(sheet, self.units, self.unsaid, self.unnamed, self.sides_shown)),
            tuple(outlines),
            tuple(self.lines),
            (),
            tuple(self.texts),
            tuple(dimensions),
            tuple(running),
        )

    def _draw_lines(self) -> None:
        sheet = self.sheet
        has_hole = bool(sheet.holes)
        for e in sheet.edges:
            if has_hole and e.edge.kind in _AROUND_OPENING:
                continue
            self._line(e.edge.kind.value.upper(), e.start, e.end)
        for layer, lines in (
            (PANELS, sheet.seams),
            (LAPS, sheet.laps),
            (EDGE_ZONES, sheet.zones),
            (START_LINE, (sheet.start,)),
        ):
            for a, b in lines:
                self._line(layer, a, b)
        if sheet.fixing is not None:
            layer = SCREW_ROWS if sheet.fixing.fastener == "panel screw" else CLIP_LINES
            for row in sheet.fixing.rows:
                a, b = row.start, row.end
                if math.dist(a, b) <= HEAL_MM:
                    half = _TICK_MM * self.scale / 2.0
                    a, b = (a[0] - half, a[1]), (a[0] + half, a[1])
                self._line(layer, a, b)
        if sheet.square is not None:
            c = sheet.square
            for a, b in ((c.corner, c.along), (c.corner, c.up), (c.along, c.up)):
                self._line(SQUARE_CHECK, a, b)

    def _line(self, layer: str, a: XY, b: XY) -> None:
        if math.dist(a, b) > HEAL_MM:
            self.lines.append(SheetLine(layer, a, b))

    def _running(self) -> list[SheetRunning]:
        """How far each side of a panel lies from the end that is laid from."""
        sheet, least = self.sheet, _LEAST_APART * self.small
        to = self.bottom - _LEADER_MM * self.scale
        kept: list[float] = []
        for u in sheet.sides:
            if not kept or abs(u - kept[-1]) >= least:
                kept.append(u)
        last = sheet.sides[-1]
        if kept[-1] != last:
            if abs(last - kept[-1]) < least and len(kept) > 1:
                kept.pop()
            kept.append(last)
        out = []
        for k, u in enumerate(kept):
            at = u
            if k > 0 and abs(u - kept[k - 1]) < least:  # a plane narrower than two lines of text
                at = kept[k - 1] + math.copysign(least, u - kept[k - 1])
            text = format_length(sheet.from_start(u), self.units)
            out.append(
                SheetRunning(
                    (sheet.sides[0], self.bottom), (u, self.bottom), (at, to), text, self.small
                )
            )
        self.sides_shown = len(out)
        low = min(y for r in out for _, y in r.written.box)
        self.written = to - low
        return out

    def _overall(self) -> list[SheetDimension]:
        """The width and the height of the metal."""
        sheet, s = self.sheet, self.scale
        below = self.bottom - self.written - (_LEADER_MM + 7.0) * s
        aside = self.left - 9.0 * s
        return [
            SheetDimension(
                (0.0, 0.0), (sheet.width, 0.0), (0.0, below), 0.0,
                format_length(sheet.width, self.units), self.height,
            ),
            SheetDimension(
                (0.0, 0.0), (0.0, sheet.height), (aside, 0.0), 90.0,
                format_length(sheet.height, self.units), self.height,
            ),
        ]  # fmt: skip

    def _mark_start(self) -> None:
        """An arrow from the first side the way the panels are laid."""
        (u, low), (_, high) = self.sheet.start
        hand = -1.0 if self.sheet.laying.from_right else 1.0
        v = low + 0.08 * (high - low)
        tip = u + hand * _ARROW_MM * self.scale
        self._line(START_LINE, (u, v), (tip, v))
        for way in (-1.0, 1.0):
            back = (tip - hand * 2.0 * self.scale, v + way * 1.2 * self.scale)
            self._line(START_LINE, (tip, v), back)
        self.placing.keep_off([((u, v), (tip, v))], 1.4 * self.scale)
        put = self.placing.put(
            SheetText(
                *(START_LINE, "start", (u + hand * side * self.scale, v + up * self.scale)),
                *(self.small, 0.0, anchor),
                is_masked=True,
            )
            for anchor, side in self._anchors(hand)
            for up in (3.2, -3.2, 6.0)
        )
        if put is not None:
            self.texts.append(put)

    def _anchors(self, hand: float) -> tuple[tuple[Anchor, float], ...]:
        """The text beside the first side, on the panels; else before them."""
        return (("left", 1.0), ("right", -1.5)) if hand > 0.0 else (("right", 1.0), ("left", -1.5))

    def _name_panels(self) -> None:
        for shape, ring in zip(self.sheet.shapes, self.sheet.covered, strict=True):
            panel = shape.panel
            length = format_length(panel.length, self.units)
            words = (f"{panel.number}: {length}", f"{panel.number}")
            put = self.placing.put(self._panel_places(ring, words))
            if put is None:  # a panel that is narrower than its number is high
                put = self.placing.put(self._panel_places(ring, words[1:]), across=True)
            self.texts += [put] if put is not None else []
            if put is None or put.text != words[0]:
                self.unsaid.append(shape)

    def _panel_places(self, ring: np.ndarray, words: Sequence[str]) -> Iterator[SheetText]:
        x0, x1 = float(ring[:, 0].min()), float(ring[:, 0].max())
        for word in words:
            for share in (0.5, 0.4, 0.6, 0.3, 0.7):
                u = x0 + share * (x1 - x0)
                span = _chord_of(ring, u)
                if span is None:
                    continue
                low, high = span
                for height in (self.height, self.small):
                    room = high - low - (len(word) + 1) * height * 0.95
                    if room < 0.0 and word != words[-1]:
                        continue
                    for k in _SHARES:
                        v = (low + high) / 2.0 + (k - 0.5) * max(room, 0.0)
                        yield SheetText(PANELS, word, (u, v), height, 90.0, is_masked=True)

    def _name_edges(self) -> None:
        """Name and length of every edge, outside the plane."""
        below = self.bottom - self.written - (_LEADER_MM + 1.7) * self.scale
        for e in self.sheet.edges:
            if e.edge.kind in _AROUND_OPENING:
                continue
            (x0, y0), (x1, y1) = e.start, e.end
            size = math.dist(e.start, e.end)
            if size <= HEAL_MM:
                continue
            word = f"{e.edge.name}: {format_length(e.edge.length, self.units)}"
            out = _outward((self.sheet.outline, *self.sheet.holes), e.start, e.end)
            if out[1] < -0.9 and (y0 + y1) / 2.0 < self.bottom + 2.0 * _AWAY_MM * self.scale:
                # below it are the running dimensions
                places = [((x0 + (x1 - x0) * k, below), 0.0) for k in _SHARES]
            else:
                turn = readable(math.degrees(math.atan2(y1 - y0, x1 - x0)))
                places = [
                    (
                        (
                            x0 + (x1 - x0) * k + out[0] * away * self.scale,
                            y0 + (y1 - y0) * k + out[1] * away * self.scale,
                        ),
                        turn,
                    )
                    for away in (_AWAY_MM, 1.6 * _AWAY_MM, 2.2 * _AWAY_MM)
                    for k in _SHARES
                ]
            layer = e.edge.kind.value.upper()
            put = self.placing.put(SheetText(layer, word, at, self.small, t) for at, t in places)
            if put is None:
                self.unnamed.append(word)
            else:
                self.texts.append(put)

    def _name_openings(self) -> None:
        for opening in self.sheet.openings:
            name, (u, v) = opening.name, opening.at
            places = [
                SheetText(OPENINGS, name, (u, v + k * self.small), self.small, is_masked=True)
                for k in (0.0, 2.0, -2.0, 4.0, -4.0)
            ]
            put = self.placing.put(places) or self.placing.put(places, across=True)
            self.texts += [put] if put is not None else []

    def _name_square(self) -> None:
        check = self.sheet.square
        if check is None:
            return
        for a, b, size in (
            (check.corner, check.along, check.on_eave),
            (check.corner, check.up, check.on_side),
            (check.along, check.up, check.across),
        ):
            word = format_length(size, self.units)
            turn = readable(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
            c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            places = [
                SheetText(
                    SQUARE_CHECK,
                    word,
                    (
                        a[0] + (b[0] - a[0]) * k - s * off * self.small,
                        a[1] + (b[1] - a[1]) * k + c * off * self.small,
                    ),
                    self.small,
                    turn,
                    is_masked=True,
                )
                for off in (0.0, 1.1, -1.1)
                for k in (*_SHARES, 0.1, 0.9)
            ]
            put = self.placing.put(places, across=True)
            self.texts += [put] if put is not None else []

    def _fields(self) -> tuple[tuple[str, str], ...]:
        sheet = self.sheet
        count = len(sheet.shapes)
        return (
            ("Plane", f"{sheet.plane.name}, {format_slope(sheet.plane.slope)}"),
            ("Panels", f"{count} of {sheet.system.name}"),
            ("Metal on it", format_area(sheet.laying.field_area, self.units)),
            ("Coverage", format_length(sheet.system.coverage, self.units)),
        )


def _corners(ring: np.ndarray) -> tuple[XY, ...]:
    return tuple((x, y) for x, y in ring.tolist())


def _chord_of(ring: np.ndarray, u: float) -> tuple[float, float] | None:
    """The longest stretch inside a ring on a line up the slope."""
    a, b = ring, np.roll(ring, -1, axis=0)
    crossed = (a[:, 0] <= u) != (b[:, 0] <= u)
    if not crossed.any():
        return None
    a, b = a[crossed], b[crossed]
    v = np.sort(a[:, 1] + (u - a[:, 0]) / (b[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1]))
    spans = v.reshape(-1, 2)
    low, high = spans[int(np.argmax(spans[:, 1] - spans[:, 0]))].tolist()
    return low, high


def _outward(rings: Sequence[np.ndarray], start: XY, end: XY) -> XY:
    """The unit way out of a plane at the middle of one of its edges."""
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    size = math.dist(start, end)
    normal = ((end[1] - start[1]) / size, (start[0] - end[0]) / size)
    probe = (middle[0] + normal[0] * 10.0, middle[1] + normal[1] * 10.0)
    a, b = np.vstack(rings), np.vstack([np.roll(r, -1, axis=0) for r in rings])
    across = (a[:, 1] <= probe[1]) != (b[:, 1] <= probe[1])
    a, b = a[across], b[across]
    x = a[:, 0] + (probe[1] - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    inside = int((x > probe[0]).sum()) % 2 == 1
    return (-normal[0], -normal[1]) if inside else normal
