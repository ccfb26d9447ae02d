"""Offset, split, lengths, squaring up and courtyards, against corners known by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.document import Point, Project
from roofmodel.document.drawing_edits import (
    add_courtyard,
    main_direction,
    offset_edge,
    set_edge_length,
    split_edge,
    square_up,
)
from roofmodel.errors import DocumentError
from tests.houses import FT, L_SHAPE, RECTANGLE, project, section

IN = 25.4
COURTYARD: tuple[Point, ...] = ((10, 8), (10, 16), (30, 16), (30, 8))


def job(corners: Sequence[Point], *courtyards: Sequence[Point]) -> Project:
    slopes = [0.5] * (len(corners) + sum(map(len, courtyards)))
    return project(section(corners, slopes, courtyards_ft=courtyards))


def feet(done: Project, ring: int = 0) -> list[tuple[float, float]]:
    return [
        (round(x / FT, 6), round(y / FT, 6)) for x, y in done.section("s1").rings[ring].corners
    ]


def test_an_edge_moves_outwards_and_its_neighbours_slide() -> None:
    done = offset_edge(job(RECTANGLE), "s1", ["e2"], 2 * FT)
    assert feet(done) == [(0, 0), (42, 0), (42, 24), (0, 24)]
    assert feet(offset_edge(job(RECTANGLE), "s1", ["e2"], -2 * FT))[1] == (38, 0)


def test_neighbours_slide_along_their_own_lines() -> None:
    """A trapezium whose sides lean 1 in 2: 4 ft out, the top is 2 ft shorter at each end."""
    done = offset_edge(job([(0, 0), (40, 0), (34, 12), (6, 12)]), "s1", ["e3"], 4 * FT)
    assert feet(done) == [(0, 0), (40, 0), (32, 16), (8, 16)]


def test_a_courtyard_grows_into_the_roof_when_its_edge_moves_inwards() -> None:
    before = job(RECTANGLE, COURTYARD)
    done = offset_edge(before, "s1", ["e5"], -2 * FT)
    assert feet(done, 1) == [(8, 8), (8, 16), (30, 16), (30, 8)]
    assert done.section("s1").rings[0] is before.section("s1").rings[0]


def test_an_edge_in_line_with_its_neighbour_gets_a_step() -> None:
    done = offset_edge(job([(0, 0), (20, 0), (40, 0), (40, 24), (0, 24)]), "s1", ["e2"], 2 * FT)
    assert feet(done) == [(0, 0), (20, 0), (20, -2), (40, -2), (40, 24), (0, 24)]
    edges = done.section("s1").rings[0].edges
    assert [e.id for e in edges] == ["e1", "e6", "e2", "e3", "e4", "e5"]


def test_two_edges_at_once() -> None:
    done = offset_edge(job(RECTANGLE), "s1", ["e1", "e2"], FT)
    assert feet(done) == [(0, -1), (41, -1), (41, 24), (0, 24)]


def test_an_offset_that_swallows_an_edge_is_refused() -> None:
    for edge, distance in (("e2", -40 * FT), ("e4", -17 * FT), ("e1", math.inf), ("e9", 1.0)):
        with pytest.raises(DocumentError) as error:
            offset_edge(job(L_SHAPE), "s1", [edge], distance)
        assert str(error.value).endswith(".")
    with pytest.raises(DocumentError, match="cross itself"):
        offset_edge(job(RECTANGLE, COURTYARD), "s1", ["e1"], -9 * FT)


def test_nothing_to_do_gives_the_very_same_project() -> None:
    before = job(RECTANGLE)
    assert offset_edge(before, "s1", ["e1"], 0.0) is before
    assert square_up(before, "s1").project is before


@given(st.integers(0, 5), st.floats(-7, 30))
def test_an_offset_can_be_taken_back(edge: int, distance: float) -> None:
    before = job(L_SHAPE)
    try:
        there = offset_edge(before, "s1", [f"e{edge + 1}"], distance * FT)
    except DocumentError:
        return
    back = offset_edge(there, "s1", [f"e{edge + 1}"], -distance * FT)
    assert np.allclose(feet(back), feet(before), atol=1e-5)


def test_an_edge_is_split_where_it_is_clicked_or_at_a_length() -> None:
    done = split_edge(job(RECTANGLE), "s1", "e2", (41 * FT, 10 * FT))
    assert feet(done) == [(0, 0), (40, 0), (40, 10), (40, 24), (0, 24)]
    assert feet(split_edge(job(RECTANGLE), "s1", "e3", 12.5 * FT))[3] == (27.5, 24)
    for at in (0.0, 40 * FT, (55 * FT, 0.0)):
        with pytest.raises(DocumentError, match="between"):
            split_edge(job(RECTANGLE), "s1", "e1", at)


def test_a_length_is_set_and_square_corners_stay_square() -> None:
    done = set_edge_length(job(L_SHAPE), "s1", "e1", 44 * FT)
    assert feet(done) == [(0, 0), (44, 0), (44, 24), (16, 24), (16, 40), (0, 40)]
    done = set_edge_length(job(L_SHAPE), "s1", "e6", 30 * FT)
    assert feet(done) == [(0, 10), (40, 10), (40, 24), (16, 24), (16, 40), (0, 40)]


def test_a_length_is_set_on_a_triangle_too() -> None:
    done = set_edge_length(job([(0, 0), (40, 0), (0, 30)]), "s1", "e1", 20 * FT)
    assert feet(done) == [(0, 0), (20, 0), (0, 30)]


def test_a_length_that_turns_an_edge_round_is_refused() -> None:
    for length in (0.0, -5.0, 15 * FT, math.nan):
        with pytest.raises(DocumentError):
            set_edge_length(job(L_SHAPE), "s1", "e1", length)


def turned(corners: Sequence[Point], degrees: float) -> list[Point]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x * c - y * s, x * s + y * c) for x, y in corners]


def test_the_main_direction_of_a_turned_house() -> None:
    for degrees in (0.0, 12.0, 44.0, 89.0):
        found = main_direction(job(turned(L_SHAPE, degrees)).section("s1"))
        assert found == pytest.approx(degrees)


def test_what_was_drawn_exactly_gives_the_direction() -> None:
    """One corner of a turned rectangle is off: two sides still run exactly as they did."""
    crooked = turned(RECTANGLE, 20.0)
    crooked[2] = (crooked[2][0] + 1.0, crooked[2][1])
    assert main_direction(job(crooked).section("s1")) == pytest.approx(20.0, abs=1e-9)


def test_squaring_up_moves_corners_as_little_as_can_be() -> None:
    """One corner of a rectangle 4 in too far east, along a given direction: the least change
    shares it between the two corners of the side that leans, 2 in each."""
    crooked = [(0, 0), (40 + 4 / 12, 0), (40, 24), (0, 24)]
    done = square_up(job(crooked), "s1", 0.0)
    wanted = [(0, 0), (40 + 2 / 12, 0), (40 + 2 / 12, 24), (0, 24)]
    assert np.allclose(feet(done.project), wanted, atol=1e-5)
    assert done.moved == pytest.approx((0, 2 * IN, 2 * IN, 0), abs=1e-3)
    assert done.most == pytest.approx(2 * IN, abs=1e-3)


def test_bays_at_45_degrees_and_odd_edges_are_kept() -> None:
    bay = [
        (0, 0),
        (10, 0),
        (13, -3.05),
        (20, -3),
        (23.1, 0),
        (40, 0.1),
        (40, 24),
        (9, 31),
        (0, 24),
    ]
    done = square_up(job(bay), "s1", 0.0)
    corners = feet(done.project)

    def way(k: int) -> float:
        (ax, ay), (bx, by) = corners[k], corners[(k + 1) % len(corners)]
        return math.degrees(math.atan2(by - ay, bx - ax))

    assert [way(k) for k in range(6)] == pytest.approx([0, -45, 0, 45, 0, 90], abs=1e-4)
    assert way(6) % 90 > 10  # a slanting wall stays one


@given(
    st.lists(st.tuples(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4)), min_size=6, max_size=6),
    st.floats(0, 90),
)
def test_any_nearly_square_outline_comes_out_square(
    shifts: list[tuple[float, float]], degrees: float
) -> None:
    crooked = [
        (x + dx, y + dy) for (x, y), (dx, dy) in zip(turned(L_SHAPE, degrees), shifts, strict=True)
    ]
    done = square_up(job(crooked), "s1")
    corners = np.array(done.project.section("s1").rings[0].corners)
    step = np.roll(corners, -1, axis=0) - corners
    across = np.sum(step * np.roll(step, -1, axis=0), axis=1)
    assert np.abs(across).max() < 1e-5 * np.abs(step).max() ** 2
    assert done.most < 1.5 * FT


def test_a_courtyard_is_taken_out() -> None:
    done = add_courtyard(job(RECTANGLE), "s1", [(x * FT, y * FT) for x, y in COURTYARD[::-1]])
    ring = done.section("s1").rings[1]
    assert sorted(feet(done, 1)) == sorted(COURTYARD)
    assert [e.id for e in ring.edges] == ["e5", "e6", "e7", "e8"]
    assert done.section("s1").ids_used == 8
    for ring_ft in (((30, 8), (50, 8), (50, 16), (30, 16)), ((0, 4), (9, 4), (9, 9), (0, 9))):
        with pytest.raises(DocumentError, match="wholly inside"):
            add_courtyard(job(RECTANGLE), "s1", [(x * FT, y * FT) for x, y in ring_ft])
    with pytest.raises(DocumentError, match="wholly inside"):
        add_courtyard(done, "s1", [(12 * FT, 9 * FT), (14 * FT, 9 * FT), (14 * FT, 12 * FT)])
