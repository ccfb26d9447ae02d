"""What goes around openings beside trim: saddles bent from flat sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from roofmodel.document import Project
from roofmodel.surface import Plane
from roofmodel.takeoff.formula import area, labelled, sum_of
from roofmodel.takeoff.types import Quantity
from roofmodel.units import LengthUnits

GROUP = "Openings"
SADDLE_SHEET = "saddle sheet"
_SHOP = "bent in the shop from flat sheet: common practice, no source"


def is_saddle(plane: Plane, project: Project) -> bool:
    """Is this one of the two small planes behind a chimney? They take sheet, not panels."""
    return any(o.id == plane.id.section for o in project.openings())


def opening_lines(planes: Sequence[Plane], project: Project, units: LengthUnits) -> list[Quantity]:
    """One line per saddle with its area."""
    out = []
    saddles: dict[str, list[Plane]] = defaultdict(list)
    for plane in planes:
        saddles[plane.id.section].append(plane)
    for opening in project.openings():
        some = saddles.get(opening.id, [])
        if some:
            out.append(
                Quantity(
                    GROUP,
                    f"Saddle behind {opening.name}, flat sheet",
                    "mm²",
                    sum(p.true_area for p in some),
                    sum_of(labelled(area(p.true_area, units), p.name) for p in some),
                    _SHOP,
                    tuple(p.id for p in some),
                    note="seams and turn-ups are not in it",
                    key=SADDLE_SHEET,
                )
            )
    return out
