"""Trim in the booklet: every section and blank that differs, and how bars are cut, to scale."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping, Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.profile_sheet import profile_plan
from roofmodel.sheets.saddle_sheet import saddle_plan
from roofmodel.sheets.shop_types import SheetPlan
from roofmodel.sheets.shop_words import scale_words, scales
from roofmodel.sheets.trim_sheet import blank_plan
from roofmodel.shop.job import ShopJob
from roofmodel.takeoff import TrimBar, TrimPlan, alike, proof_words
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_length
from roofmodel_io.pdf.flow import Item, heading, words
from roofmodel_io.pdf.fonts import width_of, wrapped
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import (
    BELOW,
    BESIDE,
    Block,
    block,
    block_pages,
    on_paper,
    usual_scales,
)
from roofmodel_io.pdf.writer import BLACK, GREY, PALE, Writer, line_height

_HALF_SCALE: Final = {"feet": 32.0, "metric": 25.0}
"""A blank stands on half the width of a page if it is not smaller than at this scale there."""
_PLAIN_SCALE: Final = {"feet": 64.0, "metric": 75.0}
"""The same for one that is a plain rectangle."""
_LEAST_MM: Final = 80.0
"""Two stand below each other on a page if they are not shorter than this there."""
_MORE: Final = 0.6
"""A high one on half the width leaves room for a lower one below it."""

_LEG_MM: Final = 9.0
"""Legs of a section that are drawn no shorter than this can be seen well."""
_SMALL_SECTION: Final = 5.0
"""A section that is drawn no smaller than at this scale is large enough."""

_BAR: Final = 5.0
_COUNT: Final = 12.0
_POINTS: Final = 7.5


def trim_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """Sections first, then blanks, several to a page."""
    size = size_of(paper, wide=True)
    frame = frame_of(size)
    sections = [
        _section(
            profile_plan(job, d),
            min(d.bent.profile.lengths_at(d.bent.fold)),
            job.project.units,
            frame,
        )
        for d in job.profiles
    ]
    units = job.project.units
    blanks = [
        _blank(blank_plan(job, d), units, frame, plain=len(d.blank.outline) == 4) for d in job.trim
    ]
    blanks += [_blank(saddle_plan(job, s), units, frame) for s in job.saddles]
    out = block_pages(sections, size, _Named("Trim sections")) if sections else []
    if blanks:
        out += block_pages(blanks, size, _Named("Trim blanks"))
    return out


def bar_items(
    plans: Sequence[TrimPlan], units: Units, room: float, buildings: Mapping[str, str]
) -> list[Item]:
    """Every way in which a bar is cut, drawn to scale below the name of its part, and of its
    building (`buildings`: names by id) where there are several."""
    longest = max((b.stock_length for p in plans for b in p.bars), default=1.0)
    scale = next(
        (s for s, _ in scales(units) if longest / s <= room - _COUNT), longest / (room - _COUNT)
    )
    said = f"Bars are drawn at {scale_words(scale, units)}; what is grey stays over."
    said += " Lengths are cut from stock, before the ends are cut: finished lengths are on the"
    said += " sheets of the blanks."
    items = [words(said, room, _POINTS, below=1.5)]
    for plan in plans:
        groups = alike(plan.bars)
        count = "1 bar" if len(plan.bars) == 1 else f"{len(plan.bars)} bars"
        title = f"{plan.name[:1].upper()}{plan.name[1:]}, {count}: {proof_words(plan, units)}"
        if len({p.building for p in plans}) > 1:
            title = f"{buildings[plan.building]}: {title}"
        items.append(heading(title, room, 8.5))
        items += [_bar(group, plan.kerf, units, scale, room) for group in groups]
    return items


def _section(plan: SheetPlan, least: float, units: Units, frame: Frame) -> Block:
    """On half the width of a page, two below each other, if its shortest leg (`least`, mm) is not
    too small there to be seen; else on half of it or all of it, whichever shows more."""
    half, two = (frame.width - BESIDE) / 2.0, (frame.height - BELOW) / 2.0
    best: Block | None = None
    for width, height in ((half, two), (half, frame.height), (frame.width, frame.height)):
        made = _largest(plan, units, width, height, frame.height * 0.55)
        if made is None:
            continue
        if least / made.scale >= _LEG_MM and made.scale <= _SMALL_SECTION:
            return made
        if best is None or made.scale < best.scale:
            best = made
    return best or block(plan.draw(plan.size[0] / 60.0), units, frame.width, titled=True)


def _blank(plan: SheetPlan, units: Units, frame: Frame, *, plain: bool = False) -> Block:
    """On half the width of a page if it is not too small there, two of them below each other."""
    half, two = (frame.width - BESIDE) / 2.0, (frame.height - BELOW) / 2.0
    small = (_PLAIN_SCALE if plain else _HALF_SCALE)[units.system]
    smallest = max(plan.size[0] / _LEAST_MM, small)
    for width, height, last in (
        (half, two, small),
        (frame.width, two, smallest),
        (half, frame.height * _MORE, small),
        (frame.width, frame.height, math.inf),
    ):
        made = _largest(plan, units, width, height, frame.height * 0.5, last)
        if made is not None:
            return made
    return block(plan.draw(plan.size[0] / 60.0), units, frame.width, titled=True)


def _largest(
    plan: SheetPlan,
    units: Units,
    width: float,
    height: float,
    drawing: float,
    last: float = math.inf,
) -> Block | None:
    """A block with its drawing as large as fits into this width, height, and height of the
    drawing itself, no smaller than at the scale `last`."""
    for scale in usual_scales(plan.size, units):
        if scale > last:
            break
        if plan.size[0] / scale > width or plan.size[1] / scale > drawing:
            continue
        sheet = plan.draw(scale)
        wide, high = on_paper(sheet)
        if wide <= width and high <= drawing:
            made = block(sheet, units, width, titled=True)
            if made.height <= height:
                return made
    return None


class _Named:
    """The title of a page by what is on it: parts, each with its numbers."""

    def __init__(self, what: str) -> None:
        self.what = what

    def __call__(self, titles: Collection[str]) -> str:
        parts: dict[str, list[str]] = {}
        for title in titles:
            name = title.rpartition(":")[0]
            found = re.fullmatch(r"(.*?)(?: (\d+))?", name)
            assert found is not None  # it matches anything
            numbers = parts.setdefault(found[1].partition(" bent ")[0], [])
            if found[2] and found[2] not in numbers:
                numbers.append(found[2])
        said = [f"{part} {', '.join(n)}" if n else part for part, n in parts.items()]
        return f"{self.what}: {'; '.join(said)}"


def _bar(group: Sequence[TrimBar], kerf: float, units: Units, scale: float, room: float) -> Item:
    """Bars cut alike: how many, their pieces side by side, and for which edges."""
    bar = group[0]
    names: dict[str, int] = {}
    for one in group:
        name = " + ".join(p.run.edge_name for p in one.pieces)
        names[name] = names.get(name, 0) + 1
    said = "; ".join(name if n == 1 else f"{n} × {name}" for name, n in names.items())
    small: list[str] = []
    ends: list[tuple[float, float, str]] = []
    x = 0.0
    for number, piece in enumerate(bar.pieces, 1):
        text = format_length(piece.length, units)
        if width_of(text, _POINTS) > piece.length / scale - 0.8:
            small.append(f"{number}: {text}")
            text = str(number)
        ends.append((x, x + piece.length, text))
        x += piece.length + kerf
    if bar.offcut > HEAL_MM:
        small.append(f"stays over: {format_length(bar.offcut, units)}")
    lines = wrapped("; ".join([f"For {said}", *small]), room - _COUNT, _POINTS)

    def draw(writer: Writer, left: float, top: float) -> None:
        start, low = left + _COUNT, top - 1.0 - _BAR
        writer.text((left, low + _BAR / 2.0), f"{len(group)} ×", 8.5, bold=True, middle=True)
        wide = bar.stock_length / scale
        writer.box((start, low), (wide, _BAR), 0.18, color=GREY, fill=PALE)
        for a, b, text in ends:
            writer.box((start + a / scale, low), ((b - a) / scale, _BAR), 0.3, fill="#FFFFFF")
            writer.text(
                (start + (a + b) / 2.0 / scale, low + _BAR / 2.0), text, _POINTS,
                anchor="centre", middle=True, color=BLACK,
            )  # fmt: skip
        writer.lines((start, low - 0.5), lines, _POINTS)

    return Item(1.0 + _BAR + 0.5 + len(lines) * line_height(_POINTS) + 1.5, draw)
