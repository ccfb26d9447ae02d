"""Sheets for shop and crew: words and scales, and that no text covers another."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import Units
from roofmodel.sheets.placing import Placing, readable
from roofmodel.sheets.profile_sheet import profile_plan, section_outline
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_tables import (
    blanks_table,
    bundles_table,
    roll_forming_table,
)
from roofmodel.sheets.shop_types import (
    SMALL_TEXT_MM,
    SheetDimension,
    SheetOutline,
    SheetRunning,
    SheetText,
)
from roofmodel.sheets.shop_words import (
    exact_words,
    metal_words,
    radius_words,
    scale_for,
    scale_words,
    scales,
    tolerance_words,
)
from roofmodel.sheets.trim_words import edges_words
from roofmodel.sheets.types import Amount
from roofmodel.systems import EdgeKind, RoofingSystem, SheetMetal
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.houses import box, opening
from tests.shop.shops import HIP, MAIN, WING, job
from tests.shop.test_layout import overlapping
from tests.shop.test_panel_shapes import made, shop_of

FEET, METRIC = Units(), Units("metric")
ROOM = (406.0, 254.0)
SAMPLES = Path(__file__).parents[2] / "sample_projects"


def test_lengths_for_the_brake_are_decimals_without_a_zero_before_the_point() -> None:
    assert exact_words(0.25 * 25.4, FEET) == ".250 in"
    assert exact_words(12.9814 * 25.4, FEET) == "12.981 in"
    assert exact_words(329.73, METRIC) == "329.7 mm"
    assert radius_words(25.4 / 32, FEET) == '1/32"'
    assert radius_words(25.4 / 16, FEET) == '1/16"'
    assert radius_words(1.0, FEET) == ".039 in"
    assert radius_words(1.0, METRIC) == "1.0 mm"
    assert metal_words(SheetMetal(), FEET) == "24 ga, .0276 in thick"
    assert metal_words(SheetMetal(), METRIC) == "24 ga, 0.70 mm thick"
    assert tolerance_words("trim", FEET) == '± 1/16", common practice'
    assert tolerance_words("panels", METRIC) == "± 3 mm, common practice"


def test_the_scale_is_the_largest_usual_one_that_fits() -> None:
    shop = made(MAIN)
    layout = next(p for p in sheet_plans(shop) if p.kind == "panel layout")
    # 40 ft on 406 mm with 28 mm for words: 12192 / 378 = 32.3, so 1/4 in to the foot
    assert layout.room(48.0)[0] < 406.0 < layout.room(32.0)[0]
    assert scale_for(layout, ROOM, FEET) == 48.0
    assert scale_for(layout, ROOM, METRIC) == 50.0
    assert scale_words(48.0, FEET) == '1/4" = 1\'-0"'
    assert scale_words(50.0, METRIC) == "1:50"
    assert scale_words(33.0, FEET) == "1:33"
    assert scale_for(layout, (10.0, 10.0), FEET) == scales(FEET)[-1][0]


def test_dimensions_and_running_dimensions_say_what_they_measure() -> None:
    slant = SheetDimension((0, 0), (30, 40), (0, 10), 0.0, "", 2.0)
    assert slant.measured == 30.0
    assert slant.line == ((0.0, 10.0), (30.0, 10.0))
    up = SheetDimension((0, 0), (30, 40), (-5, 0), 90.0, "", 2.0)
    assert up.measured == pytest.approx(40.0)
    assert np.array(up.line) == pytest.approx(np.array([(-5, 0), (-5, 40)]))
    straight = SheetRunning((0, 0), (30, 0), (30, -5), "", 2.0)
    assert straight.leader == ((30, 0), (30, -5))
    bent = SheetRunning((0, 0), (30, 0), (34, -10), "", 2.0)
    assert len(bent.leader) == 4
    assert bent.measured == 30.0
    assert SheetRunning((0, 9), (0, 4), (-5, 4), "", 2.0, "y").measured == 5.0


def test_arcs_of_outlines_are_drawn_as_chords_on_the_arc() -> None:
    # a half circle on a base of 2: bulge tan(180° / 4) = 1
    half = SheetOutline("CUT", ((-1.0, 0.0), (1.0, 0.0)), (0.0, 1.0))
    points = np.array(half.polyline(16))
    assert np.hypot(*points.T) == pytest.approx(1.0)
    assert points[:, 1].max() == pytest.approx(1.0)


def test_texts_take_the_first_free_place() -> None:
    placing = Placing()
    one = SheetText("NOTES", "one", (0.0, 0.0), 2.0)
    assert placing.take(one) is one
    places = [SheetText("NOTES", "two", (x, 0.0), 2.0) for x in (0.0, 3.0, 20.0)]
    assert placing.put(places) is places[2]
    assert placing.put(places) is None
    placing.keep_off([((0.0, 30.0), (40.0, 30.0))], 1.0)
    assert placing.put([SheetText("NOTES", "x", (20.0, 30.5), 2.0)]) is None
    assert [readable(d) for d in (180.0, -90.0, 135.0, 450.0)] == [0.0, 90.0, -45.0, 90.0]


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
@pytest.mark.parametrize("name", ["elder_brook_dormers", "fern_hill_manor"])
def test_no_text_of_a_sheet_covers_another(name: str, system: RoofingSystem) -> None:
    project = msgspec.structs.replace(
        read_project(SAMPLES / f"{name}.roof").project,
        system=system,
        more_systems=(),
        plane_coverings=(),
    )
    shop = shop_of(project)
    for plan in sheet_plans(shop):
        if plan.kind == "panel layout":
            continue  # these have a test of their own
        sheet = plan.draw(scale_for(plan, ROOM, project.units))
        assert not overlapping(sheet), plan.name
        for text in sheet.all_texts():
            assert text.height >= SMALL_TEXT_MM * sheet.scale * (1 - 1e-9)


def test_every_section_is_one_closed_outline_with_its_arcs() -> None:
    shop = made(HIP)
    for drawing in shop.profiles:
        outline = section_outline(drawing.bent)
        assert len(outline.bulges) == len(outline.corners)
        rounds = sum(abs(b) > 0.0 for b in outline.bulges)
        bends = len(drawing.bent.bends)
        # an inside and an outside arc for each, but the inside of a tight hem has none
        assert bends <= rounds <= 2 * bends


def test_what_is_cut_out_of_a_panel_is_said() -> None:
    shop = made(MAIN, opening(box(19.5, 4, 22.5, 6)))
    plan = next(p for p in sheet_plans(shop) if p.kind == "panel shapes")
    words = " ".join(t.text for t in plan.draw(48.0).texts)
    # 24 in · 1.118034 and 4 in of set-backs high, 48 · 1.118034 + 1/2 up
    assert "cut out 1'-6\" by 2'-6 7/8\", 4'-6 1/8\" up" in words


def test_tables_for_the_shop_add_up() -> None:
    shop = made(HIP)
    blanks, bundles = blanks_table(shop), bundles_table(shop)
    assert blanks.total is not None
    assert blanks.total[1] == Amount(len(shop.blanks.blanks), "count")
    assert bundles.total is not None
    assert bundles.total[2] == Amount(44, "count")
    weight = sum(row[4].value for row in bundles.rows if isinstance(row[4], Amount))
    assert isinstance(bundles.total[4], Amount)
    assert bundles.total[4].value == pytest.approx(weight)


def test_title_blocks_say_revision_and_date_only_where_there_are_any() -> None:
    shop = shop_of(job(HIP))
    plain = dict(sheet_plans(shop)[0].draw(48.0).fields)
    assert (plain["Revision"], plain.get("Date")) == ("not released", None)
    one = dict(sheet_plans(shop.marked(2, "2026-03-01"))[0].draw(48.0).fields)
    assert (one["Revision"], one["Date"]) == ("2", "2026-03-01")
    since = dict(sheet_plans(shop.marked(0, "", 2))[0].draw(48.0).fields)
    assert since["Revision"] == "not released, changed since revision 2"


def test_what_stands_on_a_wall_a_fascia_or_a_gable_is_drawn_upright() -> None:
    shop = made(MAIN, WING, opening(box(19.5, 4, 22.5, 6)))
    seen = set()
    for drawing in shop.profiles:
        planes = [leg.on for leg in drawing.bent.profile.legs]
        if "second plane" not in planes or "first plane" not in planes:
            continue
        sheet = profile_plan(shop, drawing).draw(2.0)
        turns = {
            round(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 180.0, 6)
            for a, b in zip(
                sheet.outlines[0].corners,
                (*sheet.outlines[0].corners[1:], sheet.outlines[0].corners[0]),
                strict=True,
            )
            if math.dist(a, b) > 25.0
        }
        kind = drawing.blanks[0].run.kind
        seen.add(kind)
        if kind in (EdgeKind.RIDGE, EdgeKind.HIP, EdgeKind.VALLEY):
            assert sum(turns) == pytest.approx(180.0, abs=1e-5)  # even on both sides
        else:
            assert 90.0 in turns, drawing.name
    assert {EdgeKind.RAKE, EdgeKind.EAVE, EdgeKind.RIDGE, EdgeKind.SIDE} <= seen


def test_no_dimension_of_a_section_crosses_the_metal_or_a_text() -> None:
    for shop in (made(HIP), made(MAIN, WING, opening(box(19.5, 4, 22.5, 6)))):
        for drawing in shop.profiles:
            sheet = profile_plan(shop, drawing).draw(4.0)
            metal = shapely.Polygon(sheet.outlines[0].polyline())
            for d in sheet.dimensions:
                line = shapely.LineString(d.line)
                assert line.distance(metal) > 0.5 * d.height, (drawing.name, d.text)
                for text in sheet.texts:
                    # boxes are on the wide side
                    assert not line.intersects(shapely.Polygon(text.box).buffer(-0.2)), d.text


def test_edges_are_told_by_runs_of_their_numbers() -> None:
    blanks = made(HIP).blanks.blanks
    assert edges_words(blanks) == "Eave 1 to 4; Hip 1 to 4; Ridge 1"


def test_a_layout_says_where_its_start_line_lies_and_what_it_does_not_name() -> None:
    plan = next(p for p in sheet_plans(made(HIP)) if p.kind == "panel layout")
    notes = " ".join(plan.draw(48.0).notes)
    assert "Start line 3'-0\" from zero: square it first; panel 1 lies before it." in notes
    assert "Edges that have no room for their names: " in " ".join(plan.draw(768.0).notes)


def test_the_cut_list_has_both_sides_of_panels_that_are_not_square() -> None:
    shop = made(HIP)
    table = roll_forming_table(shop)
    titles = [c.title for c in table.columns]
    left, right = titles.index("Left side"), titles.index("Right side")
    shapes = {s.mark: s for s in shop.shapes}
    checked = 0
    for row in table.rows:
        shape = shapes.get(str(row[titles.index("Marks")]))
        if shape is None:
            continue
        ends = {row[titles.index("Lower end")], row[titles.index("Upper end")]}
        if ends == {"square"}:
            assert row[left] == row[right] == ""
        else:
            assert row[left] == Amount(shape.left, "mm")
            assert row[right] == Amount(shape.right, "mm")
            checked += 1
    assert checked > 10


def test_the_corner_of_the_eaves_is_on_the_sheet_of_its_blank() -> None:
    shop = made(HIP)
    plans = {p.title: p for p in sheet_plans(shop) if p.kind == "trim blank"}
    at_corners = [d for d in shop.trim if d.blank.run.part == "eave drip edge"]
    told = 0
    for drawing in at_corners:
        notes = " ".join(plans[f"{drawing.name}: blank"].draw(4.0).notes)
        assert ("At the corner of the eaves notch and fold it" in notes) == bool(
            drawing.blank.remark
        )
        told += bool(drawing.blank.remark)
    assert told >= 2
