"""Panels that are cut to a shape, several drawings to a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.panel_card import card_plan, shaped_groups
from roofmodel.sheets.panel_words import is_seamed, seam_words
from roofmodel.sheets.shop_types import SheetPlan
from roofmodel.sheets.shop_words import short_name
from roofmodel.shop.job import ShopJob
from roofmodel_io.pdf.flow import Item, words
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Frame, Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import BESIDE, Block, block, block_pages, on_paper, usual_scales

_CARD: Final = 46.0
"""A drawing with its words is at least so wide."""
_SHARE: Final = 0.72  # of the height of a page for the drawing
_SEEN: Final = (
    "Seen from above, as someone looks up the slope: the colour side up, the lower end below. Zero"
    " is the left border and the lowest corner; hems are still flat."
)


def card_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """System after system; all panels of one system at one scale, so that they compare. Pages
    are upright or wide, whichever takes fewer of them."""
    out: list[Page] = []
    systems = list(dict.fromkeys(s.panel.system for s in job.shapes))
    units = job.project.units
    for system in systems:
        plans = [card_plan(job, g) for g in shaped_groups(job, system)]
        if not plans:
            continue
        name = "Panels cut to shape"
        if len(systems) > 1:
            name += f": {short_name(job.project, system)}"
        seen = _SEEN
        laid = next(s for s in job.project.systems() if s.id == system)
        if is_seamed(laid):
            seen = f"{_SEEN} {seam_words(laid, units)}"
        scale = _scale(plans, units, frame_of(size_of(paper, wide=True)), seen)
        ways = []
        for wide in (True, False):
            size = size_of(paper, wide=wide)
            frame = frame_of(size)
            width = _width(frame)
            blocks = [block(p.draw(scale), units, width, titled=True) for p in plans]
            pages = block_pages(blocks, size, lambda titles, name=name: name, _head(frame, seen))  # type: ignore[misc]
            ways.append(pages)
        pages = min(ways, key=len)
        out.append(pages[0])
        out += [Page(f"{name}, continued", p.size, p.draw) for p in pages[1:]]
    return out


def _head(frame: Frame, seen: str) -> list[Item]:
    return [words(seen, frame.width, 7.5, below=1.5)]


def _width(frame: Frame) -> float:
    """The width of a drawing with its words."""
    count = max(1, int((frame.width + BESIDE) / (_CARD + BESIDE)))
    return (frame.width + BESIDE) / count - BESIDE


def _scale(plans: Sequence[SheetPlan], units: Units, frame: Frame, seen: str) -> float:
    """The largest usual scale at which every drawing has room."""
    largest = max(plans, key=lambda p: p.size[1])
    width, height = _width(frame), frame.height - sum(i.height for i in _head(frame, seen))
    scale = 1.0
    for scale in usual_scales(largest.size, units):
        if largest.room(scale)[1] > frame.height * _SHARE:
            continue
        sheets = [p.draw(scale) for p in plans]
        blocks: list[Block] = [block(s, units, width, titled=True) for s in sheets]
        widest = max(on_paper(s)[0] for s in sheets)
        if widest <= width and max(b.height for b in blocks) <= height:
            break
    return scale
