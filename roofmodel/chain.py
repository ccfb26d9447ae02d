"""The links of the chain in `roofmodel.results`, which imports them once there is a roof: with
them comes all of the geometry, and an empty window should not wait for it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from functools import lru_cache

import shapely
from shapely.errors import ShapelyError

from roofmodel.cutting import Planner
from roofmodel.document import Problem, Project
from roofmodel.results import Results
from roofmodel.surface import Body, Gathered, Surface, gathered
from roofmodel.surface.compose import compose
from roofmodel.surface.doubts import doubts_of
from roofmodel.surface.reach import standing_doubts
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import lost_take_off, take_off
from roofmodel.tolerance import HEAL_MM, LOST_SHARE

_LOST = (ArithmeticError, IndexError, KeyError, ValueError, ShapelyError)
"""What putting planes together may end in where corners nearly coincide."""

_NOTHING = Surface((), (), ())


def worked_out(project: Project, planner: Planner | None) -> Results:
    """What `results_of` gives, of any project."""
    parts, surface, lost = _roof(_Drawn(project))
    problems = [*parts.problems, *lost]
    try:
        problems += doubts_of(project, parts, surface)
        problems += standing_doubts(project, parts.bodies)
    except _LOST:
        problems.append(Problem("What is doubtful about this roof could not all be found.", True))
    try:
        counted = take_off(surface, project, planner=planner)
    except _LOST:
        counted = lost_take_off(surface, project)
        problems.append(
            Problem(
                "This roof could not be counted: move the part you changed last a little.", True
            )
        )
    known = {p.sentence for p in problems}
    problems += [_placed(w, surface) for w in counted.warnings if w not in known]
    return Results(project, surface, counted, _once(problems))


class _Drawn:
    """A project as the roof sees it: equal to others that are drawn alike, however covered."""

    __slots__ = ("_hash", "key", "project")

    def __init__(self, project: Project) -> None:
        self.project = project
        self.key = (project.buildings, project.edge_overrides)
        self._hash = hash(self.key)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Drawn) and self.key == other.key


@lru_cache(maxsize=4)  # what is laid, priced or offered otherwise keeps its roof
def _roof(drawn: _Drawn) -> tuple[Gathered, Surface, tuple[Problem, ...]]:
    project = drawn.project
    parts = gathered(project)
    kinds = {o.edge: o.kind for o in project.edge_overrides}
    surface, lost = _composed(parts, kinds)
    return parts, surface, tuple(lost)


def _placed(warning: str, surface: Surface) -> Problem:
    """A warning of the take-off with the plane it begins with as its place."""
    for plane in surface.planes:
        if warning.startswith((f"{plane.name}:", f"{plane.name} is")):
            shape = shapely.Polygon(plane.outline[:, :2], [h[:, :2] for h in plane.holes])
            spot = shape.point_on_surface()
            return Problem(warning, False, plane.id.section, ((spot.x, spot.y),))
    return Problem(warning)


def _once(problems: list[Problem]) -> tuple[Problem, ...]:
    """Each sentence once, with all its places."""
    out: dict[tuple[str, str], Problem] = {}
    for problem in problems:
        key = (problem.sentence, problem.section)
        known = out.get(key)
        if known is None:
            out[key] = problem
        else:
            places = dict.fromkeys((*known.places, *problem.places))
            out[key] = replace(known, places=tuple(places))
    return tuple(out.values())


def _composed(parts: Gathered, kinds: dict[str, EdgeKind]) -> tuple[Surface, list[Problem]]:
    """The roof, without the bodies that could not be put together, and what is wrong."""
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
    return _NOTHING, problems


def _stands(body: Body) -> bool:
    """Do the planes of a body, taken alone, cover its drip line?"""
    with suppress(*_LOST):
        surface = compose([body])
        area = sum(p.plan_area for p in surface.planes)
        miss = LOST_SHARE * body.drip.area + HEAL_MM * body.drip.length
        return bool(abs(area - body.drip.area) <= miss)
    return False
