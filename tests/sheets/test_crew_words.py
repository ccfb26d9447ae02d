"""Words for the crew: membrane as it is laid, closures, mitres in metric jobs, colour, saddles."""

from __future__ import annotations

import csv
import io
import math

import msgspec
import pytest

from roofmodel.document import Units
from roofmodel.results import results_of
from roofmodel.sheets.checklist import crew_checklist
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_tables import blanks_table
from roofmodel.sheets.types import Amount, Column, Table
from roofmodel.shop.job import ShopJob
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.units import format_length
from roofmodel_io.shop_lists import _csv
from tests.houses import box, opening
from tests.shop.shops import HIP, MAIN, SYSTEMS, job, sample
from tests.shop.test_panel_shapes import made, shop_of

SEAM = SYSTEMS["standing_seam"]


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize("name", ["elder_brook_dormers", "cedar_bend_farmhouse"])
def test_strips_of_membrane_are_told_by_their_run(name: str, metric: bool) -> None:
    # two strips 18 in wide lie in a roll of 36 in: its length is half their run
    results = sample(name).results
    if metric:
        project = msgspec.structs.replace(results.project, units=Units("metric"))
        results = results_of(project)
    layers, units = results.project.layers, results.project.units
    said = "\n".join(p for s in crew_checklist(results).steps for p in s.points)
    edges = {e.id: e for e in results.surface.edges}
    told = 0
    for q in results.take_off.quantities:
        if not q.item.startswith("Membrane along"):
            continue
        mine = [edges[i] for i in q.edges]
        strip = layers.strips[trim_kind(mine[0])]
        run = math.fsum(e.length + 2.0 * strip.at_ends for e in mine)
        width = "457.2 mm" if metric else '18"'
        width = width if strip.width < 500.0 else "914.4 mm" if metric else '36"'
        assert f"{q.item}: {format_length(run, units)} in strips {width} wide." in said
        told += 1
    assert told >= 2


def test_closures_are_cut_between_the_seams() -> None:
    # pans of 16 in with seams 1/2 in wide leave 15 1/2 in
    shop = made(HIP, system=SEAM)
    words = "to fit between the seams, which leave about 1'-3 1/2\" square to them"
    found = 0
    for plan in sheet_plans(shop):
        if plan.kind == "trim blank":
            is_closure = plan.name.startswith("blank Z closure")
            assert (f"Cut {words}." in plan.draw(8.0).notes) == is_closure
            found += is_closure
    assert found > 0
    results = sample("elder_brook_dormers", SEAM.id).results
    steps = {s.title: s.points for s in crew_checklist(results).steps}
    (top,) = [p for p in steps["Ridges and hips"] if p.startswith("Z closure")]
    assert f", cut {words}." in top
    # beside walls and openings they run up the slope, as the seams do
    (wall,) = [p for p in steps["Walls, openings and pitch transitions"] if "Z closure" in p]
    assert f", but beside walls and openings cut {words}." in wall
    assert sum(words in p for points in steps.values() for p in points) == 2


def test_closures_that_run_up_the_slope_are_not_cut_between_seams() -> None:
    made_of = sample("elder_brook_dormers", SEAM.id)
    shop = ShopJob(made_of.project, made_of.results.surface, made_of.results.take_off)
    plans = {p.name: p for p in sheet_plans(shop) if p.kind == "trim blank"}
    beside = 0
    for drawing in shop.trim:
        if drawing.blank.run.part != "Z closure":
            continue
        kinds = {b.run.kind for b in drawing.blanks}
        said = " ".join(plans[f"blank {drawing.name}"].draw(8.0).notes)
        if kinds <= {EdgeKind.SIDEWALL, EdgeKind.SIDE}:
            assert "between the seams" not in said
            beside += 1
        else:
            assert "to fit between the seams" in said
    assert beside > 0


def test_a_backing_piece_is_metric_in_a_metric_job() -> None:
    project = msgspec.structs.replace(job(HIP), units=Units("metric"))
    for made_of, said in ((project, "150 mm long"), (job(HIP), "6 in long")):
        remarks = [b.remark for b in shop_of(made_of).blanks.blanks if "backing" in b.remark]
        assert remarks
        assert all(said in r and "[" not in r for r in remarks)


def test_a_colour_that_is_not_chosen_is_said_so() -> None:
    shop = made(HIP)
    for plan in sheet_plans(shop):
        assert dict(plan.draw(48.0).fields)["Colour"] == "not chosen"
    chosen = shop_of(msgspec.structs.replace(job(HIP), colour="Barn red"))
    assert dict(sheet_plans(chosen)[0].draw(48.0).fields)["Colour"] == "Barn red"


def test_a_saddle_is_listed_net() -> None:
    shop = made(MAIN, opening(box(18, 6, 22, 9), "chimney", saddle=True))
    table = blanks_table(shop)
    titles = [c.title for c in table.columns]
    (row,) = [r for r in table.rows if str(r[0]).startswith("Saddle")]
    stock = str(row[titles.index("Cut from stock")])
    assert stock == "flat sheet, net: add turn-ups, flanges and seams"
    sheet = next(p for p in sheet_plans(shop) if p.kind == "saddle sheet").draw(8.0)
    assert dict(sheet.fields)["Net sheet"].endswith("around it")


def test_what_rounding_leaves_is_nothing_in_files() -> None:
    table = Table("t", (Column("Offcut", "mm"),), tuple((Amount(v, "mm"),) for v in (
        4.5e-13, -4.5e-13, 0.0, 25.4)))  # fmt: skip
    rows = list(csv.reader(io.StringIO(_csv(table, Units()))))[1:]
    assert [row[0] for row in rows] == ["0", "0", "0", "1"]


@pytest.mark.parametrize("system", [s.id for s in SYSTEMS.values()])
def test_sections_are_named_as_the_cutting_plan_names_them(system: str) -> None:
    made_of = sample("elder_brook_dormers", system)
    shop = ShopJob(made_of.project, made_of.results.surface, made_of.results.take_off)
    plans = {p.name for p in made_of.results.take_off.cutting_plans}
    # one plan serves what is bent to much the same angle, and names both: "71.6° to 76.0°"
    single = {n for n in plans if "° to " not in n}
    sections = {d.name for d in shop.profiles}
    assert {n[:1].upper() + n[1:] for n in single} <= sections
    assert any(" bent 53.1°" in n for n in sections)
