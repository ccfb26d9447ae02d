"""The table of cutting plans: which bars to cut, and to what."""

from __future__ import annotations

from roofmodel.document import Project, Units
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.takeoff import TakeOff, TrimBar, alike, building_names, covering_names, proof_words
from roofmodel.units import format_length


def cutting_table(take_off: TakeOff, project: Project) -> Table:
    """One row per way of cutting a bar, part after part: how many such bars, the lengths cut
    from each, the edges they are for, what stays of one. Whole ones have one row per part."""
    buildings, coverings = building_names(project), covering_names(project)
    rows: list[tuple[Cell, ...]] = []
    for plan in take_off.cutting_plans:
        for bars in alike(plan.bars):
            rows.append(
                (
                    plan.name,
                    Amount(bars[0].stock_length, "mm"),
                    Amount(len(bars), "count"),
                    _cuts(bars[0], project.units),
                    _names(bars),
                    Amount(bars[0].offcut, "mm"),
                    proof_words(plan, project.units),
                    buildings[plan.building],
                    coverings[plan.system],
                )
            )
    bars_in_all = sum(len(p.bars) for p in take_off.cutting_plans)
    return Table(
        "Cutting plan",
        (
            Column("Part"),
            Column("Stock length", "mm", to_cut=True),
            Column("Lengths", "count"),
            Column("Cut to"),
            Column("For"),
            Column("Offcut of each", "mm", to_cut=True),
            Column("Plan"),
            Column("Building"),
            Column("Covering"),
        ),
        tuple(rows),
        ("Total", "", Amount(bars_in_all, "count"), "", "", "", "", "", "") if rows else None,
    )


def _cuts(bar: TrimBar, units: Units) -> str:
    if bar.is_whole:
        return "whole"
    return " + ".join(format_length(cut, units) for cut in bar.cuts)


def _names(bars: list[TrimBar]) -> str:
    """The edges that bars cut alike are for, each with its number of bars."""
    count: dict[str, int] = {}
    for bar in bars:
        name = " + ".join(p.run.edge_name for p in bar.pieces)
        count[name] = count.get(name, 0) + 1
    return "; ".join(name if n == 1 else f"{n} × {name}" for name, n in count.items())
