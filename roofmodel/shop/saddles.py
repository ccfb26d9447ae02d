"""The flat sheet of every saddle: its two planes laid flat about their ridge, with bend lines.

It lies with its colour side up: y along the ridge, 0 at the chimney; x across it, 0 at its left
corner, seen from the chimney up the slope. Sizes are those of the planes: turn-ups, flanges and
seams go on beyond the bend lines around it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from roofmodel.document import Project
from roofmodel.surface import Plane, RoofEdge, Surface
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.openings import SADDLE_SHEET
from roofmodel.takeoff.types import TakeOff
from roofmodel.tolerance import HEAL_MM

Array = NDArray[np.float64]
XY = tuple[float, float]

_LEVEL_MM: Final = 1e-6


@dataclass(frozen=True, slots=True)
class SaddleEdge:
    """A roof edge of a saddle, flat: the ridge or a border, from (x, y) to (x, y), mm. `fold` is
    the roof's there, degrees, negative where the metal is bent up."""

    name: str
    kind: EdgeKind
    start: XY
    end: XY
    fold: float


@dataclass(frozen=True, slots=True, eq=False)
class SaddleSheet:
    """A saddle's sheet. `planes` are names and outlines (n, 2), mm; the first of `edges` is its
    ridge; `width` and `length` are of the box around it, `area` mm²."""

    name: str
    opening: str
    planes: tuple[tuple[str, Array], ...]
    edges: tuple[SaddleEdge, ...]
    width: float
    length: float
    area: float


def saddle_sheets(
    project: Project, surface: Surface, take_off: TakeOff
) -> tuple[SaddleSheet, ...]:
    """The sheets of all saddles that are counted, in the take-off's order."""
    planes = {p.id: p for p in surface.planes}
    names = {o.id: o.name for o in project.openings()}
    out = []
    for line in take_off.quantities:
        some = [planes[i] for i in line.planes if i in planes]
        if line.key == SADDLE_SHEET and some:
            made = _flat(names.get(some[0].id.section, ""), some, surface.edges)
            out += [made] if made is not None else []
    return tuple(out)


def _flat(opening: str, planes: Sequence[Plane], edges: Sequence[RoofEdge]) -> SaddleSheet | None:
    """Laid flat; None where its planes do not meet in a ridge."""
    mine = {p.id for p in planes}
    around = [e for e in edges if mine & set(e.planes)]
    ridges = [e for e in around if len(e.planes) == 2 and set(e.planes) <= mine]
    if not ridges:
        return None
    ridge = max(ridges, key=lambda e: e.length)
    start, end = ridge.start, ridge.end
    at_chimney = [p for e in around if len(e.planes) == 1 for p in (e.start, e.end)]
    if min((_apart(end, p) for p in at_chimney), default=1.0) < HEAL_MM:
        start, end = end, start
    along = (end - start) / np.linalg.norm(end - start)
    ways = {p.id: _away(p, start, along) for p in planes}

    def laid(points: Array, plane: Plane) -> Array:
        """Places on a plane: beside the ridge and along it."""
        hand, way = ways[plane.id]
        offset = points - start
        flat: Array = np.column_stack([hand * (offset @ way), offset @ along])
        return flat

    outlines = [(p.name, laid(p.outline, p)) for p in planes]
    low = np.vstack([o for _, o in outlines]).min(axis=0)
    size = np.vstack([o for _, o in outlines]).max(axis=0) - low
    by_id = {p.id: p for p in planes}
    found = []
    for e in [ridge, *(e for e in around if e is not ridge)]:
        plane = next(by_id[i] for i in e.planes if i in by_id)
        a, b = (laid(np.array([e.start, e.end]), plane) - low).tolist()
        found.append(SaddleEdge(e.name, e.kind, (a[0], a[1]), (b[0], b[1]), e.fold))
    return SaddleSheet(
        f"Saddle behind {opening}",
        opening,
        tuple((name, o - low) for name, o in outlines),
        tuple(found),
        float(size[0]),
        float(size[1]),
        sum(p.true_area for p in planes),
    )


def _apart(one: Array, two: Array) -> float:
    return float(np.linalg.norm(one - two))


def _away(plane: Plane, start: Array, along: Array) -> tuple[float, Array]:
    """On which side of the ridge a plane lies (-1 left, 1 right of its way), and the way on the
    plane that leads off it."""
    offset = plane.outline - start
    off = offset - np.outer(offset @ along, along)
    far = off[int(np.argmax(np.linalg.norm(off, axis=1)))]
    way = far / max(float(np.linalg.norm(far)), _LEVEL_MM)
    turn = float(along[0] * way[1] - along[1] * way[0])
    return (-1.0 if turn > 0.0 else 1.0), way
