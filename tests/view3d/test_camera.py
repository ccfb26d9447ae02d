"""The camera's sums against each other, against closed forms, and against the renderer."""

from __future__ import annotations

import math

import numpy as np
import pytest
import pyvista as pv
from hypothesis import given
from hypothesis import strategies as st

from roofmodel_ui.view3d.camera import VIEW_ANGLE, Camera
from roofmodel_ui.view3d.drawing import put_camera

SIZE = (640.0, 480.0)
BOX = np.array([[x, y, z] for x in (0.0, 12e3) for y in (-5e3, 5e3) for z in (0.0, 6e3)])
cameras = st.builds(
    Camera,
    focal=st.tuples(*[st.floats(-2e4, 2e4)] * 3),
    bearing=st.floats(0.0, 360.0),
    elevation=st.floats(-10.0, 90.0),
    distance=st.floats(5e3, 1e5),
    parallel=st.booleans(),
)


@given(cameras, st.floats(0, 640), st.floats(0, 480), st.floats(0.2, 3.0))
def test_a_place_is_seen_where_it_was_taken(
    camera: Camera, x: float, y: float, far: float
) -> None:
    depth = camera.focal_depth() * far
    place = camera.place((x, y), depth, SIZE)
    (seen,) = camera.project(place, SIZE)
    assert seen == pytest.approx([x, y, depth], rel=1e-6, abs=1e-3)


@given(cameras, st.floats(-200, 200), st.floats(-200, 200))
def test_a_drag_moves_what_is_under_the_pointer_along(
    camera: Camera, dx: float, dy: float
) -> None:
    before = camera.project(np.array(camera.focal), SIZE)[0]
    after = camera.panned(dx, dy, SIZE).project(np.array(camera.focal), SIZE)[0]
    assert after[:2] - before[:2] == pytest.approx([dx, dy], abs=1e-3)


@given(cameras, st.floats(50, 590), st.floats(50, 430), st.floats(0.5, 2.0))
def test_zooming_keeps_what_is_under_the_pointer(
    camera: Camera, x: float, y: float, factor: float
) -> None:
    under = camera.place((x, y), camera.focal_depth(), SIZE)
    zoomed = camera.zoomed(factor, (x, y), SIZE)
    assert zoomed.project(under, SIZE)[0, :2] == pytest.approx([x, y], abs=1e-2)


@given(cameras, st.floats(-3e3, 9e3))
def test_a_height_is_found_again_on_its_upright_line(camera: Camera, height: float) -> None:
    foot = np.array([*camera.focal[:2], camera.focal[2]])
    top = foot + np.array([0.0, 0.0, height])
    ends = camera.project(np.array([foot, top, np.add(foot, (0, 0, 1000.0))]), SIZE)
    if camera.elevation > 80.0 or not np.isfinite(ends).all() or ends[1, 2] < 500.0:
        return  # an upright line seen from above is hardly a line
    found = camera.height_under((ends[1, 0], ends[1, 1]), foot, SIZE)
    assert found == pytest.approx(top[2], abs=0.5)


@pytest.mark.parametrize("parallel", [False, True])
@pytest.mark.parametrize("elevation", [0.0, 30.0, 90.0])
@pytest.mark.parametrize("bearing", [0.0, 90.0, 217.0])
def test_a_framed_house_fills_the_view(bearing: float, elevation: float, parallel: bool) -> None:
    camera = Camera(bearing=bearing, elevation=elevation, parallel=parallel).framed(BOX, SIZE)
    seen = camera.project(BOX, SIZE)[:, :2]
    low, high = seen.min(axis=0), seen.max(axis=0)
    assert low == pytest.approx(SIZE - high, abs=2.0)  # in the middle
    shares = (high - low) / SIZE
    assert shares.max() == pytest.approx(0.86, abs=0.01)


def test_the_sides_are_where_the_compass_has_them() -> None:
    south, above = Camera(bearing=180.0, elevation=0.0), Camera(bearing=180.0, elevation=90.0)
    east = np.array([1000.0, 0.0, 0.0])
    for camera in (south, above):
        assert camera.project(east, SIZE)[0, 0] > SIZE[0] / 2
    assert above.project(np.array([0.0, 1000.0, 0.0]), SIZE)[0, 1] < SIZE[1] / 2  # north is up
    from_east = Camera(bearing=90.0, elevation=0.0)
    assert from_east.project(np.array([0.0, 1000.0, 0.0]), SIZE)[0, 0] > SIZE[0] / 2


def test_what_lies_behind_the_eye_has_no_pixel() -> None:
    camera = Camera(distance=1e4)
    behind = camera.eye() + camera.axes()[2] * 10.0
    assert np.isnan(camera.project(behind, SIZE)[0, :2]).all()


def test_half_of_the_view_angle_is_half_of_the_picture() -> None:
    camera = Camera(bearing=180.0, elevation=0.0, distance=1e4)
    top = np.array([0.0, 0.0, 1e4 * math.tan(math.radians(VIEW_ANGLE / 2))])
    assert camera.project(top, SIZE)[0, 1] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("parallel", [False, True])
def test_the_renderer_sees_the_same(parallel: bool) -> None:
    plotter = pv.Plotter(off_screen=True, window_size=[640, 480])
    plotter.add_mesh(pv.PolyData(BOX))
    camera = Camera(focal=(3e3, 1e3, 2e3), bearing=200.0, elevation=25.0, parallel=parallel)
    put_camera(plotter, camera)
    vtk = plotter.renderer.GetActiveCamera().GetCompositeProjectionTransformMatrix(4 / 3, -1, 1)
    matrix = np.array([[vtk.GetElement(i, j) for j in range(4)] for i in range(4)])
    plotter.close()
    clip = np.column_stack([BOX, np.ones(len(BOX))]) @ matrix.T
    ndc = clip[:, :2] / clip[:, 3:]
    pixels = np.column_stack([(ndc[:, 0] + 1) * 320.0, (1 - ndc[:, 1]) * 240.0])
    assert camera.project(BOX, SIZE)[:, :2] == pytest.approx(pixels, abs=1e-3)
