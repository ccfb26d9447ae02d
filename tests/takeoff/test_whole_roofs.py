"""Panels of every sample in both built-in systems: nothing bare, nothing twice, nothing turns."""

from __future__ import annotations

import dataclasses
import math
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import PanelLayout, Project, Start
from roofmodel.results import results_of
from roofmodel.surface import Plane, Surface
from roofmodel.takeoff import TakeOff, take_off
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.types import Array
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()
MODES: tuple[Start, ...] = ("first end", "least metal")


@lru_cache(maxsize=8)
def opened(path: Path) -> tuple[Project, Surface]:
    project = read_project(path).project
    return project, results_of(project).surface


def counted(path: Path, system: int, layout: PanelLayout) -> tuple[Surface, TakeOff]:
    _, surface = opened(path)
    return surface, take_off(surface, covered(path, system, layout))


def covered(path: Path, system: int, layout: PanelLayout) -> Project:
    """The sample with every plane in one system, laid one way."""
    return msgspec.structs.replace(
        opened(path)[0],
        system=SYSTEMS[system],
        more_systems=(),
        plane_coverings=(),
        buildings=tuple(
            msgspec.structs.replace(b, covering="") for b in opened(path)[0].buildings
        ),
        layout=layout,
        plane_layouts=(),
    )


@pytest.mark.parametrize("system", [0, 1])
@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_net_areas_are_the_fields(path: Path, mode: Start, system: int) -> None:
    surface, taken = counted(path, system, PanelLayout(mode, from_right=mode != "first end"))
    planes = {p.id: p for p in surface.planes}
    assert taken.layings
    for laying in taken.layings:
        net = math.fsum(p.net_area for p in laying.panels)
        assert net == pytest.approx(laying.field_area, rel=1e-9)
        if not laying.panels:
            continue
        assert [p.number for p in laying.panels] == list(range(1, len(laying.panels) + 1))
        spare = SYSTEMS[system].lap_leg + 1.0 + 1e-6
        check_strips(laying.panels[0].field_width, spare, taken, laying.plane)
        check_outlines(planes[laying.plane], taken, laying.field_area)
        longest = SYSTEMS[system].panel.longest
        assert longest is not None
        for p in laying.panels:
            assert p.length <= longest + 1e-6
            assert p.gross_area == p.length * SYSTEMS[system].coverage
            assert p.net_area <= p.gross_area * 1.1
    if mode == "least metal":
        _, plain = counted(path, system, PanelLayout(from_right=True))
        for best, end in zip(taken.layings, plain.layings, strict=True):
            assert (best.narrow, sum(p.length for p in best.panels)) <= (
                end.narrow,
                sum(p.length for p in end.panels) + 1e-6,
            )


def check_strips(width: float, spare: float, taken: TakeOff, plane: object) -> None:
    """Strips lie side by side from one end of the field to the other, but for what the last
    sheet's lap leg covers."""
    sides = sorted({(p.strip, p.left, p.right) for p in taken.panels if p.plane == plane})
    spans = sorted((left, right) for _, left, right in sides)
    cover = spans[0][1] - spans[0][0]
    assert spans[0][0] <= spare
    assert spans[-1][1] >= width - spare
    for (_, right), (left, _) in pairwise(spans):
        # a strip may hold no metal where the field falls apart
        assert (left - right) / cover == pytest.approx(round((left - right) / cover), abs=1e-6)


def check_outlines(plane: Plane, taken: TakeOff, field: float) -> None:
    """The outlines of the panels do not overlap, and lie in what is covered."""
    frame = Frame.of(plane)
    shapes = [
        shapely.Polygon(frame.flat(p.outline), [frame.flat(h) for h in p.holes])
        for p in taken.panels
        if p.plane == plane.id
    ]
    areas = math.fsum(s.area for s in shapes)
    nets = math.fsum(p.net_area for p in taken.panels if p.plane == plane.id)
    assert areas <= nets * (1 + 1e-6)
    joined = shapely.union_all([s.buffer(0) for s in shapes])
    assert joined.area == pytest.approx(areas, rel=1e-6)
    # bare is at most what falls off beside the largest piece of a strip
    assert joined.area >= field * 0.97


def turned(surface: Surface, degrees: float, mirrored: bool) -> Surface:
    """The roof moved, turned and mirrored."""
    a = math.radians(degrees)
    turn = np.array([[math.cos(a), math.sin(a), 0], [-math.sin(a), math.cos(a), 0], [0, 0, 1]])
    flip = np.diag([-1.0 if mirrored else 1.0, 1.0, 1.0])
    away = np.array([12345.6, -7654.3, 0.0])  # higher up, the wind is another

    def points(p: Array, ring: bool = True) -> Array:
        moved: Array = (p @ flip) @ turn.T + away
        return moved[::-1].copy() if mirrored and ring else moved

    planes = tuple(
        dataclasses.replace(
            p,
            outline=points(p.outline),
            holes=tuple(points(h) for h in p.holes),
            bearing=((-p.bearing if mirrored else p.bearing) + degrees) % 360.0,
        )
        for p in surface.planes
    )
    edges = tuple(
        dataclasses.replace(e, start=points(e.start, False), end=points(e.end, False))
        for e in surface.edges
    )
    nodes = [dataclasses.replace(n, place=points(n.place, False)) for n in surface.nodes]
    return Surface(planes, edges, (), nodes)


def check_lines(one: TakeOff, other: TakeOff) -> None:
    """The same lines with the same quantities."""

    def lines(taken: TakeOff) -> dict[tuple[str, str], float]:
        return {(q.group, q.item): q.quantity for q in taken.quantities}

    assert lines(other) == pytest.approx(lines(one), rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("system", [0, 1])
@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_moved_turned_and_mirrored_it_takes_the_same(path: Path, mode: Start, system: int) -> None:
    surface, taken = counted(path, system, PanelLayout(mode))
    for degrees, mirrored in ((33.0, False), (117.0, True)):
        changed = covered(path, system, PanelLayout(mode, from_right=mirrored))
        other = take_off(turned(surface, degrees, mirrored), changed)
        check_lines(taken, other)
        assert len(other.panels) == len(taken.panels)
        for of in ("net_area", "gross_area", "length"):
            one = math.fsum(getattr(p, of) for p in taken.panels)
            two = math.fsum(getattr(p, of) for p in other.panels)
            assert two == pytest.approx(one, rel=1e-9), of
