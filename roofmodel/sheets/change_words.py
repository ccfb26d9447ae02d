"""What a released piece was and what it is now, in words with both values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal, get_args

from roofmodel.document import Units
from roofmodel.document.releases import (
    ALIKE_DEG,
    ALIKE_MM,
    ReleasedPiece,
    metal_changed,
)
from roofmodel.sheets.shop_words import exact_words, thickness_words
from roofmodel.sheets.trim_words import hem_words
from roofmodel.systems import Hem
from roofmodel.units import KG_PER_LB, MM2_PER_SQ_FT, format_angle, format_length

ALL_OF: Final = " on "
"""Between the part and its edge in the mark of a piece of trim."""

_Both = tuple[str, str]
_Kind = Literal["closed", "double", "open"]
_To = Literal["up", "down"]


def size_words(piece: ReleasedPiece | None, units: Units) -> str:
    """How long a piece is, and its girth, or how wide a panel is cut; nothing of none."""
    if piece is None:
        return ""
    length = format_length(piece.length, units)
    if piece.what == "panel":
        across = max(piece.corners[::2], default=piece.width)
        ripped = across < piece.width - ALIKE_MM
        cut = f", cut to a width of {format_length(across, units)}" if ripped else ""
        return f"length {length}{cut}"
    return f"length {length}, girth {exact_words(piece.width, units)}"


def was_and_now(was: ReleasedPiece, now: ReleasedPiece, units: Units) -> _Both:
    """All that differs in a piece, as it was and as it is."""
    sizes = list(_sizes(was, now, units))
    said = [*_made_of(was, now, units), *sizes, *_bends(was, now)]
    said += _ends(was, now, units, is_longer=bool(sizes))
    if not said:
        said = [("cut as its earlier drawing shows", "cut as its drawing shows now")]
    return ", ".join(a for a, _ in said if a), ", ".join(b for _, b in said if b)


def _sizes(was: ReleasedPiece, now: ReleasedPiece, units: Units) -> Iterator[_Both]:
    if abs(was.length - now.length) > ALIKE_MM:
        yield _lengths("length", was.length, now.length, units)
    if abs(was.width - now.width) > ALIKE_MM:
        word = "sheet width" if now.what == "panel" else "girth"
        both = exact_words(was.width, units), exact_words(now.width, units)
        yield f"{word} {both[0]}", f"{word} {both[1]}"
    across = [max(p.corners[::2], default=0.0) for p in (was, now)]
    if now.what == "panel" and min(across) > 0.0 and abs(across[1] - across[0]) > ALIKE_MM:
        yield _lengths("cut to a width of", across[0], across[1], units)


def _lengths(word: str, was: float, now: float, units: Units) -> _Both:
    """A length of then and now; as decimals where a tape would not tell them apart."""
    both = format_length(was, units), format_length(now, units)
    if both[0] == both[1]:
        both = exact_words(was, units), exact_words(now, units)
    return f"{word} {both[0]}", f"{word} {both[1]}"


def _bends(was: ReleasedPiece, now: ReleasedPiece) -> Iterator[_Both]:
    """Bends that differ, each pair of angles once."""
    if len(was.bends) != len(now.bends):
        yield _count(len(was.bends), "bend"), _count(len(now.bends), "bend")
        return
    pairs = zip(was.bends, now.bends, strict=True)
    differ = dict.fromkeys((_bend(a), _bend(b)) for a, b in pairs if abs(a - b) > ALIKE_DEG)
    yield from differ


def _count(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _bend(angle: float) -> str:
    return f"bend {format_angle(abs(angle))} {'up' if angle > 0.0 else 'down'}"


def _ends(
    was: ReleasedPiece, now: ReleasedPiece, units: Units, *, is_longer: bool
) -> Iterator[_Both]:
    """Borders that did not grow with the whole; of trim of another length that its ends did
    change, for its drawing has their numbers."""
    more = now.length - was.length
    words = ("left side", "right side") if now.what == "panel" else ("first side", "second side")
    said = []
    for word, then, today in zip(words, _sides(was), _sides(now), strict=True):
        if then is None or today is None:
            continue
        if min(abs(today - then - more), abs(today - then)) > 2.0 * ALIKE_MM:
            said.append(_lengths(word, then, today, units))
    corners = len(was.corners) // 2, len(now.corners) // 2
    if said and is_longer and now.what == "trim":
        yield "", "other end cuts"
    elif said:
        yield from said
    elif corners[0] != corners[1] and min(corners) > 0:
        yield _count(corners[0], "corner"), _count(corners[1], "corner")
    elif not is_longer and _sheared(was, now):
        yield "ends of its earlier drawing", "other ends"


def _sides(piece: ReleasedPiece) -> tuple[float | None, float | None]:
    """How long its borders are, mm."""
    points = list(zip(piece.corners[::2], piece.corners[1::2], strict=False))
    if not points:
        return None, None
    out = []
    for at in (min(x for x, _ in points), max(x for x, _ in points)):
        ys = [y for x, y in points if abs(x - at) <= ALIKE_MM]
        out.append(max(ys) - min(ys))
    return out[0], out[1]


def _sheared(was: ReleasedPiece, now: ReleasedPiece) -> bool:
    """Do corners lie elsewhere?"""
    off = (abs(a - b) for a, b in zip(was.corners, now.corners, strict=False))
    return max(off, default=0.0) > ALIKE_MM


def _made_of(was: ReleasedPiece, now: ReleasedPiece, units: Units) -> Iterator[_Both]:
    """What it is made of, as far as that differs."""
    if was.part != now.part:
        yield was.product or was.part, now.product or now.part
    for what in metal_changed(was, now):
        if what == "panel" and was.part != now.part:
            continue
        yield _metal(what, was, units), _metal(what, now, units)


def _metal(what: str, piece: ReleasedPiece, units: Units) -> str:
    match what:
        case "thickness":
            return f"{thickness_words(piece.thickness or 0.0, units)} thick"
        case "weight of the sheet":
            return f"sheet of {_sheet(piece.sheet or 0.0, units)}"
        case "gauge":
            return piece.gauge or ""
        case "panel":
            return piece.product or ""
        case "colour":
            return f"colour {piece.colour}" if piece.colour else "no colour chosen"
        case "painted side":
            return f"painted side: {piece.painted}"
        case _:
            return f"hems: {_hems(piece.hems or '', units)}"


def _sheet(kg: float, units: Units) -> str:
    if units.system == "feet":
        return f"{kg / KG_PER_LB * MM2_PER_SQ_FT / 1e6:.3f} lb per sq ft"
    return f"{kg:.3f} kg per m²"


def _hems(text: str, units: Units) -> str:
    """The hems of a release in words; as they stand where they do not read as hems."""
    hems: list[Hem | None] = []
    for said in text.split("; "):
        words = said.split()
        if words == ["none"]:
            hems.append(None)
            continue
        kinds: dict[str, _Kind] = {k: k for k in get_args(_Kind)}
        ways: dict[str, _To] = {k: k for k in get_args(_To)}
        if len(words) != 4 or words[0] not in kinds or words[1] not in ways:
            return text
        try:
            width, gap = float(words[2]), float(words[3])
        except ValueError:
            return text
        hems.append(Hem(kinds[words[0]], width, gap, ways[words[1]]))
    return hem_words(hems[0], hems[1], units) if len(hems) == 2 else text


__all__ = ["ALL_OF", "size_words", "was_and_now"]
