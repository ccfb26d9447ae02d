"""Scenes carry the roof's own areas and lengths, and what stands around it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from roofmodel.document import NOT_IN_JOB, OTHER, BySlope, Point, Project
from roofmodel.document.cover_edits import set_building_covering, set_plane_covering
from roofmodel.document.edits import (
    new_section,
    set_eave_height,
    set_line,
    set_overhang,
    set_slope,
)
from roofmodel.document.part_edits import (
    OpeningKind,
    change_opening,
    new_opening,
    new_plane,
    set_open_below,
)
from roofmodel.results import Results, results_of
from roofmodel.scene import EDGE_LOOKS, Material, Scene, dashed_segments, scene_of
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project

OUTER = [(0.0, 0.0), (15000.0, 0.0), (15000.0, 12000.0), (0.0, 12000.0)]
YARD = [(6000.0, 5000.0), (9000.0, 5000.0), (9000.0, 8000.0), (6000.0, 8000.0)]
FASCIA_MM = 150.0


def box(x: float, y: float, width: float, depth: float) -> list[Point]:
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def triangle_areas(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = (points[triangles[:, k]] for k in range(3))
    areas: np.ndarray = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return areas


def area_of(scene: Scene, material: Material) -> float:
    """True area of all that is made of the material, mm²."""
    chosen = scene.solid_material == material
    return float(triangle_areas(scene.solid_points, scene.solid_triangles[chosen]).sum())


def points_of(scene: Scene, material: Material) -> NDArray[np.float64]:
    chosen = scene.solid_triangles[scene.solid_material == material]
    found: NDArray[np.float64] = scene.solid_points[chosen.ravel()]
    return found


def scene_for(project: Project) -> Scene:
    return scene_of(results_of(project).surface, project)


@pytest.fixture(params=[(), (YARD,)], ids=["whole", "courtyard"])
def results(request: pytest.FixtureRequest) -> Results:
    project, _ = new_section(default_project(), OUTER, courtyards=request.param)
    return results_of(project)


@pytest.fixture
def gable() -> Project:
    """A gabled house, 10 m by 8 m, 6/12, its eaves at 3 m, without overhangs."""
    project, section = new_section(default_project(), box(0, 0, 10_000, 8_000))
    project = set_slope(project, section, ["e2", "e4"], None)
    return set_eave_height(project, section, 3_000)


def with_opening(
    project: Project, kind: OpeningKind, corners: list[Point], *, saddle: bool = False
) -> Project:
    project, opening = new_opening(project, kind, corners, saddle=saddle)
    return change_opening(project, opening, height=1_000.0)


def test_triangles_cover_every_plane(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    areas = triangle_areas(scene.points, scene.triangles)
    for index, plane in enumerate(results.surface.planes):
        assert areas[scene.triangle_plane == index].sum() == pytest.approx(plane.true_area)


def test_triangles_look_up(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    a, b, c = (scene.points[scene.triangles[:, k]] for k in range(3))
    assert (np.cross(b - a, c - a)[:, 2] > 0).all()


def test_segments_are_the_edges(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    lengths = np.linalg.norm(scene.segments[:, 1] - scene.segments[:, 0], axis=1)
    assert lengths == pytest.approx([e.length for e in results.surface.edges])


def test_dashes_begin_and_end_with_their_edge(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    pieces, owner = dashed_segments(scene)
    for index, segment in enumerate(scene.segments):
        mine = pieces[owner == index]
        np.testing.assert_allclose(mine[0, 0], segment[0], atol=1e-6)
        np.testing.assert_allclose(mine[-1, 1], segment[1], atol=1e-6)


@pytest.mark.parametrize("overhang", [0.0, 500.0])
def test_walls_reach_from_the_ground_to_the_roof(results: Results, overhang: float) -> None:
    (section,) = results.project.sections()
    scene = scene_for(set_overhang(results.project, section.id, None, overhang))
    heights = points_of(scene, Material.WALL)[:, 2]
    assert heights.min() == 0.0
    # The wall's top lies under the plane, higher than the eave by overhang times slope.
    assert heights.max() == pytest.approx(section.eave_height + overhang * 0.5)


def test_walls_of_a_gabled_house(gable: Project) -> None:
    """Four walls 3 m high around 36 m, and two triangles, 8 m wide and 2 m high. A ring of wall
    lines 0.5 m inside the roof's edge: each eave wall 9 m long and 3.25 m high, each gable wall
    7 m wide, 3.25 m high at its sides and 3.25 + 3.5 * 0.5 = 5 m in its middle."""
    assert area_of(scene_for(gable), Material.WALL) == pytest.approx((36 * 3 + 2 * 8) * 1e6)
    inside = set_overhang(gable, "s1", None, 500.0)
    square_m = 2 * 9 * 3.25 + 2 * 7 * (3.25 + 5) / 2
    assert area_of(scene_for(inside), Material.WALL) == pytest.approx(square_m * 1e6)


def test_fascias_run_along_every_end_of_the_roof(gable: Project) -> None:
    """Two eaves of 10 m and four rakes over 4 m: 150 mm high, plumb, so the rakes count as they
    lie in plan."""
    scene = scene_for(gable)
    assert area_of(scene, Material.FASCIA) == pytest.approx((2 * 10e3 + 4 * 4e3) * FASCIA_MM)
    np.testing.assert_allclose(scene.points[:, 2] - scene.under_points[:, 2], FASCIA_MM)


def test_ridges_and_walls_have_no_fascia(gable: Project) -> None:
    """A lean-to against the south wall, 3 m deep: its fascia runs round three sides."""
    before = area_of(scene_for(gable), Material.FASCIA)
    project, _ = new_plane(
        gable, box(0, -3_000, 10_000, 3_000), BySlope((0, 0, 2_500), 0.25, 180.0)
    )
    added = area_of(scene_for(project), Material.FASCIA) - before
    assert added == pytest.approx((10e3 + 2 * 3e3) * FASCIA_MM)


def test_a_chimney_stands_out_above_its_uphill_side(gable: Project) -> None:
    """1 m square between y = 1 m and 2 m, roof at 3.5 m and 4 m: its sides run from 3.5 m to
    1 m above the higher, with a slab of 60 mm upon them."""
    scene = scene_for(with_opening(gable, "chimney", box(4_000, 1_000, 1_000, 1_000)))
    heights = points_of(scene, Material.CHIMNEY)[:, 2]
    assert (heights.min(), heights.max()) == pytest.approx((3_500, 5_000))
    assert area_of(scene, Material.CHIMNEY) == pytest.approx(4 * 1.5e6)
    assert scene.bounds()[1][2] == pytest.approx(5_060)


def test_a_chimney_across_the_ridge_and_one_with_a_saddle(gable: Project) -> None:
    across = scene_for(with_opening(gable, "chimney", box(4_000, 3_500, 1_000, 1_000)))
    heights = points_of(across, Material.CHIMNEY)[:, 2]
    # the ridge, 5 m high, runs into two of its sides
    assert (heights.min(), heights.max()) == pytest.approx((4_750, 6_000))
    saddle = scene_for(
        with_opening(gable, "chimney", box(4_000, 1_000, 1_000, 1_000), saddle=True)
    )
    # its saddle's ridge is half its width times the pitch above the roof behind it
    assert points_of(saddle, Material.CHIMNEY)[:, 2].max() == pytest.approx(4_000 + 250 + 1_000)


def test_a_chimney_beside_the_eave_stands_on_the_ground(gable: Project) -> None:
    scene = scene_for(with_opening(gable, "chimney", box(4_000, -500, 1_000, 1_000)))
    assert points_of(scene, Material.CHIMNEY)[:, 2].min() == 0.0


def test_a_skylight_lies_along_the_roof(gable: Project) -> None:
    """Glass 1 m above the roof everywhere, here at 3 m + y / 2."""
    scene = scene_for(with_opening(gable, "skylight", box(4_000, 1_000, 800, 1_200)))
    glass = points_of(scene, Material.GLASS)
    np.testing.assert_allclose(glass[:, 2], 4_000 + glass[:, 1] / 2, atol=1e-6)
    frame = area_of(scene, Material.FRAME)
    lid = 0.8 * 1.2e6 * math.sqrt(1.25)
    assert frame + area_of(scene, Material.GLASS) == pytest.approx(4e6 + lid)


def test_a_pipe_is_round_and_thinner_than_its_hole(gable: Project) -> None:
    scene = scene_for(with_opening(gable, "pipe", box(4_000, 1_000, 200, 200)))
    pipe = points_of(scene, Material.PIPE)
    top = pipe[pipe[:, 2] == pipe[:, 2].max()]
    assert top[:, 2].max() == pytest.approx(3_000 + 600 + 1_000)
    np.testing.assert_allclose(np.hypot(*(top[:, :2] - [4_100, 1_100]).T), 60.0)


def test_a_carport_stands_on_posts_and_has_no_walls() -> None:
    """6 m by 3 m, its roof 0.3 m larger all round: posts at four corners, and one more in the
    middle of each long side. 150 mm thick, so set in by half of that; the roof rises at 6/12
    from 3 m, or 0.15 m higher over the outside of the posts."""
    project, section = new_section(default_project(), box(0, 0, 6_000, 3_000))
    project = set_line(project, section, "wall")
    project = set_overhang(project, section, None, 300.0)
    project = set_eave_height(project, section, 3_000)
    project = set_open_below(project, section, True)
    scene = scene_for(project)
    assert area_of(scene, Material.WALL) == pytest.approx(6 * 4 * 150 * 3_150)
    walled = scene_for(set_open_below(project, section, False))
    assert area_of(walled, Material.WALL) == pytest.approx(18e3 * 3_150)


def test_posts_that_would_stand_against_a_house_are_left_out(gable: Project) -> None:
    before = area_of(scene_for(gable), Material.WALL)
    project, plane = new_plane(
        gable, box(0, -3_000, 3_000, 3_000), BySlope((0, 0, 2_500), 0.25, 180.0)
    )
    scene = scene_for(set_open_below(project, plane, True))
    # two posts up to the roof's lower edge, 2.5 m less 3 m at 3/12
    assert area_of(scene, Material.WALL) - before == pytest.approx(2 * 4 * 150 * 1_750)


def test_the_ground_lies_below_and_reaches_past_the_house(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    ground = scene.ground
    low, high = scene.bounds()
    assert (ground.points[:, 2] < low[2]).all()
    assert (ground.points.min(axis=0)[:2] < low[:2]).all()
    assert (ground.points.max(axis=0)[:2] > high[:2]).all()
    # it covers its disc once: a polygon of 72 sides
    radius = ground.points[:, 0].max() - (low[0] + high[0]) / 2
    disc = 36 * radius**2 * math.sin(2 * math.pi / 72)
    assert triangle_areas(ground.points, ground.triangles).sum() == pytest.approx(disc)
    far = ground.cover == 0.0
    assert far.any()
    assert not ground.shade[far].any()
    assert ground.shade.max() == 1.0


def test_planes_know_their_covering(gable: Project) -> None:
    project = set_building_covering(gable, "b1", OTHER)
    north = str(results_of(gable).surface.planes[1].id)
    project = set_plane_covering(project, north, NOT_IN_JOB)
    assert scene_for(gable).coverings == (gable.system.id,) * 2
    assert scene_for(project).coverings == (OTHER, NOT_IN_JOB)


def test_arrays_cannot_be_changed(results: Results) -> None:
    scene = scene_of(results.surface, results.project)
    with pytest.raises(ValueError, match="read-only"):
        scene.solid_points[0, 0] = 1.0


def test_every_kind_has_its_own_look() -> None:
    assert set(EDGE_LOOKS) == set(EdgeKind)
    assert len({(look.color, look.pattern) for look in EDGE_LOOKS.values()}) == len(EdgeKind)


def test_empty_project() -> None:
    scene = scene_for(default_project())
    assert len(scene.triangles) == len(scene.segments) == len(scene.solid_triangles) == 0
    assert dashed_segments(scene)[0].shape == (0, 2, 3)


def test_solids_know_the_part_they_belong_to() -> None:
    project, _ = new_section(default_project(), box(0, 0, 12000, 8000), "Main house")
    project, _ = new_opening(project, "chimney", box(5000, 1500, 900, 900), "Chimney 1")
    scene = scene_for(project)
    opening = project.openings()[0].id
    owner = np.array(scene.parts)[scene.solid_part]
    material = scene.solid_material
    assert set(owner[material == Material.WALL]) == {"s1"}
    assert set(owner[material == Material.CHIMNEY]) == {opening}
    # fascias belong to no part alone; the slab on the chimney is made of the same stuff
    assert set(owner[material == Material.FASCIA]) == {"", opening}
    assert len(scene.solid_part) == len(scene.solid_triangles)
