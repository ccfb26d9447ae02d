"""Meshes and looks as data, for the 3D view, pictures and drawings alike."""

from roofmodel.scene.build import Scene, dashed_segments, scene_of
from roofmodel.scene.ground import Ground
from roofmodel.scene.look import EDGE_LOOKS, EdgeLook
from roofmodel.scene.solids import Material

__all__ = [
    "EDGE_LOOKS",
    "EdgeLook",
    "Ground",
    "Material",
    "Scene",
    "dashed_segments",
    "scene_of",
]
