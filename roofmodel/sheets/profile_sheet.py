"""The drawing of a bent part: its section at true size with legs, bends and the painted side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from roofmodel.parts import Flat, Folded, Round
from roofmodel.sheets.placing import Placing, readable
from roofmodel.sheets.shop_types import (
    COLOUR_SIDE,
    NOTES,
    PROFILE,
    SMALL_TEXT_MM,
    TEXT_MM,
    WIDTH_PER_HEIGHT,
    XY,
    SheetDimension,
    SheetLine,
    SheetOutline,
    SheetPlan,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import (
    end_fields,
    exact_words,
    job_fields,
    metal_words,
    radius_words,
)
from roofmodel.sheets.trim_words import both_words, edges_words, hem_words
from roofmodel.shop.job import ShopJob, TrimProfileDrawing
from roofmodel.systems import EdgeKind
from roofmodel.systems.bending import outside_setback
from roofmodel.units import format_angle

Array = NDArray[np.float64]

_AROUND: Final = (30.0, 20.0, 30.0, 20.0)
_SAME_MM: Final = 1e-6
_BESIDE_MM: Final = 1.6  # from the metal to the line of the colour side
_TURNS: Final = tuple(range(0, 360, 30))
_USUAL_WIDTH: Final = 0.85
"""Width of a character over the height of its capitals, as most are."""
_TICK_MM: Final = 1.2  # what a dimension reaches beyond its line
_OFF_METAL_MM: Final = 1.3  # where leaders and lines out to dimensions begin
_TWO_PLANES: Final = {
    *(EdgeKind.RIDGE, EdgeKind.HIP, EdgeKind.VALLEY),
    *(EdgeKind.PITCH_TRANSITION, EdgeKind.DECK_EDGE),
}


def profile_plan(job: ShopJob, drawing: TrimProfileDrawing) -> SheetPlan:
    """The sheet of a section, not yet drawn."""
    turn = _turn_of(drawing)
    size = np.ptp(_turned(drawing.bent.section("middle")[1], turn), axis=0)
    return SheetPlan(
        f"profile {drawing.name}",
        f"{drawing.name}: section",
        "trim profile",
        (float(size[0]), float(size[1])),
        _AROUND,
        lambda scale: _Drawing(job, drawing, scale).done(),
        (),
    )


def section_outline(bent: Folded, turn: float = 0.0) -> SheetOutline:
    """The metal of a section as one closed outline, mm, rounds as arcs, turned by so many
    degrees."""
    front, back = _face(bent, "colour side", turn), _face(bent, "back", turn)
    corners = [p for p, _ in front]
    bulges = [b for _, b in front]
    # back along the other face: the bulge belongs to the corner that the arc leaves from
    for k in range(len(back) - 1, -1, -1):
        corners.append(back[k][0])
        bulges.append(-back[k - 1][1] if k > 0 else 0.0)
    kept: list[tuple[XY, float]] = []
    for p, bulge in zip(corners, bulges, strict=True):
        if kept and math.dist(kept[-1][0], p) <= _SAME_MM:
            kept[-1] = (kept[-1][0], bulge)
        else:
            kept.append((p, bulge))
    if math.dist(kept[0][0], kept[-1][0]) <= _SAME_MM:
        kept.pop()
    return SheetOutline(PROFILE, tuple(p for p, _ in kept), tuple(b for _, b in kept))


def _face(bent: Folded, face: str, turn: float) -> list[tuple[XY, float]]:
    """The corners of one face, each with the bulge of what follows it."""
    side = bent.section("back" if face == "back" else "colour side", steps=1)[1]
    points = _turned(side, turn)
    bent_or_flat = [s for s in bent.stretches if isinstance(s, Flat) or s.angle]
    bulges = [
        math.tan(math.radians(s.angle) / 4.0) if isinstance(s, Round) else 0.0
        for s in bent_or_flat
    ]
    return [((x, y), b) for (x, y), b in zip(points.tolist(), [*bulges, 0.0], strict=True)]


def _turn_of(drawing: TrimProfileDrawing) -> float:
    """Degrees that a section is turned by to stand as it does on the house: what lies over two
    roof planes even on both sides, a leg on a wall, a fascia or a gable upright, a foot below."""
    bent = drawing.bent
    planes = [leg.on for leg in bent.profile.legs]
    if not any(planes):  # it stands on panels, its foot walked first: the foot is to be below
        return 180.0
    if "second plane" not in planes:
        return 0.0
    if "first plane" in planes and drawing.blanks[0].run.kind in _TWO_PLANES:
        return bent.fold / 2.0
    along, middle = bent.section("middle")
    a, b = (
        [float(np.interp(at, along, middle[:, k])) for k in (0, 1)]
        for at in bent.legs[planes.index("second plane")]
    )
    upright = 90.0 if bent.fold < 0.0 else -90.0
    return upright - math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def _turned(points: Array, degrees: float) -> Array:
    turn = math.radians(degrees)
    c, s = math.cos(turn), math.sin(turn)
    out: Array = points @ np.array([[c, s], [-s, c]])
    return out


class _Drawing:
    def __init__(self, job: ShopJob, drawing: TrimProfileDrawing, scale: float) -> None:
        self.job, self.drawing, self.scale = job, drawing, scale
        self.units = job.project.units
        self.bent = drawing.bent
        self.height, self.small = TEXT_MM * scale, SMALL_TEXT_MM * scale
        self.placing = Placing()
        self.turn = _turn_of(drawing)
        along, middle = self.bent.section("middle")
        self.along, self.middle = along, _turned(middle, self.turn)
        self.lines: list[SheetLine] = []
        self.texts: list[SheetText] = []

    def done(self) -> ShopSheet:
        """The sheet."""
        outline = section_outline(self.bent, self.turn)
        rows = self.middle.tolist()
        self.placing.keep_off(
            [((a[0], a[1]), (b[0], b[1])) for a, b in pairwise(rows)],
            0.9 * self.scale,
        )
        self._mark_colour()
        dimensions = self._legs()
        self._name_bends()
        return ShopSheet(
            f"profile {self.drawing.name}",
            f"{self.drawing.name}: section",
            "trim profile",
            self.scale,
            self._fields(),
            tuple(self._notes()),
            (outline,),
            tuple(self.lines),
            (),
            tuple(self.texts),
            tuple(dimensions),
        )

    def _leg(self, number: int) -> tuple[Array, Array, Array]:
        """Where the flat of a leg begins and ends in the section, and its unit way."""
        a, b = (
            np.array([np.interp(at, self.along, self.middle[:, k]) for k in (0, 1)])
            for at in self.bent.legs[number]
        )
        return a, b, (b - a) / float(np.linalg.norm(b - a))

    def _mark_colour(self) -> None:
        """A line along the colour side of every leg, and what it is."""
        if self.bent.profile.painted == "not painted":
            return
        away = _BESIDE_MM * self.scale
        longest: tuple[float, XY, XY] | None = None
        for k in range(len(self.bent.legs)):
            a, b, way = self._leg(k)
            size = float(np.linalg.norm(b - a)) - 2.0 * away
            if size <= 0.0:
                continue
            normal = np.array([-way[1], way[0]]) * away
            p, q = (a + way * away + normal).tolist(), (b - way * away + normal).tolist()
            start, end = (p[0], p[1]), (q[0], q[1])
            self.lines.append(SheetLine(COLOUR_SIDE, start, end))
            self.placing.keep_off([(start, end)], 0.3 * self.scale, crossed=True)
            if longest is None or size > longest[0]:
                longest = (size, start, end)
        if longest is None:
            return
        _, start, end = longest
        turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        out = np.array([start[1] - end[1], end[0] - start[0]]) / math.dist(start, end)
        put = self.placing.put(
            SheetText(
                COLOUR_SIDE,
                "painted side",
                (
                    start[0] + (end[0] - start[0]) * k + float(out[0]) * 2.0 * self.scale,
                    start[1] + (end[1] - start[1]) * k + float(out[1]) * 2.0 * self.scale,
                ),
                self.small,
                readable(turn),
            )
            for k in (0.5, 0.35, 0.65, 0.2, 0.8)
        )
        if put is not None:
            self.texts.append(put)

    def _legs(self) -> list[SheetDimension]:
        """The outside length of every leg, as the brake's stops have it; the short ones, which
        have no room for a dimension, in words."""
        out: list[SheetDimension] = []
        small: list[tuple[list[str], Array]] = []
        metal = self.bent.profile.metal
        angles = self.bent.profile.angles_at(self.bent.fold)
        setbacks = [outside_setback(a, metal.inside_radius, metal.thickness) for a in angles]
        lengths = self.bent.profile.lengths_at(self.bent.fold)
        for k, (leg, outside) in enumerate(zip(self.bent.profile.legs, lengths, strict=True)):
            a, b, way = self._leg(k)
            flat = float(np.linalg.norm(b - a))
            after = setbacks[k] if k < len(setbacks) else 0.0
            before = setbacks[k - 1] if k > 0 else outside - flat - after
            if k + 1 == len(lengths):
                after = outside - flat - before
            start, end = a - way * before, b + way * after
            length = both_words(outside, self.units), exact_words(outside, self.units)
            words = (*(f"{leg.name} {word}" for word in length), *length)
            fitting = [w for w in words if self._fits(w, outside)]
            made = (
                self._dimension(start, end, way, w, out_too)
                for out_too in (True, False)
                for w in fitting
            )
            put = next((d for d in made if d is not None), None)
            if put is None:
                small.append(([words[1], words[-1]], (start + end) / 2.0))
            else:
                out.append(put)
        for told, at in small:
            self._tell(told, at)
        return out

    def _fits(self, text: str, length: float) -> bool:
        return (len(text) + 1) * self.small * WIDTH_PER_HEIGHT <= length

    def _tell(self, words: list[str], at: Array) -> None:
        """Words beside a place, with a leader to it that crosses nothing if that can be."""

        def led(text: SheetText) -> list[tuple[XY, XY]]:
            end = _clear_of(text, _xy(at))
            if end is None:
                return []
            share = min(_OFF_METAL_MM * self.scale / max(math.dist(_xy(at), end), 1e-9), 0.9)
            return [(_xy(at + (np.array(end) - at) * share), end)]

        put = self.placing.put(self._beside(at, words), led)
        if put is None:
            put = self.placing.put(self._beside(at, words), led, over=True)
        if put is None:
            put = self.placing.put(self._beside(at, words[-1:]))
        if put is None:
            return
        self.texts.append(put)
        leader = _clear_of(put, _xy(at))
        if leader is not None:
            self.lines.append(SheetLine(NOTES, _xy(at), leader))

    def _dimension(
        self, start: Array, end: Array, way: Array, text: str, out_too: bool
    ) -> SheetDimension | None:
        """A dimension beside a leg, on the side and as far out as there is room: its line crosses
        nothing, with `out_too` nor do those from the leg out to it."""
        turn = readable(math.degrees(math.atan2(way[1], way[0])))
        off = _OFF_METAL_MM * self.scale

        for away in (7.0, 13.0, 19.0, 25.0):
            for side in (-1.0, 1.0):
                base = np.array([-way[1], way[0]]) * side * away * self.scale
                out = base / float(np.linalg.norm(base)) * self.scale
                lines = [(_xy(start + base + way * off), _xy(end + base - way * off))]
                if out_too:
                    lines += [
                        (_xy(p + out * _OFF_METAL_MM), _xy(p + base + out * _TICK_MM))
                        for p in (start, end)
                    ]
                made = SheetDimension(
                    _xy(start), _xy(end), _xy(start + base), turn, text, self.small
                )
                if self.placing.put([made.written], partial(_same, lines)) is not None:
                    return made
        return None

    def _name_bends(self) -> None:
        for number, bend in enumerate(self.bent.bends, 1):
            at = np.array([np.interp(bend.at, self.along, self.middle[:, k]) for k in (0, 1)])
            words = [f"{number}: {bend.direction} {format_angle(bend.angle)}", f"{number}"]
            if bend.number < 0:
                words = [f"{number}: hem {bend.direction}", f"{number}"]
            self._tell(words, at)

    def _beside(self, at: Array, words: list[str]) -> Iterator[SheetText]:
        for word in words:
            for away in (4.0, 7.0, 11.0, 16.0):
                for turn in _TURNS:
                    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
                    half = len(word) * self.small * 0.475 if abs(c) > 0.3 else 0.0
                    x = float(at[0]) + c * away * self.scale + math.copysign(half, c) * (half > 0)
                    y = float(at[1]) + s * away * self.scale
                    yield SheetText(NOTES, word, (x, y), self.small)

    def _fields(self) -> tuple[tuple[str, str], ...]:
        profile = self.bent.profile
        return (
            *job_fields(self.job),
            ("Part", self.drawing.name),
            ("Quantity", str(len(self.drawing.blanks))),
            ("Metal", metal_words(profile.metal, self.units)),
            ("Girth", both_words(self.bent.girth, self.units)),
            ("Hems", hem_words(profile.start_hem, profile.end_hem, self.units)),
            ("Painted", profile.painted),
            *end_fields(self.job, "trim"),
        )

    def _notes(self) -> Iterator[str]:
        yield f"For: {edges_words(self.drawing.blanks)}."
        profile = self.bent.profile
        for number, bend in enumerate(self.bent.bends, 1):
            between = f"between {bend.between[0]} and {bend.between[1]}"
            if bend.number < 0:
                turn = "tight" if bend.inside_radius <= 0.0 else "open"
                yield f"{number}: hem folded {bend.direction}, {turn}."
                continue
            yield (
                f"{number}: bend {format_angle(bend.angle)} {bend.direction} (included"
                f" {format_angle(bend.included)}), inside radius"
                f" {radius_words(bend.inside_radius, self.units)}, {between}."
            )
        legs = "; ".join(
            f"{leg.name} {exact_words(length, self.units)}"
            for leg, length in zip(profile.legs, profile.lengths_at(self.bent.fold), strict=True)
        )
        yield f"Outside lengths of legs: {legs}."
        yield "Up is towards the painted side, down away from it."
        yield f"Shape: {profile.source}."


def _same(lines: list[tuple[XY, XY]], text: SheetText) -> list[tuple[XY, XY]]:
    """The lines that go with a text wherever it is."""
    return lines


def _clear_of(text: SheetText, at: XY) -> XY | None:
    """Where a leader from `at` ends: at the nearest side of the text's box."""
    gap = 0.3 * text.height
    (x0, y0), (x1, _), (_, y1), _ = text.box
    spare = (x1 - x0) * (1.0 - _USUAL_WIDTH / WIDTH_PER_HEIGHT) / 2.0
    x0, y0, x1, y1 = x0 + spare - gap, y0 - gap, x1 - spare + gap, y1 + gap
    x, y = min(max(at[0], x0), x1), min(max(at[1], y0), y1)
    return (x, y) if math.dist((x, y), at) > 1.5 * text.height else None


def _xy(point: Array) -> XY:
    return float(point[0]), float(point[1])
