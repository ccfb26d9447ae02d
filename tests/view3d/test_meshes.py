"""A scene put on a plotter: few actors, and arrays changed in place while cells stay the same."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import pyvista as pv
from PySide6.QtGui import QImage

from roofmodel.document import Project
from roofmodel.document.edits import move_corner, new_section, set_eave_height, set_slope
from roofmodel.results import results_of
from roofmodel.scene import Scene, scene_of
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import read_project
from roofmodel_ui.view3d.camera import Camera
from roofmodel_ui.view3d.drawing import SceneActors
from roofmodel_ui.view3d.frames import Frames
from roofmodel_ui.view3d.meshes import Mesh, segments

BOX = [(0.0, 0.0), (12000.0, 0.0), (12000.0, 8000.0), (0.0, 8000.0)]
MANOR = Path(__file__).parents[2] / "sample_projects" / "fern_hill_manor.roof"


@pytest.fixture
def plotter() -> Iterator[pv.Plotter]:
    pv.global_theme.allow_empty_mesh = True
    made = pv.Plotter(off_screen=True, window_size=[200, 150])
    yield made
    made.close()


def scene_for(project: Project) -> Scene:
    return scene_of(results_of(project).surface, project)


def hip() -> Project:
    return new_section(default_project(), BOX)[0]


def test_an_equal_topology_is_changed_in_place(plotter: pv.Plotter) -> None:
    actors = SceneActors(plotter)
    project = hip()
    actors.show(scene_for(project))
    meshes = (actors.planes, actors.under, actors.solids, actors.ground)
    rebuilt = [m.rebuilt for m in meshes]
    held = [m.poly.GetPoints() for m in meshes]
    stamp = actors.planes.poly.GetMTime()
    for height in (2800.0, 2900.0, 3100.0):
        project = set_eave_height(project, "s1", height)
        actors.show(scene_for(project))
    assert [m.rebuilt for m in meshes] == rebuilt
    assert all(m.poly.GetPoints() is p for m, p in zip(meshes, held, strict=True))
    assert actors.planes.poly.GetMTime() > stamp
    assert float(actors.planes.poly.points[:, 2].min()) == pytest.approx(3100.0)
    steeper = set_slope(project, "s1", ["e1", "e2", "e3", "e4"], 0.75)
    actors.show(scene_for(steeper))
    assert [m.rebuilt for m in meshes] == rebuilt
    assert float(actors.planes.poly.points[:, 2].max()) == pytest.approx(3100.0 + 3000.0)
    # another topology is built anew, and nothing at all leaves an empty mesh
    actors.show(scene_for(set_slope(steeper, "s1", ["e2"], None)))
    assert actors.planes.rebuilt == rebuilt[0] + 1
    actors.show(scene_for(default_project()))
    assert actors.planes.poly.n_cells == 1


def test_the_same_scene_touches_nothing(plotter: pv.Plotter) -> None:
    actors = SceneActors(plotter)
    scene = scene_for(hip())
    actors.show(scene)
    stamps = [m.poly.GetMTime() for m in (actors.planes, actors.edges, actors.ground)]
    actors.show(scene)
    assert [m.poly.GetMTime() for m in (actors.planes, actors.edges, actors.ground)] == stamps
    chosen = scene.planes[0]
    actors.show(scene, frozenset({chosen}))
    colors = np.asarray(actors.planes.poly.cell_data["color"])
    mine = scene.triangle_plane == scene.planes.index(chosen)
    assert {tuple(c) for c in colors[mine]}.isdisjoint({tuple(c) for c in colors[~mine]})


def test_few_actors_for_many_planes(plotter: pv.Plotter) -> None:
    actors = SceneActors(plotter)
    actors.show(scene_for(read_project(MANOR).project))
    assert actors.count() <= 60


def test_a_moved_corner_moves_the_picture(plotter: pv.Plotter) -> None:
    actors = SceneActors(plotter)
    project = hip()
    actors.show(scene_for(project))
    actors.show(scene_for(move_corner(project, "s1", 0, 0, (-500.0, -700.0))))
    assert float(actors.planes.poly.points[:, 0].min()) == pytest.approx(-500.0)


def test_a_mesh_grows_shrinks_and_empties() -> None:
    mesh = Mesh(2)
    two = np.array([[[0, 0, 0], [1, 0, 0]], [[1, 0, 0], [1, 1, 0]]], float)
    mesh.put(*segments(two), np.full((2, 3), 7, np.uint8))
    assert mesh.poly.n_cells == 2
    assert (np.asarray(mesh.poly.cell_data["color"]) == 7).all()
    mesh.put(*segments(two[:1]))
    assert mesh.poly.n_cells == 1
    mesh.put(*segments(two[:0]))
    assert float(mesh.poly.length) == 0.0


@pytest.mark.parametrize("parallel", [False, True])
def test_a_frame_in_strips_is_the_frame(parallel: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    pv.global_theme.allow_empty_mesh = True
    drawn = Frames()
    actors, scene = SceneActors(drawn.plotter), scene_for(hip())
    actors.show(scene)
    size = (240, 180)
    camera = Camera(parallel=parallel).framed(scene.house_points(), (240.0, 180.0))
    monkeypatch.setattr(drawn, "_expected", lambda *_, **__: 0.0)
    *early, whole = drawn.still(camera, size)
    assert not early
    monkeypatch.setattr(drawn, "_expected", lambda *_, **__: 400.0)
    *early, strips = drawn.still(camera, size)
    assert len(early) == 6
    assert set(early) == {None}
    assert whole is not None
    assert strips is not None
    one, other = pixels(whole), pixels(strips)
    assert np.ptp(one) > 100  # there is a house on it
    # A gradient may come out a shade apart; nothing may stand elsewhere.
    assert np.mean(np.abs(one - other) > 8) < 0.002
    monkeypatch.setattr(drawn, "_expected", lambda *_, **__: 200.0)
    coarse = drawn.quick(camera, size)
    assert coarse.width() == 120  # a fourth of the pixels in a fourth of the time
    drawn.close()


def pixels(image: QImage) -> np.ndarray:
    found = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    return found[:, :, :3].astype(int)
