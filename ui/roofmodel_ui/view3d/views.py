"""From where the roof is looked at: the sides, and a side from which a place is seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from roofmodel.scene import Scene
from roofmodel_ui.view3d.camera import Array, Camera, Size
from roofmodel_ui.view3d.sight import Sight

LOOKS: Final[dict[str, tuple[float, float]]] = {
    "south": (180.0, 8.0),
    "east": (90.0, 8.0),
    "north": (0.0, 8.0),
    "west": (270.0, 8.0),
    "above": (180.0, 90.0),
    "corner": (Camera().bearing, Camera().elevation),
}
"""Bearing and elevation of each. From the sides a little from above, so that the roof shows."""

_TRIED: Final = [(turn, lift) for lift in (35.0, 60.0) for turn in (0, 45, -45, 90, -90, 135, 180)]


def clear_look(scene: Scene, camera: Camera, size: Size, place: Array, around: Array) -> Camera:
    """A look at the points `around` (n, 3) in which nothing hides `place` (3,).

    The direction changes as little as it can; from above where no side is free.
    """
    first = replace(camera, elevation=max(camera.elevation, 20.0)).framed(around, size)
    if Sight(scene, first, size).sees(np.asarray(place)):
        return first
    for turn, lift in _TRIED:
        bearing = (camera.bearing + turn) % 360.0
        look = replace(camera, bearing=bearing, elevation=lift).framed(around, size)
        if Sight(scene, look, size).sees(np.asarray(place)):
            return look
    return replace(camera, elevation=90.0).framed(around, size)
