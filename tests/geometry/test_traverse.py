"""Lines run by tape: reading, running, misclosure."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.document import Units
from roofmodel.errors import TextError
from roofmodel.geometry.traverse import (
    Leg,
    compass_point,
    misclosure,
    parse_leg,
    parse_outline,
    run,
    spread,
)

FT, IN = 304.8, 25.4


@pytest.mark.parametrize(
    ("text", "leg"),
    [
        ("40' E", Leg(40 * FT, 90.0)),
        ("24' N", Leg(24 * FT, 0.0)),
        ("40e", Leg(40 * FT, 90.0)),
        ("12 ft north-west", Leg(12 * FT, 315.0)),
        ("E 40'", Leg(40 * FT, 90.0)),
        ("5 in n", Leg(5 * IN, 0.0)),
        ("R 16'", Leg(16 * FT, turn=-90.0)),
        ("16 r", Leg(16 * FT, turn=-90.0)),
        ("L 12' 6", Leg(12.5 * FT, turn=90.0)),
        ("12' 6 left 30°", Leg(12.5 * FT, turn=30.0)),
        ("L 45° 12' 6", Leg(12.5 * FT, turn=45.0)),
        ("12' 8\" at 37.5°", Leg(152 * IN, 37.5)),
        ("12' 8\" 37.5°", Leg(152 * IN, 37.5)),
        ("12' 37.5°", Leg(12 * FT, 37.5)),
        ("12' 6 < 45", Leg(12.5 * FT, 45.0)),
        ("12' 6 < L 45", Leg(12.5 * FT, turn=45.0)),
        ("N45E 40'", Leg(40 * FT, 45.0)),
        ("S 12° 30' W 7.5 m", Leg(7500.0, 192.5)),
        ("16\u2019 N30W", Leg(16 * FT, 330.0)),
        ("12-6-1/2 s", Leg(150.5 * IN, 180.0)),
        ("3500 mm w", Leg(3500.0, 270.0)),
        ("17'", Leg(17 * FT)),
    ],
)  # fmt: skip
def test_a_leg_is_read(text: str, leg: Leg) -> None:
    found = parse_leg(text)
    assert found.length == pytest.approx(leg.length)
    assert (found.bearing, found.turn) == (leg.bearing, leg.turn)


def test_a_bare_number_is_in_the_jobs_unit() -> None:
    assert parse_leg("3500 e", "mm") == Leg(3500.0, 90.0)


@pytest.mark.parametrize(
    "text",
    ["", "E", "L 45 12'", "12 6 e", "12 <", "12 < upwards", "-4 e", "N 91 E 10", "40' x 3",
     "9" * 99],
)  # fmt: skip
def test_what_is_no_leg_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(TextError) as error:
        parse_leg(text)
    assert str(error.value).endswith((".", "'."))


@given(st.text(max_size=30))
def test_any_text_is_a_leg_or_refused(text: str) -> None:
    try:
        leg = parse_leg(text)
    except TextError:
        return
    assert math.isfinite(leg.length)


def test_wrong_lines_are_told_with_their_numbers() -> None:
    legs, faults = parse_outline("40' E\n\nfoo  # a note\n24' N; 16\n0 S")
    assert [leg.bearing for leg in legs] == [90.0, 0.0]
    assert [f.line for f in faults] == [3, 4, 5]
    assert faults[0].sentence.startswith("Line 3: 'foo'")
    assert "does not say where it runs" in faults[1].sentence


def test_turns_and_compass_points_run_the_same_house() -> None:
    by_compass, _ = parse_outline("40 E\n24 N\n24 W\n16 N\n16 W\n40 S")
    by_turns, _ = parse_outline("40\nL 24\nL 24\nR 16\nL 16\nL 40")
    corners = run(by_compass)
    assert corners == run(by_turns)
    assert corners[-1] == pytest.approx((0.0, 0.0))
    assert corners[2] == pytest.approx((40 * FT, 24 * FT))
    assert misclosure(corners).words(Units()) == "It closes."


def test_a_bearing_is_clockwise_from_north() -> None:
    (_, end) = run([Leg(10.0, 30.0)])
    assert end == pytest.approx((5.0, 10.0 * math.cos(math.radians(30.0))))


def test_the_misclosure_in_words() -> None:
    """50 ft round, ends 6 in north of where it began: 1 in 100."""
    legs, _ = parse_outline("15 E\n10 N\n15 W\n9' 6 S")
    missed = misclosure(run(legs))
    assert missed.length == pytest.approx(6 * IN)
    assert missed.words(Units()) == (
        "It ends 0'-6\" north of where it began (1 in 99 of the way round)."
    )
    assert [compass_point(b) for b in (359, 44, -90)] == ["north", "north-east", "west"]


def test_the_misclosure_is_spread_in_proportion_to_length() -> None:
    """Sides 30, 20, 30, 20 with the last 1 short: each corner moves by its share of the way."""
    points = ((0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0), (0.0, 1.0))
    moved = spread(points)
    assert moved[0] == moved[-1] == (0.0, 0.0)
    for old, new, gone in zip(points, moved, (0, 30, 50, 80, 99), strict=True):
        assert new == pytest.approx((old[0], old[1] - gone / 99))


@given(st.lists(st.tuples(st.floats(1, 1e4), st.floats(0, 360)), min_size=3, max_size=12))
def test_spreading_always_closes(legs: list[tuple[float, float]]) -> None:
    points = run([Leg(length, bearing) for length, bearing in legs])
    moved = spread(points)
    missed = misclosure(points)
    assert moved[0] == moved[-1]
    for old, new in zip(points, moved, strict=True):
        assert math.dist(old, new) <= missed.length + 1e-6
