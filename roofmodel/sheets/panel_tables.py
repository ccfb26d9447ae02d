"""The tables of a job's panels: how many of which for each plane, each one, and what to order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from roofmodel.document import Units
from roofmodel.sheets.types import Amount, Cell, Column, RoofResults, Table
from roofmodel.takeoff import Panel, TakeOff, building_names, covering_names, cut_words
from roofmodel.units import format_length

NOTCHED = "notched"


@dataclass(frozen=True, slots=True)
class PanelRow:
    """Panels of one plane that are cut alike, and the cells of their row."""

    panels: tuple[Panel, ...]
    covering: str
    building: str

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The row without covering and building."""
        first = self.panels[0]
        return (
            first.plane_name,
            *_sums(self.panels, Amount(first.length, "mm")),
            *(cut_words(first.lower), cut_words(first.upper), _numbers(self.panels)),
            NOTCHED if first.notched else "",
        )


def panel_rows(results: RoofResults) -> list[PanelRow]:
    """The rows of `panels_table`: plane after plane, the longest first. Panels that read the same
    length, the same ends and are notched or not are one row, at the longest of them."""
    units, surface = results.project.units, results.surface
    coverings, buildings = covering_names(results.project), building_names(results.project)
    building_of = {p.id: buildings[p.building] for p in surface.planes}
    out = []
    for plane, panels in groupby(results.take_off.panels, lambda p: p.plane):
        alike: dict[tuple[object, ...], list[Panel]] = {}
        for p in sorted(panels, key=lambda p: (-p.length, p.number)):
            length = format_length(p.length, units)
            key = length, cut_words(p.lower), cut_words(p.upper), p.notched
            alike.setdefault(key, []).append(p)
        out += [
            PanelRow(tuple(some), coverings[some[0].system], building_of[plane])
            for some in alike.values()
        ]
    return out


def panels_table(results: RoofResults) -> Table:
    """Panels per plane, as `panel_rows` has them; where the job has several coverings each has
    its sum."""
    rows = panel_rows(results)
    every = results.take_off.panels
    by_covering = _by_covering(rows)
    sums = [
        (f"Total {name}", *_sums(some, ""), "", "", "", "", name, "")
        for name, some in by_covering.items()
    ]
    table = Table(
        "Panels",
        (
            Column("Plane"),
            Column("Panels", "count"),
            Column("Cut length", "mm", to_cut=True),
            Column("Net area", "mm²"),
            Column("Gross area", "mm²"),
            Column("Lower end"),
            Column("Upper end"),
            Column("Numbers"),
            Column("Cut out"),
            Column("Covering"),
            Column("Building"),
        ),
        tuple((*row.cells, row.covering, row.building) for row in rows),
        ("Total", *_sums(every, ""), "", "", "", "", "", ""),
        tuple(sums) if len(sums) > 1 else (),
    )
    alone = {"Covering"} if len(by_covering) < 2 else set()
    alone |= {"Building"} if len({row.building for row in rows}) < 2 else set()
    alone |= set() if any(p.notched for p in every) else {"Cut out"}
    return _without(table, alone)


def order_table(results: RoofResults, rows: Iterable[PanelRow] | None = None) -> Table:
    """What a mill asks for: how many panels of which length, by covering, the longest first.
    `rows` are those of `panel_rows` that are meant, all by default."""
    units = results.project.units
    by_covering = _by_covering(panel_rows(results) if rows is None else rows)
    lines: list[tuple[Cell, ...]] = []
    sums: list[tuple[Cell, ...]] = []
    every: list[Panel] = []
    for name, panels in by_covering.items():
        for some in _by_length(panels, units):
            lines.append((name, *_order(some, Amount(some[0].length, "mm"))))
        sums.append((f"Total {name}", *_order(panels, "")))
        every += panels
    return Table(
        "Panels to order",
        (
            Column("Covering"),
            Column("Panels", "count"),
            Column("Cut length", "mm", to_cut=True),
            Column("Total length", "mm"),
        ),
        tuple(lines),
        ("Total", *_order(every, "")),
        tuple(sums) if len(sums) > 1 else (),
    )


def each_panel_table(take_off: TakeOff) -> Table:
    """One row per panel in laying order: its length, end cuts, areas, lap on the one below."""
    return Table(
        "Each panel",
        (
            *(Column("Plane"), Column("Number", "count"), Column("Strip", "count")),
            *(Column("Cut length", "mm", to_cut=True), Column("Lower end"), Column("Upper end")),
            *(
                Column("Net area", "mm²"),
                Column("Gross area", "mm²"),
                Column("End lap", "mm", to_cut=True),
            ),
            Column("Cut out"),
        ),
        tuple(
            (
                *(p.plane_name, Amount(p.number, "count"), Amount(p.strip, "count")),
                *(Amount(p.length, "mm"), cut_words(p.lower), cut_words(p.upper)),
                *(Amount(p.net_area, "mm²"), Amount(p.gross_area, "mm²")),
                Amount(p.end_lap, "mm") if p.end_lap else "",
                NOTCHED if p.notched else "",
            )
            for p in take_off.panels
        ),
    )


def _by_covering(rows: Iterable[PanelRow]) -> dict[str, list[Panel]]:
    out: dict[str, list[Panel]] = {}
    for row in rows:
        out.setdefault(row.covering, []).extend(row.panels)
    return out


def _by_length(panels: Iterable[Panel], units: Units) -> list[list[Panel]]:
    """Panels that read the same length, the longest first."""
    out: dict[str, list[Panel]] = {}
    for p in sorted(panels, key=lambda p: -p.length):
        out.setdefault(format_length(p.length, units), []).append(p)
    return list(out.values())


def _sums(panels: Sequence[Panel], length: Cell) -> tuple[Cell, ...]:
    """How many, their length, net and gross area."""
    return (
        *(Amount(len(panels), "count"), length),
        Amount(sum(p.net_area for p in panels), "mm²"),
        Amount(sum(p.gross_area for p in panels), "mm²"),
    )


def _order(panels: Sequence[Panel], length: Cell) -> tuple[Cell, ...]:
    """How many, their length, and what they are together."""
    return Amount(len(panels), "count"), length, Amount(sum(p.length for p in panels), "mm")


def _without(table: Table, titles: set[str]) -> Table:
    """The table without some columns."""
    kept = [k for k, column in enumerate(table.columns) if column.title not in titles]

    def of(row: tuple[Cell, ...]) -> tuple[Cell, ...]:
        return tuple(row[k] for k in kept)

    return Table(
        table.title,
        tuple(table.columns[k] for k in kept),
        tuple(map(of, table.rows)),
        None if table.total is None else of(table.total),
        tuple(map(of, table.subtotals)),
    )


def _numbers(panels: Iterable[Panel]) -> str:
    """Panel numbers as text with runs joined: 1-4, 7.

    >>> _numbers([])
    ''
    """
    runs: list[list[int]] = []
    for number in sorted(p.number for p in panels):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{a}" if a == b else f"{a}-{b}" for a, b in runs)
