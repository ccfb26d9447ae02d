"""Plane, polygon and chain helpers that shapely lacks."""

from typing import TYPE_CHECKING

from roofmodel.late import late_names

if TYPE_CHECKING:
    from roofmodel.geometry.chains import closed_chains
    from roofmodel.geometry.polygons import (
        inward_normals,
        plan_area,
        rolled,
        shifted_ring,
        signed_area,
    )
else:
    __getattr__ = late_names(
        __name__,
        {
            "chains": "closed_chains",
            "polygons": "inward_normals plan_area rolled shifted_ring signed_area",
        },
    )

__all__ = ["closed_chains", "inward_normals", "plan_area", "rolled", "shifted_ring", "signed_area"]
