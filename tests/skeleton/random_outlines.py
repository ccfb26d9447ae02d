"""Random outlines with random profiles, by seed: rectilinear with courtyards, stars, combs,
nearly degenerate ones; from doll's house to stadium, far from the origin, turned by any angle."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import shapely

from roofmodel.errors import OutlineError
from roofmodel.skeleton import solve
from roofmodel.skeleton.check import faults_of

Ring = list[tuple[float, float]]
MODES = ("equal", "random", "gable", "profile", "eaves", "deck", "all")
SHAPES = ("rectilinear", "rectilinear", "star", "comb", "regular")


@dataclass(frozen=True)
class RandomHouse:
    """An outline with profiles; `rings` and heights carry the scale."""

    rings: list[Ring]
    profiles: list[list[tuple[float, float]]]
    deck: float | None
    mode: str

    @property
    def size(self) -> int:
        """Number of edges."""
        return len(self.profiles)

    @classmethod
    def of(cls, seed: int) -> RandomHouse:
        """The house of a seed."""
        rnd = random.Random(seed)
        rings, scale = _placed(_shape(rnd), rnd)
        mode = rnd.choice(MODES)
        count = sum(len(r) for r in rings)
        profiles = [_profile(mode, rnd, scale) for _ in range(count)]
        has_deck = mode == "deck" or (mode == "all" and rnd.random() < 0.3)
        deck = rnd.choice((2.0, 3.0, 1.75)) * scale if has_deck else None
        return cls(rings, profiles, deck, mode)


def verdict(house: RandomHouse) -> tuple[str, str]:
    """("kept", "") if the roof keeps every promise, ("refused", why) or ("failed", why)."""
    try:
        solved = solve(house.rings, house.profiles, deck_height=house.deck)
    except OutlineError as error:
        sentence = str(error)
        mine = "could not be roofed" in sentence
        if "never closes" in sentence:
            mine = not any(math.isinf(p[-1][1]) for p in house.profiles)
        return ("failed" if mine else "refused"), sentence
    faults = faults_of(house.rings, house.profiles, solved)
    return ("failed" if faults else "kept"), " ".join(faults)


def _shape(rnd: random.Random) -> list[Ring]:
    kind = rnd.choice(SHAPES)
    if kind == "rectilinear":
        return _rectilinear(rnd)
    if kind == "comb":
        return [_comb(rnd.randint(2, 8), rnd.choice((1.0, 0.7, rnd.uniform(0.3, 2.0))))]
    n = rnd.randint(3, 24)
    start = rnd.choice((0.0, 0.3))
    radii = [rnd.randint(2, 20) if kind == "star" else 10 for _ in range(n)]
    turn = 2.0 * math.pi / n
    return [
        [
            (r * math.cos(start + k * turn), r * math.sin(start + k * turn))
            for k, r in enumerate(radii)
        ]
    ]


def _rectilinear(rnd: random.Random) -> list[Ring]:
    """A union of boxes on a grid; now and then one corner a hair off."""
    while True:
        grid = rnd.choice((1.0, 1.37, 0.5))
        boxes = []
        for _ in range(rnd.randint(1, 9)):
            x, y = rnd.randint(0, 8), rnd.randint(0, 8)
            w, h = rnd.randint(1, 6), rnd.randint(1, 6)
            boxes.append(shapely.box(x * grid, y * grid, (x + w) * grid, (y + h) * grid))
        union = shapely.union_all(boxes)
        if union.geom_type != "Polygon":
            continue
        union = union.simplify(0.0)
        assert isinstance(union, shapely.Polygon)
        rings = [list(r.coords)[:-1] for r in (union.exterior, *union.interiors)]
        if rnd.random() < 0.2:
            k = rnd.randrange(len(rings[0]))
            off = 10.0 ** rnd.uniform(-12, -3)
            rings[0][k] = (rings[0][k][0] + off, rings[0][k][1])
        return rings


def _comb(teeth: int, depth: float) -> Ring:
    out: Ring = [(0.0, -1.0), (2.0 * teeth - 1.0, -1.0)]
    for k in reversed(range(teeth)):
        out += [(2.0 * k + 1.0, depth), (2.0 * k, depth)]
        if k:
            out += [(2.0 * k, 0.0), (2.0 * k - 1.0, 0.0)]
    return out


def _placed(rings: list[Ring], rnd: random.Random) -> tuple[list[Ring], float]:
    angle = rnd.choice((0.0, 0.0, math.pi / 2, 0.3, rnd.uniform(0.0, 6.0)))
    scale = 10.0 ** rnd.uniform(-1.0, 5.0)
    ox, oy = rnd.choice(((0.0, 0.0), (1e4 * scale, -3e3 * scale)))
    c, s = math.cos(angle), math.sin(angle)
    placed = [
        [(scale * (x * c - y * s) + ox, scale * (x * s + y * c) + oy) for x, y in ring]
        for ring in rings
    ]
    return placed, scale


def _profile(mode: str, rnd: random.Random, scale: float) -> list[tuple[float, float]]:
    slope = rnd.choice((0.25, 0.5, 0.5, 0.75, 1.0))
    if mode == "all":
        mode = rnd.choice(MODES[:-1])
    if mode == "equal":
        return [(0.0, 0.5)]
    if mode == "gable":
        return [(0.0, math.inf if rnd.random() < 0.2 else 0.5)]
    if mode == "eaves":
        return [(rnd.choice((0.0, 0.0, 1.0, 1.5)) * scale, slope)]
    if mode == "profile":
        return rnd.choice(
            (
                [(0.0, slope)],
                [(0.0, 2.0), (scale, 0.4)],
                [(0.0, math.inf), (0.7 * scale, 0.5)],
                [(0.0, 0.5), (1.1 * scale, 1.0)],
                [(0.0, 0.5), (0.8 * scale, math.inf), (1.4 * scale, 0.5)],
            )
        )
    return [(0.0, slope)]
