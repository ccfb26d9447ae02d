"""What is said of panels cut to a shape: width, lap leg, notches; and that each is drawn."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import PanelLayout, Project, Units
from roofmodel.document.releases import set_shop_rules
from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.panel_card import card_plan, shaped_groups
from roofmodel.sheets.panel_words import cut_to_shape_words, is_cut_to_shape, width_words
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_tables import bundles_table, roll_forming_table
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff import cut_words
from roofmodel.units import KG_PER_LB
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.shop_lists import cut_list_csv
from tests.houses import GABLE, box, opening, section
from tests.shop.shops import HIP, MAIN, RIBBED, SYSTEMS, job, sample
from tests.shop.test_panel_shapes import made, on, shop_of

IN = 25.4
FEET = Units()
SEAM = SYSTEMS["standing_seam"]
SAMPLES = sorted(p.stem for p in (Path(__file__).parents[2] / "sample_projects").glob("*.roof"))


def last(shop: ShopJob, plane: str = "South 1") -> PanelShape:
    return on(shop, plane)[-1]


def notes(shop: ShopJob, plane: str = "South 1") -> str:
    sheet = next(s for s in shop.sheets if s.plane.name == plane)
    return " ".join(layout_plan(shop, sheet).draw(48.0).notes)


def card(shop: ShopJob, shape: PanelShape) -> str:
    groups = shaped_groups(shop, shape.panel.system)
    group = next(g for g in groups if shape in g)
    return " ".join(card_plan(shop, group).draw(24.0).notes)


def from_right(project: Project) -> Project:
    return msgspec.structs.replace(project, layout=PanelLayout("first end", 0.0, True))


@pytest.mark.parametrize("laid_from_right", [False, True])
def test_a_ripped_panel_has_no_lap_leg(laid_from_right: bool) -> None:
    # 40 ft are 13 sheets and a third: 480 - 13 * 36 = 12 in; the sheet is 37 1/2 in wide
    project = from_right(job(MAIN)) if laid_from_right else job(MAIN)
    shop = shop_of(project)
    shape = last(shop)
    off = (25.5 * IN, 0.0) if laid_from_right else (0.0, 25.5 * IN)
    assert shape.cut_off == pytest.approx(off, abs=1e-3)
    assert (shape.lap_leg, shape.lap_kept) == pytest.approx((1.5 * IN, 0.0), abs=1e-3)
    assert cut_to_shape_words(shape, FEET) == "cut to 1'-0\" wide"
    said = card(shop, shape)
    assert "cut to 1'-0\" wide; without its lap leg." in said
    assert "lap leg on" not in said
    assert "Panels cut narrower than the sheet comes: 14 to 1'-0\"." in notes(shop)
    plan = next(p for p in sheet_plans(shop) if p.kind == "panel shapes")
    words = " ".join(t.text for t in plan.draw(48.0).texts)
    assert "cut to 1'-0\" wide without its lap leg" in words


def test_where_only_the_lap_leg_comes_off_that_is_said() -> None:
    # 36 ft are twelve sheets: the last one needs no lap leg
    shop = shop_of(job(section(box(0, 0, 36, 24), (0.5, GABLE, 0.5, GABLE))))
    shape = last(shop)
    assert cut_to_shape_words(shape, FEET) == "lap leg cut off, 3'-0\" wide"
    said = notes(shop)
    assert "Panel with the lap leg cut off: 12." in said
    assert "narrower" not in said


def test_a_start_that_is_moved_cuts_the_first_panel_and_keeps_its_lap_leg() -> None:
    project = msgspec.structs.replace(job(MAIN), layout=PanelLayout("by hand", 24.0 * IN))
    shop = shop_of(project)
    first = on(shop, "South 1")[0]
    assert first.cut_off == pytest.approx((12.0 * IN, 0.0), abs=1e-3)
    # 24 in and the lap leg
    assert "cut to 2'-1 1/2\" wide; lap leg on the right." in card(shop, first)


def test_at_a_hip_the_last_panel_runs_out_in_a_point() -> None:
    shape = last(made(HIP))
    assert width_words(shape, FEET).endswith(" wide, to a point")


def test_notched_and_ripped_panels_have_rows_of_their_own() -> None:
    shop = made(MAIN, opening(box(19.5, 4, 22.5, 6)))
    table = roll_forming_table(shop)
    titles = [c.title for c in table.columns]
    marks, words = titles.index("Marks"), titles.index("Cut to shape")
    said = {row[marks]: row[words] for row in table.rows}
    south = {m: w for m, w in said.items() if str(m).startswith("South 1")}
    assert south == {
        "South 1 - 1 to 6, 9 to 13": "",
        "South 1 - 7, 8": "notched",
        "South 1 - 14": "cut to 1'-0\" wide",
    }


def test_a_hole_is_no_notch() -> None:
    # in the middle of the panel from 18 to 21 ft
    shop = made(MAIN, opening(box(19, 4, 20, 5), "skylight"))
    (shape,) = [s for s in shop.shapes if s.holes]
    assert cut_to_shape_words(shape, FEET) == "hole"
    assert shape.mark in {s.mark for g in shaped_groups(shop, RIBBED.id) for s in g}


@pytest.mark.parametrize("system", [s.id for s in built_in_systems()])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_panel_that_is_not_whole_is_drawn_once(name: str, system: str) -> None:
    made_of = sample(name, system)
    shop = ShopJob(made_of.project, made_of.results.surface, made_of.results.take_off)
    drawn = [s.mark for g in shaped_groups(shop, system) for s in g]
    assert len(drawn) == len(set(drawn))
    for shape in shop.shapes:
        ends = {cut_words(shape.panel.lower), cut_words(shape.panel.upper)}
        is_plain = (
            shape.width == pytest.approx(shape.sheet_width, abs=0.05)
            and len(shape.outline) <= 4
            and not shape.holes
            and not any(e.startswith("along") for e in ends)
        )
        assert (shape.mark in drawn) is is_cut_to_shape(shape)
        assert is_plain or shape.mark in drawn, shape.mark
        assert bool(cut_to_shape_words(shape, FEET)) == (shape.mark in drawn)
        assert shape.lap_kept <= shape.lap_leg
        whole = sum(shape.cut_off) + shape.width
        assert whole == pytest.approx(shape.sheet_width, abs=0.05)


def test_seam_panels_speak_of_coverage_not_of_a_lap_leg() -> None:
    shop = made(MAIN, system=SEAM)
    shape = last(shop)  # 480 in are thirty pans
    assert not shape.is_ripped
    narrow = made(section(box(0, 0, 39, 24), (0.5, GABLE, 0.5, GABLE)), system=SEAM)
    shape = last(narrow)  # 468 - 29 * 16 = 4 in
    said = card(narrow, shape)
    assert "cut to 0'-4\" wide" in said
    assert "add what the maker's detail folds up there" in said
    plan = next(p for p in sheet_plans(narrow) if p.kind == "panel shapes").draw(48.0)
    words = " ".join([*plan.notes, *(t.text for t in plan.texts), *map(": ".join, plan.fields)])
    assert "lap leg" not in words + said
    assert "Coverage: 1'-4\" from seam to seam, before the legs are formed" in words
    assert "what is cut out is measured from the seam line" in words
    assert "add what the maker's detail folds up there" in notes(narrow)


def test_a_rake_allowance_of_the_system_is_said() -> None:
    hems = {**SEAM.hems, EdgeKind.RAKE: 1.5 * IN}
    folded = msgspec.structs.replace(SEAM, hems=hems)
    shop = made(section(box(0, 0, 39, 24), (0.5, GABLE, 0.5, GABLE)), system=folded)
    said = notes(shop)
    assert "Widths include what is folded up: 0'-1 1/2\" at a rake." in said
    assert "add what the maker's" not in said


def test_layouts_say_how_far_metal_goes_past_each_edge() -> None:
    # ribbed: 1 1/2 in past the eave, 1 in back from the ridge, flush at rakes
    said = notes(made(MAIN))
    assert (
        "Metal passes the eave by 0'-1 1/2\"; ends at the rake; stops 0'-1\" short of the ridge;"
        " measured on the plane, square to the edge." in said
    )
    vented = msgspec.structs.replace(job(MAIN), layout=PanelLayout(vented=True))
    assert "stops 0'-2\" short of the ridge" in notes(shop_of(vented))
    metric = msgspec.structs.replace(job(MAIN), units=Units("metric"))
    assert "Metal passes the eave by 38 mm" in notes(shop_of(metric))


@pytest.mark.parametrize("system", [RIBBED, SEAM])
def test_what_layouts_say_of_edges_is_what_was_laid(system: RoofingSystem) -> None:
    for vented in (False, True):
        project = msgspec.structs.replace(
            job(MAIN, system=system), layout=PanelLayout(vented=vented)
        )
        sheet = shop_of(project).sheets[0]
        shifts = dict(sheet.shifts)
        assert set(shifts) == {EdgeKind.EAVE, EdgeKind.RAKE, EdgeKind.RIDGE}
        slope = 144.0 * 1.25**0.5 * IN
        assert sheet.height == pytest.approx(
            slope + shifts[EdgeKind.EAVE] + shifts[EdgeKind.RIDGE], abs=1e-3
        )


def test_very_short_panels_are_told_on_the_layout() -> None:
    # 39 ft 4 in of pans on a hip roof: 472 - 29 * 16 = 8 in, 8.94 in long with √1.25
    for system, feet in ((SEAM, 39.0 + 4.0 / 12.0), (RIBBED, 39.5)):
        house = section(box(0, 0, feet, 24), [0.5] * 4)
        shop = made(house, system=system)
        shape = last(shop)
        assert shape.length < 304.8
        assert f"Panel {shape.panel.number} is under 1'-0\" long" in notes(shop)
        assert any("under 12 in long" in w for w in shop.take_off.warnings)


def test_a_panel_too_heavy_alone_does_not_loosen_the_rule_for_others() -> None:
    # the hip roof's panels weigh from a few to 56 lb; with 50 lb only those alone are heavier
    shop = shop_of(set_shop_rules(job(HIP), lift_weight=50.0 * KG_PER_LB))
    table = bundles_table(shop)
    titles = [c.title for c in table.columns]
    over = 0
    for row in table.rows:
        weight = row[titles.index("Weight")].value / KG_PER_LB  # type: ignore[union-attr]
        count = row[titles.index("Panels")].value  # type: ignore[union-attr]
        lift = str(row[titles.index("Lift")])
        assert weight <= 50.0 + 1e-6 or count == 1
        assert lift == (f"over the lift: {weight:.0f} lb" if weight > 50.0 else "")
        over += weight > 50.0
    assert over > 10
    assert len(table.rows) < 44  # the light ones lie together


def test_cut_lists_weigh_their_rows() -> None:
    shop = made(MAIN)
    rows = list(csv.DictReader(io.StringIO(cut_list_csv(shop))))
    # 56.007 lb each, as the weight of a panel by hand
    for row in rows:
        each = float(row["Weight (lb)"]) / int(row["Quantity"])
        assert each == pytest.approx(56.007, abs=1e-3)
