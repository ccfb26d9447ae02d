"""From the roof to what it needs: panels, trim, quantities, each with how it came about."""

from roofmodel.takeoff.coverings import building_names, covering_names
from roofmodel.takeoff.lines import cut_list, take_off
from roofmodel.takeoff.trim import pieces_for
from roofmodel.takeoff.types import Panel, Quantity, TakeOff, TrimRun

__all__ = [
    "Panel",
    "Quantity",
    "TakeOff",
    "TrimRun",
    "building_names",
    "covering_names",
    "cut_list",
    "pieces_for",
    "take_off",
]
