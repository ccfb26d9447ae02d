"""Roofing systems as data: kinds of edges, panels, trim."""

from roofmodel.systems.kinds import EdgeKind
from roofmodel.systems.types import RoofingSystem, TrimRule

__all__ = ["EdgeKind", "RoofingSystem", "TrimRule"]
