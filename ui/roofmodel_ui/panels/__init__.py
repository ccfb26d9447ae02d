"""The panels at the right. They show the session's state and make edits through it."""

from roofmodel_ui.panels.cover import CoverPanel
from roofmodel_ui.panels.cutlist import CutListPanel
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.panels.place import PlacePanel
from roofmodel_ui.panels.quantities import QuantitiesPanel
from roofmodel_ui.panels.shape import ShapePanel

__all__ = [
    "CoverPanel",
    "CutListPanel",
    "HandOverPanel",
    "PlacePanel",
    "QuantitiesPanel",
    "ShapePanel",
]
