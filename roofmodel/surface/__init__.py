"""Sections, drawn planes and openings composed into one roof: planes, edges with their kinds,
walls, nodes."""

from roofmodel.surface.bodies import Body, plane_body, section_body
from roofmodel.surface.compose import compose
from roofmodel.surface.gather import Gathered, alone, gathered
from roofmodel.surface.layers import Hole
from roofmodel.surface.naming import facing
from roofmodel.surface.sections import SolvedSection, solve_section
from roofmodel.surface.types import (
    EdgeId,
    Gap,
    Node,
    Plane,
    PlaneId,
    RoofEdge,
    Surface,
    Wall,
)

__all__ = [
    "Body",
    "EdgeId",
    "Gap",
    "Gathered",
    "Hole",
    "Node",
    "Plane",
    "PlaneId",
    "RoofEdge",
    "SolvedSection",
    "Surface",
    "Wall",
    "alone",
    "compose",
    "facing",
    "gathered",
    "plane_body",
    "section_body",
    "solve_section",
]
