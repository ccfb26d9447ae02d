"""The drawing of one panel that is cut to a shape: every corner measured from its left border and
its lower end. Panels cut square or along one line need none: the cut list says all of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from roofmodel.sheets.panel_sheet import mark_words
from roofmodel.sheets.panel_words import (
    folded_notes,
    is_cut_to_shape,
    is_seamed,
    lap_words,
    ripped_sides,
    width_words,
)
from roofmodel.sheets.shop_types import (
    BEND_DOWN,
    CUT,
    SMALL_TEXT_MM,
    SheetLine,
    SheetOutline,
    SheetPlan,
    SheetRunning,
    ShopSheet,
)
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.takeoff import cut_words
from roofmodel.units import format_length

_LEADER_MM: Final = 5.0
_LEAST: Final = 1.5
"""Running dimensions stand at least so many heights of their text apart."""
_SAME_MM: Final = 1.0


def shaped_groups(job: ShopJob, system: str) -> list[list[PanelShape]]:
    """Panels of a system that are cut alike, of those that the cut list cannot say all about."""
    return [g for g in job.shape_groups if g[0].panel.system == system and is_cut_to_shape(g[0])]


def card_plan(job: ShopJob, group: Sequence[PanelShape]) -> SheetPlan:
    """The drawing of some panels that are cut alike, not yet drawn."""
    shape = group[0]
    name = f"{len(group)} × {mark_words(group)}"
    return SheetPlan(
        f"panel {shape.mark}", name, "panel shapes",
        (shape.width, shape.length), (24.0, 24.0, 2.0, 2.0),
        lambda scale: _drawn(job, group, name, scale),
        tuple(dict.fromkeys(s.panel.plane for s in group)),
    )  # fmt: skip


def _drawn(job: ShopJob, group: Sequence[PanelShape], name: str, scale: float) -> ShopSheet:
    shape, units = group[0], job.project.units
    rings = (shape.outline, *shape.holes)
    corners = np.vstack(rings)
    h = SMALL_TEXT_MM * scale
    running = []
    for axis in (0, 1):
        places = _once(np.sort(corners[:, axis]).tolist())
        shown = _apart(places, _LEAST * h)
        for place, at in zip(places, shown, strict=True):
            text = format_length(place, units)
            if axis == 0:
                start, to = (place, 0.0), (at, -_LEADER_MM * scale)
                running.append(SheetRunning((0.0, 0.0), start, to, text, h, "x"))
            else:
                start, to = (0.0, place), (-_LEADER_MM * scale, at)
                running.append(SheetRunning((0.0, 0.0), start, to, text, h, "y"))
    return ShopSheet(
        f"panel {shape.mark}", name, "panel shapes", scale, (), tuple(_notes(job, shape)),
        tuple(SheetOutline(CUT, tuple((x, y) for x, y in r.tolist())) for r in rings),
        tuple(SheetLine(BEND_DOWN, f.start, f.end) for f in shape.folds),
        running=tuple(running),
    )  # fmt: skip


def _notes(job: ShopJob, shape: PanelShape) -> Iterator[str]:
    units, panel = job.project.units, shape.panel
    said = (width_words(shape, units), lap_words(shape, units))
    words = "; ".join(w for w in said if w)
    yield f"Length {format_length(shape.length, units)}; {words}."
    yield f"Lower end {cut_words(panel.lower)}; upper end {cut_words(panel.upper)}."
    system = next(s for s in job.project.systems() if s.id == panel.system)
    if is_seamed(system) and ripped_sides(shape):
        yield from folded_notes(system, units)


def _once(places: Sequence[float]) -> list[float]:
    kept: list[float] = []
    for place in places:
        if not kept or place - kept[-1] > _SAME_MM:
            kept.append(place)
    return kept


def _apart(wanted: Sequence[float], least: float) -> list[float]:
    """Rising places moved apart until neighbours lie so far from each other, as little as can
    be."""
    groups: list[tuple[float, int]] = []  # the sum of wanted places less their steps, count
    for k, place in enumerate(wanted):
        groups.append((place - k * least, 1))
        while len(groups) > 1 and groups[-1][0] / groups[-1][1] < groups[-2][0] / groups[-2][1]:
            (a, m), (b, n) = groups.pop(), groups.pop()
            groups.append((a + b, m + n))
    levels = [total / count for total, count in groups for _ in range(count)]
    return [level + k * least for k, level in enumerate(levels)]
