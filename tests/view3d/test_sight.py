"""What is seen under a pixel: nearest first, nothing through a roof or a wall."""

from __future__ import annotations

import numpy as np
import pytest

from roofmodel.document import Project
from roofmodel.document.edits import new_section, set_slope
from roofmodel.document.part_edits import new_opening
from roofmodel.results import Results, results_of
from roofmodel.scene import scene_of
from roofmodel.surface import EdgeId, PlaneId
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project
from roofmodel_ui.selection import PartId
from roofmodel_ui.view3d.camera import Camera
from roofmodel_ui.view3d.sight import Sight
from roofmodel_ui.view3d.views import clear_look
from roofmodel_ui.view3d.words import tip

FT = 304.8
SIZE = (800.0, 600.0)
HOUSE = [(0.0, 0.0), (40 * FT, 0.0), (40 * FT, 24 * FT), (0.0, 24 * FT)]
STACK = [(20 * FT, 4 * FT), (23 * FT, 4 * FT), (23 * FT, 7 * FT), (20 * FT, 7 * FT)]


def house() -> Project:
    project, section = new_section(default_project(), HOUSE, "Main house")
    return set_slope(project, section, ["e2", "e4"], None)


def with_chimney() -> Project:
    return new_opening(house(), "chimney", STACK, "Chimney 1")[0]


def sight(project: Project, **look: object) -> tuple[Results, Sight]:
    results = results_of(project)
    scene = scene_of(results.surface, project)
    camera = Camera(**look).framed(scene.house_points(), SIZE)  # type: ignore[arg-type]
    return results, Sight(scene, camera, SIZE)


def pixel(view: Sight, place: object) -> tuple[float, float]:
    ((x, y, _),) = view.camera.project(np.asarray(place, float), view.size)
    return float(x), float(y)


@pytest.mark.parametrize("parallel", [False, True])
def test_planes_edges_and_walls(parallel: bool) -> None:
    results, view = sight(house(), bearing=200.0, elevation=20.0, parallel=parallel)
    south = next(p for p in results.surface.planes if p.name == "South 1")
    north = next(p for p in results.surface.planes if p.name == "North 1")
    ridge = next(e for e in results.surface.edges if e.kind is EdgeKind.RIDGE)
    assert view.item(pixel(view, south.outline.mean(axis=0)), 8.0) == south.id
    assert view.item(pixel(view, (ridge.start + ridge.end) / 2), 8.0) == ridge.id
    wall = (20 * FT, 0.0, 1000.0)
    assert view.item(pixel(view, wall), 8.0) == PartId("s1")
    assert view.item((3.0, 3.0), 8.0) is None
    # the other side of the roof, and its eave, are hidden
    assert view.item(pixel(view, north.outline.mean(axis=0)), 8.0) != north.id
    assert not view.sees(north.outline.mean(axis=0))
    assert view.sees(south.outline.mean(axis=0))


@pytest.mark.parametrize("parallel", [False, True])
def test_a_spot_is_exact_on_a_plane_and_snaps_to_edges(parallel: bool) -> None:
    results, view = sight(house(), bearing=160.0, elevation=40.0, parallel=parallel)
    # On the south plane at 6/12, 7 ft in from the eave: 3.5 ft above it.
    place = np.array([13 * FT, 7 * FT, 2743.2 + 3.5 * FT])
    spot = view.spot(pixel(view, place), 6.0)
    assert spot is not None
    assert spot.word == "plane"
    assert spot.place == pytest.approx(place, abs=0.01)
    ridge = next(e for e in results.surface.edges if e.kind is EdgeKind.RIDGE)
    quarter = ridge.start + 0.25 * (ridge.end - ridge.start)
    x, y = pixel(view, quarter)
    spot = view.spot((x, y + 3.0), 6.0)
    assert spot is not None
    assert spot.word == "edge"
    # the foot of the pointer on the line of the ridge, as it is in space
    assert spot.place[1:] == pytest.approx(tuple(ridge.start[1:]), abs=0.01)
    assert spot.place[0] == pytest.approx(quarter[0], abs=300.0)
    x, y = pixel(view, ridge.end)
    spot = view.spot((x + 2.0, y), 6.0)
    assert spot is not None
    assert spot.word == "corner"
    assert spot.place == pytest.approx(tuple(ridge.end))
    assert view.spot((2.0, 2.0), 6.0) is None


def test_an_opening_is_picked_by_its_body() -> None:
    results, view = sight(with_chimney(), bearing=180.0, elevation=20.0)
    tall = max(
        float(view.scene.solid_points[t, 2].max())
        for t, p in zip(view.scene.solid_triangles, view.scene.solid_part, strict=True)
        if view.scene.parts[int(p)] == results.project.openings()[0].id
    )
    at = pixel(view, (21.5 * FT, 4 * FT, tall - 150.0))
    assert view.item(at, 4.0) == PartId(results.project.openings()[0].id)


def test_tips_say_name_and_size() -> None:
    results = results_of(with_chimney())
    surface, opening = results.surface, results.project.openings()[0]
    north = next(p for p in surface.planes if p.name == "North 1")
    # 40 × 12 ft in plan at 6/12: 40 × 13.4164 ft
    assert tip(results, north.id) == "North 1 · 6/12 · 536.7 sq ft"
    ridge = next(e for e in surface.edges if e.kind is EdgeKind.RIDGE)
    assert tip(results, ridge.id) == "Ridge 1 · 40'-0\" · bends down 53.1°"
    assert tip(results, PartId(opening.id)) == "Chimney 1"
    assert tip(results, PartId("s1")).startswith("Main house · eave 9'-0")
    assert tip(results, None) == ""
    gone = PlaneId("s9", "e1", 0, 0)
    assert tip(results, gone) == tip(results, EdgeId(gone, "e1", 1)) == ""


def test_a_place_behind_the_house_is_looked_at_from_there() -> None:
    results = results_of(house())
    scene = scene_of(results.surface, results.project)
    north = next(p for p in results.surface.planes if p.name == "North 1")
    place = north.outline.mean(axis=0)
    around = np.vstack([place - 3000.0, place + 3000.0])
    first = Camera(bearing=180.0, elevation=10.0)
    assert not Sight(scene, first.framed(around, SIZE), SIZE).sees(place)
    found = clear_look(scene, first, SIZE, place, around)
    assert Sight(scene, found, SIZE).sees(place)
