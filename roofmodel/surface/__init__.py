"""Sections, drawn planes and openings composed into one roof: planes, edges with their kinds,
walls, nodes."""

from typing import TYPE_CHECKING

from roofmodel.late import late_names

if TYPE_CHECKING:
    from roofmodel.surface.bodies import Body, plane_body, section_body
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
else:
    __getattr__ = late_names(
        __name__,
        {
            "bodies": "Body plane_body section_body",
            "gather": "Gathered alone gathered",
            "layers": "Hole",
            "naming": "facing",
            "sections": "SolvedSection solve_section",
            "types": "EdgeId Gap Node Plane PlaneId RoofEdge Surface Wall",
        },
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
    "facing",
    "gathered",
    "plane_body",
    "section_body",
    "solve_section",
]
