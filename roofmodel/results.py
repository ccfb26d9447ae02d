"""The one chain from the document to everything derived from it: the window and the commands
both call `results_of`, so they always show the same numbers."""

from __future__ import annotations

from dataclasses import dataclass

from roofmodel.cutting import Planner, plan_cuts
from roofmodel.document import Problem, Project
from roofmodel.surface import Surface
from roofmodel.takeoff import TakeOff


@dataclass(frozen=True, slots=True, eq=False)
class Results:
    """What the project comes to. A part that cannot be built is left out and reported among the
    problems, so the rest can still be seen and counted."""

    project: Project
    surface: Surface
    take_off: TakeOff
    problems: tuple[Problem, ...]


def results_of(project: Project, *, planner: Planner | None = plan_cuts) -> Results:
    """Solve, compose and take off a project. Sections are cached by value. Never raises. Trim
    that the `planner` has no cutting plan for is only estimated, at once."""
    if _is_untouched(project):
        return Results(project, Surface((), (), ()), TakeOff((), (), (), (), {}, frozenset()), ())
    from roofmodel.chain import worked_out  # with it comes all of the geometry

    return worked_out(project, planner)


def _is_untouched(project: Project) -> bool:
    """Whether a project is as a new one is, whatever its job, units, systems and pictures."""
    kept = (
        *("system", "more_systems", "job", "units", "underlays", "layout", "layers", "parts"),
        *("work", "prices", "colour", "offers", "tolerances"),
    )
    return project == Project(**{name: getattr(project, name) for name in kept})
