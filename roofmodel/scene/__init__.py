"""Meshes and looks as data, for the 3D view, pictures and drawings alike."""

from typing import TYPE_CHECKING

from roofmodel.late import late_names

if TYPE_CHECKING:
    from roofmodel.scene.build import Scene, dashed_segments, scene_of
    from roofmodel.scene.ground import Ground
    from roofmodel.scene.look import EDGE_LOOKS, EdgeLook
    from roofmodel.scene.solids import Material
else:
    __getattr__ = late_names(
        __name__,
        {
            "build": "Scene dashed_segments scene_of",
            "ground": "Ground",
            "look": "EDGE_LOOKS EdgeLook",
            "solids": "Material",
        },
    )

__all__ = [
    "EDGE_LOOKS",
    "EdgeLook",
    "Ground",
    "Material",
    "Scene",
    "dashed_segments",
    "scene_of",
]
