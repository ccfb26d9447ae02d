"""The one chain from the document to everything derived from it: the window and the commands
both call `results_of`, so they always show the same numbers."""

from __future__ import annotations

from dataclasses import dataclass

from roofmodel.document import Problem, Project
from roofmodel.surface import Surface
from roofmodel.takeoff import TakeOff


@dataclass(frozen=True, slots=True, eq=False)
class Results:
    """What the project comes to. A section whose outline cannot carry a roof is left out and
    reported among the problems, so the rest can still be seen and counted."""

    project: Project
    surface: Surface
    take_off: TakeOff
    problems: tuple[Problem, ...]
