"""Roofing systems as data: kinds of edges, panels, trim."""

from roofmodel.systems.kinds import EdgeKind
from roofmodel.systems.profiles import Bend, Hem, Leg, SheetMetal, TrimProfile
from roofmodel.systems.types import NO_SOURCE, PanelRules, RoofingSystem, TrimRule

__all__ = [
    "NO_SOURCE",
    "Bend",
    "EdgeKind",
    "Hem",
    "Leg",
    "PanelRules",
    "RoofingSystem",
    "SheetMetal",
    "TrimProfile",
    "TrimRule",
]
