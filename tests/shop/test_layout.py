"""Layout sheets: running dimensions, start, 3-4-5, rows, seams; where each text stands."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import PanelLayout, Units
from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_types import ShopSheet
from roofmodel.sheets.shop_words import scale_for
from roofmodel.shop.job import ShopJob
from roofmodel.shop.layout import PlaneSheet
from roofmodel.shop.square import square_check
from roofmodel_io.project_file import read_project
from tests.houses import box, opening, section
from tests.shop.shops import HIP, MAIN, SYSTEMS, job
from tests.shop.test_panel_shapes import made, shop_of

IN, FT = 25.4, 304.8
SAMPLES = Path(__file__).parents[2] / "sample_projects"
ROOM = (406.0, 254.0)


def sheet_of(shop: ShopJob, plane: str = "South 1") -> PlaneSheet:
    return next(s for s in shop.sheets if s.plane.name == plane)


def drawn(shop: ShopJob, plane: str = "South 1") -> ShopSheet:
    plan = layout_plan(shop, sheet_of(shop, plane))
    return plan.draw(scale_for(plan, ROOM, shop.project.units))


def test_running_dimensions_of_a_gable_by_hand() -> None:
    # 40 ft of ribbed panel from the left rake: 0, 3, 6 … 39, 40 ft
    sheet = sheet_of(made(MAIN))
    assert np.array(sheet.sides) / FT == pytest.approx([*range(0, 40, 3), 40])
    shown = drawn(made(MAIN)).running
    assert [r.text for r in shown] == [f"{n}'-0\"" for n in (*range(0, 40, 3), 40)]
    assert [r.measured / FT for r in shown] == pytest.approx([*range(0, 40, 3), 40])


def test_running_dimensions_go_from_the_end_that_is_laid_from() -> None:
    project = msgspec.structs.replace(job(MAIN), layout=PanelLayout("by hand", 12 * IN, True))
    shop = shop_of(project)
    sheet = sheet_of(shop)
    # the first strip from the right is 12 in wide
    assert [sheet.from_start(u) / FT for u in sheet.sides] == pytest.approx(
        [0, *range(1, 40, 3), 40]
    )
    assert sheet.start[0][0] == pytest.approx(39 * FT)
    assert [r.measured / FT for r in drawn(shop).running] == pytest.approx(
        [0, *range(1, 40, 3), 40]
    )
    assert "laid from the right end" in drawn(shop).notes[0].lower()


def test_the_start_of_a_hip_is_the_first_side_with_metal_along_it() -> None:
    sheet = sheet_of(made(HIP))
    (u, low), (_, high) = sheet.start
    assert u / IN == pytest.approx(36.0)
    assert (high - low) / IN == pytest.approx(36.0 * math.sqrt(5.0) / 2.0, abs=1e-3)


def test_three_four_five_fits_and_is_square() -> None:
    # 40 ft of eave, 13'-5" of slope: 16 and 12 ft
    check = sheet_of(made(MAIN)).square
    assert check is not None
    assert (check.on_eave / FT, check.on_side / FT, check.across / FT) == pytest.approx(
        (16, 12, 20)
    )
    assert math.dist(check.along, check.up) == pytest.approx(check.across)
    assert check.corner[0] == 0.0
    # on a hip it stands on the first side where 9, 12 and 15 ft have room
    hip = sheet_of(made(HIP))
    assert hip.square is not None
    shape = shapely.Polygon(hip.outline)
    for end in (hip.square.along, hip.square.up):
        line = shapely.LineString([hip.square.corner, end])
        assert shapely.buffer(shape, 1.1).covers(line)
    assert any(abs(hip.square.corner[0] - u) < 1e-6 for u in hip.sides)


def test_three_four_five_in_metres_and_where_there_is_no_room() -> None:
    plane = shapely.box(0, 0, 5000, 3100)
    eave = [((0.0, 0.0), (5000.0, 0.0))]
    check = square_check(plane, eave, (0.0,), False, Units("metric"))
    assert check is not None
    assert (check.on_eave, check.on_side, check.across) == (4000.0, 3000.0, 5000.0)
    right = square_check(plane, eave, (5000.0,), True, Units("metric"))
    assert right is not None
    assert right.along == (1000.0, 0.0)
    assert square_check(plane, [], (0.0,), False, Units()) is None
    assert square_check(shapely.box(0, 0, 100, 50), eave, (0.0,), False, Units()) is None


def test_diagonals_of_a_rectangle_only() -> None:
    slope = 12.0 * math.sqrt(1.25)
    diagonal = sheet_of(made(MAIN)).diagonals
    assert diagonal is not None
    assert diagonal / FT == pytest.approx(math.hypot(40.0, slope))
    assert sheet_of(made(HIP)).diagonals is None


def test_seams_are_drawn_once() -> None:
    sheet = sheet_of(made(MAIN))
    upright = [line for line in sheet.seams if abs(line[0][0] - line[1][0]) < 0.01]
    # 15 sides of 14 panels
    assert len(upright) == 15
    lengths = sum(math.dist(a, b) for a, b in upright)
    assert lengths == pytest.approx(15 * sheet.height, rel=1e-4)


def test_rows_are_those_that_were_counted() -> None:
    for system in SYSTEMS.values():
        sheet = sheet_of(made(HIP, system=system))
        assert sheet.fixing is not None
        layer = "SCREW ROWS" if system.panel.fastening == "face" else "CLIP LINES"
        lines = [x for x in drawn(made(HIP, system=system)).lines if x.layer == layer]
        assert len(lines) == len(sheet.fixing.rows)


def test_every_panel_has_its_number_and_openings_their_names() -> None:
    shop = made(MAIN, opening(box(19.5, 4, 22.5, 6)))
    sheet = drawn(shop)
    words = [t.text for t in sheet.texts if t.layer == "PANELS"]
    numbers = {int(w.partition(":")[0]) for w in words}
    assert numbers == {s.panel.number for s in sheet_of(shop).shapes}
    assert any(t.text == "O1" for t in sheet.texts)


def test_long_panels_lap_and_the_lap_is_drawn() -> None:
    # 40 × 110 ft, 6/12: 55 ft · 1.118034 and 1/2 in of metal up the slope, 45 ft the longest
    # panel: two to a strip with a lap of 6 in
    shop = made(section(box(0, 0, 40, 110), (0.5, math.inf, 0.5, math.inf)))
    sheet = sheet_of(shop)
    assert len(sheet.shapes) == 28
    assert len(sheet.laps) == 14
    lower, upper = sheet.shapes[0], sheet.shapes[1]
    whole = 55.0 * 12.0 * math.sqrt(1.25) + 0.5
    assert (lower.length + upper.length) / IN == pytest.approx(whole + 6.0, abs=1e-4)
    assert upper.place[1] == pytest.approx(lower.length - 6.0 * IN, abs=1e-4)
    ((_, v0), (_, v1)) = sheet.laps[0]
    assert v0 == v1 == pytest.approx(lower.length, abs=1e-4)
    lines = [x for x in drawn(shop).lines if x.layer == "LAPS"]
    assert len(lines) == 14
    assert any("End laps of 0'-6\"" in note for note in drawn(shop).notes)


def overlapping(sheet: ShopSheet) -> list[tuple[str, str]]:
    texts = sheet.all_texts()
    boxes = [shapely.Polygon(t.box) for t in texts]
    tree = shapely.STRtree(boxes)
    pairs = tree.query(boxes, "intersects").T.tolist()
    return [
        (texts[a].text, texts[b].text)
        for a, b in pairs
        if a < b
        and boxes[a].intersection(boxes[b]).area > 0.02 * min(boxes[a].area, boxes[b].area)
    ]


@pytest.mark.parametrize("name", ["alder_flat_ranch", "elder_brook_dormers", "fern_hill_manor"])
def test_no_text_of_a_layout_covers_another(name: str) -> None:
    project = read_project(SAMPLES / f"{name}.roof").project
    for system in SYSTEMS.values():
        shop = shop_of(
            msgspec.structs.replace(project, system=system, more_systems=(), plane_coverings=())
        )
        for plan in sheet_plans(shop):
            if plan.kind == "panel layout":
                sheet = plan.draw(scale_for(plan, ROOM, project.units))
                assert not overlapping(sheet), plan.name
                room = plan.room(sheet.scale)
                left, bottom, right, top = sheet.box()
                assert (right - left) / sheet.scale <= room[0] + 30.0
                assert (top - bottom) / sheet.scale <= room[1] + 1.0
