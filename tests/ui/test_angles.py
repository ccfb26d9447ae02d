"""Angles and bearings as they are typed and shown."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from roofmodel.errors import RoofmodelError
from roofmodel_ui.panels.angles import (
    parse_bearing,
    parse_degrees,
    parse_pitch,
    show_bearing,
    show_degrees,
    show_pitch,
)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("30", 30.0), (" 12.5° ", 12.5), ("12,5", 12.5), ("-90", 270.0), ("450 degrees", 90.0)],
)
def test_degrees(text: str, degrees: float) -> None:
    assert parse_degrees(text) == pytest.approx(degrees)


@pytest.mark.parametrize(
    ("text", "bearing"),
    [("south", 180.0), ("South West", 225.0), ("north-east", 45.0), ("359.5", 359.5)],
)
def test_bearings(text: str, bearing: float) -> None:
    assert parse_bearing(text) == bearing


@pytest.mark.parametrize("bearing", [0.0, 45.0, 180.0, 315.0, 200.0, 12.25])
def test_bearings_are_read_as_they_are_shown(bearing: float) -> None:
    assert parse_bearing(show_bearing(bearing)) == pytest.approx(bearing)
    assert parse_degrees(show_degrees(bearing)) == pytest.approx(bearing)


def test_pitches_may_be_none() -> None:
    assert parse_pitch("flat") == parse_pitch("0/12") == 0.0
    assert parse_pitch("6/12") == 0.5
    assert [show_pitch(s) for s in (0.0, 0.5)] == ["flat", "6/12"]


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (parse_degrees, ""), (parse_degrees, "nan"), (parse_degrees, "1e9"),
        (parse_degrees, "left"), (parse_bearing, "up"), (parse_bearing, "180° of it"),
        (parse_pitch, "steep"), (parse_pitch, "-1"),
    ],
)  # fmt: skip
def test_what_says_nothing_is_refused_in_a_sentence(
    parse: Callable[[str], float], text: str
) -> None:
    with pytest.raises(RoofmodelError) as caught:
        parse(text)
    assert str(caught.value).endswith(".")
