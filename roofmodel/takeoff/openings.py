"""What goes around openings beside trim: saddles bent from flat sheet, boots on pipes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from roofmodel.document import Project
from roofmodel.surface import EdgeId, Plane, RoofEdge
from roofmodel.takeoff.types import Quantity
from roofmodel.units import LengthUnits, format_area

GROUP = "Openings"
_SHOP = "bent in the shop from flat sheet: common practice, no source"


def is_saddle(plane: Plane, project: Project) -> bool:
    """Is this one of the two small planes behind a chimney? They take sheet, not panels."""
    return any(o.id == plane.id.section for o in project.openings())


def opening_lines(
    planes: Sequence[Plane], edges: Sequence[RoofEdge], project: Project, units: LengthUnits
) -> list[Quantity]:
    """One line per saddle with its area, and one for all pipe boots."""
    out = []
    saddles: dict[str, list[Plane]] = defaultdict(list)
    for plane in planes:
        saddles[plane.id.section].append(plane)
    pipes: dict[str, list[EdgeId]] = {}
    for opening in project.openings():
        some = saddles.get(opening.id, [])
        if some:
            terms = " + ".join(format_area(p.true_area, units) for p in some)
            out.append(
                Quantity(
                    GROUP,
                    f"Saddle behind {opening.name}, flat sheet",
                    "mm²",
                    sum(p.true_area for p in some),
                    f"its planes {terms}; seams and turn-ups are not in it",
                    _SHOP,
                    tuple(p.id for p in some),
                )
            )
        if opening.kind == "pipe":
            around = [e.id for e in edges if e.id.second == f"opening {opening.id}"]
            if around:
                pipes[opening.name] = around
    if pipes:
        how = " + ".join(f"1 for {name}" for name in pipes)
        source = "one boot to each pipe: common practice, no source"
        ids = tuple(i for some in pipes.values() for i in some)
        out.append(Quantity(GROUP, "Pipe boot", "count", len(pipes), how, source, (), ids))
    return out
