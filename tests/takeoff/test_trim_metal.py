"""Flat metal of trim: the girth of the worked ridge cap (two legs of 6 in outside, 24 gauge, 6/12:
bend 53.1301°, deduction 0.0186 in, two hems of 1/2 in: 12.9814 in, worked by hand from the bend
allowance formula) by the lengths ordered."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from roofmodel.results import results_of
from roofmodel.takeoff.trim_metal import TRIM_METAL
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.parts_toml import built_in_parts
from tests.houses import GABLE, RECTANGLE, project, section

IN = 25.4


def test_the_gable_by_hand() -> None:
    house = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=built_in_systems()[0])
    assert [q for q in results_of(house).take_off.quantities if q.group == TRIM_METAL] == []
    lines = {
        q.item: q
        for q in results_of(replace(house, parts=built_in_parts())).take_off.quantities
        if q.group == TRIM_METAL
    }
    cap = lines["Ridge cap, flat"]
    # 480 + 2 × 2 in take three whole lengths and one of 118: four of 126
    assert cap.how == "4 × 10'-6\" × 12.9814 in (girth)"
    assert cap.quantity / IN**2 == pytest.approx(4 * 126 * 12.9814, rel=1e-5)
    assert set(lines) == {"Eave drip edge, flat", "Rake trim, flat", "Ridge cap, flat"}
    assert all(q.edges and q.source for q in lines.values())
