"""Plane, polygon and chain helpers that shapely lacks."""

from roofmodel.geometry.chains import closed_chains
from roofmodel.geometry.polygons import (
    inward_normals,
    plan_area,
    rolled,
    shifted_ring,
    signed_area,
)

__all__ = ["closed_chains", "inward_normals", "plan_area", "rolled", "shifted_ring", "signed_area"]
