"""The typeface of everything on paper, embedded in every file, so that it looks alike everywhere.

DejaVu Sans (free licence, derived from Bitstream Vera) knows all of Latin, signs of feet and
inches and fractions. matplotlib ships it, which pyvista needs anyway; nothing of it is imported.
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from roofmodel.errors import FileError
from roofmodel.sheets.unbroken import unbroken

MM_PER_POINT: Final = 25.4 / 72.0
CAPITALS: Final = 0.729
"""Height of capitals over the size of the type."""
BELOW: Final = 0.236
"""How far letters reach below the line they stand on, over the size of the type."""
LEAST_POINTS: Final = 7.0
"""Nothing is written smaller."""

_FILES: Final = {"Roof": "DejaVuSans.ttf", "Roof-Bold": "DejaVuSans-Bold.ttf"}


def font(bold: bool = False) -> str:
    """The name of the typeface."""
    _register()
    return "Roof-Bold" if bold else "Roof"


def width_of(text: str, points: float, bold: bool = False) -> float:
    """How wide a text is, mm."""
    return _thousandths(text, bold) * points * (MM_PER_POINT / 1000.0)


@lru_cache(maxsize=1 << 16)
def _thousandths(text: str, bold: bool) -> float:
    """The width of a text over its size, in thousandths; the same few words are set again and
    again."""
    return float(pdfmetrics.stringWidth(text, font(bold), 1000.0))


def printable(text: str) -> str:
    """One line of text without control characters; what the typeface lacks becomes a box."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(plain.split())


def wrapped(text: str, room: float, points: float, bold: bool = False) -> list[str]:
    """Text in lines no wider than `room` (mm). Lengths and other amounts stay in one line, unless
    they are wider than that; a word that is wider is broken."""
    lines: list[str] = []
    line = ""

    def fits(some: str) -> bool:
        return width_of(some, points, bold) <= room

    def words(amount: str) -> list[str]:
        """What may stand in lines of its own, of an amount that is too wide for one."""
        if fits(amount):
            return [amount]
        count, times, each = amount.rpartition("× ")
        return [f"{count}×", *words(each)] if times else amount.split(" ")

    for word in (w for amount in unbroken(printable(text)) for w in words(amount)):
        tried = f"{line} {word}" if line else word
        if fits(tried):
            line = tried
            continue
        if line:
            lines.append(line)
        line = word
        while len(line) > 1 and not fits(line):
            n = next((k for k in range(len(line) - 1, 1, -1) if fits(line[:k])), 1)
            lines.append(line[:n])
            line = line[n:]
    return [*lines, line] if line or not lines else lines


def shortened(text: str, room: float, points: float, bold: bool = False) -> str:
    """The text, or as much of it as fits into `room` (mm), with "…" for the rest."""
    text = printable(text)
    if width_of(text, points, bold) <= room:
        return text
    for n in range(len(text) - 1, 0, -1):
        short = text[:n].rstrip() + "…"
        if width_of(short, points, bold) <= room:
            return short
    return "…"


@cache
def _register() -> None:
    for name, file in _FILES.items():
        try:
            pdfmetrics.registerFont(TTFont(name, str(_folder() / file)))
        except (TTFError, OSError) as error:
            raise FileError(
                f"The typeface {file} cannot be read; install the package matplotlib again."
            ) from error


def _folder() -> Path:
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise FileError("PDF files want the typeface that the package matplotlib brings.")
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
