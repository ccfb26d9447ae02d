"""The tables of a job: planes, edges, panels, trim, quantities."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never, cast

from roofmodel.document import NOT_IN_JOB, Units
from roofmodel.sheets.panel_tables import panels_table
from roofmodel.sheets.types import Amount, Cell, Column, RoofResults, Table, Unit
from roofmodel.surface import Plane, RoofEdge, facing
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import Quantity, TakeOff, building_names, covering_names
from roofmodel.units import (
    MM2_PER_SQUARE,
    format_angle,
    format_area,
    format_length,
    format_slope,
    format_squares,
    format_volume,
    format_weight,
)


def summary_tables(results: RoofResults) -> tuple[Table, ...]:
    """All tables of the job: planes, edge kinds, edges, panels, trim, quantities, panel layout."""
    take_off = results.take_off
    return (
        planes_table(results),
        edge_kinds_table(results),
        edges_table(results),
        panels_table(results),
        trim_table(take_off),
        quantities_table(take_off.quantities),
        layings_table(take_off),
    )


def planes_table(results: RoofResults) -> Table:
    """One row per plane: pitch, bearing, plan and true area, building, covering.

    Planes that are not in the job have no areas here, so that the column adds up.
    """
    coverings, buildings = covering_names(results.project), building_names(results.project)
    rows: list[tuple[Cell, ...]] = []
    for p in results.surface.planes:
        covering = results.take_off.coverings[p.id]
        counts = covering != NOT_IN_JOB
        rows.append(
            (
                p.name,
                Amount(p.slope, "slope"),
                "level" if p.slope == 0 else facing(p.bearing),
                Amount(p.bearing, "degrees"),
                Amount(p.plan_area, "mm²") if counts else "",
                Amount(p.true_area, "mm²") if counts else "",
                buildings[p.building],
                coverings[covering],
            )
        )
    planes = _planes_in_job(results)
    return Table(
        "Planes",
        (
            Column("Plane"),
            Column("Pitch", "slope"),
            Column("Faces"),
            Column("Bearing", "degrees"),
            Column("Plan area", "mm²"),
            Column("True area", "mm²"),
            Column("Building"),
            Column("Covering"),
        ),
        tuple(rows),
        (
            "Total",
            "",
            "",
            "",
            Amount(sum(p.plan_area for p in planes), "mm²"),
            Amount(sum(p.true_area for p in planes), "mm²"),
            "",
            "",
        ),
    )


def edge_kinds_table(results: RoofResults) -> Table:
    """One row per kind of edge in the job: how many, and their true length."""
    return Table(
        "Edges by kind",
        (Column("Kind"), Column("Edges", "count"), Column("Total length", "mm")),
        tuple(
            (
                kind.capitalize(),
                Amount(len(edges), "count"),
                Amount(sum(e.length for e in edges), "mm"),
            )
            for kind, edges in _by_kind(results)
        ),
    )


def edges_table(results: RoofResults) -> Table:
    """One row per edge in the job, kind after kind: true length, fold, remark."""
    return Table(
        "Edges",
        (
            Column("Kind"),
            Column("Edge"),
            Column("Length", "mm"),
            Column("Fold", "degrees"),
            Column("Remark"),
        ),
        tuple(
            (
                kind.capitalize(),
                e.name,
                Amount(e.length, "mm"),
                Amount(e.fold, "degrees"),
                e.remark,
            )
            for kind, edges in _by_kind(results)
            for e in edges
        ),
    )


def layings_table(take_off: TakeOff) -> Table:
    """One row per plane: where its panels start, which way they go, how wide the ends are."""
    return Table(
        "Panel layout",
        (
            *(
                Column("Plane"),
                Column("Start"),
                Column("From end to first side", "mm", to_cut=True),
            ),
            *(Column("Direction"), Column("Strips", "count")),
            *(
                Column("First panel shows", "mm", to_cut=True),
                Column("Last panel shows", "mm", to_cut=True),
            ),
            *(Column("Narrow pieces", "count"), Column("Remark")),
        ),
        tuple(
            (
                *(x.plane_name, x.start, Amount(x.offset, "mm")),
                "right to left" if x.from_right else "left to right",
                *(Amount(x.strips, "count"), Amount(x.first_width, "mm")),
                *(Amount(x.last_width, "mm"), Amount(x.narrow, "count"), x.remark),
            )
            for x in take_off.layings
            if x.panels
        ),
    )


def trim_table(take_off: TakeOff) -> Table:
    """One row per run of trim, kind after kind: part, length, stock, lap, pieces."""
    order = list(EdgeKind)
    runs = sorted(take_off.trim, key=lambda t: order.index(t.kind))
    return Table(
        "Trim",
        (
            Column("Part"),
            Column("Edge"),
            Column("Length", "mm"),
            Column("Stock length", "mm", to_cut=True),
            Column("Lap", "mm", to_cut=True),
            Column("Pieces", "count"),
            Column("How it came about"),
        ),
        tuple(
            (
                t.part,
                t.edge_name,
                Amount(t.length, "mm"),
                Amount(t.stock_length, "mm"),
                Amount(t.lap, "mm") if t.lap > 0.0 else "",
                Amount(t.pieces, "count"),
                t.words,
            )
            for t in runs
        ),
        (
            "Total",
            "",
            Amount(sum(t.length for t in runs), "mm"),
            "",
            "",
            Amount(sum(t.pieces for t in runs), "count"),
            "",
        ),
    )


def quantities_table(quantities: Iterable[Quantity]) -> Table:
    """One row per quantity: how it came about, how many packs to buy, and whose rule it is."""
    return Table(
        "Quantities",
        (
            *(Column("Group"), Column("Item"), Column("Quantity")),
            *(Column("How it came about"), Column("Note")),
            *(Column("Packs to buy", "count"), Column("Pack"), Column("How many packs")),
            Column("Source"),
        ),
        tuple(
            (
                *(q.group, q.item, Amount(q.quantity, cast(Unit, q.unit)), q.how, q.note),
                *(Amount(q.packs, "count") if q.packs else "", q.pack, q.pack_how, q.source),
            )
            for q in quantities
        ),
    )


def shown(cell: Cell, units: Units) -> str:
    """A cell as text in the project's units; rounded for display only."""
    if isinstance(cell, str):
        return cell
    match cell.unit:
        case "mm":
            return format_length(cell.value, units)
        case "mm²":
            return format_area(cell.value, units)
        case "mm³":
            return format_volume(cell.value, units)
        case "kg":
            return format_weight(cell.value, units)
        case "slope":
            return format_slope(cell.value)
        case "degrees":
            return format_angle(cell.value)
        case "squares":
            return format_squares(cell.value * MM2_PER_SQUARE)
        case "share":
            return f"{cell.value * 100:.1f} %"
        case "count":
            return f"{cell.value:g}" if cell.value % 1 else f"{cell.value:.0f}"
        case "money":
            return f"{cell.value:,.2f}"
        case _:
            assert_never(cell.unit)


def roofing_words(results: RoofResults) -> str:
    """The names of the roofing systems that cover planes; the first one's if none does yet."""
    names = covering_names(results.project)
    used = set(results.take_off.coverings.values())
    systems = results.project.systems()
    return "; ".join([names[s.id] for s in systems if s.id in used] or [names[systems[0].id]])


def squares_of(results: RoofResults) -> str:
    """The true area of the roof in the job in squares, in metric jobs in m², as text."""
    area = sum(p.true_area for p in _planes_in_job(results))
    units = results.project.units
    return format_squares(area) if units.system == "feet" else format_area(area, units)


def _planes_in_job(results: RoofResults) -> list[Plane]:
    coverings = results.take_off.coverings
    return [p for p in results.surface.planes if coverings[p.id] != NOT_IN_JOB]


def _by_kind(results: RoofResults) -> list[tuple[EdgeKind, list[RoofEdge]]]:
    """The edges in the job kind after kind, kinds in their fixed order, without those that do
    not occur."""
    edges = [e for e in results.surface.edges if e.id in results.take_off.edges]
    grouped = ((kind, [e for e in edges if e.kind == kind]) for kind in EdgeKind)
    return [(kind, some) for kind, some in grouped if some]
