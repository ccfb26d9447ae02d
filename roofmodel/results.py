"""The one chain from the document to everything derived from it: the window and the commands
both call `results_of`, so they always show the same numbers."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from roofmodel.document import Problem, Project
from roofmodel.surface import Body, Gathered, Surface, compose, gathered
from roofmodel.surface.doubts import doubts_of
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import TakeOff, take_off
from roofmodel.tolerance import LOST_SHARE

_LOST = (ArithmeticError, IndexError, KeyError, ValueError)
"""What putting planes together may end in where corners nearly coincide."""


@dataclass(frozen=True, slots=True, eq=False)
class Results:
    """What the project comes to. A part that cannot be built is left out and reported among the
    problems, so the rest can still be seen and counted."""

    project: Project
    surface: Surface
    take_off: TakeOff
    problems: tuple[Problem, ...]


def results_of(project: Project) -> Results:
    """Solve, compose and take off a project. Sections are cached by value."""
    parts = gathered(project)
    kinds = {o.edge: o.kind for o in project.edge_overrides}
    surface, lost = _composed(parts, kinds)
    problems = [*parts.problems, *lost, *doubts_of(project, parts, surface)]
    counted = take_off(surface, project)
    known = {p.sentence for p in problems}
    problems += [Problem(w) for w in counted.warnings if w not in known]
    return Results(project, surface, counted, tuple(problems))


def _composed(parts: Gathered, kinds: dict[str, EdgeKind]) -> tuple[Surface, list[Problem]]:
    """The roof, without the bodies that could not be put together, and what is wrong.

    A last guard before money: the planes of a body taken alone must cover its drip line.
    """
    with suppress(*_LOST):
        return compose(parts.bodies, parts.holes, kinds), []
    kept, problems = [], []
    for body in parts.bodies:
        if _stands(body):
            kept.append(body)
            continue
        problems.append(
            Problem(
                f"{body.name}: its planes could not be put together; it is left out. Corners"
                " lie too close together: move one, or square up the outline.",
                True,
                body.part,
                (body.corner,),
            )
        )
    with suppress(*_LOST):
        return compose(kept, parts.holes, kinds), problems
    problems.append(
        Problem(
            "The parts of the roof could not be joined: lines of two of them nearly coincide."
            " Move the part you changed last a little, or undo.",
            True,
        )
    )
    return Surface((), (), ()), problems


def _stands(body: Body) -> bool:
    """Do the planes of a body, taken alone, cover its drip line?"""
    with suppress(*_LOST):
        surface = compose([body])
        area = sum(p.plan_area for p in surface.planes)
        return bool(abs(area - body.drip.area) <= LOST_SHARE * body.drip.area)
    return False
