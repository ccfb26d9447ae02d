"""Planes of the samples in both built-in systems: strip by strip nothing is bare and nothing
counted twice, and no start 1/16 in further beats the one that takes the least metal."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.results import results_of
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.field import Frame
from roofmodel.takeoff.openings import is_saddle
from roofmodel.takeoff.panels import Case, best_offset, laying_of, metal_of
from roofmodel.takeoff.start import Sheet, narrow
from roofmodel.takeoff.strips import Metal, sheets_at, starts_of
from roofmodel.takeoff.types import Array, Laying
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()
STEP = 25.4 / 16


def cases_of(path: Path, system: RoofingSystem) -> list[Case]:
    """The planes that take panels."""
    project = read_project(path).project
    surface = results_of(project, planner=None).surface
    coverings = Coverings.of(surface, project)
    edges = {e.id: e for e in surface.edges}
    return [
        Case(p, [edges[i] for i in p.edges if not coverings.is_pipe(edges[i])], system)
        for p in surface.planes
        if p.slope > 0.0 and not is_saddle(p, project)
    ]


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda s: s.id)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_strip_is_covered_once(path: Path, system: RoofingSystem) -> None:
    # without shifts and lap legs the metal is the plane itself, so its strips can be cut from
    # the plane's own outline, which knows nothing of panels
    bare = msgspec.structs.replace(system, shifts={}, hems={}, lap_leg=0.0)
    laid = 0
    for case in cases_of(path, bare):
        for from_right in (False, True):
            for offset in (0.0, 100.0):
                laying = laying_of(case, "by hand", offset, from_right)
                check_strips(case, laying)
                laid += len(laying.panels)
    assert laid


def check_strips(case: Case, laying: Laying) -> None:
    """The net areas of a strip's panels are what the plane has between the strip's sides."""
    frame = Frame.of(case.plane)
    outline = shapely.Polygon(
        frame.flat(case.plane.outline), [frame.flat(h) for h in case.plane.holes]
    )
    left, low, _, high = outline.bounds
    assert laying.field_area == pytest.approx(outline.area, rel=1e-9)
    strips: dict[tuple[float, float], float] = defaultdict(float)
    for panel in laying.panels:
        strips[panel.left, panel.right] += panel.net_area
    covered = 0.0
    for (near, far), net in strips.items():
        strip = shapely.box(left + near, low - 1.0, left + far, high + 1.0)
        own = outline.intersection(strip).area
        # a thread too thin to be a panel counts with its neighbour
        assert net == pytest.approx(own, rel=1e-9, abs=0.02), (case.plane.name, near)
        covered += own
    assert covered == pytest.approx(outline.area, rel=1e-9, abs=0.02)
    sides = sorted(strips)
    for (_, far), (near, _) in pairwise(sides):
        assert near >= far - 1e-6, "two strips on one place"


def fields_of(system: RoofingSystem) -> list[tuple[Case, bool]]:
    """The samples' planes, those of one shape once, laid from the left and from the right in
    turn."""
    seen: set[tuple[float, ...]] = set()
    out: list[tuple[Case, bool]] = []
    for path in SAMPLES:
        for case in cases_of(path, system):
            from_right = len(out) % 2 == 1
            metal = metal_of(case, from_right)
            if metal.field.is_empty:
                continue
            corner = np.array([metal.ends[0], metal.cut.bounds[1]])
            shape = tuple(np.round(shapely.get_coordinates(metal.cut) - corner).ravel().tolist())
            if shape not in seen:
                seen.add(shape)
                out.append((case, from_right))
    return out


def measured(metal: Metal, sheet: Sheet, offsets: Array) -> tuple[Array, Array]:
    """Panel length and pieces under the least width, for each start (n,)."""
    rows = [starts_of(metal, float(o), sheet.coverage, sheet.lap_leg) for o in offsets]
    owner = np.repeat(np.arange(len(rows)), [len(r) for r in rows])
    cut = sheets_at(metal, np.concatenate(rows), sheet.coverage, sheet.lap_leg)
    of = owner[cut.owner]
    lengths = np.bincount(of, np.where(cut.kept, cut.lengths, 0.0), minlength=len(rows))
    is_sliver = narrow(cut, sheet.least_width).astype(np.float64)
    slivers = np.bincount(of, is_sliver, minlength=len(rows))
    return lengths.astype(np.float64), slivers.astype(np.float64)


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda s: s.id)
def test_no_start_of_a_sweep_is_better(system: RoofingSystem) -> None:
    offsets = np.arange(math.ceil(system.coverage / STEP)) * STEP
    # every third one with each system, to be quick
    cases = fields_of(system)[SYSTEMS.index(system) :: 3]
    assert len(cases) > 15
    for case, from_right in cases:
        metal, sheet = metal_of(case, from_right), case.sheet
        best = best_offset(case, "least metal", from_right)
        lengths, slivers = measured(metal, sheet, np.append(offsets, best))
        order = np.lexsort((lengths[:-1], slivers[:-1]))
        fewest, least = slivers[order[0]], lengths[order[0]]
        assert slivers[-1] <= fewest, case.plane.name
        if slivers[-1] == fewest:
            assert lengths[-1] <= least * (1 + 1e-9) + 0.05, case.plane.name
