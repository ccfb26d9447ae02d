"""The one chain from the document to everything derived from it: the window and the commands
both call `results_of`, so they always show the same numbers."""

from __future__ import annotations

import itertools
from contextlib import suppress
from dataclasses import dataclass

import shapely

from roofmodel.document import Problem, Project, Section
from roofmodel.document.outlines import drip_rings
from roofmodel.errors import OutlineError
from roofmodel.surface import SolvedSection, Surface, compose, solve_section
from roofmodel.takeoff import TakeOff, take_off
from roofmodel.tolerance import LOST_SHARE, SAME_POINT_MM

_LOST = (ArithmeticError, IndexError, KeyError, ValueError)
"""What putting planes together may end in where corners nearly coincide."""


@dataclass(frozen=True, slots=True, eq=False)
class Results:
    """What the project comes to. A section whose outline cannot carry a roof is left out and
    reported among the problems, so the rest can still be seen and counted."""

    project: Project
    surface: Surface
    take_off: TakeOff
    problems: tuple[Problem, ...]


def results_of(project: Project) -> Results:
    """Solve, compose and take off a project. Sections are cached by value."""
    solved: list[tuple[str, SolvedSection]] = []
    problems: list[Problem] = []
    built: list[Section] = []
    for building in project.buildings:
        for section in building.sections:
            try:
                one = solve_section(section)
            except OutlineError as error:
                corners = error.corners + error.edges
                places = tuple(section.rings[r].corners[k] for r, k in corners)
                problems.append(Problem(f"{section.name}: {error}", True, section.id, places))
                continue
            built.append(section)
            solved.append((building.id, one))
            problems += [
                Problem(f"{section.name}: {sentence}", False, section.id, (place,))
                for sentence, place in one.solved.remarks
            ]
    surface, broken = _composed(solved, built)
    problems += broken
    for edge in surface.edges:
        if edge.remark:
            middle = (edge.start + edge.end) / 2.0
            place = (float(middle[0]), float(middle[1]))
            problems.append(
                Problem(f"{edge.name}: {edge.remark}", False, edge.planes[0].section, (place,))
            )
    problems += _overlaps(built)
    counted = take_off(surface, project.system, project.units)
    known = {p.sentence for p in problems}
    problems += [Problem(w) for w in counted.warnings if w not in known]
    return Results(project, surface, counted, tuple(problems))


def _composed(
    solved: list[tuple[str, SolvedSection]], built: list[Section]
) -> tuple[Surface, list[Problem]]:
    """The roof, without the sections that could not be put together, and what is wrong.

    A last guard before money: the planes of a section must cover its outline.
    """
    surface: Surface | None = None
    with suppress(*_LOST):
        surface = compose(solved)
    if surface is not None and all(_covers(surface, one) for _, one in solved):
        return surface, []
    kept, problems = [], []
    for one, section in zip(solved, built, strict=True):
        whole = False
        with suppress(*_LOST):
            whole = _covers(compose([one]), one[1])
        if whole:
            kept.append(one)
            continue
        problems.append(
            Problem(
                f"{section.name}: its planes could not be put together; it is left out. Corners"
                " lie too close together: move one, or square up the outline.",
                True,
                section.id,
                section.rings[0].corners[:1],
            )
        )
    return compose(kept), problems


def _covers(surface: Surface, section: SolvedSection) -> bool:
    """Do the planes of a section cover its outline?"""
    outline = sum(f.plan_area for f in section.solved.faces)
    planes = sum(p.plan_area for p in surface.planes if p.id.section == section.section)
    return abs(planes - outline) <= LOST_SHARE * outline


def _overlaps(sections: list[Section]) -> list[Problem]:
    """Sections that overlap in plan are counted whole, each for itself: say so."""
    shapes = [shapely.Polygon(r[0], r[1:]) for r in map(drip_rings, sections)]
    out = []
    for (a, one), (b, two) in itertools.combinations(zip(sections, shapes, strict=True), 2):
        common = one.intersection(two)
        if common.area > SAME_POINT_MM * (one.length + two.length):
            spot = common.representative_point()
            out.append(
                Problem(
                    f"{a.name} and {b.name} overlap: both are counted whole, since overlapping"
                    " sections are not joined yet. Move one, or draw them as one outline.",
                    True,
                    b.id,
                    ((spot.x, spot.y),),
                )
            )
    return out
