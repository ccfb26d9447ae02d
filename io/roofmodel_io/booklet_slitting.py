"""The slitting plan of trim in the booklet: every coil cut drawn to scale, alike ones once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.shop_words import scale_words, scales
from roofmodel.sheets.slitting import (
    BlankKind,
    CutKind,
    StripKind,
    cut_words,
    girth_words,
    names_words,
    size_words,
    slit_metal_table,
    slit_sheets,
    slitting_notes,
    whose_words,
)
from roofmodel.sheets.two_plans import SLITTING_PLAN
from roofmodel.shop.job import ShopJob
from roofmodel_io.pdf.flow import Item, gap, heading, words
from roofmodel_io.pdf.fonts import width_of, wrapped
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Paper, frame_of, size_of
from roofmodel_io.pdf.runs import column_width, flowing
from roofmodel_io.pdf.tables import table_items
from roofmodel_io.pdf.writer import GREY, PALE, Writer, line_height

TITLE: Final = "Slitting plan of trim"

_POINTS: Final = 7.0
_LINE: Final = line_height(_POINTS)
_LABELS: Final = 46.0
"""The names beside a drawing have at least so much room."""
_LEADER: Final = 4.0
_APART: Final = 0.6
_HEAD: Final = 4.2
_BELOW: Final = 3.0
_LOW: Final = 2.85
"""A strip is so high where something is written in it."""
_SHARE: Final = 0.8  # of the height of a page for the names beside one drawing


@dataclass(frozen=True, slots=True)
class _Label:
    """What is said of strips alike: lines, and from where to where they lie below the upper side
    of the coil, mm on paper."""

    lines: list[str]
    start: float
    end: float

    @property
    def height(self) -> float:
        """Of its lines."""
        return len(self.lines) * _LINE


def slitting_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """The metal in all, then cut after cut; no page where nothing is slit."""
    sheets = slit_sheets(job)
    if not sheets and not job.slitting.notes:
        return []
    units, room = job.project.units, column_width(paper, 1)
    longest = max((c.length for s in sheets for c in s.kinds), default=1.0)
    free = room - _LABELS - _LEADER
    scale = next((s for s, _ in scales(units) if longest / s <= free), longest / free)
    items = [words(t, room, 7.5, below=1.5) for t in (SLITTING_PLAN, _intro(scale, units))]
    items += [words(note, room, 7.5, below=1.0) for note in slitting_notes(job)]
    items += [*table_items(slit_metal_table(job), units, room, titled=False), gap(3.0)]
    most = frame_of(size_of(paper, wide=False)).height * _SHARE
    for sheet in sheets:
        if len(sheets) > 1:
            items.append(heading(f"{sheet.metal}: {sheet.covering}", room, 8.5))
        for kind in sheet.kinds:
            items += _cut(kind, units, scale, room, most)
    return flowing(TITLE, items, paper)


def _intro(scale: float, units: Units) -> str:
    step = f"1/{units.fraction} in" if units.system == "feet" else "1 mm"
    return (
        f"Coils are drawn at {scale_words(scale, units)}; what is grey stays. Cut off the"
        " length, slit it into strips, cut the strips into blanks; each is named as its sheet is."
        f" Girths and lengths are rounded up to {step}; the sheet of a blank has its own. Where a"
        " shorter length is enough, what stays of it stays on the coil; flat sheets are whole."
    )


def _cut(kind: CutKind, units: Units, scale: float, room: float, most: float) -> list[Item]:
    """A cut with its strips named beside it, or below it where they are too many for that."""
    said = cut_words(kind, units)
    wide, high = kind.length / scale, kind.width / scale
    labels = _labels(kind, units, scale, room - wide - _LEADER)
    beside = sum(one.height + _APART for one in labels) <= most
    tops = _tops(labels, high) if beside else []
    bottom = min([-high, *(t - one.height for t, one in zip(tops, labels, strict=False))])

    def draw(writer: Writer, left: float, top: float) -> None:
        times = f"{kind.times} ×"
        writer.lines((left, top), [times], 8.5, bold=True)
        writer.lines((left + width_of(times, 8.5, True) + 1.5, top), [said], 8.5)
        top -= _HEAD
        _coil(writer, kind, units, scale, (left, top))
        for one, at in zip(labels, tops, strict=False):
            _beside(writer, one, (left + wide, top), at)

    whole = Item(_HEAD - bottom + _BELOW, draw, keep=not beside)
    if beside:
        return [whole]
    more = [words(_said(s, kind, units, scale), room, _POINTS) for s in kind.strips]
    return [whole, *more, gap(_BELOW)]


def _coil(
    writer: Writer, kind: CutKind, units: Units, scale: float, at: tuple[float, float]
) -> None:
    """The cut with its strips, the first one uppermost; `at` is its upper left corner."""
    left, top = at
    wide, high = kind.length / scale, kind.width / scale
    writer.box((left, top - high), (wide, high), 0.18, color=GREY, fill=PALE)
    y = top
    for strip in kind.strips:
        thick = strip.girth / scale
        names = [_each(b, kind.times, strip.count) for b in strip.blanks]
        for row in range(strip.count):
            y -= thick
            x = left
            for blank, called in zip(strip.blanks, names, strict=True):
                long = blank.length / scale
                said = size_words(blank.length, units)
                for k in range(blank.count):
                    writer.box((x, y), (long, thick), 0.25, fill="#FFFFFF")
                    lines = _inside(called[row * blank.count + k], said, (long, thick))
                    up = y + thick / 2.0 + (len(lines) - 1) * _LINE / 2.0
                    for n, text in enumerate(lines):
                        at = (x + long / 2.0, up - n * _LINE)
                        writer.text(at, text, _POINTS, anchor="centre", middle=True)
                    x += long


def _each(blank: BlankKind, times: int, strips: int) -> list[str]:
    """What each of the blanks drawn is named: empty where cuts alike give different ones."""
    if times == 1:
        return [name for name, n in blank.names for _ in range(n)]
    name = blank.names[0][0] if len(blank.names) == 1 else ""
    return [name] * (strips * blank.count)


def _inside(name: str, length: str, room: tuple[float, float]) -> list[str]:
    """What is written on a blank: its name and its length, as far as there is room."""
    if room[1] < _LOW:
        return []
    tried = [[f"{name}: {length}"], [name, length], [length], [name]] if name else [[length]]
    fits = (
        t for t in tried
        if max(width_of(w, _POINTS) for w in t) <= room[0] - 1.0
        and (len(t) == 1 or room[1] >= len(t) * _LINE)
    )  # fmt: skip
    return next(fits, [])


def _all_said(strip: StripKind, times: int, units: Units, scale: float) -> bool:
    """Is the name and the length of every blank written on it?"""
    for blank in strip.blanks:
        length = size_words(blank.length, units)
        room = (blank.length / scale, strip.girth / scale)
        for name in _each(blank, times, strip.count):
            said = ": ".join(_inside(name, length, room))
            if not name or said != f"{name}: {length}":
                return False
    return True


def _labels(kind: CutKind, units: Units, scale: float, room: float) -> list[_Label]:
    at, out = 0.0, []
    for strip in kind.strips:
        end = at + strip.count * strip.girth / scale
        out.append(_Label(wrapped(_said(strip, kind, units, scale), room, _POINTS), at, end))
        at = end
    return out


def _said(strip: StripKind, kind: CutKind, units: Units, scale: float) -> str:
    """How many strips of which girth, and what comes from them where the drawing does not say."""
    girth = girth_words(strip, units)
    if _all_said(strip, kind.times, units, scale):
        return girth
    first = strip.blanks[0]
    room = (first.length / scale, strip.girth / scale)
    if len(strip.blanks) == 1 and _inside("", size_words(first.length, units), room):
        return f"{girth}: {names_words(first.names)}"
    return f"{girth}: {whose_words(strip, units)}"


def _tops(labels: Sequence[_Label], high: float) -> list[float]:
    """Where each label begins, from the upper side of the coil upwards (so none is above 0):
    beside its strips, pushed apart from the others."""
    tops: list[float] = []
    free = 0.0
    for one in labels:
        top = min(free, -(one.start + one.end) / 2.0 + one.height / 2.0)
        tops.append(top)
        free = top - one.height - _APART
    low = min(-high, -sum(one.height + _APART for one in labels) + _APART)
    for k in range(len(labels) - 1, -1, -1):
        tops[k] = max(tops[k], low + labels[k].height)
        low = tops[k] + _APART
    return tops


def _beside(writer: Writer, one: _Label, at: tuple[float, float], top: float) -> None:
    """A label right of a coil, whose upper right corner is `at`, with a line to its strips."""
    x, y = at
    middle = y - (one.start + one.end) / 2.0
    to = y + top - _LINE / 2.0
    writer.line([(x + 0.8, y - one.start - 0.3), (x + 0.8, y - one.end + 0.3)], 0.18, color=GREY)
    writer.line([(x + 0.8, middle), (x + _LEADER - 0.8, to)], 0.13, color=GREY)
    writer.lines((x + _LEADER, y + top), one.lines, _POINTS)
