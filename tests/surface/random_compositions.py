"""Random houses of several sections, by seed, and the same sections as half-spaces.

The half-spaces owe nothing to the section solver: a convex section is what lies inside its walls
and below all its planes; an L, T or U is the union of its full-length bars. Lengths are feet.
Corners, eaves and pitches come from coarse grids, so that walls, eaves and whole planes coincide
often, and exactly.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from roofmodel.document import OutlineEdge, Point, Ring, Section, Step
from tests.houses import FT, GABLE

Profile = tuple[tuple[float, float], ...]
PITCHES = tuple(n / 12.0 for n in (3, 4, 5, 6, 6, 6, 8, 9, 12, 12, 14, 18))
TURNS = (45.0, 90.0, math.degrees(math.atan2(3, 4)), 30.0, 10.0)


@dataclass(frozen=True)
class Recipe:
    """An outline (counter-clockwise, feet) with a profile per edge; `bars` are the edges that
    bound each convex bar of it."""

    corners: tuple[Point, ...]
    profiles: tuple[Profile, ...]
    bars: tuple[tuple[int, ...], ...]
    eave: float
    deck: float | None = None

    def turned(self, degrees: float, about: Point) -> Recipe:
        """The same, turned counter-clockwise."""
        angle = math.radians(degrees)
        c, s = (round(math.cos(angle), 15), round(math.sin(angle), 15))
        x0, y0 = about
        out = tuple(
            (x0 + (x - x0) * c - (y - y0) * s, y0 + (x - x0) * s + (y - y0) * c)
            for x, y in self.corners
        )
        return replace(self, corners=out)

    def section(self, section_id: str) -> Section:
        """As a section of the document; edge k is called e<k>."""
        edges = tuple(
            OutlineEdge(
                f"e{k}",
                tuple(Step(h * FT, None if math.isinf(s) else s) for h, s in profile),
            )
            for k, profile in enumerate(self.profiles)
        )
        ring = Ring(tuple((x * FT, y * FT) for x, y in self.corners), edges)
        return Section(
            section_id,
            section_id.upper(),
            (ring,),
            eave_height=self.eave * FT,
            deck_height=None if self.deck is None else self.deck * FT,
        )


@dataclass(frozen=True)
class HalfSpace:
    """What lies at a·x + b·y + c·z <= d. `plane` says which (edge, step) of the section it is;
    None for walls."""

    a: float
    b: float
    c: float
    d: float
    plane: tuple[str, int] | None = None


def half_spaces(recipe: Recipe) -> list[list[HalfSpace]]:
    """Convex solids, open to below, whose union is the section."""
    solids = []
    for bar in recipe.bars:
        lists: list[list[HalfSpace]] = [[]]
        for k in bar:
            choices = planes_of_edge(recipe, k)
            lists = [[*one, *more] for one in lists for more in choices]
        if recipe.deck is not None:
            lists = [[*one, _deck(recipe.eave + recipe.deck)] for one in lists]
        solids += lists
    return solids


def all_planes(recipe: Recipe) -> list[HalfSpace]:
    """Every half-space of a section, whatever bars it bounds."""
    out = [
        h
        for k in range(len(recipe.corners))
        for choice in planes_of_edge(recipe, k)
        for h in choice
    ]
    if recipe.deck is not None:
        out.append(_deck(recipe.eave + recipe.deck))
    return out


def _deck(height: float) -> HalfSpace:
    return HalfSpace(0.0, 0.0, 1.0, height, ("deck", 0))


def planes_of_edge(recipe: Recipe, k: int) -> list[list[HalfSpace]]:
    """The half-spaces of one edge; two sets where a gable stands above a hip."""
    (x, y), (x2, y2) = recipe.corners[k], recipe.corners[(k + 1) % len(recipe.corners)]
    length = math.hypot(x2 - x, y2 - y)
    nx, ny = -(y2 - y) / length, (x2 - x) / length  # inwards
    start = nx * x + ny * y
    out = [[HalfSpace(-nx, -ny, 0.0, -start)]]
    distance, height, before = 0.0, 0.0, math.inf
    for step, (h, slope) in enumerate(recipe.profiles[k]):
        if step and math.isfinite(before):
            distance += (h - height) / before
        height, before = h, slope
        if math.isinf(slope):
            if step:  # from here upward only what lies further in
                out.append([HalfSpace(-nx, -ny, 0.0, -start - distance)])
            continue
        # z <= eave + h + slope (n·p - start - distance)
        d = recipe.eave + h - slope * (start + distance)
        out[-1].append(HalfSpace(-slope * nx, -slope * ny, 1.0, d, (f"e{k}", step)))
    return out


def composition(seed: int) -> list[Recipe]:
    """Two to six sections that overlap, adjoin or stand beside each other."""
    rnd = random.Random(seed)
    out = [_random(rnd, 0.0, 0.0, 2.0)]
    for _ in range(rnd.randint(1, 5)):
        base = rnd.choice(out)
        out.append(_beside(rnd, base))
    if rnd.random() < 0.4:
        turn = rnd.choice((*TURNS, rnd.uniform(0.0, 90.0)))
        out = [r.turned(turn, (0.0, 0.0)) for r in out]
    return out


def _beside(rnd: random.Random, base: Recipe) -> Recipe:
    """A section on, in, or against another."""
    xs, ys = [p[0] for p in base.corners], [p[1] for p in base.corners]
    kind = rnd.choice(("wing", "wing", "dormer", "against", "same eaves", "turned"))
    x, y = rnd.choice(xs), rnd.choice(ys)
    if kind == "against":  # it shares the east wall
        made = _random(rnd, max(xs), rnd.choice((min(ys), min(ys) + 3.0)), 1.0)
        return replace(made, eave=base.eave + rnd.choice((0.0, -3.0, -5.5, 4.0)))
    if kind == "same eaves":  # the south eaves, their pitch and the first corner agree
        made = _rectangle(rnd, min(xs) + rnd.choice((0.0, 8.0)), min(ys), 1.0)
        profiles = (base.profiles[0], *made.profiles[1:])
        if all(math.isinf(p[-1][1]) for p in profiles):  # a shed lost its only slope
            profiles = made.profiles
        return replace(made, eave=base.eave, profiles=profiles)
    if kind == "dormer":
        wide, deep = rnd.choice((6.0, 8.0, 9.5)), rnd.choice((8.0, 12.0, 17.0))
        x, y = rnd.uniform(min(xs), max(xs)), min(ys) + rnd.choice((2.0, 3.5, 5.0))
        x = round(x * 4.0) / 4.0
        slope = rnd.choice(PITCHES)
        made = _box(x, y, wide, deep, _sides(rnd, slope, rnd.choice(("gable", "hip", "shed"))))
        return replace(made, eave=base.eave + rnd.choice((2.0, 3.0, 4.5)))
    x += rnd.choice((-6.0, -3.5, 0.0, 2.0))
    y += rnd.choice((-8.0, -5.0, 0.0, 3.0))
    made = _random(rnd, x, y, 1.0)
    made = replace(made, eave=base.eave + rnd.choice((0.0, 0.0, 0.0, 1.0, -2.0, 8.0)))
    if kind == "turned":
        made = made.turned(rnd.choice((*TURNS, rnd.uniform(5.0, 85.0))), made.corners[0])
    return made


def _random(rnd: random.Random, x: float, y: float, size: float) -> Recipe:
    if rnd.random() < 0.6:
        return _rectangle(rnd, x, y, size)
    return rnd.choice((_l_shape, _t_shape, _convex))(rnd, x, y, size)


def _rectangle(rnd: random.Random, x: float, y: float, size: float) -> Recipe:
    wide, deep = (size * rnd.choice((8.0, 10.0, 12.0, 15.0, 18.0)) for _ in range(2))
    kind = rnd.choice(("gable", "gable", "hip", "shed", "uneven", "mansard", "gable on hip",
                       "clipped", "gambrel", "deck"))  # fmt: skip
    made = _box(x, y, wide, deep, _sides(rnd, rnd.choice(PITCHES), kind))
    if kind == "deck":
        made = replace(made, deck=rnd.choice((1.0, 1.5)))
    return replace(made, eave=rnd.choice((8.0, 9.0, 10.0, 17.5)))


def _sides(rnd: random.Random, slope: float, kind: str) -> tuple[Profile, ...]:
    """Profiles of a rectangle's four sides, the first facing south."""
    plain, gable = ((0.0, slope),), ((0.0, GABLE),)
    mansard: Profile = ((0.0, 2.0), (3.0, min(slope, 1.0)))
    ends: dict[str, Profile] = {
        "gable": gable,
        "clipped": ((0.0, GABLE), (1.0, slope)),
        "gable on hip": ((0.0, slope), (1.0, GABLE)),
        "gambrel": gable,
    }
    if kind == "shed":
        return _rolled(rnd, (plain, gable, gable, gable))
    if kind == "uneven":
        return tuple(((0.0, rnd.choice(PITCHES)),) for _ in range(4))
    side = mansard if kind in ("mansard", "gambrel") else plain
    end = ends.get(kind, side)
    return _rolled(rnd, (side, end, side, end))


def _rolled(rnd: random.Random, profiles: tuple[Profile, ...]) -> tuple[Profile, ...]:
    k = rnd.randrange(4)
    return profiles[k:] + profiles[:k]


def _box(x: float, y: float, wide: float, deep: float, profiles: Sequence[Profile]) -> Recipe:
    corners = ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))
    return Recipe(corners, tuple(profiles), ((0, 1, 2, 3),), 8.0)


def _l_shape(rnd: random.Random, x: float, y: float, size: float) -> Recipe:
    """South, east end, north of the one bar, east of the other, its north end, west. Sides that
    face the same way have the same pitch: else the skeleton is not unique."""
    a, b = (size * rnd.choice((16.0, 20.0, 24.0)) for _ in range(2))
    c, d = (size * rnd.choice((6.0, 8.0, 11.0)) for _ in range(2))
    corners = ((0.0, 0.0), (a, 0.0), (a, d), (c, d), (c, b), (0.0, b))
    south, east, north, west = _pitches(rnd)
    ends = [((0.0, GABLE),) if rnd.random() < 0.4 else p for p in (east, north)]
    profiles = (south, ends[0], north, east, ends[1], west)
    placed = tuple((x + u, y + v) for u, v in corners)
    return Recipe(placed, profiles, ((0, 1, 2, 5), (0, 3, 4, 5)), rnd.choice((8.0, 9.0)))


def _t_shape(rnd: random.Random, x: float, y: float, size: float) -> Recipe:
    """A bar along the south with a stem to the north."""
    a, b = (size * rnd.choice((18.0, 21.0, 24.0)) for _ in range(2))
    d = size * rnd.choice((6.0, 8.0))
    c, e = size * rnd.choice((3.0, 5.0)), size * rnd.choice((11.0, 13.0))
    corners = ((0.0, 0.0), (a, 0.0), (a, d), (e, d), (e, b), (c, b), (c, d), (0.0, d))
    south, east, north, west = _pitches(rnd)
    ends = [((0.0, GABLE),) if rnd.random() < 0.4 else p for p in (east, north, west)]
    profiles = (south, ends[0], north, east, ends[1], west, north, ends[2])
    placed = tuple((x + u, y + v) for u, v in corners)
    return Recipe(placed, profiles, ((0, 1, 2, 7), (0, 3, 4, 5)), rnd.choice((8.0, 9.0)))


def _pitches(rnd: random.Random) -> list[Profile]:
    if rnd.random() < 0.5:
        return [((0.0, rnd.choice(PITCHES)),)] * 4
    return [((0.0, rnd.choice(PITCHES)),) for _ in range(4)]


def _convex(rnd: random.Random, x: float, y: float, size: float) -> Recipe:
    """A tower of five to eight sides, or a trapezium."""
    slope = rnd.choice(PITCHES)
    if rnd.random() < 0.3:
        w = 8.0 * size
        corners: list[Point] = [(0.0, 0.0), (2 * w, 0.0), (1.5 * w, w), (0.0, w)]
    else:
        n, r = rnd.randint(5, 8), size * rnd.choice((5.0, 7.0))
        turn = 2.0 * math.pi / n
        corners = [(r * math.cos(k * turn), r * math.sin(k * turn)) for k in range(n)]
    placed = tuple((x + u, y + v) for u, v in corners)
    count = len(placed)
    return Recipe(placed, (((0.0, slope),),) * count, (tuple(range(count)),), 9.0)
