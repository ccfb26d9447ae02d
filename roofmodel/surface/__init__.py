"""Sections composed into one roof: planes, edges with their kinds, walls."""

from roofmodel.surface.compose import compose, facing
from roofmodel.surface.sections import SolvedSection, solve_section
from roofmodel.surface.types import EdgeId, Plane, PlaneId, RoofEdge, Surface, Wall

__all__ = [
    "EdgeId",
    "Plane",
    "PlaneId",
    "RoofEdge",
    "SolvedSection",
    "Surface",
    "Wall",
    "compose",
    "facing",
    "solve_section",
]
