"""Cross-sections of trim as data. The values live in a TOML file and in the project.

A cross-section is walked from its first leg to its last with the colour side up, from the first
plane of its edge to the second; a bend to the left goes up, towards the colour side.

Vocabulary
----------
leg
    A flat part of the section; its length is the outside one, to where its outside meets that of
    the next leg.
bend
    The turn between two legs, as a deviation from flat, degrees: up positive, down negative.
fold
    The turn of the roof at the edge: positive where it bends down over the line (ridge, hip,
    eave), negative where it bends up (valley, walls).
first plane, second plane
    What the edge joins: two roof planes, or a roof plane and a wall, fascia or gable face.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.bending import outside_setback

LEAST_LEG: Final = 9.525
"""3/8 in: what a brake can hold, common practice, no source."""

_LONGEST: Final = 2000.0
_SLACK: Final = 1e-6
_TURN_EPS: Final = 1e-6
_SAMPLES: Final = 5
_FLATTEST: Final = 1.0
"""Degrees: below, a raised leg meets the other farther off than any sheet is wide."""
_NO_AREA: Final = 1e-6
"""mm²: three corners that span less lie on one line."""

Planes = Literal["", "first plane", "second plane"]


class SheetMetal(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a part is bent from, mm. `gauge` is only a label. Where a shop measures outside
    lengths only and cuts their sum, `deducts` is false."""

    gauge: str = "24 ga"
    thickness: float = 0.70104
    inside_radius: float = 0.79375
    k_factor: float = 0.44
    deducts: bool = True

    def __post_init__(self) -> None:
        if not 0.1 <= self.thickness <= 5.0:
            raise DocumentError(
                f"The sheet '{self.gauge}' must be between 0.1 and 5 mm (0.2 in) thick."
            )
        if not 0.0 <= self.inside_radius <= 25.0:
            raise DocumentError(
                f"The inside radius of the sheet '{self.gauge}' must lie between 0 and 25 mm"
                " (1 in)."
            )
        if not 0.3 <= self.k_factor <= 0.5:
            raise DocumentError(
                f"The K-factor of the sheet '{self.gauge}' must lie between 0.3 and 0.5."
            )


class Leg(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A leg with its outside length (mm), and which plane it lies on or along, if any."""

    name: str
    length: float
    on: Planes = ""


class Bend(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The bend between two legs: `fixed` degrees, up positive, and the share of the roof's fold
    that it `follows` (1 bends as the roof does, 0.5 is half of it, 0 is the same everywhere)."""

    fixed: float = 0.0
    follows: float = 0.0

    def at(self, fold: float) -> float:
        """The bend in degrees, up positive, where the roof's fold is so many degrees."""
        return self.fixed - self.follows * fold


class Hem(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A border folded back by 180 degrees, lengths mm.

    Closed lies tight, double is folded twice, open leaves a `gap`. `width` is what it adds to
    the blank: once, twice, or once beside its round. `to` says which way it is folded.
    """

    kind: Literal["closed", "double", "open"] = "closed"
    width: float = 12.7
    gap: float = 0.0
    to: Literal["up", "down"] = "down"


class TrimProfile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The cross-section of one part of trim, lengths mm.

    `bends` lie between the legs. `folds` is the least and the greatest fold of the roof, degrees,
    that it can be bent to, where it bends by `least_fold` at least, up or down; `least_leg` the
    shortest leg or hem a brake holds. `raised` mm is what ribs, or closures on seams, raise its
    leg on the second plane by while that on the first lies on the deck.
    """

    name: str
    legs: tuple[Leg, ...]
    bends: tuple[Bend, ...] = ()
    start_hem: Hem | None = None
    end_hem: Hem | None = None
    folds: tuple[float, float] = (0.0, 0.0)
    painted: Literal["upper side", "both sides", "not painted"] = "upper side"
    metal: SheetMetal = SheetMetal()
    least_leg: float = LEAST_LEG
    source: str = "common practice, no source"
    raised: float = 0.0
    least_fold: float = 0.0

    def __post_init__(self) -> None:
        if not self.legs or len(self.bends) != len(self.legs) - 1:
            raise DocumentError(
                f"The part '{self.name}' has {len(self.legs)} legs and {len(self.bends)} bends;"
                " a part has one bend between every two legs: add the leg or bend that is missing."
            )
        for leg in self.legs:
            self._check_length(f"leg '{leg.name}'", leg.length)
        for hem in (self.start_hem, self.end_hem):
            if hem is not None:
                self._check_length(f"{hem.kind} hem", hem.width)
                self._check_gap(hem)
        low, high = self.folds
        if not -180.0 < low <= high < 180.0:
            raise DocumentError(
                f"The part '{self.name}' must name its least fold first and its greatest second,"
                " both between -180 and 180 degrees."
            )
        self._check_planes()
        self._check_raised()
        samples = [low + (high - low) * k / (_SAMPLES - 1) for k in range(_SAMPLES)]
        for fold in (*samples, -self.least_fold, self.least_fold):
            if low <= fold <= high and not self.too_flat(fold):
                self.check_at(fold)

    def _check_length(self, what: str, length: float) -> None:
        if not (self.least_leg > 0.0 and self.least_leg - _SLACK <= length <= _LONGEST):
            raise DocumentError(
                f"The {what} of the part '{self.name}' is {length / 25.4:.3f} in long; it must be"
                f" at least {self.least_leg / 25.4:.3f} in, which the brake can hold, and at most"
                " 78 in."
            )

    def _check_gap(self, hem: Hem) -> None:
        least, thick = 4.0 * self.metal.thickness, self.metal.thickness
        if hem.kind == "open" and not thick <= hem.gap <= 50.0:
            raise DocumentError(
                f"The open hem of the part '{self.name}' needs a gap of at least one thickness of"
                " the sheet and at most 50 mm (2 in)."
            )
        if hem.width < least:
            raise DocumentError(
                f"The hem of the part '{self.name}' must be at least four thicknesses wide."
            )

    def _check_planes(self) -> None:
        """Bends between legs on the same plane must cancel out, on the two they make the fold."""
        placed = [(k, leg.on) for k, leg in enumerate(self.legs) if leg.on]
        for (i, one), (j, two) in pairwise(placed):
            if (one, two) == ("second plane", "first plane"):
                raise DocumentError(
                    f"The part '{self.name}' must name the leg on the first plane before the one"
                    " on the second."
                )
            fixed = math.fsum(b.fixed for b in self.bends[i:j])
            follows = math.fsum(b.follows for b in self.bends[i:j])
            wanted = 0.0 if one == two else 1.0
            if abs(follows - wanted) > _TURN_EPS or abs(fixed) > _TURN_EPS:
                raise DocumentError(
                    f"The part '{self.name}': the bends between its legs '{self.legs[i].name}' and"
                    f" '{self.legs[j].name}' must add up to {wanted:g} times the roof's fold and 0"
                    f" fixed degrees; they add up to {follows:g} times and {fixed:g} degrees."
                )

    def _check_raised(self) -> None:
        """A raised leg needs both planes and a least fold: it meets the other nowhere at 0."""
        if not (0.0 <= self.raised <= _LONGEST and 0.0 <= self.least_fold < 180.0):
            raise DocumentError(
                f"The part '{self.name}': what raises its leg must lie between 0 and 78 in, its"
                " least fold between 0 and 180 degrees."
            )
        if self.raised > 0.0 and (self.least_fold < _FLATTEST or not self._meet_at):
            raise DocumentError(
                f"The part '{self.name}' has a raised leg: it must name a least fold of at least"
                f" {_FLATTEST:g} degree and have one bend between a leg on the first plane and one"
                " on the second."
            )

    @property
    def _meet_at(self) -> int:
        """The number of the first leg on the second plane, where the one before it lies on the
        first; else 0."""
        on = [leg.on for leg in self.legs]
        pairs = enumerate(pairwise(on), 1)
        return next((k for k, two in pairs if two == ("first plane", "second plane")), 0)

    def too_flat(self, fold: float) -> bool:
        """Does the roof bend less over its edge than the part is made for?"""
        return abs(fold) < self.least_fold - _TURN_EPS

    def past_line(self, fold: float) -> tuple[float, float]:
        """How far its bend lies from the line of the roof because of a raised leg, mm: along the
        first plane and along the second. Where the roof bends down, it is past the line, down the
        slope; where it bends up, before it."""
        if self.raised == 0.0:
            return 0.0, 0.0
        angle = math.radians(abs(fold))
        return self.raised / math.sin(angle), self.raised / math.tan(angle)

    def lengths_at(self, fold: float) -> tuple[float, ...]:
        """The outside lengths of its legs, mm, where the roof's fold is so many degrees. Beside a
        raised leg lengths count from the line of the roof or from the bend, whichever is farther
        that way, so that as much lies on each plane at every fold."""
        lengths = [leg.length for leg in self.legs]
        if self.raised > 0.0:
            first, second = self.past_line(fold)
            k = self._meet_at
            if fold > 0.0:
                lengths[k - 1] += first
            else:
                lengths[k] += second
        return tuple(lengths)

    def angles_at(self, fold: float) -> tuple[float, ...]:
        """Its bends, degrees, up positive, where the roof's fold is so many degrees."""
        return tuple(b.at(fold) for b in self.bends)

    def flats_at(self, fold: float) -> tuple[float, ...]:
        """What stays flat of every leg between its bends, mm; negative where none does."""
        metal = self.metal
        setbacks = [
            outside_setback(a, metal.inside_radius, metal.thickness) for a in self.angles_at(fold)
        ]
        return tuple(
            length - before - after
            for length, before, after in zip(
                self.lengths_at(fold), [0.0, *setbacks], [*setbacks, 0.0], strict=True
            )
        )

    def check_at(self, fold: float) -> None:
        """DocumentError where the part cannot be bent to this fold of the roof."""
        if self.too_flat(fold):
            raise DocumentError(
                f"The part '{self.name}' is made for folds of the roof from {self.least_fold:g}°"
                f" on, but here it bends by {abs(fold):.1f}° only: carry the panels over the line"
                " in one length, or take the panel maker's detail."
            )
        angles = self.angles_at(fold)
        for angle, (one, two) in zip(angles, pairwise(self.legs), strict=True):
            if not abs(angle) < 180.0:
                raise DocumentError(
                    f"The part '{self.name}' would be bent by {abs(angle):.1f}° between"
                    f" '{one.name}' and '{two.name}' where the roof's fold is {abs(fold):.1f}°; a"
                    " bend must stay under 180°."
                )
        for leg, flat in zip(self.legs, self.flats_at(fold), strict=True):
            if flat <= 0.0:
                raise DocumentError(
                    f"The leg '{leg.name}' of the part '{self.name}' is too short for its bends"
                    f" where the roof's fold is {abs(fold):.1f}°; make it longer."
                )
        if crossed := _crossing(self.lengths_at(fold), angles):
            first, last = (self.legs[k].name for k in crossed)
            raise DocumentError(
                f"The legs '{first}' and '{last}' of the part '{self.name}' run into each other"
                f" where the roof's fold is {abs(fold):.1f}°; shorten one or change a bend."
            )


def _crossing(lengths: tuple[float, ...], angles: tuple[float, ...]) -> tuple[int, int] | None:
    """Two legs that are no neighbours and meet, if any."""
    x = y = heading = 0.0
    corners = [(x, y)]
    for length, turn in zip(lengths, (*angles, 0.0), strict=True):
        x += length * math.cos(heading)
        y += length * math.sin(heading)
        corners.append((x, y))
        heading += math.radians(turn)
    sides = list(pairwise(corners))
    for i, one in enumerate(sides):
        for j in range(i + 2, len(sides)):
            if _meet(one, sides[j]):
                return i, j
    return None


_Side = tuple[tuple[float, float], tuple[float, float]]


def _meet(one: _Side, two: _Side) -> bool:
    """Do two sides cross or touch? Sides that lie on one line do not."""

    def turn(side: _Side, point: tuple[float, float]) -> float:
        (ax, ay), (bx, by) = side
        area = (bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)
        return 0.0 if abs(area) < _NO_AREA else area

    first = turn(one, two[0]), turn(one, two[1])
    second = turn(two, one[0]), turn(two, one[1])
    if not any((*first, *second)):
        return False
    return first[0] * first[1] <= 0.0 and second[0] * second[1] <= 0.0
