"""Tables and line drawings as data."""

from typing import TYPE_CHECKING

from roofmodel.late import late_names

if TYPE_CHECKING:
    from roofmodel.sheets.cutting import cutting_table
    from roofmodel.sheets.panel_tables import (
        PanelRow,
        each_panel_table,
        order_table,
        panel_rows,
        panels_table,
    )
    from roofmodel.sheets.plan import plan_drawing
    from roofmodel.sheets.prices import price_tables
    from roofmodel.sheets.tables import (
        edge_kinds_table,
        edges_table,
        layings_table,
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
else:
    __getattr__ = late_names(
        __name__,
        {
            "cutting": "cutting_table",
            "panel_tables": "PanelRow each_panel_table order_table panel_rows panels_table",
            "plan": "plan_drawing",
            "prices": "price_tables",
            "tables": """
                edge_kinds_table
                edges_table
                layings_table
                planes_table
                quantities_table
                roofing_words
                shown
                squares_of
                summary_tables
                trim_table
            """,
            "types": "Amount Cell Column Drawing DrawnLine DrawnText RoofResults Table Unit",
        },
    )

__all__ = [
    "Amount",
    "Cell",
    "Column",
    "Drawing",
    "DrawnLine",
    "DrawnText",
    "PanelRow",
    "RoofResults",
    "Table",
    "Unit",
    "cutting_table",
    "each_panel_table",
    "edge_kinds_table",
    "edges_table",
    "layings_table",
    "order_table",
    "panel_rows",
    "panels_table",
    "plan_drawing",
    "planes_table",
    "price_tables",
    "quantities_table",
    "roofing_words",
    "shown",
    "squares_of",
    "summary_tables",
    "trim_table",
]
