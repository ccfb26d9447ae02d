"""Tables and line drawings as data."""

from roofmodel.sheets.plan import plan_drawing
from roofmodel.sheets.tables import (
    edge_kinds_table,
    edges_table,
    panels_table,
    planes_table,
    quantities_table,
    roofing_words,
    shown,
    squares_of,
    summary_tables,
    trim_table,
)
from roofmodel.sheets.types import (
    Amount,
    Cell,
    Column,
    Drawing,
    DrawnLine,
    DrawnText,
    RoofResults,
    Table,
    Unit,
)

__all__ = [
    "Amount",
    "Cell",
    "Column",
    "Drawing",
    "DrawnLine",
    "DrawnText",
    "RoofResults",
    "Table",
    "Unit",
    "edge_kinds_table",
    "edges_table",
    "panels_table",
    "plan_drawing",
    "planes_table",
    "quantities_table",
    "roofing_words",
    "shown",
    "squares_of",
    "summary_tables",
    "trim_table",
]
