"""Random outlines with random profiles, by seed: rectilinear, skewed, with turned courtyards,
stars, combs, spirals, nearly degenerate ones, now and then thousands of corners; from doll's
house to stadium, far from the origin, turned by any angle."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from roofmodel.errors import OutlineError
from roofmodel.skeleton import solve
from roofmodel.skeleton.check import faults_of

Ring = list[tuple[float, float]]
MODES = ("equal", "random", "gable", "profile", "eaves", "deck", "all")
FIRST = ("rectilinear", "rectilinear", "star", "comb", "regular")
"""The families of the first campaigns: failures kept by their seeds hang on this tuple."""
SHAPES = (*FIRST, "skewed", "yards", "yards", "spiral", "split", "split")
"""The families of today; kept failures hang on this tuple too, so a new family needs another."""
LARGE_SHARE = 1 / 2000


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
    def of(cls, seed: int, shapes: Sequence[str] = SHAPES) -> RandomHouse:
        """The house of a seed, of one of these families."""
        rnd = random.Random(seed)
        # its own generator, so that the seeds of `FIRST` stay what they are
        large = shapes is not FIRST and random.Random(f"large {seed}").random() < LARGE_SHARE
        rings, scale = _placed(_large(rnd) if large else _shape(rnd, shapes), rnd)
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


def _shape(rnd: random.Random, shapes: Sequence[str] = SHAPES) -> list[Ring]:
    kind = rnd.choice(shapes)
    if kind == "rectilinear":
        return _rectilinear(rnd)
    if kind == "skewed":
        lean = rnd.choice((0.5, 1.0, -0.3, rnd.uniform(-2.0, 2.0)))
        return [[(x + lean * y, y) for x, y in ring] for ring in _rectilinear(rnd)]
    if kind == "yards":
        return _with_yards(_shape(rnd, FIRST), rnd)
    if kind == "split":
        return [_split(ring, rnd) for ring in _shape(rnd, SHAPES[:-2])]
    if kind == "spiral":
        return _spiral(rnd.randint(2, 14), rnd)
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


def _with_yards(rings: list[Ring], rnd: random.Random) -> list[Ring]:
    """Courtyards of any shape, turned by any angle, wherever they fit."""
    free: BaseGeometry = shapely.Polygon(rings[0], rings[1:])
    left, bottom, right, top = free.bounds
    out = list(rings)
    for _ in range(rnd.randint(1, 12)):
        n = rnd.randint(3, 9)
        if rnd.random() < 0.4:
            yard = shapely.box(-1.0, -0.7, 1.0, 0.7)
        else:
            radii = [rnd.choice((1.0, 1.0, 0.4, rnd.uniform(0.3, 1.5))) for _ in range(n)]
            angles = [2.0 * math.pi * k / n for k in range(n)]
            yard = shapely.Polygon(
                [(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]
            )
        width = rnd.choice((0.05, 0.1, 0.2)) * (right - left)
        depth = width * rnd.choice((1.0, 1.0, 0.2))
        degrees = rnd.choice((0.0, 45.0, rnd.uniform(0, 180)))
        # on a coarse grid, so that courtyards stand in line with each other and with corners
        x = left + (right - left) * rnd.randint(1, 15) / 16.0
        y = bottom + (top - bottom) * rnd.randint(1, 15) / 16.0
        yard = yard_at(yard, width, depth, degrees, (x, y))
        if yard.is_valid and free.contains_properly(yard):
            free = free.difference(yard)
            out.append(ring_of(yard.exterior))
    return out


def yard_at(
    shape: shapely.Polygon, width: float, depth: float, degrees: float, to: tuple[float, float]
) -> shapely.Polygon:
    """A shape around the origin, scaled, turned and moved."""
    placed = affinity.scale(shape, width, depth, origin=(0, 0))
    placed = affinity.translate(affinity.rotate(placed, degrees, origin=(0, 0)), *to)
    assert isinstance(placed, shapely.Polygon)
    return placed


def ring_of(line: shapely.LinearRing) -> Ring:
    """The corners of a closed line, the first not repeated."""
    return [(x, y) for x, y in line.coords[:-1]]


def rings_of(polygon: shapely.Polygon) -> list[Ring]:
    """The outline and the courtyards of a union of boxes, without corners in line. Courtyards
    that touch the outline or each other in a point would be refused: they are filled."""
    simple = polygon.simplify(0.0)
    assert isinstance(simple, shapely.Polygon)
    whole = shapely.Polygon(simple.exterior)
    yards = [shapely.Polygon(r) for r in simple.interiors]
    return [ring_of(whole.exterior)] + [
        ring_of(y.exterior)
        for k, y in enumerate(yards)
        if whole.contains_properly(y) and y.disjoint(shapely.union_all(yards[:k]))
    ]


def largest_part(shape: shapely.Geometry) -> shapely.Polygon:
    """A polygon itself, or the largest of several."""
    parts = shape.geoms if isinstance(shape, shapely.MultiPolygon) else [shape]
    return max((p for p in parts if isinstance(p, shapely.Polygon)), key=lambda p: p.area)


def _split(ring: Ring, rnd: random.Random) -> Ring:
    """More corners on some edges, in line or a hair off: neighbours on one line."""
    out: Ring = []
    share = rnd.choice((0.1, 0.3, 0.6))
    for (x, y), (x2, y2) in zip(ring, ring[1:] + ring[:1], strict=True):
        out.append((x, y))
        if rnd.random() < share:
            t = rnd.choice((0.5, 0.25, rnd.uniform(0.1, 0.9)))
            off = rnd.choice((0.0, 0.0, 0.0, 10.0 ** rnd.uniform(-12, -2)))
            dx, dy = x2 - x, y2 - y
            out.append((x + t * dx - off * dy, y + t * dy + off * dx))
    return out


def _spiral(arms: int, rnd: random.Random, square: bool = False) -> list[Ring]:
    """A corridor that winds inward, square or round."""
    if square or rnd.random() < 0.5:
        path, x, y, dx, dy = [(0.0, 0.0)], 0.0, 0.0, 1.0, 0.0
        for k in range(arms, 0, -1):
            x, y = x + dx * k, y + dy * k
            path.append((x, y))
            dx, dy = -dy, dx
    else:
        per_turn = rnd.randint(4, 12)
        path = []
        for k in range(min(30, 2 * arms + 3)):
            radius = 1.0 + k / per_turn
            angle = 2.0 * math.pi * k / per_turn
            path.append((radius * math.cos(angle), radius * math.sin(angle)))
    wide = rnd.choice((0.25, 0.125, 0.4, rnd.uniform(0.05, 0.4)))
    corridor = shapely.LineString(path).buffer(wide, cap_style="flat", join_style="mitre")
    assert isinstance(corridor, shapely.Polygon)
    return [list(r.coords)[:-1] for r in (corridor.exterior, *corridor.interiors)]


def _large(rnd: random.Random) -> list[Ring]:
    """Hundreds to thousands of corners."""
    n = int(10.0 ** rnd.uniform(2.3, 3.5))
    kind = rnd.choice(("star", "comb", "town", "spiral"))
    if kind == "comb":
        return [_comb(n // 4, rnd.uniform(0.5, 5.0))]
    if kind == "spiral":
        return _spiral(n // 2, rnd, square=True)
    if kind == "star":
        turn = 2.0 * math.pi / n
        radii = [n * rnd.uniform(0.8, 1.0) for _ in range(n)]
        return [[(r * math.cos(k * turn), r * math.sin(k * turn)) for k, r in enumerate(radii)]]
    while True:
        side = int(1.3 * math.sqrt(n)) + 2
        corners = [(rnd.randint(0, side), rnd.randint(0, side)) for _ in range(n // 3)]
        union = shapely.union_all(
            [shapely.box(x, y, x + rnd.randint(1, 4), y + rnd.randint(1, 4)) for x, y in corners]
        )
        rings = rings_of(largest_part(union))
        if shapely.Polygon(rings[0]).is_valid:
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
