"""Ribs as solids: how many, how high, inside the metal, closed. Houses in feet."""

from __future__ import annotations

import math
from collections import Counter

import msgspec
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from roofmodel.document import PanelLayout, Project
from roofmodel.document.layout_edits import lay_all_alike, set_plane_layout
from roofmodel.document.part_edits import new_opening
from roofmodel.results import Results, results_of
from roofmodel.scene.laid import laid_on
from roofmodel.scene.ribs import Ribs, ribs_of
from roofmodel.surface import Plane
from roofmodel.systems import PanelRules, RoofingSystem
from tests.houses import FT, GABLE, RECTANGLE, plain_system, project, section

IN = 25.4
HEIGHT, WIDTH = 0.75 * IN, 2.0 * IN
SF = math.sqrt(1.25)
HAIR = 1e-7
"""Strips are cut a hair (3e-7 mm) apart, so that they never share metal."""


def ribbed(coverage_in: float = 36.0, spacing_in: float = 12.0, **rules: object) -> RoofingSystem:
    panel = PanelRules(
        rib_spacing=spacing_in * IN,
        rib_height=HEIGHT,
        rib_width=WIDTH,
        **rules,  # type: ignore[arg-type]
    )
    return msgspec.structs.replace(plain_system(coverage_in), panel=panel)


def gable(system: RoofingSystem) -> Project:
    return project(section(RECTANGLE, [0.5, GABLE] * 2), system=system)


def of(results: Results) -> Ribs:
    laid = laid_on(results.surface.planes, results.take_off.layings)
    return ribs_of(laid.values(), results.project.systems())


def above(plane: Plane, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distances from the plane, from its slope and bearing alone."""
    b = math.radians(plane.bearing)
    normal = np.array([plane.slope * math.sin(b), plane.slope * math.cos(b), 1.0])
    out: NDArray[np.float64] = (points - plane.outline[0]) @ (normal / np.linalg.norm(normal))
    return out


def volume(points: NDArray[np.float64], triangles: NDArray[np.int64]) -> float:
    """Of closed solids, by the divergence theorem."""
    a, b, c = (points[triangles[:, k]] - points[0] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def is_closed(triangles: NDArray[np.int64]) -> bool:
    """Does every side of a triangle run once each way?"""
    sides = Counter((int(t[k]), int(t[(k + 1) % 3])) for t in triangles.tolist() for k in range(3))
    return all(n == 1 and sides[b, a] == 1 for (a, b), n in sides.items())


@pytest.mark.parametrize(
    ("system", "ribs"),
    # 40 ft: a rib at each foot, both ends among them; a seam every 16 in: 30 spaces
    [(ribbed(), 41), (ribbed(16.0, 0.0), 31)],
    ids=["ribs", "seams"],
)
def test_ribs_of_a_gable(system: RoofingSystem, ribs: int) -> None:
    results = results_of(gable(system))
    found = of(results)
    assert found.count == (ribs, ribs)
    # those at both ends are half outside the metal: one rib less in all
    each = WIDTH * HEIGHT * 12 * FT * SF
    assert volume(found.points, found.triangles) == pytest.approx(2 * (ribs - 1) * each, rel=HAIR)
    assert is_closed(found.triangles)
    planes = {p.id: p for p in results.surface.planes}
    for k, key in enumerate(found.planes):
        own = found.triangles[found.triangle_plane == k]
        high = above(planes[key], found.points[np.unique(own)])
        assert np.minimum(np.abs(high), np.abs(high - HEIGHT)).max() < 1e-9
        assert {round(h) for h in high.tolist()} == {0, round(HEIGHT)}


def test_ribs_end_along_a_hip() -> None:
    results = results_of(project(section(RECTANGLE, [0.5] * 4), system=ribbed()))
    found = of(results)
    metal = {
        x.plane: shapely.union_all([shapely.Polygon(p.outline[:, :2]) for p in x.panels])
        for x in results.take_off.layings
    }
    total = 0.0
    for k, key in enumerate(found.planes):
        plane = next(p for p in results.surface.planes if p.id == key)
        corners = found.points[found.triangles[found.triangle_plane == k].ravel()]
        base = corners[np.abs(above(plane, corners)) < 1e-6]
        room = metal[key].buffer(1e-6)
        assert shapely.covers(room, shapely.points(base[:, :2])).all()
        # across is level, so plan widths are true; areas are those in plan by the slope factor
        b = math.radians(plane.bearing)
        along = np.array([math.cos(b), -math.sin(b)])
        outline = plane.outline[:, :2]
        end, wide = float((outline @ along).min()), float(np.ptp(outline @ along))
        uphill = -np.array([along[1], -along[0]])
        flat = shapely.Polygon(np.column_stack([outline @ along, outline @ uphill]))
        low, high = flat.bounds[1], flat.bounds[3]
        for n in range(round(wide / FT) + 1):
            u = end + n * FT
            strip = shapely.box(u - WIDTH / 2, low, u + WIDTH / 2, high)
            total += flat.intersection(strip).area * SF
    assert volume(found.points, found.triangles) == pytest.approx(total * HEIGHT, rel=HAIR)
    assert is_closed(found.triangles)
    # the corner of a hip is too sharp for a rib of its own size, but it has one
    assert sorted(found.count) == [25, 25, 41, 41]


def test_ribs_from_the_right_are_the_mirror_image() -> None:
    # 15 in does not divide 36: ribs stand from the side that is laid first
    left = of(results_of(gable(ribbed(36.0, 15.0))))
    turned = lay_all_alike(gable(ribbed(36.0, 15.0)), PanelLayout(from_right=True))
    right = of(results_of(turned))
    assert left.count == right.count

    def places(ribs: Ribs) -> list[float]:
        own = ribs.triangles[ribs.triangle_plane == 0]
        return sorted({round(x, 6) for x in ribs.points[np.unique(own), 0].tolist()})

    assert places(right) == pytest.approx([40 * FT - x for x in places(left)][::-1], abs=1e-5)
    assert places(left)[1:3] == pytest.approx([WIDTH / 2, 15 * IN - WIDTH / 2], abs=1e-5)


def test_no_rib_stands_in_an_opening() -> None:
    corners = [(x * FT, y * FT) for x, y in ((10, 4), (14, 4), (14, 8), (10, 8))]
    house, _ = new_opening(gable(ribbed()), "chimney", corners)
    results = results_of(house)
    found = of(results)
    assert found.count == (41, 41)
    hole = shapely.Polygon(corners).buffer(-1e-6)
    plane = results.surface.planes[0]
    base = found.points[np.abs(above(plane, found.points)) < 1e-6]
    assert len(base) > 4 * 41
    assert not shapely.intersects(hole, shapely.points(base[:, :2])).any()
    # the ribs at 11, 12 and 13 ft lose 4 ft in plan, those at 10 and 14 half of their width
    each = WIDTH * HEIGHT * SF * FT
    assert volume(found.points, found.triangles) == pytest.approx(
        each * (2 * 40 * 12 - 4 * 4), rel=1e-6
    )


def test_end_laps_make_no_more_ribs() -> None:
    long = results_of(gable(ribbed(longest=8 * FT, end_lap=6 * IN, low_end_lap=6 * IN)))
    assert len(long.take_off.panels) > 28
    found = of(long)
    assert found.count == (41, 41)
    each = WIDTH * HEIGHT * 12 * FT * SF
    assert volume(found.points, found.triangles) == pytest.approx(80 * each, rel=HAIR)


def test_a_system_without_ribs_has_none() -> None:
    found = of(results_of(gable(plain_system())))
    assert found.count == (0, 0)
    assert len(found.points) == len(found.triangles) == 0


def test_planes_that_stay_keep_their_ribs() -> None:
    one = results_of(gable(ribbed()))
    layout = PanelLayout("by hand", 300.0)
    first, second = one.surface.planes
    two = results_of(set_plane_layout(one.project, str(first.id), layout))
    before = laid_on(one.surface.planes, one.take_off.layings)
    after = laid_on(two.surface.planes, two.take_off.layings)
    assert before[second.id] == after[second.id]
    assert before[first.id] != after[first.id]
