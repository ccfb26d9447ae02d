"""Trim whose lower leg lies on ribs or closures: where the panels above it stop short of the
line, and what the estimator is told where the roof bends too little for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from roofmodel.errors import DocumentError
from roofmodel.surface import EdgeId, Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind, TrimProfile
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.trim_sides import along, section_of
from roofmodel.takeoff.trim_types import TrimRun


def held_back(
    plane: Plane,
    edges: Sequence[RoofEdge],
    planes: Mapping[PlaneId, Plane],
    coverings: Coverings,
) -> dict[EdgeId, float]:
    """How far (mm, along the slope) the panels of a plane stop short of the hollow pitch
    transitions at its foot: there trim rises from the deck, bent above the line."""
    out = {}
    for edge in edges:
        if trim_kind(edge) is not EdgeKind.PITCH_TRANSITION or edge.fold >= 0.0:
            continue
        below = next((planes[p] for p in edge.planes if p in planes and p != plane.id), None)
        if below is None or below.slope > plane.slope:  # bent up, the steeper plane is the upper
            continue
        system = coverings.system_of(below) or coverings.trim_system(edge)
        names = along(system, EdgeKind.PITCH_TRANSITION)
        part = coverings.parts.get(names[0]) if names else None
        if part is not None and not part.too_flat(edge.fold):
            off, _ = part.past_line(edge.fold)
            if off > 0.0:
                out[edge.id] = off
    return out


def raised_warnings(runs: Iterable[TrimRun], parts: Mapping[str, TrimProfile]) -> tuple[str, ...]:
    """One sentence for each such run, by the job's cross-sections."""
    out = []
    for run in runs:
        profile = section_of(run, parts)
        if profile is None:
            continue
        fold = -run.fold if run.hollow else run.fold
        if profile.too_flat(fold):
            try:
                profile.check_at(fold)
            except DocumentError as error:
                out.append(f"{run.edge_name}: {error}")
    return tuple(out)
