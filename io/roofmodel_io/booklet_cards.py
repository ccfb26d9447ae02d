"""Panels that are cut to a shape, several drawings to a page."""

from __future__ import annotations

from typing import Final

from roofmodel.sheets.panel_card import card_plan, shaped_groups
from roofmodel.sheets.shop_words import system_name
from roofmodel.shop.job import ShopJob
from roofmodel_io.pdf.page import Page
from roofmodel_io.pdf.paper import Paper, frame_of, size_of
from roofmodel_io.pdf.sheets import BESIDE, Block, block, block_pages, on_paper, usual_scales

_CARD: Final = 46.0
"""A drawing with its words is at least so wide."""
_SHARE: Final = 0.72  # of the height of a page for the drawing


def card_pages(job: ShopJob, paper: Paper) -> list[Page]:
    """System after system; all panels of one system at one scale, so that they compare."""
    units = job.project.units
    size = size_of(paper, wide=True)
    frame = frame_of(size)
    count = max(1, int((frame.width + BESIDE) / (_CARD + BESIDE)))
    width = (frame.width + BESIDE) / count - BESIDE
    out: list[Page] = []
    blocks: list[Block] = []
    systems = list(dict.fromkeys(s.panel.system for s in job.shapes))
    for system in systems:
        plans = [card_plan(job, g) for g in shaped_groups(job, system)]
        if not plans:
            continue
        largest = max(plans, key=lambda p: p.size[1])
        for scale in usual_scales(largest.size, units):
            if largest.room(scale)[1] > frame.height * _SHARE:
                continue
            sheets = [p.draw(scale) for p in plans]
            blocks = [block(s, units, width, titled=True) for s in sheets]
            widest = max(on_paper(s)[0] for s in sheets)
            if widest <= width and max(b.height for b in blocks) <= frame.height:
                break
        name = "Panels cut to shape"
        if len(systems) > 1:
            name += f": {system_name(job.project, system)}"
        pages = block_pages(blocks, size, lambda titles, name=name: name)  # type: ignore[misc]
        out.append(pages[0])
        out += [Page(f"{name}, continued", p.size, p.draw) for p in pages[1:]]
    return out
