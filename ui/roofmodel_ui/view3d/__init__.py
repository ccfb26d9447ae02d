"""The roof in 3D. `drawing` needs pyvista, so it is imported late: here by the first picture,
in the window by a thread that starts once the window is up."""

from __future__ import annotations

from pathlib import Path

from roofmodel.results import Results


def save_picture(results: Results, path: Path, size: tuple[int, int] = (1600, 1000)) -> None:
    """The roof in 3D as a PNG file of `size` pixels; needs no display."""
    from roofmodel_ui.view3d import drawing

    drawing.save_picture(results, path, size)
