"""A trim profile bent to the fold of one edge: its section, its girth and its bend lines.

Two coordinates: along the flat blank, `s`, mm from its first border, the colour side up; and in
the section, (x, y) mm, walked with the colour side on the left. The section lies as on the roof:
what lies on the first plane runs along +x, and y is that plane's normal.

Vocabulary
----------
girth
    The width of the flat blank: flats, bends and hems together.
stretch
    A flat part or a round (of a bend or a hem), one after the other across the blank.
included angle
    180 degrees less the bend: between the legs, as a protractor shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.errors import DocumentError
from roofmodel.systems.bending import bend_allowance, outside_setback
from roofmodel.systems.profiles import Hem, SheetMetal, TrimProfile

Array = NDArray[np.float64]

Face = Literal["colour side", "middle", "back"]

_SIDE: Final = {"colour side": 0.5, "middle": 0.0, "back": -0.5}
_PARALLEL_SINE: Final = math.sin(math.radians(0.5))
"""Legs that turn less between them have no corner to speak of."""


@dataclass(frozen=True, slots=True)
class Flat:
    """A flat stretch of so many mm: of leg number `leg`, or of a hem (−1)."""

    length: float
    leg: int = -1


@dataclass(frozen=True, slots=True)
class Round:
    """A round stretch: `angle` degrees, up positive; `length` mm is its allowance on the flat.
    `bend` is the number of the bend, −1 for a hem."""

    angle: float
    inside_radius: float
    length: float
    bend: int = -1


@dataclass(frozen=True, slots=True)
class BendLine:
    """Where the flat is bent, in the middle of the allowance: `at` mm from its first border.

    `angle` is the deviation from flat, `included` 180 less it, degrees, both positive; `number`
    counts the profile's bends, −1 for a hem; `between` names what it lies between.
    """

    at: float
    angle: float
    included: float
    direction: Literal["up", "down"]
    inside_radius: float
    allowance: float
    number: int
    between: tuple[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Folded:
    """A profile bent to a fold of the roof. `girth` mm; `legs` are where the flat of every leg
    begins and ends on the blank."""

    profile: TrimProfile
    fold: float
    stretches: tuple[Flat | Round, ...]
    girth: float
    bends: tuple[BendLine, ...]
    legs: tuple[tuple[float, float], ...]

    def section(self, face: Face = "middle", steps: int = 8) -> tuple[Array, Array]:
        """Where points of the blank lie once it is bent: `s` (n,) and (n, 2), every round in so
        many chords."""
        metal = self.profile.metal
        offset = _SIDE[face] * metal.thickness
        place, heading, at = np.zeros(2), math.radians(self._first_heading()), 0.0
        along, points = [0.0], [place + offset * _normal(heading)]
        for stretch in self.stretches:
            if isinstance(stretch, Flat):
                place = place + stretch.length * _way(heading)
                along.append(at + stretch.length)
                points.append(place + offset * _normal(heading))
            elif stretch.angle:
                turn = math.copysign(1.0, stretch.angle)
                radius = stretch.inside_radius + metal.thickness / 2.0
                centre = place + turn * radius * _normal(heading)
                whole = math.radians(stretch.angle)
                for k in range(1, steps + 1):
                    now = heading + whole * k / steps
                    along.append(at + stretch.length * k / steps)
                    points.append(centre + (offset - turn * radius) * _normal(now))
                heading += whole
                place = centre - turn * radius * _normal(heading)
            at += stretch.length
        return np.array(along), np.array(points)

    def apex(self) -> Array:
        """Where the colour sides of the legs on both planes would meet, (2,) in the section: the
        point that lies over the edge. Where legs lie on one plane only, or hardly turn between
        them, it is the end of the last leg on the first plane (the beginning of the first on the
        second)."""
        s, points = self.section("colour side", steps=2)

        def ends(leg: int) -> tuple[Array, Array]:
            here = [np.array([np.interp(at, s, points[:, 0]), np.interp(at, s, points[:, 1])])
                    for at in self.legs[leg]]  # fmt: skip
            return here[0], here[1]

        first, second = self._placed("first plane"), self._placed("second plane")
        if not second:
            return ends(first[-1])[1] if first else points[0]
        if not first:
            return ends(second[0])[0]
        a, b = ends(first[-1]), ends(second[0])
        one, two = a[1] - a[0], b[1] - b[0]
        cross = float(one[0] * two[1] - one[1] * two[0])
        if abs(cross) < _PARALLEL_SINE * float(np.linalg.norm(one) * np.linalg.norm(two)):
            return (a[1] + b[0]) / 2.0
        apart = b[0] - a[0]
        return a[0] + one * float(apart[0] * two[1] - apart[1] * two[0]) / cross

    def side_ends_at(self) -> float:
        """Where on the blank (mm) what belongs to the first plane ends and what belongs to the
        second begins."""
        first, second = self._placed("first plane"), self._placed("second plane")
        if not second:
            return self.girth
        if not first:
            return 0.0
        return (self.legs[first[-1]][1] + self.legs[second[0]][0]) / 2.0

    def _placed(self, plane: str) -> list[int]:
        return [k for k, leg in enumerate(self.profile.legs) if leg.on == plane]

    def _first_heading(self) -> float:
        """The way of the first stretch, degrees."""
        heading, leg_headings = 0.0, {}
        for stretch in self.stretches:
            if isinstance(stretch, Round):
                heading += stretch.angle
            elif stretch.leg >= 0:
                leg_headings[stretch.leg] = heading
        for leg in self._placed("first plane"):
            return -leg_headings[leg]
        for leg in self._placed("second plane"):
            return -self.fold - leg_headings[leg]
        return -leg_headings[0]


@lru_cache(maxsize=1024)
def folded(profile: TrimProfile, fold: float) -> Folded:
    """The profile bent where the roof's fold is `fold` degrees (positive over ridges and eaves,
    negative in valleys and at walls); DocumentError where it cannot be."""
    profile.check_at(fold)
    stretches = _stretches(profile, fold)
    at, legs, lines = 0.0, [(0.0, 0.0)] * len(profile.legs), []
    names = [_name(profile, s) for s in stretches]
    for k, stretch in enumerate(stretches):
        if isinstance(stretch, Flat):
            if stretch.length <= 0.0:
                raise DocumentError(
                    f"The {names[k]} of the part '{profile.name}' is too short for its bends and"
                    " hems; make it longer."
                )
            if stretch.leg >= 0:
                legs[stretch.leg] = (at, at + stretch.length)
        elif stretch.angle:
            lines.append(
                BendLine(
                    at + stretch.length / 2.0,
                    abs(stretch.angle),
                    180.0 - abs(stretch.angle),
                    "up" if stretch.angle > 0.0 else "down",
                    stretch.inside_radius,
                    stretch.length,
                    stretch.bend,
                    (names[k - 1], names[k + 1]),
                )
            )
        at += stretch.length
    done = Folded(profile, fold, stretches, at, tuple(lines), tuple(legs))
    if not shapely.LineString(done.section()[1]).is_simple:
        raise DocumentError(
            f"The part '{profile.name}' runs into itself where the roof's fold is"
            f" {abs(fold):.1f}°; shorten a leg or a hem, or change a bend."
        )
    return done


def _stretches(profile: TrimProfile, fold: float) -> tuple[Flat | Round, ...]:
    metal = profile.metal
    rounds = [
        Round(angle, metal.inside_radius, _allowance(angle, metal), k)
        for k, angle in enumerate(profile.angles_at(fold))
    ]
    flats = list(profile.flats_at(fold))
    before, tip = _hem(profile.start_hem, metal)
    flats[0] -= tip
    after, tip = _hem(profile.end_hem, metal)
    flats[-1] -= tip
    out: list[Flat | Round] = list(reversed(before))
    for k, flat in enumerate(flats):
        out.append(Flat(flat, k))
        out += rounds[k : k + 1]
    return (*out, *after)


def _allowance(angle: float, metal: SheetMetal) -> float:
    """What a bend takes of the flat; with outside lengths only, what its legs lose to it."""
    if metal.deducts:
        return bend_allowance(angle, metal.inside_radius, metal.thickness, metal.k_factor)
    return 2.0 * outside_setback(angle, metal.inside_radius, metal.thickness)


def _hem(hem: Hem | None, metal: SheetMetal) -> tuple[list[Flat | Round], float]:
    """The stretches of a hem from its leg outwards, and what its round takes from the leg.

    Closed and double hems add once and twice their width to the blank; so the rule of the trade,
    NAVEDTRA Steelworker vol 2. The tip then lies where the leg's outside length ends. An open one
    adds its width and its round, and begins there.
    """
    if hem is None:
        return [], 0.0
    thick, k = metal.thickness, metal.k_factor
    angle = 180.0 if hem.to == "up" else -180.0

    def turn(radius: float) -> Round:
        return Round(angle, radius, bend_allowance(180.0, radius, thick, k))

    if hem.kind == "open":
        return [turn(hem.gap / 2.0), Flat(hem.width)], 0.0
    tight = turn(0.0)
    if hem.kind == "closed":
        return [tight, Flat(hem.width + thick - tight.length)], thick
    outer = turn(thick / 2.0)  # around the border that is folded in first
    flat = hem.width + (1.5 * thick - outer.length - tight.length) / 2.0
    return [outer, Flat(flat), tight, Flat(flat)], 1.5 * thick


def _name(profile: TrimProfile, stretch: Flat | Round) -> str:
    if isinstance(stretch, Round):
        return ""
    return f"leg '{profile.legs[stretch.leg].name}'" if stretch.leg >= 0 else "hem"


def _way(heading: float) -> Array:
    return np.array([math.cos(heading), math.sin(heading)])


def _normal(heading: float) -> Array:
    return np.array([-math.sin(heading), math.cos(heading)])
