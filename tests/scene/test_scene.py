"""Scenes carry the roof's own areas and lengths."""

from __future__ import annotations

import numpy as np
import pytest

from roofmodel.document.edits import new_section, set_overhang
from roofmodel.results import Results, results_of
from roofmodel.scene import EDGE_LOOKS, Scene, dashed_segments, scene_of
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project

OUTER = [(0.0, 0.0), (15000.0, 0.0), (15000.0, 12000.0), (0.0, 12000.0)]
YARD = [(6000.0, 5000.0), (9000.0, 5000.0), (9000.0, 8000.0), (6000.0, 8000.0)]


def triangle_areas(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = (points[triangles[:, k]] for k in range(3))
    areas: np.ndarray = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return areas


@pytest.fixture(params=[(), (YARD,)], ids=["whole", "courtyard"])
def results(request: pytest.FixtureRequest) -> Results:
    project, _ = new_section(default_project(), OUTER, courtyards=request.param)
    return results_of(project)


def test_triangles_cover_every_plane(results: Results) -> None:
    scene = scene_of(results.surface)
    areas = triangle_areas(scene.points, scene.triangles)
    for index, plane in enumerate(results.surface.planes):
        assert areas[scene.triangle_plane == index].sum() == pytest.approx(plane.true_area)


def test_triangles_look_up(results: Results) -> None:
    scene = scene_of(results.surface)
    a, b, c = (scene.points[scene.triangles[:, k]] for k in range(3))
    assert (np.cross(b - a, c - a)[:, 2] > 0).all()


def test_segments_are_the_edges(results: Results) -> None:
    scene = scene_of(results.surface)
    lengths = np.linalg.norm(scene.segments[:, 1] - scene.segments[:, 0], axis=1)
    assert lengths == pytest.approx([e.length for e in results.surface.edges])


def test_dashes_begin_and_end_with_their_edge(results: Results) -> None:
    scene = scene_of(results.surface)
    pieces, owner = dashed_segments(scene)
    for index, segment in enumerate(scene.segments):
        mine = pieces[owner == index]
        np.testing.assert_allclose(mine[0, 0], segment[0], atol=1e-6)
        np.testing.assert_allclose(mine[-1, 1], segment[1], atol=1e-6)


@pytest.mark.parametrize("overhang", [0.0, 500.0])
def test_house_walls_reach_from_the_ground_to_the_roof(results: Results, overhang: float) -> None:
    (section,) = results.project.sections()
    project = set_overhang(results.project, section.id, None, overhang)
    scene: Scene = scene_of(results_of(project).surface, project.sections())
    low, high = scene.wall_points[:, 2].min(), scene.wall_points[:, 2].max()
    assert low == 0.0
    # The wall's top lies under the plane, higher than the eave by overhang times slope.
    assert high == pytest.approx(section.eave_height + max(overhang, 2.0) * 0.5)


def test_every_kind_has_its_own_look() -> None:
    assert set(EDGE_LOOKS) == set(EdgeKind)
    assert len({(look.color, look.pattern) for look in EDGE_LOOKS.values()}) == len(EdgeKind)


def test_empty_project() -> None:
    scene = scene_of(results_of(default_project()).surface)
    assert len(scene.triangles) == len(scene.segments) == 0
