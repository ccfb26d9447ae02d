"""Text to numbers and back: lengths, areas, pitches, angles.

Inside the program lengths are millimetres and slopes are rise over run (6/12 = 0.5); this module
is the border. Parsing never guesses: text that could mean two things is refused with a sentence
that says what would be accepted. Formatting rounds half up and only for display; sums are made
before.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final, Literal, Protocol

from roofmodel.errors import TextError

MM_PER_IN: Final = 25.4
MM_PER_FT: Final = 304.8
MM2_PER_SQ_FT: Final = MM_PER_FT**2
MM2_PER_SQUARE: Final = 100.0 * MM2_PER_SQ_FT
"""A square is 100 square feet of roof."""

KG_PER_LB: Final = 0.45359237
MM3_PER_CU_YD: Final = 914.4**3

LEAST_SLOPE: Final = 0.001
STEEPEST_SLOPE: Final = 1000.0
"""The range of slopes that a profile of the document takes; steeper is written as vertical."""

_TIE: Final = 1e-6
"""Share of the last digit by which a tie may fall short and still go up: 5/16 in, computed by
way of millimetres, comes out a few 1e-15 low."""

_LONGEST_MM: Final = 1e9

LENGTH_HINT: Final = "Write 24' 6 1/2\", 24-6-1/2, 24.5', 294.5\", 7.48 m, 748 cm or 7480 mm."
SLOPE_HINT: Final = "Write 6/12, 6:12, 6 (for 6/12), 26.6° or 50 %."


class LengthUnits(Protocol):
    """How lengths are shown; the document's `Units` is one."""

    @property
    def system(self) -> Literal["feet", "metric"]:
        """Feet and inches, or metric."""

    @property
    def fraction(self) -> int:
        """Inches are shown to 1/`fraction`."""


_NUM = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_FRAC = r"[0-9]+/[0-9]+"
_MIXED = rf"(?:{_NUM}(?:(?:\s+|\s*-\s*){_FRAC})?|{_FRAC})"

_METRIC = re.compile(rf"({_NUM})\s*(mm|cm|m)")
_FEET_INCHES = re.compile(rf"([0-9]+)\s*'\s*-?\s*({_MIXED})\s*\"?")
_FEET = re.compile(rf"({_MIXED})\s*'")
_INCHES = re.compile(rf"({_MIXED})\s*\"")
_DASHED = re.compile(rf"([0-9]+)\s*-\s*({_NUM}(?:(?:\s+|\s*-\s*){_FRAC})?)\s*\"?")
_BARE = re.compile(rf"({_MIXED})")

_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_COMMA = re.compile(r"[0-9]*,[0-9]+")

_RISE_RUN = re.compile(rf"({_MIXED})\s*(/|:|in)\s*({_NUM})")
_DEGREES = re.compile(rf"({_NUM})\s*(?:°|deg|degrees?)\.?")
_PERCENT = re.compile(rf"({_NUM})\s*(?:%|percent)")

_MM_PER: Final = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "ft": Fraction(3048, 10),
    "in": Fraction(254, 10),
}
"""Exact, so that 294.5 in is 7480.3 mm and not 7480.299999999999."""

_SAME_AS: Final = (
    (re.compile("''|[\u201c\u201d\u201e\u2033\uff02]|\u2032\u2032"), '"'),
    (re.compile("[\u2018\u2019\u201b\u2032\u00b4`\uff07]"), "'"),
    (re.compile("[\u2010-\u2015\u2212]"), "-"),
    (re.compile("\u2044"), "/"),
    (re.compile(r"(?<![a-z])(?:feet|foot|ft)(?![a-z])\.?"), "'"),
    (re.compile(r"(?<![a-z])(?:inches|inch|in)(?![a-z])\.?"), '"'),
    (re.compile(r"(?<![a-z])(?:millimet(?:re|er)s?)(?![a-z])"), "mm"),
    (re.compile(r"(?<![a-z])(?:centimet(?:re|er)s?)(?![a-z])"), "cm"),
    (re.compile(r"(?<![a-z])(?:met(?:re|er)s?)(?![a-z])"), "m"),
)
_ONE_CHARACTER_FRACTIONS: Final = {
    "\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4",
    "\u215b": "1/8", "\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8",
}  # fmt: skip


def parse_length(text: str, default_unit: Literal["ft", "mm"] = "ft") -> float:
    """The length that `text` says, in mm; a bare number is in `default_unit`.

    A leading minus makes it negative. Raises TextError with what would be accepted.

    >>> parse_length("24' 6 1/2\\"")
    7480.3
    >>> parse_length("-7.48 m")
    -7480.0
    """
    plain = _plain(text)
    negative = plain.startswith("-")
    body = plain[1:].lstrip() if negative else plain
    length = _length_of(body, default_unit, text)
    if length is None:
        raise TextError(f"{_shown(text)} is no length. {LENGTH_HINT}")
    if length > _LONGEST_MM:
        raise TextError(f"{_shown(text)} is longer than any roof. {LENGTH_HINT}")
    return -length if negative and length else length


def _length_of(body: str, default_unit: str, text: str) -> float | None:
    """The length in mm of text in plain characters without a sign; None if it is none."""
    if found := _METRIC.fullmatch(body):
        return _in_mm(_number(found[1], text), found[2])
    if found := _FEET_INCHES.fullmatch(body) or _DASHED.fullmatch(body):
        inches = _number(found[2], text)
        if inches >= 12:
            raise TextError(f"{_shown(text)} has 12 inches or more after the feet. {LENGTH_HINT}")
        return _in_mm(_number(found[1], text) * 12 + inches, "in")
    if found := _FEET.fullmatch(body):
        return _in_mm(_number(found[1], text), "ft")
    if found := _INCHES.fullmatch(body):
        return _in_mm(_number(found[1], text), "in")
    if found := _BARE.fullmatch(body):
        return _in_mm(_number(found[1], text), default_unit)
    return None


def _in_mm(value: Fraction, unit: str) -> float:
    return float(value * _MM_PER[unit])


def parse_number(text: str, *, thousands: bool) -> float:
    """A number, 0 or more, with a point or a comma for its decimals.

    "2,000" could mean two things: it is two thousand where `thousands` are written so, which is
    where lengths are feet and inches, and refused elsewhere.

    >>> parse_number("2,000", thousands=True), parse_number("1,5", thousands=True)
    (2000.0, 1.5)
    """
    plain = text.strip()
    if _GROUPED.fullmatch(plain):
        if plain.count(",") == 1 and "." not in plain and not thousands:
            whole, _, rest = plain.partition(",")
            raise TextError(f"{_shown(text)} could be {whole}{rest} or {whole}.{rest}.")
        plain = plain.replace(",", "")
    elif _COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    if len(plain) > 15 or not re.fullmatch(_NUM, plain):
        raise TextError(f"{_shown(text)} is no number.")
    return float(plain)


def parse_slope(text: str) -> float:
    """The slope (rise over run) that `text` says; more than 0 and less than vertical.

    >>> parse_slope("6/12"), parse_slope("50 %"), parse_slope("45°")
    (0.5, 0.5, 1.0)
    """
    plain = _plain(text, lengths=False)
    if found := _RISE_RUN.fullmatch(plain):
        run = Fraction(found[3])
        # 1/4 could be 1/4 in 12 or one in four: with a stroke only 12 is no riddle.
        if run == 0 or (found[2] == "/" and run != 12):
            raise TextError(f"{_shown(text)} is no pitch over a run of 12. {SLOPE_HINT}")
        slope = float(_number(found[1], text) / run)
    elif found := _DEGREES.fullmatch(plain):
        degrees = float(found[1])
        if degrees >= 90.0:
            raise TextError(f"{_shown(text)} is not less than vertical (90°). {SLOPE_HINT}")
        # tan 45° comes out as 0.9999999999999999; its last digit is noise.
        slope = float(f"{math.tan(math.radians(degrees)):.15g}")
    elif found := _PERCENT.fullmatch(plain):
        slope = float(Fraction(found[1]) / 100)
    elif (found := _BARE.fullmatch(plain)) and not re.fullmatch(_FRAC, plain):
        slope = float(_number(found[1], text) / 12)
    else:
        raise TextError(f"{_shown(text)} is no pitch. {SLOPE_HINT}")
    if not LEAST_SLOPE <= slope <= STEEPEST_SLOPE:
        raise TextError(
            f"{_shown(text)} is too {'flat' if slope < 1 else 'steep'} for a pitch. {SLOPE_HINT}"
        )
    return slope


def _plain(text: str, *, lengths: bool = True) -> str:
    """`text` in lower case with one way of writing each mark."""
    if len(text) > 60:
        return ""
    plain = text.strip().lower()
    for mark, fraction in _ONE_CHARACTER_FRACTIONS.items():
        plain = plain.replace(mark, f" {fraction}")
    for pattern, mark in _SAME_AS if lengths else _SAME_AS[2:4]:
        plain = pattern.sub(mark, plain)
    return plain.strip()


def _number(text: str, whole: str) -> Fraction:
    """The exact value of 6, 6.5, 1/2, 6 1/2 or 6-1/2."""
    try:
        return sum((Fraction(part) for part in text.replace("-", " ").split()), Fraction(0))
    except ZeroDivisionError:
        raise TextError(f"{_shown(whole)} divides by 0. {LENGTH_HINT}") from None


def _shown(text: str) -> str:
    """The typed text for a message, cut short if it is long."""
    stripped = text.strip()
    if not stripped:
        return "Empty text"
    return f"'{stripped[:40]}…'" if len(stripped) > 40 else f"'{stripped}'"


def round_half_up(value: float) -> int:
    """The nearest whole number, ties away from 0 (and ties that rounding errors broke).

    >>> round_half_up(2.5), round_half_up(-2.5), round_half_up(2.49)
    (3, -3, 2)
    """
    size = math.floor(abs(value) + 0.5 + _TIE)
    return -size if value < 0 else size


def _decimals(value: float, places: int) -> str:
    """`value` with `places` decimals, half up, and never "-0.0"."""
    scaled = round_half_up(value * 10**places)
    return f"{scaled / 10**places:.{places}f}"


def format_feet(mm: float, fraction: int = 8) -> str:
    """A length as feet, inches and a reduced fraction of an inch, half up to 1/`fraction`.

    >>> format_feet(4761.0, 16), format_feet(304.7)
    ('15\\'-7 7/16"', '1\\'-0"')
    """
    count = round_half_up(mm / MM_PER_IN * fraction)
    sign = "-" if count < 0 else ""
    inches, parts = divmod(abs(count), fraction)
    feet, inches = divmod(inches, 12)
    if not parts:
        return f"{sign}{feet}'-{inches}\""
    shared = math.gcd(parts, fraction)
    return f"{sign}{feet}'-{inches} {parts // shared}/{fraction // shared}\""


def format_length(mm: float, units: LengthUnits) -> str:
    """A length in the project's units: ``24'-6 1/2"`` or ``7480 mm``."""
    if units.system == "feet":
        return format_feet(mm, units.fraction)
    return f"{round_half_up(mm)} mm"


def format_area(mm2: float, units: LengthUnits) -> str:
    """An area in the project's units: ``1073.3 sq ft`` or ``99.71 m²``."""
    if units.system == "feet":
        return f"{_decimals(mm2 / MM2_PER_SQ_FT, 1)} sq ft"
    return f"{_decimals(mm2 / 1e6, 2)} m²"


def format_squares(mm2: float) -> str:
    """An area in roof squares of 100 sq ft.

    >>> format_squares(1073.3126 * MM2_PER_SQ_FT)
    '10.73 squares'
    """
    return f"{_decimals(mm2 / MM2_PER_SQUARE, 2)} squares"


def format_weight(kg: float, units: LengthUnits) -> str:
    """A weight in the project's units: ``2522 lb`` or ``1144 kg``."""
    if units.system == "feet":
        return f"{round_half_up(kg / KG_PER_LB)} lb"
    return f"{round_half_up(kg)} kg"


def format_volume(mm3: float, units: LengthUnits) -> str:
    """A volume in the project's units: ``6.1 cu yd`` or ``4.65 m³``."""
    if units.system == "feet":
        return f"{_decimals(mm3 / MM3_PER_CU_YD, 1)} cu yd"
    return f"{_decimals(mm3 / 1e9, 2)} m³"


def format_slope(slope: float | None) -> str:
    """A slope as pitch over 12, with decimals only if it needs them; None is vertical.

    >>> format_slope(0.5), format_slope(6.5 / 12), format_slope(None)
    ('6/12', '6.5/12', 'vertical')
    """
    if slope is None or math.isinf(slope):
        return "vertical"
    rise = _decimals(slope * 12.0, 3 if abs(slope) < 0.01 else 2)
    return f"{rise.rstrip('0').rstrip('.')}/12"


def format_angle(degrees: float, places: int = 1) -> str:
    """An angle in degrees.

    >>> format_angle(53.1301)
    '53.1°'
    """
    return f"{_decimals(degrees, places)}°"
