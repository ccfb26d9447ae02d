"""Screws and clips of the sample projects counted a second, slow way: rib after rib, with a ruler
along each, on the outlines of the panels as they are drawn."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import Project
from roofmodel.results import Results, results_of
from roofmodel.surface import Plane
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project

IN, FT = 25.4, 304.8
FOLDER = Path(__file__).parents[2] / "sample_projects"
NAMES = ("birch_corner_l_hip", "elder_brook_dormers", "fern_hill_manor")


def sample(name: str, system: RoofingSystem) -> Results:
    made: Project = read_project(FOLDER / f"{name}.roof").project
    made = msgspec.structs.replace(
        made,
        system=system,
        more_systems=(),
        plane_coverings=(),
        buildings=tuple(msgspec.structs.replace(b, covering="") for b in made.buildings),
    )
    return results_of(made)


class Board:
    """One plane laid flat: its panels, and its edges as they lie in plan."""

    def __init__(self, results: Results, fixing: PlaneFixing) -> None:
        plane: Plane = results.surface.plane(fixing.plane)
        frame = Frame.of(plane)
        self.panels = [p for p in results.take_off.panels if p.plane == fixing.plane]
        shapes = [
            shapely.Polygon(frame.flat(p.outline), [frame.flat(h) for h in p.holes])
            for p in self.panels
        ]
        # a hair more, so that neighbours touch
        self.metal = shapely.union_all([s.buffer(1e-4, join_style="mitre") for s in shapes])
        self.left, self.low = self.metal.bounds[0] + 1e-4, self.metal.bounds[1] + 1e-4
        # clips under a seam hold the panels on both its hands
        self.shapes = [s.buffer(2.0, join_style="mitre") for s in shapes]
        self.factor = frame.factor
        edges = [results.surface.edge(e) for e in plane.edges]
        self.edges = [
            shapely.LineString(frame.flat(np.array([e.start, e.end])) * (1, 1 / frame.factor))
            for e in edges
            if e.kind.value in ("eave", "high eave", "rake", "ridge", "hip")
        ]

    def stretches(self, u: float) -> list[tuple[float, float]]:
        """Where a line up the slope runs on metal, pipes passed over."""
        line = shapely.LineString([(u, self.low - 9.0), (u, self.metal.bounds[3] + 9.0)])
        parts = [p for p in shapely.get_parts(self.metal.intersection(line)) if p.length > 0]
        spans = sorted((p.bounds[1], p.bounds[3]) for p in parts)
        out: list[tuple[float, float]] = []
        for low, high in spans:
            if out and low - out[-1][1] < 12 * IN:
                out[-1] = (out[-1][0], high)
            else:
                out.append((low, high))
        return [s for s in out if s[1] - s[0] > 1 * IN]

    def is_near_an_edge(self, u: float, v: float, width: float) -> bool:
        point = shapely.Point(u, v / self.factor)
        return any(e.distance(point) <= width + 1e-3 for e in self.edges)


def looked_at(
    board: Board,
    lines: list[float],
    end: float,
    spacing: tuple[float, int],
    zone: float,
    ends: int,
) -> int:
    """All fasteners on these lines: `spacing` has the zone's and how many make the field's. None
    stands closer than 6 in below the last."""
    spans = [(u, *s) for u in lines for s in board.stretches(u + 1e-3)]
    rows = [(low + end, high - end) for _, low, high in spans]
    rows = [(a, b) if b - a > 1.0 else ((a + b) / 2,) * 2 for a, b in rows]
    start, count = min((a for a, b in rows if b > a), default=0.0), 0
    for (u, _, _), (a, b) in zip(spans, rows, strict=True):
        count += ends * (2 if b > a else 1)
        k = 1
        while start + k * spacing[0] < b - 1.0:
            v = start + k * spacing[0]
            is_doubled = b - v < 6 * IN - 1.0
            in_row = k % spacing[1] == 0 or board.is_near_an_edge(u, v, zone)
            if v > a + 1.0 and in_row and not is_doubled:
                count += 1
            k += 1
    return count


@pytest.mark.parametrize("name", NAMES)
def test_screws(name: str) -> None:
    # 36 in the field, 18 in zones, two at ends, 3 in from them; ribs 9 apart in 36
    results = sample(name, built_in_systems()[0])
    for fixing in results.take_off.fixings:
        board = Board(results, fixing)
        strips = sorted({board.left + p.left for p in board.panels})
        ribs = [s + 9 * IN * k for s in strips for k in range(4)]
        got = looked_at(board, ribs, 3 * IN, (18 * IN, 2), fixing.zone, 2)
        assert got == fixing.count, fixing.plane_name


@pytest.mark.parametrize("name", NAMES)
def test_clips(name: str) -> None:
    # 24 in the field, 12 in zones, 6 in from the ends, along the first side of each panel
    results = sample(name, built_in_systems()[1])
    for fixing in results.take_off.fixings:
        board = Board(results, fixing)
        sides = sorted({board.left + max(p.left, 0.0) for p in board.panels})
        got = looked_at(board, sides, 6 * IN, (12 * IN, 2), fixing.zone, 1)
        assert got == fixing.count, fixing.plane_name


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
@pytest.mark.parametrize("name", NAMES)
def test_every_panel_is_held(name: str, system: RoofingSystem) -> None:
    results = sample(name, system)
    for fixing in results.take_off.fixings:
        board = Board(results, fixing)
        at = fixing.places + np.array([board.left + 1.0, board.low])
        for panel, shape in zip(board.panels, board.shapes, strict=True):
            if panel.net_area > 0.1 * FT**2:
                assert shapely.contains_xy(shape, at).any(), (panel.plane_name, panel.number)
