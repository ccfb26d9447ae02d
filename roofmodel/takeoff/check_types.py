"""Checks of the roof against rules: hints to look, never verdicts on its structure."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from roofmodel.surface.types import EdgeId, PlaneId


@dataclass(frozen=True, slots=True)
class Check:
    """`rule` in a few words, `edition` of the code or what else it comes from, one `sentence`
    that says what was found, and the planes and edges it is about."""

    rule: str
    edition: str
    sentence: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()
    passed: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class PlaneZones:
    """Edge and corner zones of one plane, for the layout of fasteners: (u, v) in mm, u level to
    the right of someone who looks up the slope, v up the slope, from the plane's first corner."""

    plane: PlaneId
    edge: shapely.Geometry
    corner: shapely.Geometry
