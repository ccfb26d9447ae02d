"""Outlines that are square only nearly: what a tracing or a rounded survey gives."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import pytest
from msgspec.structs import replace

from roofmodel.document import OutlineEdge, Point, Ring, Section, Step
from roofmodel.geometry import signed_area
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind
from tests.houses import GABLE, L_SHAPE, RECTANGLE, project, section


def in_mm(corners: Sequence[Point], slopes: Sequence[float] | None = None) -> Section:
    steps = [Step(0.0, s) for s in slopes or [0.5] * len(corners)]
    edges = tuple(OutlineEdge(f"e{k}", (step,)) for k, step in enumerate(steps))
    return Section("s1", "House", (Ring(tuple(corners), edges),), eave_height=0.0)


def check_cover(results: Results, corners: Sequence[Point]) -> None:
    assert not [p for p in results.problems if p.serious]
    plan = sum(p.plan_area for p in results.surface.planes)
    assert plan == pytest.approx(abs(signed_area(corners)), rel=1e-4)
    assert min(e.length for e in results.surface.edges) > 0.5


NEARLY: list[list[Point]] = [
    [(0, 0), (12000, 0), (12000, 8000), (8000.001, 8000), (8000.001, 14000), (0, 14000)],
    [(0, 0), (8000, 0), (8000, 8000.001), (0, 8000.001)],
    [(0, 0), (9144, 0), (9144, 9144.3), (0, 9144.3)],
]


@pytest.mark.parametrize("corners", NEARLY)
def test_nearly_square_outlines_lose_nothing(corners: list[Point]) -> None:
    """Found in review: corners a micrometre apart were both dropped, and the plane with them."""
    check_cover(results_of(project(in_mm(corners))), corners)


@pytest.mark.parametrize("seed", range(60))
def test_turned_and_rounded_outlines_lose_nothing(seed: int) -> None:
    rnd = random.Random(seed)
    shape: tuple[Point, ...] = rnd.choice((RECTANGLE, L_SHAPE))
    digits = rnd.choice((0, 1, 2, 3, 4))
    angle = rnd.uniform(0, 6)
    c, s = math.cos(angle), math.sin(angle)
    corners = [
        (round(304.8 * (x * c - y * s), digits), round(304.8 * (x * s + y * c), digits))
        for x, y in shape
    ]
    slopes = [rnd.choice((0.5, 0.5, 0.75)) for _ in corners]
    check_cover(results_of(project(in_mm(corners, slopes))), corners)


def test_a_millimetre_ridge_is_no_ridge() -> None:
    results = results_of(project(in_mm(NEARLY[2])))
    assert EdgeKind.RIDGE not in {e.kind for e in results.surface.edges}
    assert not [q for q in results.take_off.quantities if q.item.startswith("Ridge trim")]


def test_a_gable_a_degree_out_of_square_is_a_plain_rake() -> None:
    skewed = [(0, 0), (40, 0), (40.4, 24), (0.3, 24.2)]
    results = results_of(project(section(skewed, [0.5, GABLE, 0.5, GABLE])))
    rakes = [e for e in results.surface.edges if e.kind is EdgeKind.RAKE]
    assert len(rakes) == 4
    assert not [e.remark for e in rakes if e.remark]


def test_a_deck_ends_in_deck_edges_at_a_gable() -> None:
    one = section(RECTANGLE, [0.5, GABLE, 0.5, 0.5])
    results = results_of(project(replace(one, deck_height=1000.0)))
    deck = next(p for p in results.surface.planes if p.slope == 0.0)
    kinds = {e.kind for e in results.surface.edges if deck.id in e.planes}
    assert kinds == {EdgeKind.DECK_EDGE}
