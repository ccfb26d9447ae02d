"""Meshes on a plotter whose arrays are changed in place as long as their cells stay the same."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Colors = NDArray[np.uint8]


class Mesh:
    """Triangles or lines with a colour per cell, or per point where `color_points`.

    Something must always be there for the renderer to keep its actor: an empty mesh is one cell
    of no size. `rebuilt` counts how often the cells were replaced.
    """

    def __init__(self, corners: int, *, color_points: bool = False, channels: int = 3) -> None:
        self._corners, self._color_points, self._channels = corners, color_points, channels
        self._cells: Indices = np.zeros((0, corners), np.int64)
        self.rebuilt = 0
        self.poly = self._made(*self._nothing())

    def put(self, points: Array, cells: Indices, colors: Colors | None = None) -> None:
        """Show points (n, 3) in mm, cells (m, corners) over them and their colours."""
        if not len(cells):
            points, cells, colors = self._nothing()
        if colors is None:
            count = len(points) if self._color_points else len(cells)
            colors = np.zeros((count, self._channels), np.uint8)
        if len(points) != self.poly.n_points or not np.array_equal(cells, self._cells):
            self.poly.copy_from(self._made(points, cells, colors), deep=False)
            self.rebuilt += 1
            return
        changed = _write(self.poly.points, points)
        data = self.poly.point_data if self._color_points else self.poly.cell_data
        shown = data["color"]
        if _write(shown, colors):
            array = shown.VTKObject
            assert array is not None
            array.Modified()  # colours of points are kept by the array's own time
            changed = True
        if changed:
            vtk_points = self.poly.GetPoints()
            assert vtk_points is not None
            vtk_points.Modified()
            self.poly.Modified()

    def _nothing(self) -> tuple[Array, Indices, Colors]:
        count = self._corners if self._color_points else 1
        return (
            np.zeros((self._corners, 3)),
            np.arange(self._corners, dtype=np.int64)[None],
            np.zeros((count, self._channels), np.uint8),
        )

    def _made(self, points: Array, cells: Indices, colors: Colors) -> pv.PolyData:
        self._cells = cells
        packed = np.column_stack([np.full(len(cells), self._corners), cells]).ravel()
        own = np.array(points, float)
        is_faces = self._corners == 3
        poly = pv.PolyData(own, faces=packed) if is_faces else pv.PolyData(own, lines=packed)
        data = poly.point_data if self._color_points else poly.cell_data
        data["color"] = np.array(colors)
        return poly


def segments(found: Array) -> tuple[Array, Indices]:
    """Segments (n, 2, 3) as points (2n, 3) and lines (n, 2)."""
    count = len(found)
    return found.reshape(-1, 3), np.arange(2 * count, dtype=np.int64).reshape(count, 2)


def _write(held: NDArray[Any], new: NDArray[Any]) -> bool:
    """Write into an array that the renderer holds; whether anything in it changed."""
    same = np.asarray(held)
    if np.array_equal(same, new):
        return False
    same[:] = new
    return True
