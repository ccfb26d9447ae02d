"""The roof plan for a scale of paper: everything is on it or in its keys."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
import shapely

from roofmodel.results import Results, results_of
from roofmodel.sheets.roof_sheet import RoofSheet, roof_sheet, roof_size
from roofmodel.sheets.shop_types import SMALL_TEXT_MM
from roofmodel.systems import EdgeKind
from roofmodel.units import format_length
from roofmodel_io.project_file import read_project

SAMPLES = Path(__file__).parents[2] / "sample_projects"
AROUND_OPENING = {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE}
SHEETS = [("alder_flat_ranch", 96.0), ("elder_brook_dormers", 96.0), ("fern_hill_manor", 128.0)]


@cache
def results(name: str) -> Results:
    return results_of(read_project(SAMPLES / f"{name}.roof").project, planner=None)


@cache
def drawn(name: str, scale: float) -> RoofSheet:
    return roof_sheet(results(name), scale)


@pytest.mark.parametrize(("name", "scale"), SHEETS)
def test_every_edge_has_its_length_written_or_in_the_keys(name: str, scale: float) -> None:
    roof, plan = results(name), drawn(name, scale)
    written = [t.text for t in plan.sheet.texts]
    keys = dict(plan.keys)
    in_keys = {words.rpartition(", ")[0]: words for words in keys.values()}
    for edge in roof.surface.edges:
        if edge.kind in AROUND_OPENING:
            continue
        length = format_length(edge.length, roof.project.units)
        if edge.name in in_keys:
            assert in_keys[edge.name] == f"{edge.name}, {length}"
        else:
            both = f"{edge.name}: {length}"  # on one side of the line, or on both
            for words in (both,) if both in written else (edge.name, length):
                written.remove(words)  # each is written once
    for plane in roof.surface.planes:
        named = any(t == plane.name or t.startswith(f"{plane.name}, ") for t in written)
        assert named or any(w.startswith(f"{plane.name}, ") for w in keys.values())


@pytest.mark.parametrize(("name", "scale"), SHEETS)
def test_numbers_of_keys_stand_on_the_plan_once(name: str, scale: float) -> None:
    plan = drawn(name, scale)
    numbers = [t.text for t in plan.sheet.texts if re.fullmatch(r"\d+", t.text)]
    assert sorted(numbers, key=int) == [n for n, _ in plan.keys]
    assert [n for n, _ in plan.keys] == [str(k + 1) for k in range(len(plan.keys))]


@pytest.mark.parametrize(("name", "scale"), SHEETS)
def test_texts_keep_apart_and_are_large_enough(name: str, scale: float) -> None:
    texts = drawn(name, scale).sheet.texts
    assert min(t.height for t in texts) >= SMALL_TEXT_MM * scale - 1e-9
    boxes = [shapely.Polygon(t.box) for t in texts]
    first, second = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j:
            assert boxes[i].intersection(boxes[j]).area < 1e-6, (texts[i].text, texts[j].text)


def test_one_building_leaves_the_other_out() -> None:
    roof = results("alder_flat_ranch")
    house, garage = roof.project.buildings
    names = [{t.text for t in roof_sheet(roof, 96.0, b.id).sheet.texts} for b in (house, garage)]
    assert {"South 1", "North 1"} <= names[0]
    assert not {"South 1", "North 1"} & names[1]
    assert {"East 1", "West 1"} <= names[1]
    assert roof_size(roof, house.id)[0] < roof_size(roof)[0]


def test_without_keys_what_has_no_room_is_left_out() -> None:
    plan = roof_sheet(results("fern_hill_manor"), 384.0, keyed=False)
    assert plan.keys == ()
    assert not any(re.fullmatch(r"\d+", t.text) for t in plan.sheet.texts)
