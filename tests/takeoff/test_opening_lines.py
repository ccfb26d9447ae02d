"""Saddles and pipe boots among the quantities."""

from __future__ import annotations

import pytest

from roofmodel.results import results_of
from tests.houses import FT, box, opening, project, section


def test_a_saddle_is_sheet_and_a_pipe_takes_a_boot() -> None:
    """Chimney 4 wide on 6/12: the saddle's planes are 2 sq ft in plan each (ridge 2 long, half
    width 2, cut off by the valley), × √1.25."""
    house = section(box(0, 0, 40, 24), [0.5, float("inf")] * 2, eave_ft=8)
    chimney = opening(box(18, 4, 22, 7), saddle=True)
    pipe = opening(box(30, 5, 30.5, 5.5), kind="pipe", opening_id="o2")
    taken = results_of(project(house, chimney, pipe)).take_off
    lines = {q.item: q for q in taken.quantities if q.group == "Openings"}
    (saddle,) = (q for item, q in lines.items() if item.startswith("Saddle behind"))
    assert saddle.quantity / FT**2 == pytest.approx(4 * 1.25**0.5, rel=1e-9)
    assert saddle.key == "saddle sheet"
    assert not lines.keys() - {saddle.item}
    (boots,) = (q for q in taken.quantities if q.key == "pipe boot")
    assert (boots.quantity, boots.packs) == (1, 1)
    assert not [p for p in taken.panels if p.plane.section == chimney.id]
