"""Units: what people type, what the program shows, and that the two agree."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.document import Units
from roofmodel.errors import TextError
from roofmodel.units import (
    MM2_PER_SQ_FT,
    MM_PER_FT,
    MM_PER_IN,
    format_angle,
    format_area,
    format_feet,
    format_length,
    format_slope,
    format_squares,
    parse_length,
    parse_slope,
)

FEET = Units()
METRIC = Units("metric")


@pytest.mark.parametrize(
    "text",
    [
        "24' 6 1/2\"",
        "24'-6 1/2\"",
        "24'6-1/2\"",
        "24' 6.5\"",
        "24' 6 1/2",
        "24-6-1/2",
        "24-6 1/2",
        "24 - 6.5",
        "24 ft 6 1/2 in",
        "24 feet 6.5 inches",
        "24ft. 6.5in.",
        "24\u2019 6\u00bd\u201d",
        "24\u2032 6 1\u20442\u2033",
        "24' 6 1/2''",
        '294.5"',
        "294 1/2 in",
        " 7480.3 mm ",
        "748.03 CM",
        "7.4803m",
        "7.4803 metres",
    ],
)
def test_every_way_of_writing_one_length(text: str) -> None:
    assert parse_length(text) == 7480.3
    assert parse_length(f"-{text.strip()}") == -7480.3


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("24.5'", 294.0),
        ("24.5", 294.0),
        ("24-6", 294.0),
        ("12 1/2'", 150.0),
        ('6 1/2"', 6.5),
        ('1/2"', 0.5),
        ("3/16 in", 0.1875),
        (".5'", 6.0),
        ("0'-3 1/8\"", 3.125),
        ("0", 0.0),
    ],
)
def test_lengths_in_feet_and_inches(text: str, inches: float) -> None:
    assert parse_length(text) == pytest.approx(inches * MM_PER_IN, rel=1e-15)


def test_a_bare_number_is_in_the_default_unit() -> None:
    assert parse_length("24") == 7315.2
    assert parse_length("7480", "mm") == 7480.0
    assert parse_length("24-6", "mm") == pytest.approx(294 * MM_PER_IN)


@pytest.mark.parametrize(
    "text",
    ["", "  ", "abc", "24 6", "24''6'", "6/0\"", "24' 13\"", "24' -6\" 3", "--5", "1,200 mm",
     "1e3", "nan", "inf", "24' 6 m", "9" * 12 + " m", "5" * 200, "24.5' 6\"", "\u0663 m"],
)  # fmt: skip
def test_wrong_lengths_are_refused_with_what_would_be_accepted(text: str) -> None:
    with pytest.raises(TextError, match=r"Write 24' 6 1/2\", 24-6-1/2, 24\.5'") as caught:
        parse_length(text)
    assert len(str(caught.value)) < 180
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "slope"),
    [
        ("6/12", 0.5),
        ("6:12", 0.5),
        ("6 / 12", 0.5),
        ("6 in 12", 0.5),
        ("6", 0.5),
        ("6.5/12", 6.5 / 12),
        ("6 1/2:12", 6.5 / 12),
        ("6-1/2", 6.5 / 12),
        ("1/2:12", 0.5 / 12),
        ("1:4", 0.25),
        ("50 %", 0.5),
        ("50%", 0.5),
        ("45°", 1.0),
        ("45 deg", 1.0),
        ("26.6°", math.tan(math.radians(26.6))),
        ("26.6 degrees", math.tan(math.radians(26.6))),
    ],
)
def test_pitches(text: str, slope: float) -> None:
    assert parse_slope(text) == pytest.approx(slope, rel=1e-14)


@pytest.mark.parametrize(
    "text",
    ["", "steep", "0", "0/12", "-6/12", "6/0", "6:0", "90°", "95 deg", "89.99°", "1/4", "6/10",
     "0 %", "6'", "1e2", "6//12", "1/0:12"],
)  # fmt: skip
def test_wrong_pitches_are_refused_with_what_would_be_accepted(text: str) -> None:
    with pytest.raises(TextError, match="Write "):
        parse_slope(text)


# Display checks: feet to text at 1/16 and 1/8 of an inch, half up with carry (worked out twice,
# by decimals times 16 as in the framing rule below and by exact fractions).
@pytest.mark.parametrize(
    ("feet", "sixteenths", "eighths"),
    [
        (13.416408, "13'-5\"", "13'-5\""),
        (15.620499, "15'-7 7/16\"", "15'-7 1/2\""),
        (6.403124, "6'-4 13/16\"", "6'-4 7/8\""),
        (0.26, "0'-3 1/8\"", "0'-3 1/8\""),
        (0.9999, "1'-0\"", "1'-0\""),
        (11.99999, "12'-0\"", "12'-0\""),
    ],
)
def test_display_checks(feet: float, sixteenths: str, eighths: str) -> None:
    assert format_feet(feet * MM_PER_FT, 16) == sixteenths
    assert format_feet(feet * MM_PER_FT, 8) == eighths
    assert format_length(feet * MM_PER_FT, Units("feet", 16)) == sixteenths
    assert format_length(feet * MM_PER_FT, FEET) == eighths


# Framing rule: decimals x 16, .5 or more up. Span 16 ft at 7/12: 8 x 13.89 in = 111.12 in, read
# as 111 1/8 in = 9 ft 3 1/8 in. Source: NAVEDTRA 14044, Builder 3 & 2, volume 2, rafter length.
def test_framing_rule() -> None:
    assert format_feet(111.12 * MM_PER_IN, 16) == "9'-3 1/8\""
    assert format_feet(8 * 12 * math.hypot(1, 7 / 12) * MM_PER_IN, 16) == "9'-3 1/8\""


@pytest.mark.parametrize("numerator", range(1, 400, 2))
def test_a_tie_goes_up_even_after_conversion(numerator: int) -> None:
    """An odd number of sixteenths lies half way between two eighths."""
    tie = numerator / 16 * MM_PER_IN
    up = (numerator + 1) // 2
    assert parse_length(format_feet(tie, 8)) == pytest.approx(up / 8 * MM_PER_IN, rel=1e-12)


def test_negative_lengths_are_shown_with_one_minus() -> None:
    assert format_feet(-3.125 * MM_PER_IN) == "-0'-3 1/8\""
    assert format_feet(-0.01) == "0'-0\""
    assert format_length(-0.2, METRIC) == "0 mm"


@given(
    st.floats(-1e6, 1e6, allow_nan=False),
    st.sampled_from([Units("feet", 8), Units("feet", 16), METRIC]),
)
def test_what_is_shown_reads_back_within_half_of_the_fraction(mm: float, units: Units) -> None:
    step = 1.0 if units.system == "metric" else MM_PER_IN / units.fraction
    shown = format_length(mm, units)
    assert abs(parse_length(shown) - mm) <= step * (0.5 + 2e-6)
    assert format_length(parse_length(shown), units) == shown


@given(st.integers(1, 24 * 4))
def test_pitches_in_quarters_read_back(quarters: int) -> None:
    slope = quarters / 48
    assert parse_slope(format_slope(slope)) == pytest.approx(slope, rel=1e-14)


@given(st.floats(0.001, 1000.0))
def test_every_pitch_reads_back_closely(slope: float) -> None:
    assert parse_slope(format_slope(slope)) == pytest.approx(slope, abs=0.00042)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    for parse in (parse_length, parse_slope):
        try:
            value = parse(text)
        except TextError:
            continue
        assert math.isfinite(value)


def test_areas_squares_pitches_angles() -> None:
    area = 1073.3126 * MM2_PER_SQ_FT
    assert format_area(area, FEET) == "1073.3 sq ft"
    assert format_area(area, METRIC) == "99.71 m²"
    assert format_area(0.25 * MM2_PER_SQ_FT, FEET) == "0.3 sq ft"
    assert format_squares(area) == "10.73 squares"
    assert [format_slope(s) for s in (0.5, 6.5 / 12, 10 / 12, 2.0, 0.001)] == [
        "6/12",
        "6.5/12",
        "10/12",
        "24/12",
        "0.012/12",
    ]
    assert format_slope(None) == format_slope(math.inf) == "vertical"
    assert format_angle(53.1301) == "53.1°"
    assert format_angle(53.13010, 4) == "53.1301°"
