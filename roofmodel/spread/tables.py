"""How sure the answer is, as tables."""

from __future__ import annotations

from typing import Final, cast

from roofmodel.document import Project
from roofmodel.sheets.types import Amount, Cell, Column, Table, Unit
from roofmodel.spread.run import Range, Spread
from roofmodel.units import format_length, format_slope

_UNSURE: Final = 0.5
"""Above this share an edge's very kind hangs on the tolerances."""


def ranges_table(spread: Spread, project: Project) -> Table:
    """One row per main quantity: as modelled, low and high."""
    off = project.tolerances
    title = (
        f"Low and high: sides ± {format_length(off.tracing, project.units)},"
        f" pitches ± {format_slope(off.pitch)}"
    )
    # what hangs on inches, as a wall that a roof just meets, comes last and says so
    ranges = sorted(spread.ranges, key=lambda r: _share(r) > _UNSURE)
    return Table(
        title,
        (Column("Quantity"), Column("As modelled"), Column("Low"), Column("High"), Column("±")),
        tuple(_range_row(r) for r in ranges),
    )


def _range_row(r: Range) -> tuple[Cell, ...]:
    unit = cast(Unit, r.unit)
    numbers = (Amount(v, unit) for v in (r.value, r.low, r.high))
    share = _share(r)
    return (r.name, *numbers, "hangs on inches" if share > _UNSURE else Amount(share, "share"))


def _share(r: Range) -> float:
    return max(r.high - r.value, r.value - r.low) / r.value if r.value else 0.0


def measurements_table(spread: Spread, project: Project) -> Table:
    """The measurements that narrow the answer most, and what each leaves of the spread."""
    return Table(
        "Measure these first",
        (
            Column("Measure on the house"),
            Column("Model has"),
            Column(f"Left of the spread of the {spread.target.lower()}", "share"),
        ),
        tuple((m.name, m.words(project.units), Amount(left, "share")) for m, left in spread.best),
    )
