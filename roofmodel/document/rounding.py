"""Round the sides of an outline to whole inches, or another step, and keep it closed.

Vocabulary
----------
closure
    What is left between the first corner and the last when the rounded sides are laid end to
    end, mm. It is spread: by whole steps over the sides that were rounded most, and what no
    whole steps can close (where sides slant) over all sides by their length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import msgspec
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from roofmodel.document.changes import in_part
from roofmodel.document.types import Project
from roofmodel.errors import DocumentError

Array = NDArray[np.float64]

INCH_MM: Final = 25.4

_WHOLE_MM: Final = 0.01
"""Sides this near to whole steps count as whole."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """A project with a rounded outline: `changed` sides have another length, none by more than
    `most` mm; `broken` sides could not be whole steps."""

    project: Project
    changed: int
    most: float
    broken: int


def round_outline(project: Project, section_id: str, step: float = INCH_MM) -> Rounded:
    """Round the length of each side of a section's outline to whole `step`s (mm), keeping the
    direction of every side and the first corner of every ring."""
    section = project.section(section_id)
    if not (math.isfinite(step) and 0.0 < step <= 1000.0):
        raise DocumentError("Sides are rounded to more than 0 and at most 1 m.")
    rings, before, after = [], [], []
    for ring in section.rings:
        corners = np.array(ring.corners)
        sides = np.roll(corners, -1, axis=0) - corners
        sizes = np.hypot(sides[:, 0], sides[:, 1])
        lengths = _rounded(sides / sizes[:, None], sizes, step)
        before += sizes.tolist()
        after += lengths.tolist()
        if np.abs(lengths - sizes).max() < _WHOLE_MM:
            rings.append(ring)
            continue
        ways = sides / sizes[:, None] * lengths[:, None]
        moved = corners[0] + np.vstack([np.zeros((1, 2)), np.cumsum(ways, axis=0)[:-1]])
        points = tuple((round(float(x), 6), round(float(y), 6)) for x, y in moved)
        rings.append(msgspec.structs.replace(ring, corners=points))
    shape = Polygon(rings[0].corners, [r.corners for r in rings[1:]])
    if min(after) < step / 2.0 or not shape.is_valid:
        raise DocumentError(
            f"{section.name} has a side too short to be rounded like that. Use a smaller step."
        )
    off = np.abs(np.array(after) - np.array(before))
    broken = np.abs(np.array(after) / step - np.round(np.array(after) / step)) * step
    new = msgspec.structs.replace(section, rings=tuple(rings))
    done = project if new == section else in_part(project, section, lambda _: new)
    return Rounded(
        done,
        int(np.count_nonzero(off >= _WHOLE_MM)),
        float(off.max()),
        int(np.count_nonzero(broken >= _WHOLE_MM)),
    )


def _rounded(ways: Array, sizes: Array, step: float) -> Array:
    """Lengths (n,) of sides that run along unit vectors (n, 2): whole steps where they can be,
    and closed."""
    counts = np.maximum(np.round(sizes / step), 1.0)
    for _ in range(len(sizes)):
        gap = counts @ ways
        best = float(gap @ gap)
        choice: tuple[float, int, float] | None = None
        for k, way in enumerate(ways):
            for by in (1.0, -1.0):
                left = gap + by * way
                if counts[k] + by < 1.0 or float(left @ left) > best - 0.5:
                    continue
                # of all that close it as well, the one that comes out nearest to what it was
                cost = abs((counts[k] + by) * step - sizes[k]) + 4.0 * step * float(left @ left)
                if choice is None or cost < choice[0] - 1e-6:
                    choice = cost, k, by
        if choice is None:
            break
        counts[choice[1]] += choice[2]
    lengths: Array = counts * step
    gap = lengths @ ways
    if float(np.hypot(*gap)) < 1e-6:
        return lengths
    # The smallest changes, weighed so that long sides take more of it.
    normal = (ways * sizes[:, None]).T @ ways
    shares = np.linalg.lstsq(normal, gap, rcond=None)[0]
    spread: Array = lengths - sizes * (ways @ shares)
    return spread
