"""Where every piece of trim goes: the marks of the blanks along each edge, in order."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.geometry.traverse import compass_point
from roofmodel.sheets.slitting import part_of
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.shop.blanks import Blank
from roofmodel.shop.job import ShopJob
from roofmodel.shop.lines import Line, Roof
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import TrimRun
from roofmodel.tolerance import LEVEL_SLOPE


def trim_places_table(job: ShopJob) -> Table:
    """One row per run of trim, kind after kind: part, edge, length, stock, lap, pieces, and the
    marks of its blanks in the order they lie along it, from which end."""
    names = {b: d.name for d in job.trim for b in d.blanks}
    blanks: dict[TrimRun, list[Blank]] = {}
    for blank in job.blanks.blanks:
        blanks.setdefault(blank.run, []).append(blank)
    order = list(EdgeKind)
    runs = sorted(job.take_off.trim, key=lambda t: order.index(t.kind))
    roof = Roof(job.surface)
    rows: list[tuple[Cell, ...]] = []
    pieces = 0
    for run in runs:
        line = roof.line_of(run)
        some = sorted(blanks.get(run, ()), key=lambda b: b.number, reverse=_falls(line))
        count = len(some) or run.pieces
        pieces += count
        rows.append(
            (
                run.part,
                run.edge_name,
                Amount(run.length, "mm"),
                Amount(run.stock_length, "mm"),
                Amount(run.lap, "mm") if run.lap > 0.0 else "",
                Amount(count, "count"),
                marks_words([names[b] for b in some]) or f"{run.part}: no blank is made",
                _from_words(line) if len(some) > 1 else "",
            )
        )
    total = Amount(sum(t.length for t in runs), "mm")
    return Table(
        "Trim by edge",
        (
            Column("Part"),
            Column("Edge"),
            Column("Length", "mm"),
            Column("Stock length", "mm", to_cut=True),
            Column("Lap", "mm", to_cut=True),
            Column("Pieces", "count"),
            Column("Marks in order"),
            Column("From"),
        ),
        tuple(rows),
        ("Total", "", total, "", "", Amount(pieces, "count"), "", "") if rows else None,
    )


def marks_words(names: Sequence[str]) -> str:
    """Blanks of one part one after the other, its name once.

    >>> marks_words(["Ridge cap 2", "Ridge cap 3", "Ridge cap 3", "Ridge cap 1"])
    'Ridge cap 2, 3, 3, 1'
    >>> marks_words(["Rake cleat", "Rake cleat"]), marks_words([])
    ('2 × Rake cleat', '')
    """
    if not names:
        return ""
    part, _ = part_of(names[0])
    numbers = [part_of(name)[1] for name in names]
    if not all(numbers):
        return names[0] if len(names) == 1 else f"{len(names)} × {names[0]}"
    return f"{part} {', '.join(numbers)}"


def _falls(line: Line) -> bool:
    return float(line.along[2]) < -LEVEL_SLOPE


def _from_words(line: Line) -> str:
    """The end at which the first piece lies: the lower one, or by the compass on the level."""
    if abs(float(line.along[2])) > LEVEL_SLOPE:
        return "the lower end"
    bearing = math.degrees(math.atan2(-float(line.along[0]), -float(line.along[1])))
    return f"the {compass_point(bearing)} end"
