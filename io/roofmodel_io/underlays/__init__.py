"""Pictures, pages of plans and drawings that lie under the plan.

For drawing tools that snap to the lines of DXF drawings::

    underlay_segments(project: Project, pictures: Mapping[str, bytes]) -> (n, 2, 2) float, mm

One row per line of every drawing that is visible, in plan, both ends; an empty (0, 2, 2) array if
there is none. It is cached by value (what the file holds, its place, scale, turn and hidden
layers), so that calling it on every move of the mouse costs little; the first call for a drawing
reads it, which may take a second: `read_underlay` has done so before, off the window's thread.
Drawings that cannot be read are passed over. The array is not to be written to.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import msgspec
import numpy as np
from numpy.typing import NDArray

from roofmodel.document import Project, Underlay
from roofmodel.errors import FileError

__all__ = ["underlay_segments"]

_NONE = np.zeros((0, 2, 2))
_NONE.flags.writeable = False


def underlay_segments(project: Project, pictures: Mapping[str, bytes]) -> NDArray[np.float64]:
    """The lines of all visible drawings under the plan, (n, 2, 2) float, mm."""
    shown = tuple(
        (_place_only(u), pictures[u.file])
        for u in project.underlays
        if u.kind == "drawing" and u.visible and u.file in pictures
    )
    return _joined(shown) if shown else _NONE


def _place_only(underlay: Underlay) -> Underlay:
    """Without what does not move its lines, so that dimming it finds the same in the cache."""
    return msgspec.structs.replace(underlay, opacity=1.0, locked=False, distances=())


@lru_cache(maxsize=4)
def _joined(shown: tuple[tuple[Underlay, bytes], ...]) -> NDArray[np.float64]:
    arrays = [placed_lines(underlay, data) for underlay, data in shown]
    if len(arrays) == 1:
        return arrays[0]
    joined = np.concatenate(arrays)
    joined.flags.writeable = False
    return joined


@lru_cache(maxsize=8)
def placed_lines(underlay: Underlay, data: bytes) -> NDArray[np.float64]:
    """The lines of one drawing in plan, (n, 2, 2) float, mm; none if it cannot be read."""
    from roofmodel_io.underlays.drawings import drawing_of

    try:
        drawing = drawing_of(data, underlay.file)
    except FileError:
        return _NONE
    lines = underlay.to_plan(drawing.pixels(frozenset(underlay.hidden_layers)))
    lines.flags.writeable = False
    return lines
