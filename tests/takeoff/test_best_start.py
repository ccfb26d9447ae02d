"""The best start of a plane's panels against many starts tried one by one."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from roofmodel.systems import EdgeKind
from roofmodel.takeoff.panels import Case, best_offset, laying_of
from roofmodel.takeoff.start import Sheet, balanced, least_metal, narrow
from roofmodel.takeoff.strips import Metal, areas_between, sheets_at, starts_of
from roofmodel_io.defaults import built_in_systems
from tests.takeoff.boards import south_plane
from tests.takeoff.test_openings import odd_ring

IN = 25.4
STEP = IN / 16


def metal(*rings: list[tuple[float, float]]) -> Metal:
    """A field in inches, with holes."""
    scaled = [[(x * IN, y * IN) for x, y in ring] for ring in rings]
    shape = shapely.MultiPolygon([shapely.Polygon(scaled[0], scaled[1:])])
    return Metal(shape, shape)


def metal_and_slivers(metal: Metal, sheet: Sheet, offset: float) -> tuple[float, int]:
    """Length of all panels (mm) and how many pieces are under the least width, for one start."""
    starts = starts_of(metal, offset, sheet.coverage, sheet.lap_leg)
    cut = sheets_at(metal, starts, sheet.coverage, sheet.lap_leg)
    return float(cut.lengths[cut.kept].sum()), int(narrow(cut, sheet.least_width).sum())


def swept(field: Metal, sheet: Sheet) -> tuple[int, float]:
    """Fewest slivers, and the least metal among those starts, 1/16 in apart."""
    tried = []
    for k in range(math.ceil(sheet.coverage / STEP)):
        length, slivers = metal_and_slivers(field, sheet, k * STEP)
        tried.append((slivers, length))
    return min(tried)


def check(field: Metal, sheet: Sheet) -> None:
    offset = least_metal(field, sheet)
    assert 0.0 <= offset < sheet.coverage
    length, slivers = metal_and_slivers(field, sheet, offset)
    fewest, least = swept(field, sheet)
    assert slivers <= fewest
    if slivers == fewest:
        # pieces of a hundredth of a square millimetre come and go
        assert length <= least * (1 + 1e-9) + 0.05
    at_end, slivers_there = metal_and_slivers(field, sheet, 0.0)
    assert (slivers, length) <= (slivers_there, at_end + 1e-6)


def star(seed: int) -> Metal:
    """A ring around a point, convex or not, some corners on whole inches, sometimes a hole."""
    rnd = random.Random(seed)
    n = rnd.randint(3, 9)
    turns = sorted(rnd.uniform(0, 2 * math.pi) for _ in range(n))
    corners = [(rnd.uniform(6, 24) * math.cos(t), rnd.uniform(6, 24) * math.sin(t)) for t in turns]
    if rnd.random() < 0.4:
        corners = [(float(round(x)), float(round(y))) for x, y in corners]
    ring: BaseGeometry = shapely.Polygon(corners)
    if not ring.is_valid or ring.area < 4.0:
        return metal([(0, 0), (17, 0), (17, 9), (0, 9)])
    if rnd.random() < 0.5:
        ring = ring.difference(shapely.box(-2, -2, rnd.uniform(-1, 6), rnd.uniform(-1, 3)))
    largest = max(shapely.get_parts(ring).tolist(), key=lambda p: float(p.area))
    return metal(largest.exterior.coords[:-1], *(r.coords[:-1] for r in largest.interiors))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    st.integers(0, 10**6),
    st.sampled_from([4.0, 5.0, 6.3]),
    st.sampled_from([0.0, 0.25]),
    st.sampled_from([0.0, 1.5]),
)
def test_never_worse_than_a_sweep(seed: int, cover: float, lap: float, least: float) -> None:
    check(star(seed), Sheet(cover * IN, lap * IN, least * IN))


def test_a_hip_end() -> None:
    # a triangle 24 wide, 12 high: strips of 3 from the corner rise 3, 6, 9, 12 and fall: 60.
    # Any other start puts one strip over the peak and nine strips in all: at 1.5 it is
    # 1.5, 4.5, 7.5, 10.5, 12, 10.5, ... = 60 as well: equally good, so the end is kept
    field = metal([(0, 0), (24, 0), (12, 12)])
    sheet = Sheet(3 * IN, 0.0, 0.0)
    assert metal_and_slivers(field, sheet, 0.0)[0] == pytest.approx(60 * IN)
    assert metal_and_slivers(field, sheet, 1.5 * IN)[0] == pytest.approx(60 * IN)
    assert least_metal(field, sheet) == 0.0


def test_a_step_decides() -> None:
    # 10 wide: 3 high up to x = 4, then 9 high. Strips of 6: from the end they are 9 and 9; with
    # a side on the step they are 3 and 9, 12 in all
    field = metal([(0, 0), (10, 0), (10, 9), (4, 9), (4, 3), (0, 3)])
    sheet = Sheet(6 * IN, 0.0, 0.0)
    assert metal_and_slivers(field, sheet, 0.0)[0] / IN == pytest.approx(18)
    assert least_metal(field, sheet) / IN == pytest.approx(4)
    assert metal_and_slivers(field, sheet, 4 * IN)[0] / IN == pytest.approx(12)
    # but not where that leaves a first panel under the least width: 4 is too narrow
    assert least_metal(field, Sheet(6 * IN, 0.0, 4.5 * IN)) == pytest.approx(5 * IN, abs=0.6 * IN)


def test_a_chimney_as_wide_as_a_strip() -> None:
    # 12 by 10 with a hole from 5 to 8 across, 2 to 6 up; strips of 3. From the end all are whole:
    # 40. With sides on 5 and 8 the third is 2 and 4: 10 + 10 + 6 + 10 + 10 = 46, five panels
    # more than four strips; so the end it is
    field = metal([(0, 0), (12, 0), (12, 10), (0, 10)], [(5, 2), (5, 6), (8, 6), (8, 2)])
    sheet = Sheet(3 * IN, 0.0, 0.0)
    assert metal_and_slivers(field, sheet, 2 * IN)[0] / IN == pytest.approx(46)
    assert least_metal(field, sheet) == 0.0
    # 11 wide: 4 strips with whatever start; now the hole counts
    field = metal([(0, 0), (11, 0), (11, 10), (0, 10)], [(5, 2), (5, 6), (8, 6), (8, 2)])
    assert least_metal(field, sheet) / IN == pytest.approx(2)
    assert metal_and_slivers(field, sheet, 2 * IN)[0] / IN == pytest.approx(36)


@pytest.mark.parametrize(
    ("width", "cover", "start"),
    # 40: 13 whole strips of 3 and 1 left: (1 + 3)/2 = 2 at both ends; 39: whole panels fit;
    # 5: 2 and 3 make (2 + 3)/2 each; 2: one panel
    [(40, 3, 2), (39, 3, 0), (5, 3, 2.5), (2, 3, 0), (7, 3, 2)],
)
def test_balanced_ends(width: float, cover: float, start: float) -> None:
    field = metal([(0, 0), (width, 0), (width, 5), (0, 5)])
    sheet = Sheet(cover * IN, 0.0, 0.0)
    assert balanced(field, sheet) / IN == pytest.approx(start)


def test_areas_between_levels() -> None:
    field = metal([(0, 0), (24, 0), (12, 12)], [(10, 2), (10, 4), (14, 4), (14, 2)]).field
    # under the two sides: x²/2 up to the middle; the hole takes 4 × 2
    areas = areas_between(field, np.array([-1, 0, 6, 12, 24, 30]) * IN) / IN**2
    assert areas == pytest.approx([0, 18, 54 - 4, 72 - 4, 0], abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_odd_planes_have_a_start(seed: int) -> None:
    # planes such as no roof should have: it is found, and what is laid there adds up
    rnd = random.Random(seed)
    ring, kinds = odd_ring(rnd), list(EdgeKind)
    plane, edges = south_plane(
        ring, [rnd.choice(kinds) for _ in ring], rnd.choice([0.1, 0.5, 2.0])
    )
    case = Case(plane, edges, built_in_systems()[seed % 2])
    for from_right in (False, True):
        offset = best_offset(case, "least metal", from_right)
        laying = laying_of(case, "least metal", offset, from_right)
        net = math.fsum(p.net_area for p in laying.panels)
        if laying.panels:
            assert net == pytest.approx(laying.field_area, rel=1e-9)
