"""Outlines, profiles and houses as hypothesis strategies.

Each shrinks to something a person can draw: fewer boxes, arms, corners and courtyards, whole
numbers, no turn, no distance, the first recipe of each list (a square, one pitch). What an
outline loses on the way takes nothing else with it: profiles are recipes dealt out in turn, and
courtyards that do not fit are left away.
"""

from __future__ import annotations

import math

import shapely
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from tests.skeleton.random_outlines import (
    RandomHouse,
    Ring,
    largest_part,
    ring_of,
    rings_of,
    yard_at,
)

Profile = list[tuple[float, float]]
Rings = list[Ring]

RECIPES: tuple[tuple[tuple[float, float], ...], ...] = (
    ((0.0, 0.5),),
    ((0.0, 1.0),),
    ((0.0, 0.25),),
    ((0.0, 0.75),),
    ((0.0, math.inf),),
    ((1.0, 0.5),),
    ((1.5, 1.0),),
    ((0.0, 2.0), (1.0, 0.4)),
    ((0.0, 0.5), (1.1, 1.0)),
    ((0.0, math.inf), (0.7, 0.5)),
    ((0.0, 0.5), (0.8, math.inf), (1.4, 0.5)),
)
"""Profiles in units of a grid square: plain, gable, unlike eaves, bent, clipped, stepped."""

_BOX = st.tuples(st.integers(0, 8), st.integers(0, 8), st.integers(1, 6), st.integers(1, 6))


@st.composite
def rectilinear(draw: st.DrawFn) -> Rings:
    """A union of boxes on a grid, with the courtyards that it leaves."""
    boxes = [
        shapely.box(x, y, x + w, y + h)
        for x, y, w, h in draw(st.lists(_BOX, min_size=1, max_size=9))
    ]
    return rings_of(largest_part(shapely.union_all(boxes)))


@st.composite
def stars(draw: st.DrawFn) -> Rings:
    """One corner per direction; all radii alike make a regular polygon."""
    radii = draw(st.lists(st.integers(2, 12), min_size=3, max_size=16))
    n = len(radii)
    return [
        [
            (r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n))
            for k, r in enumerate(radii)
        ]
    ]


@st.composite
def skewed(draw: st.DrawFn) -> Rings:
    """Rectilinear outlines leant over: walls are parallel, corners are not square."""
    lean = draw(st.sampled_from((0.0, 1.0, 0.5, -0.3)))
    return [[(x + lean * y, y) for x, y in ring] for ring in draw(rectilinear())]


@st.composite
def with_yards(draw: st.DrawFn) -> Rings:
    """Courtyards of three to six corners turned by any angle, where they fit."""
    rings = draw(st.one_of(rectilinear(), stars()))
    free: BaseGeometry = shapely.Polygon(rings[0], rings[1:])
    yard = st.tuples(
        st.integers(-16, 16), st.integers(-16, 16), st.integers(3, 6), st.integers(1, 4),
        st.integers(0, 90),
    )  # fmt: skip
    for x, y, n, size, degrees in draw(st.lists(yard, max_size=5)):
        corners = [
            (math.cos(2 * math.pi * k / n), math.sin(2 * math.pi * k / n)) for k in range(n)
        ]
        shape = yard_at(shapely.Polygon(corners), size / 2, size / 2, degrees, (x / 2, y / 2))
        if free.contains_properly(shape):
            free = free.difference(shape)
            rings.append(ring_of(shape.exterior))
    return rings


@st.composite
def split(draw: st.DrawFn) -> Rings:
    """Outlines with corners on their edges, in line or, `off` to the side, nearly so."""
    rings = draw(st.one_of(rectilinear(), skewed()))
    for edge, off in draw(
        st.lists(
            st.tuples(st.integers(0, 40), st.sampled_from((0.0, 1e-3, 1e-6, 1e-9, 1e-12))),
            max_size=6,
        )
    ):
        ring = rings[0]
        k = edge % len(ring)
        (x, y), (x2, y2) = ring[k], ring[(k + 1) % len(ring)]
        middle = ((x + x2) / 2 - off * (y2 - y), (y + y2) / 2 + off * (x2 - x))
        ring.insert(k + 1, middle)
    return rings


def plain_outlines() -> st.SearchStrategy[Rings]:
    """Outlines whose roof does not hang on the last digit of a corner."""
    return st.one_of(rectilinear(), stars(), skewed(), with_yards())


def outlines() -> st.SearchStrategy[Rings]:
    """Any outline, also nearly degenerate ones."""
    return st.one_of(plain_outlines(), split())


def profiles(plain: bool = False) -> st.SearchStrategy[list[Profile]]:
    """Recipes to be dealt out to the edges in turn; `plain` ones have one pitch each."""
    recipes = RECIPES[:4] if plain else RECIPES
    one = st.sampled_from(recipes).map(lambda steps: [(h, s) for h, s in steps])
    return st.lists(one, min_size=1, max_size=12)


@st.composite
def houses(draw: st.DrawFn, shapes: st.SearchStrategy[Rings] | None = None) -> RandomHouse:
    """An outline anywhere, from doll's house to stadium, with profiles and perhaps a deck."""
    rings = draw(outlines() if shapes is None else shapes)
    recipes = draw(profiles())
    scale = 10.0 ** draw(st.sampled_from((0, 3, -1, 5)))
    degrees = draw(st.integers(0, 359))
    far = draw(st.booleans())
    deck = draw(st.sampled_from((None, 2.0, 3.0)))
    count = sum(map(len, rings))
    dealt = [[(h * scale, s) for h, s in recipes[k % len(recipes)]] for k in range(count)]
    placed = moved(rings, scale, degrees, (1e4 * scale, -3e3 * scale) if far else (0.0, 0.0))
    return RandomHouse(placed, dealt, None if deck is None else deck * scale, "drawn")


def moved(rings: Rings, scale: float, degrees: float, by: tuple[float, float]) -> Rings:
    """Rings turned about the origin, scaled, then moved."""
    c, s = (
        (math.cos(math.radians(degrees)), math.sin(math.radians(degrees))) if degrees else (1, 0)
    )
    return [
        [(scale * (x * c - y * s) + by[0], scale * (x * s + y * c) + by[1]) for x, y in ring]
        for ring in rings
    ]
