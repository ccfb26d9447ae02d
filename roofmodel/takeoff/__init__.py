"""From the roof to what it needs: panels, trim, quantities, each with how it came about."""

from roofmodel.takeoff.types import Panel, Quantity, TakeOff, TrimRun

__all__ = ["Panel", "Quantity", "TakeOff", "TrimRun"]
