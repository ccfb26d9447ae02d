"""Lines, goods and checks are worked out when someone looks; what fails costs only itself."""

from __future__ import annotations

import json
from typing import Any

import pytest

from roofmodel.document import Project
from roofmodel.document.offer_edits import set_prices
from roofmodel.quoting import price_of
from roofmodel.results import results_of
from roofmodel.sheets import plan_drawing, summary_tables
from roofmodel.surface.types import Late
from roofmodel.takeoff import later, lines
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.prices_toml import sample_prices
from roofmodel_io.takeoff_json import takeoff_json
from roofmodel_io.takeoff_tables import takeoff_csv, takeoff_xlsx
from roofmodel_ui.cli import print_take_off
from tests.houses import GABLE, RECTANGLE, project, section


def house() -> Project:
    return project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=built_in_systems()[0])


def fails(*_: object) -> Any:
    raise IndexError("nearly coincident corners")


def test_nothing_is_worked_out_before_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []

    def lines(site: object) -> list[object]:
        asked.append(site)
        return []

    monkeypatch.setattr(later, "layer_lines", lines)
    found = results_of(house(), planner=None).take_off
    assert found.panels
    assert not asked
    assert len(found.quantities) == len(found.quantities) > 10
    assert len(asked) == 1


def test_a_part_that_fails_is_named_and_the_rest_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = list(results_of(house(), planner=None).take_off.quantities)
    monkeypatch.setattr(later, "goods_of", fails)
    monkeypatch.setattr(later, "checks_of", fails)
    results = results_of(set_prices(house(), sample_prices()), planner=None)
    found = results.take_off
    names = [q.item for q in found.quantities if q.group == later.NOT_COUNTED]
    assert names == ["Fasteners, sealing and closures"]
    gone = ("Goods: fasteners", "Goods: sealing", "Goods: ventilation", "Fasteners of each plane")
    kept = [q for q in whole if not q.group.startswith(gone)]
    assert [q for q in found.quantities if q.group != later.NOT_COUNTED] == kept
    assert found.fixings == ()
    assert [c.passed for c in found.checks] == [False]
    price = price_of(results)
    assert price is not None
    assert price.missing == ("Fasteners, sealing and closures",)


def test_late_sequences_are_as_tuples() -> None:
    late = Late(lambda: (3, 4))
    assert (len(late), list(late), late[1], late[:1]) == (2, [3, 4], 4, (3,))
    assert late == (3, 4)
    assert late == Late(lambda: (3, 4))
    assert late != (4, 3)


def test_a_take_off_that_is_lost_is_no_cheap_roof(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lines, "layings_of", fails)
    project = set_prices(house(), sample_prices())
    results = results_of(project, planner=None)
    assert [p.serious for p in results.problems if "could not be counted" in p.sentence] == [True]
    assert len(results.surface.planes) == 2
    price = price_of(results)
    assert price is not None
    assert not price.is_whole
    # nothing that shows or writes results stumbles over it
    assert summary_tables(results)
    assert plan_drawing(results)
    assert json.loads(takeoff_json(results))["quantities"][0]["group"] == later.NOT_COUNTED
    assert takeoff_csv(results)
    assert takeoff_xlsx(results)
    print_take_off(results)
