"""Flat sheets of saddles against lengths worked out by hand, and where the package has them."""

from __future__ import annotations

import csv
import io
import math

import pytest

from roofmodel.sheets.shop_sheets import sheet_plans
from roofmodel.sheets.shop_tables import blanks_table
from roofmodel.sheets.shop_types import BEND_DOWN, BEND_UP, CUT
from roofmodel.sheets.types import Amount
from roofmodel.shop.job import ShopJob
from roofmodel.shop.pieces import released_pieces
from roofmodel_io.shop_lists import trim_list_csv
from tests.houses import box, opening
from tests.shop.shops import MAIN
from tests.shop.test_panel_shapes import made

IN = 25.4


@pytest.fixture(scope="module")
def shop() -> ShopJob:
    """A chimney 4 ft wide with its upper side 3 ft below the ridge, on a pitch of 6/12."""
    return made(MAIN, opening(box(18, 6, 22, 9), "chimney", saddle=True))


def test_two_triangles_about_their_ridge(shop: ShopJob) -> None:
    # Half the width is 24 in. With the plane's own pitch of 6/12 each side rises 12 in over it and
    # is 24 √1.25 = 26.833 in wide; the ridge runs back to where the roof is 12 in higher: 24 in.
    (saddle,) = shop.saddles
    half = 24.0 * math.sqrt(1.25)
    assert saddle.name == f"Saddle behind {saddle.opening}"
    assert saddle.width / IN == pytest.approx(2.0 * half, abs=1e-6)
    assert saddle.length / IN == pytest.approx(24.0, abs=1e-6)
    assert saddle.area / IN**2 == pytest.approx(24.0 * half, abs=1e-4)
    ridge, *borders = saddle.edges
    assert ridge.fold == pytest.approx(2.0 * math.degrees(math.atan(0.5)))
    assert sorted((ridge.start[1] / IN, ridge.end[1] / IN)) == pytest.approx([0.0, 24.0])
    assert ridge.start[0] / IN == ridge.end[0] / IN == pytest.approx(half)
    # valleys: 24 in across, 24 in back and 12 in up
    lengths = sorted(math.dist(e.start, e.end) / IN for e in borders)
    assert lengths == pytest.approx([half, half, 36.0, 36.0])
    assert all(e.fold < 0.0 for e in borders)
    # seen up the slope the planes lie on their own sides, and cover the sheet once
    for name, ring in saddle.planes:
        plane = next(p for p in shop.surface.planes if p.name == name)
        is_left = plane.outline[:, 0].mean() < 20.0 * 12.0 * IN
        assert (ring[:, 0].max() <= half * IN + 1e-6) == is_left
        x, y = ring.T
        twice = abs(float(x @ [y[1], y[2], y[0]] - y @ [x[1], x[2], x[0]]))
        assert twice / 2.0 == pytest.approx(plane.true_area)


def test_it_has_a_drawing_a_row_and_a_mark(shop: ShopJob) -> None:
    (saddle,) = shop.saddles
    plan = next(p for p in sheet_plans(shop) if p.kind == "saddle sheet")
    sheet = plan.draw(12.0)
    layers = [line.layer for line in sheet.lines]
    assert (layers.count(BEND_DOWN), layers.count(BEND_UP)) == (1, 4)
    assert not any(o.layer == CUT for o in sheet.outlines)  # flanges are still to be added
    texts = " ".join(sheet.notes)
    for number in range(1, 6):
        assert f"{number}: " in texts
    assert "bend 53.1° down" in texts
    assert [r.text for r in sheet.running] == ["26.833 in"]
    assert [d.text for d in sheet.dimensions] == ["53.666 in", "24.000 in"]
    table = blanks_table(shop)
    assert any(row[0] == saddle.name and row[1] == Amount(1, "count") for row in table.rows)
    assert table.total is not None
    assert table.total[1] == Amount(len(shop.blanks.blanks) + 1, "count")
    rows = list(csv.DictReader(io.StringIO(trim_list_csv(shop))))
    assert rows[-1]["Part"] == saddle.name
    assert float(rows[-1]["Finished length (in)"]) == pytest.approx(24.0)
    assert saddle.name in {p.mark for p in released_pieces(shop)}


def test_without_a_saddle_there_is_none() -> None:
    assert not made(MAIN, opening(box(18, 6, 22, 9), "chimney")).saddles
