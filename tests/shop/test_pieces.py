"""Bundles by plane and weight, released pieces, and one source for all counts and lengths."""

from __future__ import annotations

import csv
import io
import math
from collections import Counter
from pathlib import Path

import msgspec
import pytest
from ezdxf.document import Drawing as DxfDocument
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read as read_dxf

from roofmodel.document.edits import set_slope
from roofmodel.document.releases import differences, metal_changed, set_shop_rules
from roofmodel.results import results_of
from roofmodel.sheets.panel_sheet import mark_words
from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_tables import roll_forming_table
from roofmodel.sheets.types import Amount
from roofmodel.shop.job import ShopJob
from roofmodel.shop.pieces import bundles_of, panel_weight, released_pieces
from roofmodel.units import KG_PER_LB
from roofmodel_io.project_file import read_project
from roofmodel_io.shop_dxf import sheet_dxf
from roofmodel_io.shop_lists import cut_list_csv
from tests.shop.shops import HIP, MAIN, SYSTEMS, job
from tests.shop.test_panel_shapes import made, shop_of

IN = 25.4
SAMPLES = Path(__file__).parents[2] / "sample_projects"


def test_the_weight_of_a_panel_by_hand() -> None:
    # 13'-5 1/2" of ribbed panel: 161.4969 in long; coil 1.2 · 36 = 43.2 in wide; 24 ga weighs
    # 1.156 lb per sq ft: 161.4969 · 43.2 / 144 · 1.156 = 56.007 lb
    shop = made(MAIN)
    length = 144 * math.sqrt(1.25) + 0.5
    assert shop.shapes[0].length / IN == pytest.approx(length, abs=1e-4)
    pounds = panel_weight(shop.shapes[0], shop.project) / KG_PER_LB
    assert pounds == pytest.approx(length * 43.2 / 144 * 1.156, rel=1e-6)


def test_bundles_are_as_few_and_as_even_as_can_be() -> None:
    # 14 panels of 56.007 lb are 784 lb a side. At 500 lb two bundles of seven; at 300 lb three
    # are wanted (5 each would be 280): five, five and four.
    project = job(MAIN)
    for lift, counts in ((2000.0, [14, 14]), (500.0, [7, 7] * 2), (300.0, [5, 5, 4] * 2)):
        rules = set_shop_rules(project, lift_weight=lift * KG_PER_LB)
        bundles = bundles_of(shop_of(rules))
        assert [len(b.shapes) for b in bundles] == counts
        assert [b.number for b in bundles] == list(range(1, len(counts) + 1))
        assert all(b.weight <= lift * KG_PER_LB * (1 + 1e-9) for b in bundles)
        numbers = [s.panel.number for b in bundles if b.plane_name == "South 1" for s in b.shapes]
        assert numbers == list(range(1, 15))
    heavy = bundles_of(shop_of(set_shop_rules(project, lift_weight=50.0 * KG_PER_LB)))
    assert [len(b.shapes) for b in heavy] == [1] * 28


def test_runs_of_marks_are_written_short() -> None:
    shapes = made(MAIN).shapes
    some = [shapes[k] for k in (0, 1, 2, 4, 8, 9, 14)]
    assert mark_words(some) == "South 1 - 1 to 3, 5, 9, 10; North 1 - 1"


def test_released_pieces_are_all_panels_and_blanks_with_marks_of_their_own() -> None:
    shop = made(HIP)
    pieces = released_pieces(shop)
    assert Counter(p.what for p in pieces) == {
        "panel": len(shop.shapes),
        "trim": len(shop.blanks.blanks),
    }
    assert len({p.mark for p in pieces}) == len(pieces)
    assert differences(pieces, released_pieces(made(HIP))) == ()


@pytest.mark.parametrize("what", ["weight of the sheet", "panel", "colour"])
def test_another_metal_of_the_panels_is_a_change_of_every_panel(what: str) -> None:
    replace = msgspec.structs.replace
    before_it = made(HIP)
    house = before_it.project
    if what == "colour":
        other = replace(house, colour="Slate blue")
    elif what == "panel":  # the same system from a file that says another gauge
        other = replace(house, system=replace(house.system, name="Ribbed panel, 26 ga"))
    else:
        other = set_shop_rules(house, sheet_weight=4.4239)
    results = results_of(other)
    before = released_pieces(before_it)
    after = released_pieces(ShopJob(other, results.surface, results.take_off))
    found = differences(before, after)
    panels = [d for d in found if d.was is not None and d.was.what == "panel"]
    assert len(panels) == len(before_it.shapes)
    for d in panels:
        assert d.was is not None
        assert d.now is not None
        assert metal_changed(d.was, d.now) == (what,)
    trim = len(found) - len(panels)  # its metal is that of its sections
    assert trim == (len(before_it.blanks.blanks) if what == "colour" else 0)


def test_an_edit_changes_the_pieces_that_it_touches() -> None:
    before = released_pieces(made(MAIN))
    steeper = set_slope(job(MAIN), "s1", ["e1"], 7 / 12)
    results = results_of(steeper)
    after = released_pieces(ShopJob(steeper, results.surface, results.take_off))
    kinds = Counter((d.kind, d.mark.partition(" - ")[0]) for d in differences(before, after))
    # the south side is steeper and its ridge moves, so the north side is longer
    assert kinds["changed", "South 1"] == kinds["changed", "North 1"] == 14
    assert any("Ridge cap" in mark for _, mark in kinds)
    assert not any("North 1" in mark and kind != "changed" for kind, mark in kinds)


def outlines(document: DxfDocument) -> list[tuple[float, float]]:
    """Width and height of every outline to cut."""
    out = []
    for line in document.modelspace().query("LWPOLYLINE[layer=='CUT']"):
        assert isinstance(line, LWPolyline)
        points = [(x, y) for x, y, *_ in line.get_points()]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        out.append((max(xs) - min(xs), max(ys) - min(ys)))
    return out


@pytest.mark.parametrize("name", ["alder_flat_ranch", "birch_corner_l_hip", "fern_hill_manor"])
@pytest.mark.parametrize("system", SYSTEMS.values(), ids=lambda s: s.id)
def test_take_off_cut_list_and_drawings_agree(name: str, system: object) -> None:
    project = read_project(SAMPLES / f"{name}.roof").project
    project = msgspec.structs.replace(project, system=system, more_systems=(), plane_coverings=())
    shop = shop_of(project)
    panels, trim = shop.take_off.panels, shop.take_off.trim
    counted = Counter(round(p.length / IN, 6) for p in panels)

    listed: Counter[float] = Counter()
    for row in csv.DictReader(io.StringIO(cut_list_csv(shop))):
        listed[round(float(row["Length (in)"]), 6)] += int(row["Quantity"])
    assert listed.total() == len(panels)
    assert all(any(abs(a - b) <= 2e-6 for b in counted) for a in listed)
    assert sum(a * n for a, n in listed.items()) == pytest.approx(
        sum(p.length for p in panels) / IN, abs=1e-3
    )
    table = roll_forming_table(shop)
    assert table.total is not None
    assert table.total[2] == Amount(len(panels), "count")

    drawn: list[float] = []
    blanks = 0
    for plan in sheet_plans(shop):
        if plan.kind not in ("panel shapes", "trim blank"):
            continue
        sheet = plan.draw(48.0)
        document = read_dxf(io.StringIO(sheet_dxf(sheet, project.units).decode("utf-8")))
        found = outlines(document)
        if plan.kind == "trim blank":
            drawing = next(d for d in shop.trim if f"blank {d.name}" == plan.name)
            blanks += drawing.count
            ((along, across),) = found
            assert across == pytest.approx(drawing.blank.girth / IN, abs=1e-6)
            assert along == pytest.approx(drawing.blank.outline[:, 1].max() / IN, abs=1e-6)
            assert dict(sheet.fields)["Quantity"] == str(drawing.count)
            continue
        groups = sorted(shop.shape_groups, key=lambda g: -g[0].length)
        rings = [r for g in groups for r in (g[0].outline, *g[0].holes)]
        assert len(found) == len(rings)
        drawn += [height for _, height in found]
        assert sum(len(g) for g in groups) == len(panels)
    for group in shop.shape_groups:
        for shape in group:
            assert any(abs(h - shape.panel.length / IN) <= 0.2 / IN for h in drawn)
        assert any(abs(h - group[0].panel.length / IN) <= 1e-6 for h in drawn)
    assert blanks == len(shop.blanks.blanks)
    for run in trim:
        mine = [b for b in shop.blanks.blanks if b.run is run]
        if not any("more than the cutting list" in b.remark for b in mine):
            assert sorted(b.cut_length for b in mine) == pytest.approx(sorted(run.cuts))
