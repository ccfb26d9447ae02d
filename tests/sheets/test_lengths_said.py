"""What sheets for the shop say of lengths: every corner of a blank, where zero is, what found no
room, and which of a blank's two lengths is which."""

from __future__ import annotations

import csv
import io
import math
import re

import pytest
import shapely

from roofmodel.document import Units
from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.results import results_of
from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.layout_words import lengths_words, sides_words, zero_words
from roofmodel.sheets.shop_tables import blanks_table
from roofmodel.sheets.trim_sheet import blank_plan
from roofmodel.sheets.trim_words import stock_words
from roofmodel.shop.job import ShopJob
from roofmodel.units import format_length
from roofmodel_io.shop_lists import trim_list_csv
from tests.houses import GABLE, box, section
from tests.shop.shops import HIP, L_HOUSE, MAIN, SYSTEMS, WING, job
from tests.shop.test_panel_shapes import made, shop_of

FEET = Units()
INSIDE_MM = 2.5
"""A corner so near to a bend line or border is marked on it."""
HALF_OFF_MM = 0.8
"""Half of the 1/16 in that trim may be off by: nobody marks two corners so near to each other."""


@pytest.fixture(scope="module")
def wing() -> ShopJob:
    return made(MAIN, WING)


def test_every_corner_of_a_blank_has_its_running_dimensions(wing: ShopJob) -> None:
    ends = set()
    for shop in (wing, made(HIP), made(L_HOUSE)):
        for drawing in shop.trim:
            blank = drawing.blank
            ends |= {blank.start.kind, blank.end.kind}
            sheet = blank_plan(shop, drawing).draw(12.0)
            long = float(blank.outline[:, 1].max())
            along = [0.0, long, *(r.measured for r in sheet.running if r.axis == "x")]
            across = [0.0, *(r.measured for r in sheet.running if r.axis == "y")]
            plain = shapely.simplify(shapely.Polygon(blank.outline), 0.4)
            for x, y in shapely.get_coordinates(plain).tolist():
                assert min(abs(y - a) for a in along) <= HALF_OFF_MM, (drawing.name, x, y)
                assert min(abs(x - a) for a in across) <= INSIDE_MM, (drawing.name, x, y)
            for r in sheet.running:
                said = float(r.text.rpartition(": ")[2].removesuffix(" in"))
                assert said == pytest.approx(r.measured / 25.4, abs=6e-4)
    assert len(ends) >= 4  # square, laps, hips, valleys, turned down


def test_the_foot_of_a_valley_pan_has_its_point(wing: ShopJob) -> None:
    """The corner in the middle of the pan, where both planes' eaves meet."""
    seen = 0
    for drawing in wing.trim:
        blank = drawing.blank
        if blank.run.part != "valley pan" or blank.start.kind == blank.end.kind == "square":
            continue
        middle = [y for x, y in blank.outline.tolist() if abs(x - blank.girth / 2.0) < 1.5]
        inner = [y for y in middle if 0.1 < y < float(blank.outline[:, 1].max()) - 0.1]
        sheet = blank_plan(wing, drawing).draw(12.0)
        along = [r.measured for r in sheet.running if r.axis == "x"]
        for y in inner:
            assert min(abs(y - a) for a in along) <= 25.4 / 32
            seen += 1
    assert seen


def test_both_lengths_of_a_blank_are_named(wing: ShopJob) -> None:
    rows = {r["Part"]: r for r in csv.DictReader(io.StringIO(trim_list_csv(wing)))}
    table = blanks_table(wing)
    assert [c.title for c in table.columns][3:5] == ["Finished length", "Cut from stock"]
    differ = 0
    for drawing in wing.trim:
        fields = dict(blank_plan(wing, drawing).draw(12.0).fields)
        long = float(drawing.blank.outline[:, 1].max())
        assert fields["Finished"] == f"{format_length(long, FEET)} long"
        assert "Length" not in fields
        assert fields["From stock"] == f"cut to {rows[drawing.name]['Cut from stock']}"
        assert float(rows[drawing.name]["Finished length (in)"]) == pytest.approx(long / 25.4)
        assert all(
            format_length(b.cut_length, FEET) in fields["From stock"] for b in drawing.blanks
        )
        differ += format_length(long, FEET) not in fields["From stock"]
    assert differ
    some = [b for d in wing.trim for b in d.blanks]
    assert stock_words(some[:1], FEET) == format_length(some[0].cut_length, FEET)
    assert " × " in stock_words(some, FEET)


def test_where_zero_is(wing: ShopJob) -> None:
    # A hip's panels begin at the set-back metal; the nearest corner is where eave and hip meet.
    for sheet in made(HIP).sheets:
        words = zero_words(sheet, FEET)
        found = re.fullmatch(
            r"Zero (?:lies (.*) to the (left|right) of|is(?: straight below| at)) the corner of"
            r" (?=.*Eave \d)(?=.*Hip \d).*\.",
            words,
        )
        assert found is not None, words
        corners = [u for u, v in sheet.outline.tolist() if v < 100.0]
        apart = min(corners, key=lambda u: abs(u - sheet.sides[0])) - sheet.sides[0]
        if found[1]:
            assert found[1] == format_length(abs(apart), FEET)
            assert (found[2] == "left") == (apart > 0.0)
    south = wing.sheets[0]
    plan = layout_plan(wing, south).draw(48.0)
    assert any("Zero " in note for note in plan.notes)


def long_barn() -> ShopJob:
    project = job(section(box(0, 0, 200, 60), (1 / 3, GABLE, 1 / 3, GABLE)))
    for system in SYSTEMS.values():
        project = put_system(project, system)
    return shop_of(cover_job(project, "standing_seam"))


def test_what_finds_no_room_is_listed() -> None:
    shop = long_barn()
    sheet = shop.sheets[0]
    plan = layout_plan(shop, sheet)
    crowded, roomy = plan.draw(384.0), plan.draw(24.0)
    notes = " ".join(crowded.notes)
    shown = len(crowded.running)
    assert f"{shown} of {len(sheet.sides)} sides have room for theirs; all: 0'-0\" and" in notes
    named = sum(t.layer == "PANELS" and ": " in t.text for t in crowded.texts)
    assert named < len(sheet.shapes)
    assert "Lengths of panels that have no room above: 1" in notes
    assert "have room" not in " ".join(roomy.notes)


def test_steps_lead_to_every_side_and_lengths_to_every_panel() -> None:
    shop = long_barn()
    sheet = shop.sheets[0]
    # 200 ft of 16 in: 150 strips
    assert sides_words(sheet, FEET) == "0'-0\" and every 1'-4\" from there to 200'-0\"."
    assert re.fullmatch(r"1 to 150: \d+'-[\d /]+\"\.", lengths_words(sheet.shapes, FEET))
    hip = made(HIP)
    for plane in hip.sheets:
        said = lengths_words(plane.shapes, FEET)
        told: dict[int, str] = {}
        for part in said.removesuffix(".").split("; "):
            numbers, _, length = part.partition(": ")
            first, _, last = numbers.partition(" to ")
            told |= dict.fromkeys(range(int(first), int(last or first) + 1), length)
        assert told == {s.panel.number: format_length(s.panel.length, FEET) for s in plane.shapes}
    results = results_of(shop.project)
    assert math.isclose(results.take_off.panels[0].length, sheet.shapes[0].panel.length)
