"""The roof in 3D. `drawing` needs pyvista, so it is imported late: here by the first picture,
in the window by a thread that starts once the window is up."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Final

from roofmodel.results import Results

PICTURE_SIZE: Final = (1600, 1000)


def save_picture(results: Results, path: Path, size: tuple[int, int] = PICTURE_SIZE) -> None:
    """The roof in 3D as a PNG file of `size` pixels; needs no display."""
    from roofmodel_ui.view3d import drawing

    drawing.save_picture(results, path, size)


def picture_png(results: Results) -> bytes:
    """The roof in 3D as what a PNG file holds."""
    from vtkmodules.vtkCommonCore import vtkLogger

    from roofmodel_io.atomic import read_whole

    # VTK warns that there is no display before it draws without one.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_ERROR)
    with tempfile.TemporaryDirectory() as folder:
        drawn = Path(folder) / "picture.png"
        save_picture(results, drawn)
        return read_whole(drawn, 2**28)
