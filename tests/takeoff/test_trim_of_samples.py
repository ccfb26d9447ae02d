"""Trim of every sample in both built-in systems: all covered, every edge once, nothing turns."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter, defaultdict
from collections.abc import Mapping
from functools import lru_cache
from itertools import combinations
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import NOT_IN_JOB, OTHER, PlaneCovering, Project, Units
from roofmodel.results import results_of
from roofmodel.surface import Plane, PlaneId, RoofEdge, Surface
from roofmodel.surface.nodes import nodes_of
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff import TakeOff, take_off
from roofmodel.takeoff.trim_runs import straight_on, trim_kind
from roofmodel.tolerance import HEAL_MM
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.takeoff.test_trim_rules import IN, check_trim, check_words
from tests.takeoff.test_whole_roofs import turned

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()
UNITS = {"eighths": Units(), "sixteenths": Units(fraction=16), "metric": Units("metric")}
STEPS = {"eighths": IN / 8, "sixteenths": IN / 16, "metric": 1.0}


def in_system(project: Project, system: int, units: Units | None = None) -> Project:
    """The whole job in one system."""
    return msgspec.structs.replace(
        project,
        system=SYSTEMS[system],
        more_systems=(),
        plane_coverings=(),
        buildings=tuple(msgspec.structs.replace(b, covering="") for b in project.buildings),
        units=units or project.units,
    )


@lru_cache(maxsize=8)
def opened(path: Path) -> tuple[Project, Surface]:
    project = read_project(path).project
    return project, results_of(project).surface


@pytest.mark.parametrize("system", [0, 1])
@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_pieces_cover_their_runs_and_formulas_come_out(
    path: Path, units: str, system: int
) -> None:
    project, surface = opened(path)
    taken = take_off(surface, in_system(project, system, UNITS[units]))
    check_trim(taken, STEPS[units])
    check_words(taken, UNITS[units])
    assert all(p.state == "best" for p in taken.cutting_plans)


def expected(surface: Surface, project: Project) -> Counter[tuple[object, ...]]:
    """(edge, part, plane) of every part that every edge should take, put down plainly."""
    planes = {p.id: p for p in surface.planes}
    systems = {s.id: s for s in project.systems()}
    saddles = {o.id for o in project.openings()}
    pipes = {f"opening {o.id}" for o in project.openings() if o.kind == "pipe"}
    of_plane = {p.id: systems.get(project.covering(p.building, str(p.id))) for p in surface.planes}
    out: Counter[tuple[object, ...]] = Counter()
    for edge in surface.edges:
        last = sorted(edge.planes, key=lambda p: planes[p].slope == 0)  # a deck after a roof
        covered = [of_plane[p] for p in last if of_plane[p] is not None]
        if edge.id.second in pipes or not covered:
            continue
        panelled = [
            p
            for p in edge.planes
            if of_plane[p] is not None and planes[p].slope > 0 and p.section not in saddles
        ]
        kind = trim_kind(edge)
        lower = below(edge, planes)
        if any(p.section not in saddles for p in edge.planes):
            assert covered[0] is not None
            for rule in covered[0].trim[kind]:
                if rule.along == "edge":
                    both = [(p, of_plane[p]) for p in panelled]
                    part = between(both, kind, lower) if len(both) == 2 else ""
                    out[edge.id, part or rule.part, None] += 1
        for plane in panelled:
            own = of_plane[plane]
            for rule in own.trim[kind] if own else ():
                one = rule.along == "lower plane" and kind is EdgeKind.PITCH_TRANSITION
                if rule.along != "edge" and (not one or plane == lower):
                    out[edge.id, rule.part, plane] += 1
    return out


def between(
    both: list[tuple[PlaneId, RoofingSystem | None]], kind: EdgeKind, lower: PlaneId | None
) -> str:
    """What lies over the panels of two planes, if their systems lay different parts there."""
    parts = [
        (plane == lower, next(r.part for r in system.trim[kind] if r.along == "edge"))
        for plane, system in both
        if system is not None
    ]
    if parts[0][1] == parts[1][1]:
        return ""
    upper_first = kind in (EdgeKind.PITCH_TRANSITION, EdgeKind.DECK_EDGE)
    first, second = sorted(parts, key=lambda p: p if upper_first else p[1])
    return f"half {first[1]} and half {second[1]}"


def below(edge: RoofEdge, planes: Mapping[PlaneId, Plane]) -> PlaneId | None:
    """The plane whose outline holds a point an inch down the slope from the edge's middle."""
    middle = (edge.start + edge.end) / 2.0
    angle = math.radians(planes[edge.planes[0]].bearing)
    point = shapely.Point(middle[0] + IN * math.sin(angle), middle[1] + IN * math.cos(angle))
    for p in edge.planes:
        holes = [h[:, :2] for h in planes[p].holes]
        if shapely.Polygon(planes[p].outline[:, :2], holes).contains(point):
            return p
    return None


def taken_sides(taken: TakeOff) -> Counter[tuple[object, ...]]:
    return Counter((edge, run.part, run.plane) for run in taken.trim for edge in run.edges)


@pytest.mark.parametrize("system", [0, 1])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_edge_is_in_one_run_per_part_and_side(path: Path, system: int) -> None:
    project, surface = opened(path)
    whole = in_system(project, system)
    sides = expected(surface, whole)
    assert set(sides.values()) == {1}
    assert taken_sides(take_off(surface, whole)) == sides
    mixed = in_both(whole, surface)
    assert taken_sides(take_off(surface, mixed)) == expected(surface, mixed)


def in_both(whole: Project, surface: Surface) -> Project:
    """Every third plane in the other system, not in the job, under something else."""
    (other,) = (s for s in SYSTEMS if s.id != whole.system.id)
    others = (other.id, NOT_IN_JOB, OTHER)
    return msgspec.structs.replace(
        whole,
        more_systems=(other,),
        plane_coverings=tuple(
            PlaneCovering(str(p.id), others[k // 3 % 3])
            for k, p in enumerate(surface.planes)
            if k % 3 == 0
        ),
    )


def totals(taken: TakeOff) -> dict[str, tuple[float, ...]]:
    """Per part the number and the lengths of its runs, what they need, and its bars."""
    out: dict[str, list[float]] = defaultdict(lambda: [0.0] * 5)
    for run in taken.trim:
        for k, value in enumerate((1.0, run.length, run.needed, float(run.pieces))):
            out[run.part][k] += value
    for plan in taken.cutting_plans:
        out[plan.part][4] += len(plan.bars)
    return {part: tuple(values) for part, values in out.items()}


@pytest.mark.parametrize("system", [0, 1])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_moved_turned_and_mirrored_it_takes_the_same(path: Path, system: int) -> None:
    project, surface = opened(path)
    whole = in_system(project, system)
    for job in (whole, in_both(whole, surface)):
        plain = totals(take_off(surface, job))
        assert any(part.startswith("half ") for part in plain) == (job is not whole)
        for degrees, mirrored in ((33.0, False), (117.0, True)):
            other = turned(surface, degrees, mirrored)
            other = dataclasses.replace(other, nodes=nodes_of(other.edges))
            got = totals(take_off(other, job))
            assert list(got) == list(plain)
            for part, values in plain.items():
                assert got[part] == pytest.approx(values, rel=1e-9), part


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_what_goes_straight_on_is_found_as_by_trying_all_pairs(path: Path) -> None:
    _, surface = opened(path)
    edges = [piece for edge in surface.edges for piece in in_three(edge)]
    found = {(min(a, b), max(a, b)) for a, some in enumerate(straight_on(edges)) for b in some}
    tried = {(a, b) for a, b in combinations(range(len(edges)), 2) if meet(edges[a], edges[b])}
    assert found == tried
    assert len(found) >= 2 * len(surface.edges)


def in_three(edge: RoofEdge) -> list[RoofEdge]:
    """The edge in three pieces, of which the middle one runs the other way."""
    a, b = edge.start + (edge.end - edge.start) / 3.0, edge.start + (edge.end - edge.start) / 1.5
    ends = ((edge.start, a), (b, a), (b, edge.end))
    return [
        dataclasses.replace(edge, start=p, end=q, length=float(np.linalg.norm(q - p)))
        for p, q in ends
    ]


def meet(one: RoofEdge, two: RoofEdge) -> bool:
    """Do two edges touch with one end each, the others lying apart on one line?"""
    for p, far in ((one.start, one.end), (one.end, one.start)):
        for q, beyond in ((two.start, two.end), (two.end, two.start)):
            if float(np.linalg.norm(p - q)) <= HEAL_MM:
                u = (far - p) / one.length
                v = (beyond - q) / two.length
                turn = math.sqrt(max(0.0, 1.0 - float(u @ v) ** 2))
                short = min(one.length, two.length)
                return float(u @ v) < 0.0 and turn * short <= HEAL_MM
    return False
