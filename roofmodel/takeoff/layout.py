"""How the panels of every plane are laid: each plane's start, and planes in line over a ridge."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from roofmodel.document import PanelLayout
from roofmodel.surface import Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.panels import Case, best_offset, laying_of, metal_of
from roofmodel.takeoff.strips import offset_within
from roofmodel.takeoff.types import Laying

ALIGNED = "ribs aligned across the ridge"
_OPPOSITE = 0.9999
"""Cosine (0.8 degrees) from which two planes run up to their ridge in line."""


def layings_of(
    cases: Mapping[PlaneId, Case],
    layouts: Mapping[PlaneId, PanelLayout],
    edges: Iterable[RoofEdge],
) -> list[Laying]:
    """The panels of some sloping planes, in their order.

    Planes whose ribs are to be aligned follow the plane over their longest ridge that has its
    start already: those that are laid another way first, then the largest. One with nothing to
    follow starts where it takes the least metal.
    """
    over: dict[PlaneId, list[PlaneId]] = {p: [] for p in cases}
    ridges = [e for e in edges if e.kind is EdgeKind.RIDGE and len(e.planes) == 2]
    for edge in sorted(ridges, key=lambda e: -e.length):
        one, two = edge.planes
        if one in over and two in over:
            over[one].append(two)
            over[two].append(one)
    found: dict[PlaneId, tuple[float, str]] = {}
    later: list[PlaneId] = []
    for plane, case in cases.items():
        layout = layouts[plane]
        if layout.start == ALIGNED:
            later.append(plane)
        elif layout.start == "by hand":
            found[plane] = (layout.offset, "")
        elif layout.start == "first end":
            found[plane] = (0.0, "")
        else:
            found[plane] = (best_offset(case, layout.start, layout.from_right), "")
    for plane in sorted(later, key=lambda p: -cases[p].plane.true_area):
        found[plane] = _aligned(plane, over[plane], cases, layouts, found)
    return [
        laying_of(
            case,
            layouts[plane].start,
            offset_within(found[plane][0], case.system.coverage),
            layouts[plane].from_right,
            found[plane][1],
        )
        for plane, case in cases.items()
    ]


def _aligned(
    plane: PlaneId,
    over: Sequence[PlaneId],
    cases: Mapping[PlaneId, Case],
    layouts: Mapping[PlaneId, PanelLayout],
    found: Mapping[PlaneId, tuple[float, str]],
) -> tuple[float, str]:
    """Start (mm) and remark of a plane that follows one over its ridge."""
    case, from_right = cases[plane], layouts[plane].from_right
    for other in over:
        if other not in found:
            continue
        offset = _start_over(
            case, from_right, cases[other], layouts[other].from_right, found[other][0]
        )
        if offset is not None:
            return offset, f"in line with {cases[other].plane.name}"
    alone = best_offset(case, "least metal", from_right)
    return alone, "it follows no plane, so it starts where it takes the least metal"


def _start_over(
    case: Case, from_right: bool, other: Case, other_from_right: bool, offset: float
) -> float | None:
    """The start that puts the sides of the panels in line with another plane's; None if those
    are of another width or run another way."""
    mine, its = metal_of(case, from_right), metal_of(other, other_from_right)
    if case.system.coverage != other.system.coverage or mine.field.is_empty or its.field.is_empty:
        return None
    frame, beyond = _frame(case.plane, from_right), _frame(other.plane, other_from_right)
    along, its_along = np.array(frame.across), np.array(beyond.across)
    same = float(along @ its_along)
    if abs(same) < _OPPOSITE or np.array(frame.uphill) @ np.array(beyond.uphill) > -_OPPOSITE:
        return None
    place = its.ends[0] + offset + float(beyond.origin[:2] @ its_along)
    here = (place if same > 0.0 else -place) - float(frame.origin[:2] @ along)
    return offset_within(here - mine.ends[0], case.system.coverage)


def _frame(plane: Plane, from_right: bool) -> Frame:
    frame = Frame.of(plane)
    return frame.mirrored() if from_right else frame
