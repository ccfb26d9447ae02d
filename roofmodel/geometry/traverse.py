"""A line run by lengths and directions, as measured with a tape around a house.

Vocabulary
----------
leg
    One side as measured: a length, and a direction or a turn from the leg before.
bearing
    Degrees clockwise from north: 0 is north (up in plan), 90 east.
misclosure
    From the first corner to the end of the last leg of a line that should have closed.

A typed leg is a length with a direction behind or before it::

    40' E        24' N        E 40'           along the compass: N, NE, E, SE, S, SW, W, NW
    12' 8" at 37.5°           12.5 < 37.5     a bearing in degrees
    16' N45E     N 45° E 16'                  so many degrees from north (or south) to a side
    R 16'        16' L 45     L 45° 12' 6     a turn to the right or left, 90° unless said
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from roofmodel.errors import TextError
from roofmodel.units import LengthUnits, format_length, parse_length

Point = tuple[float, float]

LEG_HINT: Final = "Write a length and where it runs: 40' E, 12' 6 at 37.5°, 16' N45E, R 16'."

_NUMBER = r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+"
_DEGREE = r"(?:°|degrees?|deg)"
_POINTS: Final = {
    "n": 0.0, "ne": 45.0, "e": 90.0, "se": 135.0, "s": 180.0, "sw": 225.0, "w": 270.0,
    "nw": 315.0,
}  # fmt: skip
_COMPASS: Final = re.compile(r"north|east|south|west")
_QUADRANT: Final = re.compile(
    rf"([ns])\s*({_NUMBER})\s*{_DEGREE}?\s*(?:({_NUMBER})\s*'\s*)?([ew])"
)
_TURN: Final = re.compile(rf"(left|right|l|r)\s*(?:({_NUMBER})\s*({_DEGREE})?)?")
_DEGREES: Final = re.compile(rf"({_NUMBER})\s*{_DEGREE}")
_BEARING: Final = re.compile(rf"({_NUMBER})\s*{_DEGREE}?")
_BARE_TURN: Final = re.compile(rf"(?:left|right|l|r)\s*(?:{_NUMBER})")
_AT: Final = re.compile(r"\s*(?:\bat\b|@|<)\s*")
_BETWEEN = " ,:"
_SAME_AS = {ord(c): "'" for c in "\u2018\u2019\u2032\u00b4"}
_SAME_AS |= {ord(c): '"' for c in "\u201c\u201d\u2033"} | {0xBA: "\u00b0"}


@dataclass(frozen=True, slots=True)
class Leg:
    """One side: `length` mm, and a `bearing` or a `turn` (degrees, left positive), or neither."""

    length: float
    bearing: float | None = None
    turn: float | None = None


@dataclass(frozen=True, slots=True)
class Misclosure:
    """By how much a line fails to close: its last end lies `by` (mm, east and north) from its
    first corner. `along` is the length of all its sides, mm."""

    by: Point
    along: float

    @property
    def length(self) -> float:
        """How far, mm."""
        return math.hypot(*self.by)

    def words(self, units: LengthUnits) -> str:
        """The misclosure as words: ``2'-0" to the north, 1 in 72 of the way round``."""
        if self.length < 1.0:
            return "It closes."
        way = compass_point(math.degrees(math.atan2(*self.by)))
        share = round(self.along / self.length)
        length = format_length(self.length, units)
        return f"It ends {length} {way} of where it began (1 in {share} of the way round)."


@dataclass(frozen=True, slots=True)
class Fault:
    """A line of a list that is no leg: its number from 1, and one sentence."""

    line: int
    sentence: str


def compass_point(bearing: float) -> str:
    """The nearest of the eight compass points, as a word.

    >>> compass_point(50.0)
    'north-east'
    """
    names = ("north", "north-east", "east", "south-east", "south", "south-west", "west")
    return (*names, "north-west")[round(bearing / 45.0) % 8]


def parse_direction(text: str) -> Leg | None:
    """A direction alone, as a leg without length; None if it is none.

    >>> parse_direction("N30W").bearing, parse_direction("left 45°").turn
    (330.0, 45.0)
    """
    plain = _plain(text)
    short = _COMPASS.sub(lambda m: m[0][0], plain)
    if (point := short.replace("-", "").replace(" ", "")) in _POINTS:
        return Leg(0.0, bearing=_POINTS[point])
    if found := _QUADRANT.fullmatch(short):
        off = float(found[2]) + float(found[3] or 0.0) / 60.0
        if off > 90.0:
            raise TextError(f"'{text.strip()}' turns more than 90° from north or south.")
        east = off if found[4] == "e" else -off
        return Leg(0.0, bearing=(east if found[1] == "n" else 180.0 - east) % 360.0)
    if found := _TURN.fullmatch(plain):
        angle = float(found[2] or 90.0)
        if not 0.0 <= angle <= 180.0:
            raise TextError(f"'{text.strip()}': a turn lies between 0° and 180°.")
        return Leg(0.0, turn=angle if found[1].startswith("l") else -angle)
    if found := _DEGREES.fullmatch(plain):
        return Leg(0.0, bearing=float(found[1]) % 360.0)
    return None


def parse_leg(text: str, unit: Literal["ft", "mm"] = "ft") -> Leg:
    """A typed leg (see the module); a bare length is in `unit`, a leg may have no direction.

    >>> parse_leg("12' 6 < 45")
    Leg(length=3810.0, bearing=45.0, turn=None)
    >>> parse_leg("R 16'")
    Leg(length=4876.8, bearing=None, turn=-90.0)
    """
    plain = _plain(text)
    if not plain:
        raise TextError(f"No length. {LEG_HINT}")
    if _AT.search(plain):
        length, *rest = _AT.split(plain)
        words = " ".join(rest)
        if not words:
            raise TextError(f"'{text.strip()}' says no direction. {LEG_HINT}")
        bare = _BEARING.fullmatch(words)
        way = Leg(0.0, bearing=float(bare[1]) % 360.0) if bare else parse_direction(words)
        if way is None:
            raise TextError(f"'{words}' is no direction. {LEG_HINT}")
        return _with_length(way, length, unit)
    if (found := _leg(Leg(0.0), plain, unit)) is not None:
        return found
    for at in range(1, len(plain)):
        if re.fullmatch(r"[0-9.]{2}", plain[at - 1 : at + 1]):
            continue  # inside a number
        for length, words in ((plain[:at], plain[at:]), (plain[at:], plain[:at])):
            if length == plain[at:] and _BARE_TURN.fullmatch(words.strip(_BETWEEN)):
                continue  # "L 12 6" could be either: before a length an angle has its sign
            way = parse_direction(words.strip(_BETWEEN))
            found = None if way is None else _leg(way, length, unit)
            if found is not None:
                return found
    letters = re.sub(r"feet|foot|ft|inches|inch|in|mm|cm|m", "", plain)
    if re.search(r"[a-z°]", letters):
        raise TextError(f"'{text.strip()}' is no length with a direction. {LEG_HINT}")
    return _with_length(Leg(0.0), plain, unit)


def parse_outline(
    text: str, unit: Literal["ft", "mm"] = "ft"
) -> tuple[tuple[Leg, ...], tuple[Fault, ...]]:
    """A whole outline, one leg per line (or between semicolons); what is wrong, line by line.

    Empty lines count as lines but say nothing, as does all behind a ``#``.
    """
    legs: list[Leg] = []
    faults = []
    for number, line in enumerate(text.splitlines(), 1):
        for part in line.partition("#")[0].split(";"):
            if not part.strip():
                continue
            try:
                leg = parse_leg(part, unit)
            except TextError as error:
                faults.append(Fault(number, f"Line {number}: {error}"))
                continue
            if leg.length <= 0.0:
                faults.append(Fault(number, f"Line {number}: a side must be longer than 0."))
            elif leg.bearing is None and leg.turn is None and legs:
                sentence = (
                    f"Line {number}: '{part.strip()}' does not say where it runs. {LEG_HINT}"
                )
                faults.append(Fault(number, sentence))
            else:
                legs.append(leg)
    return tuple(legs), tuple(faults)


def run(legs: Sequence[Leg], start: Point = (0.0, 0.0), facing: float = 0.0) -> tuple[Point, ...]:
    """The corners of a line run leg after leg from `start`: one more than legs, mm.

    A turn of the first leg is from `facing` (a bearing); a first leg that says nothing runs
    east, a later one straight on.

    >>> [tuple(map(round, p)) for p in run([Leg(30.0, 90.0), Leg(40.0, turn=90.0)])]
    [(0, 0), (30, 0), (30, 40)]
    """
    points = [start]
    bearing = facing
    for number, leg in enumerate(legs):
        if leg.bearing is not None:
            bearing = leg.bearing
        elif leg.turn is not None:
            bearing -= leg.turn
        elif number == 0:
            bearing = 90.0
        x, y = points[-1]
        ux, uy = unit_of(bearing)
        points.append((x + leg.length * ux, y + leg.length * uy))
    return tuple(points)


def unit_of(bearing: float) -> Point:
    """The unit vector of a bearing, exact along the axes."""
    quarters, rest = divmod(bearing % 360.0, 90.0)
    if rest == 0.0:
        return ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))[int(quarters) % 4]
    return math.sin(math.radians(bearing)), math.cos(math.radians(bearing))


def misclosure(points: Sequence[Point]) -> Misclosure:
    """How far the last of the points lies from the first, which it should have been.

    >>> misclosure([(0.0, 0.0), (30.0, 0.0), (30.0, 40.0), (0.0, 3.0)]).length
    3.0
    """
    along = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    return Misclosure((points[-1][0] - points[0][0], points[-1][1] - points[0][1]), along)


def spread(points: Sequence[Point]) -> tuple[Point, ...]:
    """The points with the misclosure spread over the sides in proportion to their length, as
    land surveyors do (the compass rule); the last point then is the first.

    Each corner is moved back by the misclosure times its share of the way round.
    """
    missed = misclosure(points)
    moved = [points[0]]
    gone = 0.0
    for a, b in itertools.pairwise(points):
        gone += math.dist(a, b)
        share = gone / missed.along
        moved.append((b[0] - share * missed.by[0], b[1] - share * missed.by[1]))
    moved[-1] = points[0]
    return tuple(moved)


def _with_length(leg: Leg, text: str, unit: Literal["ft", "mm"]) -> Leg:
    length = parse_length(text.strip(_BETWEEN), unit)
    if length < 0.0:
        raise TextError(f"'{text.strip()}' is less than nothing; turn the direction instead.")
    return Leg(length, leg.bearing, leg.turn)


def _leg(way: Leg, text: str, unit: Literal["ft", "mm"]) -> Leg | None:
    """The leg with this text as its length; None if it is none."""
    try:
        parse_length(text.strip(_BETWEEN), unit)
    except TextError:
        return None
    return _with_length(way, text, unit)


def _plain(text: str) -> str:
    if len(text) > 80:
        raise TextError(f"'{text.strip()[:30]}…' is too long for one side. {LEG_HINT}")
    return text.strip().lower().translate(_SAME_AS)
