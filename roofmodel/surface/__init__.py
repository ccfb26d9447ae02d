"""Sections composed into one roof: planes, edges with their kinds, walls."""

from roofmodel.surface.types import EdgeId, Plane, PlaneId, RoofEdge, Surface, Wall

__all__ = ["EdgeId", "Plane", "PlaneId", "RoofEdge", "Surface", "Wall"]
