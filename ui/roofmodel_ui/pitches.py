"""Pitches typed for several edges at once, whatever each of them is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from roofmodel.document import Project, Step
from roofmodel.document.edge_shapes import EdgeShape, set_shape, shape_of
from roofmodel.document.edits import set_profile, set_slope
from roofmodel.units import parse_slope
from roofmodel_ui.selection import OutlineEdgeId, outline_edge

GABLE_WORDS = ("g", "gable", "gable end", "vertical")


def with_pitch(project: Project, targets: Iterable[OutlineEdgeId], text: str) -> Project:
    """The project with a typed pitch (or the word gable) for these edges. What is stepped keeps
    its steps: a gambrel or mansard side takes it as its lower pitch if it is steeper than the
    upper one."""
    slope = None if text.strip().lower() in GABLE_WORDS else parse_slope(text)
    for target in targets:
        found = outline_edge(project, target)
        if found is None:
            continue
        shape, numbers = shape_of(found[1].profile)
        pair = [(target.section, target.edge)]
        if slope is None or shape in (EdgeShape.EAVE, EdgeShape.GABLE):
            project = set_slope(project, target.section, [target.edge], slope)
        elif shape is EdgeShape.OTHER:
            steps = list(found[1].profile)
            at = next((k for k, s in enumerate(steps) if s.slope is not None), 0)
            steps[at] = Step(steps[at].height, slope)
            project = set_profile(project, target.section, [target.edge], steps)
        else:
            key = "lower" if "lower" in numbers and slope > numbers["pitch"] else "pitch"
            project = set_shape(project, pair, shape, {key: slope})
    return project


def slope_all(project: Project, targets: Iterable[OutlineEdgeId], slope: float | None) -> Project:
    """The project with the slope of these outline edges set; None makes them gable ends."""
    by_section: dict[str, list[str]] = defaultdict(list)
    for target in targets:
        by_section[target.section].append(target.edge)
    for section, edges in by_section.items():
        project = set_slope(project, section, edges, slope)
    return project
