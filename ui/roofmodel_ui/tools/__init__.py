"""What the mouse and keyboard do in the plan. Tools see millimetres, never widgets."""

from roofmodel_ui.tools.base import Overlay, PlanEvent, Tool
from roofmodel_ui.tools.measure import MeasureTool
from roofmodel_ui.tools.opening import OpeningDraft, OpeningTool
from roofmodel_ui.tools.outline import OutlineTool, PlaneTool
from roofmodel_ui.tools.rectangle import RectangleTool
from roofmodel_ui.tools.scale import ScaleTool
from roofmodel_ui.tools.select import SelectTool

__all__ = [
    "MeasureTool",
    "OpeningDraft",
    "OpeningTool",
    "OutlineTool",
    "Overlay",
    "PlanEvent",
    "PlaneTool",
    "RectangleTool",
    "ScaleTool",
    "SelectTool",
    "Tool",
]
