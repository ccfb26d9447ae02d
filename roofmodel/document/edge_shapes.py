"""What an edge of an outline can be, as a choice with its numbers, and back from its profile.

Each choice makes a profile: steps of (height above the section's eave, slope). The numbers of a
choice are lengths in mm above the edge's own eave, or slopes (rise over run).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from roofmodel.document.edits import set_profile
from roofmodel.document.types import Project, Step
from roofmodel.errors import DocumentError

MANSARD_FROM: Final = math.tan(math.radians(70.0))
"""A lower slope this steep or steeper is a mansard side, below it a gambrel's: gambrels stand at
60 degrees and a little over, mansards nearly upright."""


class EdgeShape(StrEnum):
    """The choices, in the words of the trade; `OTHER` is any profile that none of them makes."""

    EAVE = "eave"
    GABLE = "gable end"
    CLIPPED = "clipped gable"
    GABLE_ABOVE_HIP = "gable above hip"
    GAMBREL = "gambrel"
    MANSARD = "mansard side"
    OTHER = "in steps"


@dataclass(frozen=True, slots=True)
class Number:
    """One number of a choice: what it is called, whether it is a slope or a height in mm, and
    what it is at first."""

    key: str
    words: str
    is_slope: bool
    first: float


_PITCH: Final = Number("pitch", "Pitch", True, 0.5)

NUMBERS: Final[Mapping[EdgeShape, tuple[Number, ...]]] = MappingProxyType(
    {
        EdgeShape.EAVE: (_PITCH,),
        EdgeShape.GABLE: (),
        EdgeShape.CLIPPED: (
            Number("break", "Clipped from", False, 1524.0),
            Number("pitch", "Pitch above", True, 0.5),
        ),
        EdgeShape.GABLE_ABOVE_HIP: (
            _PITCH,
            Number("break", "Gable from", False, 1219.2),
        ),
        EdgeShape.GAMBREL: (
            Number("lower", "Lower pitch", True, 20.0 / 12.0),
            Number("break", "Break at", False, 2438.4),
            Number("pitch", "Upper pitch", True, 0.5),
        ),
        EdgeShape.MANSARD: (
            Number("lower", "Lower pitch", True, 40.0 / 12.0),
            Number("break", "Break at", False, 2438.4),
            Number("pitch", "Upper pitch", True, 0.25),
        ),
        EdgeShape.OTHER: (),
    }
)
"""The numbers of each choice, from below to above. Heights are above the edge's own eave."""


def numbers_at_first(shape: EdgeShape, pitch: float | None = None) -> dict[str, float]:
    """The numbers a choice starts with; `pitch` takes the place of the usual one."""
    numbers = {n.key: n.first for n in NUMBERS[shape]}
    if pitch is not None and "pitch" in numbers and "lower" not in numbers:
        numbers["pitch"] = pitch
    return numbers


def profile_of(
    shape: EdgeShape, numbers: Mapping[str, float] | None = None, foot: float = 0.0
) -> tuple[Step, ...]:
    """The profile of a choice; numbers not given are the usual ones.

    `foot` is the first height, mm above the section's eave. DocumentError where the numbers make
    no such shape.

    >>> profile_of(EdgeShape.GABLE_ABOVE_HIP, {"pitch": 0.5, "break": 1800.0})
    (Step(height=0.0, slope=0.5), Step(height=1800.0, slope=None))
    """
    known = numbers_at_first(shape) | dict(numbers or {})
    pitch, height, lower = known.get("pitch"), known.get("break", 0.0), known.get("lower")
    if shape is EdgeShape.OTHER:
        raise DocumentError("Steps of another form are set one by one, not by a choice.")
    if "break" in known and not height > 0:
        raise DocumentError(f"A {shape} needs a height above the eave at which it changes.")
    if lower is not None and pitch is not None and not lower > pitch:
        raise DocumentError(f"The lower pitch of a {shape} must be steeper than its upper pitch.")
    if shape is EdgeShape.EAVE:
        return (Step(foot, pitch),)
    if shape is EdgeShape.GABLE:
        return (Step(foot, None),)
    if shape is EdgeShape.CLIPPED:
        return Step(foot, None), Step(foot + height, pitch)
    if shape is EdgeShape.GABLE_ABOVE_HIP:
        return Step(foot, pitch), Step(foot + height, None)
    return Step(foot, lower), Step(foot + height, pitch)


def shape_of(profile: Sequence[Step]) -> tuple[EdgeShape, dict[str, float]]:
    """The choice that makes this profile, and its numbers.

    >>> shape_of((Step(0.0, None), Step(1500.0, 0.5)))
    (<EdgeShape.CLIPPED: 'clipped gable'>, {'break': 1500.0, 'pitch': 0.5})
    """
    first = profile[0]
    if len(profile) == 1:
        if first.slope is None:
            return EdgeShape.GABLE, {}
        return EdgeShape.EAVE, {"pitch": first.slope}
    if len(profile) > 2:
        return EdgeShape.OTHER, {}
    upper, height = profile[1].slope, profile[1].height - first.height
    if first.slope is None:
        if upper is None:
            return EdgeShape.OTHER, {}
        return EdgeShape.CLIPPED, {"break": height, "pitch": upper}
    if upper is None:
        return EdgeShape.GABLE_ABOVE_HIP, {"pitch": first.slope, "break": height}
    if first.slope <= upper:
        return EdgeShape.OTHER, {}
    shape = EdgeShape.MANSARD if first.slope >= MANSARD_FROM else EdgeShape.GAMBREL
    return shape, {"lower": first.slope, "break": height, "pitch": upper}


def set_shape(
    project: Project,
    targets: Iterable[tuple[str, str]],
    shape: EdgeShape,
    numbers: Mapping[str, float] | None = None,
) -> Project:
    """Make each edge (section id, edge id) this choice; its own first height stays.

    Numbers not given are kept where the edge has them already, or else the usual ones; a pitch
    that the edge had goes over to the new choice where it makes sense.
    """
    for section_id, edge_id in targets:
        edge = next(
            (e for r in project.section(section_id).rings for e in r.edges if e.id == edge_id),
            None,
        )
        if edge is None:
            raise DocumentError(f"There is no edge {edge_id} in that section any more.")
        old, had = shape_of(edge.profile)
        start = had if old is shape else numbers_at_first(shape, had.get("pitch"))
        steps = profile_of(shape, start | dict(numbers or {}), edge.profile[0].height)
        project = set_profile(project, section_id, [edge_id], steps)
    return project


def step_pitches(project: Project, targets: Iterable[tuple[str, str]], by: float) -> Project:
    """Make each sloping edge (section id, edge id) steeper by exactly `by` (rise over run, may be
    negative).

    The pitch of a gambrel or mansard that is stepped is the lower one; gable ends stay.
    """
    for section_id, edge_id in targets:
        for ring in project.section(section_id).rings:
            for edge in ring.edges:
                if edge.id != edge_id:
                    continue
                at = next((k for k, s in enumerate(edge.profile) if s.slope is not None), None)
                if at is None:
                    continue
                old = edge.profile[at].slope or 0.0
                new = stepped(old, by)
                steps = list(edge.profile)
                steps[at] = Step(steps[at].height, new)
                project = set_profile(project, section_id, [edge_id], steps)
    return project


LEAST_STEPPED: Final = 1.0 / 12.0
MOST_STEPPED: Final = 60.0 / 12.0
"""Stepping a pitch never goes below 1/12 or above 60/12; beyond, it has to be typed."""


def stepped(slope: float, by: float) -> float:
    """A slope one step further up or (with `by` below 0) down; it stays where the step would end
    beyond the bounds, so that a step back always undoes a step.

    >>> [round(12 * stepped(s / 12, 1 / 12), 6) for s in (6.0, 6.5, 0.5)]
    [7.0, 7.5, 1.5]
    """
    # In twelfths, so that there and back is the very same number.
    new = round(12.0 * (slope + by), 9) / 12.0
    beyond = new < LEAST_STEPPED - 1e-9 if by < 0 else new > MOST_STEPPED + 1e-9
    return slope if beyond else new
