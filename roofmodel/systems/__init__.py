"""Roofing systems as data: kinds of edges, panels, trim."""

from roofmodel.systems.kinds import EdgeKind
from roofmodel.systems.types import NO_SOURCE, PanelRules, RoofingSystem, TrimRule

__all__ = ["NO_SOURCE", "EdgeKind", "PanelRules", "RoofingSystem", "TrimRule"]
