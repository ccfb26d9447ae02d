"""Frames of the 3D view: drawn off screen into a picture that Qt shows like any other.

So words, handles and tips are painted over the last frame without drawing the scene again, and
the view can be grabbed and tested as any widget. While something moves frames are quick: not
smoothed, and on a slow computer with fewer pixels. Once it stands still it is drawn smoothly, on
a slow computer strip by strip, so that the window is never held for long.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from typing import Any, Final

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PySide6.QtGui import QImage
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

from roofmodel_ui.view3d.camera import VIEW_ANGLE, Camera
from roofmodel_ui.view3d.drawing import put_camera

QUICK_MS: Final = 50.0
"""A frame in motion should take no longer; then it gets fewer pixels."""
STRIP_MS: Final = 60.0
"""A strip of a smooth frame should take no longer; then there are more of them."""
MOST_STRIPS: Final = 12
SAMPLES: Final = 4
COARSEST: Final = 0.45
RECENT: Final = 5


class Frames:
    """Draws one plotter's scene into pictures. `times` holds (smooth?, pixels, ms) of each time
    that the renderer was at work."""

    def __init__(self) -> None:
        self.plotter: Any = pv.Plotter(off_screen=True, window_size=[320, 240])
        self.window: Any = self.plotter.render_window
        self.times: list[tuple[bool, int, float]] = []
        self._costs: dict[bool, list[float]] = {}
        self._pixels = vtkUnsignedCharArray()

    def quick(self, camera: Camera, size: tuple[int, int]) -> QImage:
        """A picture for a view of `size` device pixels that moves; it may have fewer itself."""
        expected = self._expected(size, smooth=False)
        scale = max(COARSEST, (QUICK_MS / expected) ** 0.5) if expected > QUICK_MS else 1.0
        width, height = (max(16, round(s * scale)) for s in size)
        pixels = self._strip(camera, (width, height), (0, height), smooth=False)
        return _image(pixels)

    def still(self, camera: Camera, size: tuple[int, int]) -> Iterator[QImage | None]:
        """A smooth picture of all `size` pixels: None after each strip, the picture at the end.

        Nothing else may be drawn meanwhile; to give up just stop asking.
        """
        width, height = (max(16, s) for s in size)
        expected = self._expected((width, height), smooth=True)
        count = min(MOST_STRIPS, max(1, math.ceil(expected / STRIP_MS)))
        rows = math.ceil(height / count)
        whole = np.zeros((height, width, 3), np.uint8)
        for k in range(count):
            # All of one height, so that the renderer sets up its buffers once: the last overlaps.
            low = min(k * rows, height - rows)
            part = low, low + rows
            whole[low : low + rows] = self._strip(camera, (width, height), part, smooth=True)
            if k < count - 1:
                yield None
        yield _image(whole)

    def close(self) -> None:
        """Give back the graphics resources, and the connection to the display with them: closed
        after the display itself has gone, at the end of the program, it would be an error."""
        self.plotter.close()
        self.window.Finalize()
        self.window = self.plotter = None

    def _strip(
        self, camera: Camera, size: tuple[int, int], rows: tuple[int, int], *, smooth: bool
    ) -> NDArray[np.uint8]:
        """Rows low to high of a frame, counted from below, (high - low, width, 3)."""
        began = time.perf_counter()
        width, height = size
        low, high = rows
        if self.window.GetMultiSamples() != (SAMPLES if smooth else 0):
            self.window.SetMultiSamples(SAMPLES if smooth else 0)
        if tuple(self.window.GetSize()) != (width, high - low):
            self.window.SetSize(width, high - low)
        put_camera(self.plotter, camera)
        renderer = self.plotter.renderer
        below, above = renderer.GetBackground(), renderer.GetBackground2()
        if high - low < height:
            _show_part(renderer, camera, low / height, high / height)
        try:
            self.window.Render()
        finally:
            renderer.GetActiveCamera().SetWindowCenter(0.0, 0.0)
            renderer.SetBackground(below)
            renderer.SetBackground2(above)
        self.window.GetPixelData(0, 0, width - 1, high - low - 1, 0, self._pixels, 0)
        found = vtk_to_numpy(self._pixels)  # type: ignore[no-untyped-call]
        spent = (time.perf_counter() - began) * 1000.0
        self._learn(width * (high - low), spent, smooth=smooth)
        strip: NDArray[np.uint8] = found.reshape(high - low, width, 3)
        return strip

    def _learn(self, pixels: int, spent: float, *, smooth: bool) -> None:
        self.times.append((smooth, pixels, spent))
        del self.times[:-500]
        costs = self._costs.setdefault(smooth, [])
        costs.append(spent / pixels)
        del costs[:-RECENT]

    def _expected(self, size: tuple[int, int], *, smooth: bool) -> float:
        """Milliseconds that a frame will take: the best of the last few, for the first one sets
        the renderer up and others wait for somebody else's work."""
        costs = self._costs.get(smooth, [])
        # Smoothing takes a few times as long; nothing is known of it before the first one.
        if not costs and smooth:
            costs = [3.0 * c for c in self._costs.get(False, [])]
        return min(costs) * size[0] * size[1] if costs else 0.0


def _show_part(renderer: Any, camera: Camera, low: float, high: float) -> None:
    """Fill the window with what lies between two shares of the view's height, with the part of
    the background's blend that belongs there."""
    share = high - low
    vtk = renderer.GetActiveCamera()
    tall = math.tan(math.radians(VIEW_ANGLE / 2.0)) * share
    vtk.SetViewAngle(2.0 * math.degrees(math.atan(tall)))
    vtk.SetParallelScale(camera.half_height() * share)
    # The middle of the part, in halves of its own height from the middle of the view.
    vtk.SetWindowCenter(0.0, (low + high - 1.0) / share)
    below, above = np.array(renderer.GetBackground()), np.array(renderer.GetBackground2())
    renderer.SetBackground(*(below + (above - below) * low))
    renderer.SetBackground2(*(below + (above - below) * high))


def _image(rows: NDArray[np.uint8]) -> QImage:
    """A picture of rows counted from below, (height, width, 3)."""
    height, width, _ = rows.shape
    data = np.ascontiguousarray(rows[::-1])
    image = QImage(data.data, width, height, 3 * width, QImage.Format.Format_RGB888)
    return image.convertToFormat(QImage.Format.Format_RGB32)
