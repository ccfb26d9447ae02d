"""All lines of a job in plan, cut where they meet: points, arcs between them, cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.surface.cells import cells_of
from roofmodel.surface.noding import noded
from roofmodel.surface.types import Array

Indices = NDArray[np.int64]

_FAR_MM = 1e6
_ASKEW = np.array([[np.cos(0.6), np.sin(0.6)], [-np.sin(0.6), np.cos(0.6)]])
"""A turn that no house is built by."""


@dataclass(frozen=True, slots=True, eq=False)
class Arrangement:
    """Cells in plan and the directed arcs around them.

    `points` (n, 2) mm; arc k runs from point `start[k]` to `end[k]` with cell `left[k]` to its
    left and cell `right[k]` beyond it (-1: nothing); `inside` (m, 2) is a point of each cell,
    `areas` (m,) its area.
    """

    points: Array
    start: Indices
    end: Indices
    left: Indices
    right: Indices
    inside: Array
    areas: Array


def arrange(segments: Array) -> Arrangement:
    """Cut (n, 2, 2) segments where they meet, heal what lies closer than a millimetre, and find
    the cells between them."""
    # near the origin doubles have digits to spare; a coarse one, so that an edit of one section
    # leaves the others' points the same to the last bit
    origin = np.round(segments.reshape(-1, 2).mean(axis=0) / _FAR_MM) * _FAR_MM
    points, arcs = noded(segments - origin)
    cells, start, end, left, right = cells_of(points, arcs)
    inside = _inside(cells)
    areas = np.asarray(shapely.area(cells))
    return Arrangement(points + origin, start, end, left, right, inside + origin, areas)


def _inside(cells: NDArray[np.object_]) -> Array:
    """A point (m, 2) well inside each cell.

    `point_on_surface` cuts a polygon along x, and may return a point on a side that runs along x
    itself, as those of most houses do: it is asked about the cells turned askew.
    """
    turned = shapely.transform(cells, lambda xy: xy @ _ASKEW)
    out: Array = shapely.get_coordinates(shapely.point_on_surface(turned)) @ _ASKEW.T
    return out
