"""The checker itself: it must find what is broken on purpose, and where water would stop."""

from __future__ import annotations

import dataclasses
import timeit
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from roofmodel.skeleton import DECK, Face, Solved, solve
from roofmodel.skeleton.check import faults_of, quick_faults
from roofmodel.skeleton.water import FLAT_PIECE, LEVEL_VALLEY, LEVEL_WALL, PIT, water_stops
from tests.houses import GABLE, L_SHAPE, RECTANGLE

Point = tuple[float, float, float]
Profile = list[tuple[float, float]]
HIP: Profile = [(0.0, 0.5)]
END: Profile = [(0.0, GABLE)]
YARD = ((15, 8), (25, 8), (25, 16), (15, 16))


def roof(points: dict[int, Point], *rings: tuple[int, ...], walls: Sequence[int] = ()) -> Solved:
    """A roof put together by hand: its points, the points around each face, which are walls."""
    return Solved(
        tuple(
            Face(k, 0, np.array([points[n] for n in ring], dtype=float), k in walls, ring)
            for k, ring in enumerate(rings)
        )
    )


CLOSED_FORMS: dict[str, tuple[list[Any], list[Profile], float | None]] = {
    "hips": ([RECTANGLE], [HIP] * 4, None),
    "gables": ([RECTANGLE], [HIP, END, HIP, END], None),
    "an L": ([L_SHAPE], [HIP] * 6, None),
    "a gable at an inside corner": ([L_SHAPE], [HIP, HIP, HIP, END, HIP, HIP], None),
    "a deck": ([RECTANGLE], [HIP] * 4, 2.0),
    "unlike eaves": ([RECTANGLE], [HIP, END, [(2.0, 0.5)], END], None),
    "a gable above a hip": ([RECTANGLE], [HIP, [(0.0, 0.5), (3.0, GABLE)]] * 2, None),
    "a wall across the plane": (
        [RECTANGLE], [[(0.0, 0.5), (2.0, GABLE), (3.0, 0.5)], END] * 2, None,
    ),
    "a courtyard": ([RECTANGLE, YARD], [HIP] * 8, None),
    "a courtyard of gables": ([RECTANGLE, YARD], [HIP] * 4 + [END] * 4, None),
    "a courtyard with a deck": ([RECTANGLE, YARD], [HIP] * 8, 1.0),
    "a step wall": (
        [((0, 0), (20, 0), (40, 0), (40, 24), (0, 24))], [HIP, [(0.0, 1.0)], END, HIP, END], None,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_water_runs_off_every_closed_form(name: str) -> None:
    rings, profiles, deck = CLOSED_FORMS[name]
    solved = solve(rings, profiles, deck_height=deck)
    assert water_stops(solved) == ()
    assert faults_of(rings, profiles, solved) == []
    assert quick_faults(rings, solved) == []


def test_a_shaft_closed_by_step_walls_is_told_and_drains() -> None:
    # three eaves start late, one is higher still: step walls close in a tower, flat on top; its
    # water falls off its walls, since everything around it was swept before
    corners = [
        (2.0, 1.0), (2.0, 2.5), (1.5, 2.5), (1.5, 3.0), (2.0, 3.0), (2.0, 4.0), (3.0, 4.0),
        (3.0, 5.5), (6.0, 5.5), (6.0, 2.5), (3.5, 2.5), (3.5, 1.0),
    ]  # fmt: skip
    eaves = [1.0, 0, 0, 1.0, 1.0, 1.0, 1.0, 0, 0, 1.5, 0, 1.5]
    slopes = [0.75, 0.75, 0.5, 0.5, 0.25, 1, 1, 0.5, 0.75, 0.75, 0.5, 1]
    profiles = [[(h, s)] for h, s in zip(eaves, slopes, strict=True)]
    solved = solve([corners], profiles)
    assert [f for f in solved.faces if f.edge == DECK]
    assert water_stops(solved) == ()


def test_two_planes_against_each_other_hold_water_unless_their_valley_falls() -> None:
    points: dict[int, Point] = {
        1: (0, 0, 4), 2: (20, 0, 0), 3: (40, 0, 4), 4: (40, 24, 4), 5: (20, 24, 0), 6: (0, 24, 4),
    }  # fmt: skip
    planes = (1, 2, 5, 6), (2, 3, 4, 5)
    assert water_stops(roof(points, *planes)) == ((LEVEL_VALLEY, (20.0, 12.0)),)
    # the valley's north end raised by 1, and both eaves with it, so that the planes stay plane
    falling = points | {4: (40, 24, 5), 5: (20, 24, 1), 6: (0, 24, 5)}
    assert water_stops(roof(falling, *planes)) == ()


def test_a_plane_that_falls_against_a_wall_holds_water() -> None:
    # a wall on the level line 5-2, seen from the west; another plane starts from its top
    points: dict[int, Point] = {
        1: (0, 0, 4), 2: (20, 0, 0), 5: (20, 24, 0), 6: (0, 24, 4),
        9: (20, 0, 6), 10: (20, 24, 6), 11: (40, 0, 8), 12: (40, 24, 8),
    }  # fmt: skip
    rings = (1, 2, 5, 6), (5, 2, 9, 10), (9, 11, 12, 10)
    assert water_stops(roof(points, *rings, walls=[1])) == ((LEVEL_WALL, (20.0, 12.0)),)
    # where the lower plane rises towards the wall, the upper one's water falls off on to it
    rising = points | {1: (0, 0, -4), 6: (0, 24, -4)}
    assert water_stops(roof(rising, *rings, walls=[1])) == ()


def test_a_funnel_ends_in_a_pit() -> None:
    # four planes that fall to one point in the middle: four valleys, one corner
    points: dict[int, Point] = {
        1: (0, 0, 4), 2: (8, 0, 4), 3: (8, 8, 4), 4: (0, 8, 4), 5: (4, 4, 0),
    }  # fmt: skip
    sides = (1, 2, 5), (2, 3, 5), (3, 4, 5), (4, 1, 5)
    assert water_stops(roof(points, *sides)) == ((PIT, (4.0, 4.0)),)


def test_a_flat_piece_between_rising_planes_holds_water() -> None:
    points: dict[int, Point] = {
        1: (2, 2, 0), 2: (6, 2, 0), 3: (6, 6, 0), 4: (2, 6, 0),
        5: (0, 0, 2), 6: (8, 0, 2), 7: (8, 8, 2), 8: (0, 8, 2),
    }  # fmt: skip
    rings = ((1, 2, 3, 4), (5, 6, 2, 1), (6, 7, 3, 2), (7, 8, 4, 3), (8, 5, 1, 4))
    flat, *planes = roof(points, *rings).faces
    faces = (
        dataclasses.replace(flat, edge=DECK),
        *(dataclasses.replace(f, edge=f.edge - 1) for f in planes),
    )
    assert (FLAT_PIECE, (4.0, 2.0)) in water_stops(Solved(faces))
    told = Solved(faces, (("It is flat.", (4.0, 2.0)),))
    square = ((0, 0), (8, 0), (8, 8), (0, 8))
    for solved, expected in ((Solved(faces), True), (told, False)):
        faults = faults_of([square], [HIP] * 4, solved)
        assert any(FLAT_PIECE in f for f in faults) == expected


def broken(solved: Solved, **changes: object) -> Solved:
    first = dataclasses.replace(solved.faces[0], **changes)  # type: ignore[arg-type]
    return Solved((first, *solved.faces[1:]))


def test_broken_roofs_are_found() -> None:
    solved = solve([RECTANGLE], [HIP] * 4)
    one = solved.faces[0]
    lifted = one.vertices + np.array([0.0, 0.0, 1.0])
    cases = {
        "leaves its plane": broken(solved, vertices=lifted),
        "turned over": broken(solved, vertices=one.vertices[::-1], nodes=one.nodes[::-1]),
        "cover 0.": Solved(solved.faces[1:]),
        "stands on nothing": broken(solved, step=1),
    }
    for words, roof in cases.items():
        profiles = [[(0.0, 0.5), (9.0, 0.5)]] * 4
        if words == "cover 0.":
            assert any(words in f for f in quick_faults([RECTANGLE], roof))
            continue
        assert any(words in f for f in faults_of([RECTANGLE], profiles, roof)), words
    assert any("turned over" in f for f in quick_faults([RECTANGLE], cases["turned over"]))


def test_the_quick_check_takes_less_than_a_millisecond() -> None:
    solved = solve([RECTANGLE, YARD], [HIP] * 8)
    best = min(timeit.repeat(lambda: quick_faults([RECTANGLE, YARD], solved), number=10, repeat=5))
    assert best / 10 < 1e-3
