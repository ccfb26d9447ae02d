"""Tables and line drawings as data."""

from roofmodel.sheets.cutting import cutting_table
from roofmodel.sheets.plan import plan_drawing
from roofmodel.sheets.tables import (
    each_panel_table,
    edge_kinds_table,
    edges_table,
    layings_table,
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
    "cutting_table",
    "each_panel_table",
    "edge_kinds_table",
    "edges_table",
    "layings_table",
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
