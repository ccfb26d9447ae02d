"""The flat shapes of panels: hand-worked hip house, notches, hands, what is alike."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import Opening, PanelLayout, Project, Section
from roofmodel.results import results_of
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape, mark_of
from roofmodel.systems import RoofingSystem
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.houses import box, opening
from tests.shop.shops import HIP, L_HOUSE, MAIN, RIBBED, SYSTEMS, job

IN = 25.4
SEAM = SYSTEMS["standing_seam"]
SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))

RISE = math.sqrt(5.0) / 2.0
"""On the plane of a 6/12 hip roof square in plan the hip rises 1.118034 per unit across: in plan
it goes up as much as across, and the slope is √(1 + 1/4) longer than its run."""


def made(*parts: Section | Opening, system: RoofingSystem = RIBBED) -> ShopJob:
    return shop_of(job(*parts, system=system))


def shop_of(project: Project) -> ShopJob:
    results = results_of(project)
    return ShopJob(results.project, results.surface, results.take_off)


def on(shop: ShopJob, plane: str) -> list[PanelShape]:
    return [s for s in shop.shapes if s.panel.plane_name == plane]


def test_ribbed_panels_of_a_hip_house_by_hand() -> None:
    # 40 × 24 ft, 6/12. Slope 144 in · 1.118034 = 160.9969 in; metal from 1 1/2 in below the eave
    # to 1 in below the ridge: 161.4969 in. The hip's metal lies 1 in back, so it begins 1.5 in
    # lower (1 / cos 48.19°), just at the corner of the eave: a sheet 37 1/2 in wide (36 and a
    # lap leg of 1 1/2) that begins k · 36 in from there has sides of 36 k and 36 k + 37 1/2 in
    # times 1.118034, up to the ridge.
    south = on(made(HIP), "South 1")
    assert len(south) == 14  # 480 in ÷ 36
    top = 144.0 * RISE + 0.5
    for k, shape in enumerate(south[:5]):
        left, right = min(36.0 * k * RISE, top), min((36.0 * k + 37.5) * RISE, top)
        assert shape.left / IN == pytest.approx(left, abs=1e-4)
        assert shape.right / IN == pytest.approx(right, abs=1e-4)
        assert shape.length / IN == pytest.approx(right, abs=1e-4)
        assert shape.width / IN == pytest.approx(37.5, abs=1e-4)
        assert shape.sheet_width / IN == pytest.approx(37.5)
        assert (shape.lap_side, shape.notches, shape.folds) == ("right", (), ())
    for shape in south[1:3]:
        assert shape.panel.upper.angle == pytest.approx(math.degrees(math.atan(RISE)), abs=1e-6)
        assert (shape.panel.upper.hand, shape.panel.lower.shape) == ("right", "square")
    # the hip meets the ridge's metal 161.4969 / 1.118034 = 144.447 in from the corner, in the
    # fourth sheet: from (0, 120.7477) to (36.447, 161.4969), then level
    assert south[3].outline / IN == pytest.approx(
        np.array([(0, 0), (37.5, 0), (37.5, top), (36.4472, top), (0, 108 * RISE)]), abs=1e-4
    )
    # at the other end 12 in are left for the last, a triangle 12 · 1.118034 high
    assert south[13].outline / IN == pytest.approx(
        np.array([(0, 0), (12, 0), (0, 12 * RISE)]), abs=1e-4
    )
    assert south[13].left / IN == pytest.approx(12 * RISE, abs=1e-4)
    assert south[13].right == 0.0
    assert south[13].is_ripped
    # the thirteenth: 48 in from the far corner to 10 1/2
    assert south[12].left / IN == pytest.approx(48 * RISE, abs=1e-4)
    assert south[12].right / IN == pytest.approx(10.5 * RISE, abs=1e-4)
    assert south[12].panel.upper.hand == "left"


def test_seam_panels_of_a_hip_house_by_hand() -> None:
    # Metal 3/4 in past the eave and 1 1/2 in back from hip and ridge; a hem of 1 in at the eave.
    # The hip's metal lies 1 1/2 in back and 2 1/4 in lower: at the eave's metal it begins
    # (2.25 - 0.75) / 1.118034 = 1.3416 in from the corner. Pans are 16 in wide without lap leg.
    south = on(made(HIP, system=SEAM), "South 1")
    assert len(south) == 30  # 477.3167 in ÷ 16
    top = 144.0 * RISE - 1.5 + 0.75 + 1.0
    for k, shape in enumerate(south[:9]):
        left, right = min(1.0 + 16 * k * RISE, top), min(1.0 + 16 * (k + 1) * RISE, top)
        assert (shape.left / IN, shape.right / IN) == pytest.approx((left, right), abs=1e-4)
        assert shape.width / IN == pytest.approx(16.0, abs=1e-4)
        (fold,) = shape.folds
        assert np.array((*fold.start, *fold.end)) / IN == pytest.approx([0, 1, 16, 1], abs=1e-4)
    middle = south[15]
    assert {middle.panel.lower.shape, middle.panel.upper.shape} == {"square"}
    assert (middle.is_ripped, middle.notches, middle.holes) == (False, (), ())
    assert south[15].length / IN == pytest.approx(top, abs=1e-4)


def test_marks_name_the_plane_and_the_number() -> None:
    south = on(made(HIP), "South 1")
    assert [s.mark for s in south[:3]] == ["South 1 - 1", "South 1 - 2", "South 1 - 3"]
    assert south[6].mark == mark_of(south[6].panel) == "South 1 - 7"


def test_a_plane_laid_from_the_right_has_its_lap_legs_on_the_left() -> None:
    project = job(HIP)
    from_right = msgspec.structs.replace(project, layout=PanelLayout("first end", 0.0, True))
    one, other = on(shop_of(project), "South 1"), on(shop_of(from_right), "South 1")
    assert {s.lap_side for s in other} == {"left"}
    for a, b in zip(one, other, strict=True):
        mirrored = np.column_stack([a.width - a.outline[:, 0], a.outline[:, 1]])
        assert shapely.Polygon(mirrored).symmetric_difference(
            shapely.Polygon(b.outline)
        ).area == pytest.approx(0.0, abs=1e-3)
        assert (a.left, a.right) == pytest.approx((b.right, b.left), abs=1e-6)


def test_a_chimney_notches_the_panels_beside_it() -> None:
    # A chimney 3 ft wide, 18 in over each of two panels: 4 ft up the plan from the eave, 2 ft
    # deep. Metal stays 1 in below it and 3 in above: on the slope 24 · 1.118034 + 4 in high.
    shop = made(MAIN, opening(box(19.5, 4, 22.5, 6)))
    notched = [s for s in on(shop, "South 1") if s.notches]
    assert len(notched) == 2
    for shape, wide in zip(notched, (19.5, 18.0), strict=True):
        ((x0, y0, x1, y1),) = shape.notches
        # the first has its lap leg of 1 1/2 in there as well
        assert (x1 - x0) / IN == pytest.approx(wide, abs=1e-3)
        assert (y1 - y0) / IN == pytest.approx(24.0 * RISE + 4.0, abs=1e-3)
        assert y0 / IN == pytest.approx(48.0 * RISE + 1.5 - 1.0, abs=1e-3)
    assert notched[0].notches[0][2] == pytest.approx(notched[0].width, abs=1e-3)
    assert notched[1].notches[0][0] == pytest.approx(0.0, abs=1e-3)
    area = notched[1].width * notched[1].length - 18.0 * IN * (24.0 * RISE + 4.0) * IN
    assert shapely.Polygon(notched[1].outline).area == pytest.approx(area, rel=1e-6)


def test_a_pipe_in_the_middle_of_a_panel_is_a_hole() -> None:
    pipe = opening(box(20.25, 4, 20.75, 4.5), "pipe")
    shop = made(MAIN, pipe)
    plain = made(MAIN)
    # panels run up to it and its boot stands on them: nothing is cut
    assert [s.length for s in shop.shapes] == [s.length for s in plain.shapes]
    skylight = made(MAIN, opening(box(19, 4, 20, 5), "skylight"))
    assert sum(len(s.holes) + len(s.notches) for s in skylight.shapes) >= 1


def test_shapes_alike_are_drawn_once() -> None:
    groups = made(HIP).shape_groups
    assert sum(len(g) for g in groups) == 44
    for group in groups:
        for other in group[1:]:
            assert np.abs(other.outline - group[0].outline).max() < 0.2
    whole = max(groups, key=len)
    # on both long planes those that begin at 180, 216, 252 and 288 in lie between the hips'
    # upper ends, 144.447 in from the corners
    assert len(whole) == 8
    assert {s.panel.plane_name for s in whole} == {"South 1", "North 1"}


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_shapes_of_all_samples(path: Path, system: RoofingSystem) -> None:
    project = msgspec.structs.replace(
        read_project(path).project, system=system, more_systems=(), plane_coverings=()
    )
    shop = shop_of(project)
    panels = shop.take_off.panels
    assert len(shop.shapes) == len(panels)
    for shape, panel in zip(shop.shapes, panels, strict=True):
        assert shape.panel is panel
        assert shape.length == pytest.approx(panel.length, abs=1e-6)
        polygon = shapely.Polygon(shape.outline, shape.holes)
        assert polygon.is_valid
        assert polygon.exterior.is_ccw
        assert shape.outline.min(axis=0) == pytest.approx([0, 0], abs=1e-9)
        assert shape.width <= shape.sheet_width + 1e-3
        steps = np.linalg.norm(np.roll(shape.outline, -1, axis=0) - shape.outline, axis=1)
        assert steps.min() > 1e-3
        # the sheet has at least what the panel covers
        assert polygon.area >= panel.net_area - 30.0 * IN**2
    assert len({s.mark for s in shop.shapes}) == len(panels)


def test_the_l_house_falls_into_shapes_with_both_ends_cut() -> None:
    shapes = made(L_HOUSE).shapes
    both = [s for s in shapes if s.panel.lower.shape != "square" != s.panel.upper.shape]
    assert both
