"""Rows of fasteners as they are drawn: joined along what they stand on, not across it."""

from __future__ import annotations

import numpy as np
import pytest

from roofmodel.surface.types import PlaneId
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff.fixing_types import ROW_KINDS, FixRow, PlaneFixing
from roofmodel_io.defaults import built_in_systems
from tests.takeoff.test_fastening_by_looking import NAMES, sample

IN = 25.4
UPPER = ROW_KINDS.index("upper end")


def rows(*places: tuple[int, float]) -> list[FixRow]:
    """The rows of upper ends on ribs 9 in apart: (rib, height in inches)."""
    lines = np.array([line for line, _ in places])
    at = np.array([(9.0 * line * IN, v * IN) for line, v in places])
    counts = tuple(len(places) if k == UPPER else 0 for k in range(len(ROW_KINDS)))
    fixing = PlaneFixing(
        PlaneId("s", "e", 0, 0), "South 1", "ribbed", "panel screw", 36 * IN, 18 * IN, 900.0,
        at, np.full(len(places), UPPER), lines, counts, (2,) * 5, (),
    )  # fmt: skip
    return list(fixing.rows)


def told(some: list[FixRow]) -> list[tuple[int, int, int]]:
    """First rib, last rib, places of each row."""
    return [
        (round(r.start[0] / 9 / IN), round(r.end[0] / 9 / IN), r.places)
        for r in sorted(some, key=lambda r: (r.start, r.end))
    ]


def test_a_rib_that_ends_alone_below_a_valley_is_no_row_to_the_ridge() -> None:
    # a dormer's corner: the rib beside its wall ends at 11.05 ft as well, the ridge is at 17.74
    found = rows(*((k, 212.8) for k in range(10)), (4, 132.6))
    assert told(found) == [(0, 9, 10), (4, 4, 1)]
    assert all(r.start[1] == r.end[1] for r in found)


def test_rows_rise_to_a_ridge_and_go_on_level() -> None:
    rising = [(k, 40.0 + 10.0 * k) for k in range(5)]
    assert told(rows(*rising, *((k, 95.0) for k in range(5, 9)))) == [(0, 4, 5), (5, 8, 4)]


def test_rows_that_begin_beside_each_other_keep_to_their_own_lines() -> None:
    # up the left of a small dormer's valleys and down their right, and a ridge above
    left = [(3, 60.0), (4, 73.0), (5, 86.0)]
    right = [(6, 80.0), (7, 67.0), (8, 54.0)]
    found = rows(*left, *right, *((k, 120.0) for k in range(12)))
    assert told(found) == [(0, 11, 12), (3, 5, 3), (6, 8, 3)]


def test_two_ribs_alone_are_a_row() -> None:
    assert told(rows((0, 50.0), (1, 60.0))) == [(0, 1, 2)]
    assert told(rows((0, 50.0), (1, 150.0))) == [(0, 0, 1), (1, 1, 1)]


@pytest.mark.parametrize("system", built_in_systems())
@pytest.mark.parametrize("name", NAMES)
def test_rows_of_samples_are_all_places_once(name: str, system: RoofingSystem) -> None:
    for fixing in sample(name, system).take_off.fixings:
        found = fixing.rows
        assert sum(r.places for r in found) == len(fixing.places)
        assert sum(r.places * r.each for r in found) == fixing.count
        for row in found:
            if row.kind in ("field", "edge zone"):
                assert row.start[1] == pytest.approx(row.end[1], abs=1e-6)
