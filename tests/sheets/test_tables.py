"""Tables as data: what they hold, in which order, and how amounts are shown."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby

import msgspec
import pytest

from roofmodel.document import NOT_IN_JOB, PlaneCovering, Project, Units, edits
from roofmodel.results import Results, results_of
from roofmodel.sheets import Amount, Table, Unit, plan_drawing, shown, squares_of, summary_tables
from roofmodel.sheets.panel_tables import _numbers
from roofmodel.takeoff import Panel, cut_words
from roofmodel_io.defaults import default_project

FT = 304.8


def hip() -> Project:
    project, _ = edits.new_section(
        default_project(), [(0, 0), (40 * FT, 0), (40 * FT, 24 * FT), (0, 24 * FT)]
    )
    return project


@pytest.fixture(scope="module")
def results() -> Results:
    return results_of(hip())


@pytest.fixture(scope="module")
def tables(results: Results) -> dict[str, Table]:
    return {t.title: t for t in summary_tables(results)}


def test_every_row_has_a_cell_per_column(tables: dict[str, Table]) -> None:
    assert list(tables) == [
        "Planes", "Edges by kind", "Edges", "Panels", "Trim", "Quantities",
        "Panel layout",
    ]  # fmt: skip
    for table in tables.values():
        assert table.rows
        for row in (*table.rows, *([table.total] if table.total else [])):
            assert len(row) == len(table.columns)
        for i, column in enumerate(table.columns):
            if column.unit is not None:
                assert all(
                    c.unit == column.unit for r in table.rows if isinstance(c := r[i], Amount)
                )


def test_planes_add_up(tables: dict[str, Table]) -> None:
    table = tables["Planes"]
    assert {row[0]: row[2] for row in table.rows} == {
        "South 1": "South", "East 1": "East", "North 1": "North", "West 1": "West",
    }  # fmt: skip
    assert table.total is not None
    area = table.total[5]
    assert isinstance(area, Amount)
    assert area.value / FT**2 == pytest.approx(1073.3126292, rel=1e-9)


def test_tables_of_a_job_leave_out_what_is_not_in_it(results: Results) -> None:
    # the west side of the hip house: 12·12 ft in plan; its eave counts nowhere, its hips do
    west = next(p for p in results.surface.planes if p.name == "West 1")
    covered = (PlaneCovering(str(west.id), NOT_IN_JOB),)
    less = results_of(msgspec.structs.replace(results.project, plane_coverings=covered))
    tables = {t.title: t for t in summary_tables(less)}
    total = tables["Planes"].total
    assert total is not None
    plan = total[4]
    assert isinstance(plan, Amount)
    assert plan.value / FT**2 == pytest.approx(960 - 144, rel=1e-9)
    row = next(r for r in tables["Planes"].rows if r[0] == "West 1")
    assert row[4:] == ("", "", "House", "not in this job")
    kinds = {r[0]: r[1:] for r in tables["Edges by kind"].rows}
    assert kinds["Hip"][0] == Amount(4, "count")
    assert kinds["Eave"][0] == Amount(3, "count")
    assert len(tables["Edges"].rows) == 8
    assert squares_of(less) == "9.12 squares"  # 816·√1.25 = 912.3 sq ft
    texts = {t.text for t in plan_drawing(less).texts if t.of == west.id}
    assert any("not in this job" in t for t in texts)
    assert not any("sq ft" in t for t in texts)


def test_edges_by_kind(tables: dict[str, Table]) -> None:
    rows = [
        (kind, number.value, round(length.value / FT, 9))
        for kind, number, length in tables["Edges by kind"].rows
        if isinstance(number, Amount) and isinstance(length, Amount)
    ]
    assert rows == [("Ridge", 1, 16.0), ("Hip", 4, 72.0), ("Eave", 4, 128.0)]


def test_panels_are_grouped_by_what_is_cut(results: Results, tables: dict[str, Table]) -> None:
    counts: dict[object, float] = {}
    for plane, number, *_ in tables["Panels"].rows:
        assert isinstance(number, Amount)
        counts[plane] = counts.get(plane, 0) + number.value
    for p in results.surface.planes:
        assert counts[p.name] == sum(panel.plane == p.id for panel in results.take_off.panels)
    # what is one length but cut otherwise at its ends is not the same panel
    alike = [(row[0], shown(row[2], Units()), row[5], row[6]) for row in tables["Panels"].rows]
    assert len(set(alike)) == len(alike)
    for plane, some in groupby(tables["Panels"].rows, lambda row: row[0]):
        rows = list(some)
        lengths = [row[2].value for row in rows if isinstance(row[2], Amount)]
        assert lengths == sorted(lengths, reverse=True)
        (laying,) = [x for x in results.take_off.layings if x.plane_name == plane]
        for panel in laying.panels:
            numbers = [
                row for row in rows
                if row[5:7] == (cut_words(panel.lower), cut_words(panel.upper))
                and panel.number in _spelt(str(row[7]))
            ]  # fmt: skip
            assert len(numbers) == 1


def _spelt(numbers: str) -> list[int]:
    """ "1-3, 7" as 1, 2, 3, 7."""
    out: list[int] = []
    for part in numbers.split(", "):
        low, _, high = part.partition("-")
        out += range(int(low), int(high or low) + 1)
    return out


def test_panel_numbers_are_joined(results: Results) -> None:
    def numbered(*numbers: int) -> list[Panel]:
        return [replace(results.take_off.panels[0], number=n) for n in numbers]

    assert _numbers(numbered(3, 1, 2, 7, 9, 10)) == "1-3, 7, 9-10"


@pytest.mark.parametrize(
    ("value", "unit", "feet", "metric"),
    [
        (7480.3, "mm", "24'-6 1/2\"", "7480 mm"),
        (FT**2 * 100, "mm²", "100.0 sq ft", "9.29 m²"),
        (10.733126, "squares", "10.73 squares", "10.73 squares"),
        (0.2, "share", "20.0 %", "20.0 %"),
        (0.5, "slope", "6/12", "6/12"),
        (math.inf, "slope", "vertical", "vertical"),
        (53.1301, "degrees", "53.1°", "53.1°"),
        (14.0, "count", "14", "14"),
    ],
)
def test_amounts_as_text(value: float, unit: Unit, feet: str, metric: str) -> None:
    assert shown(Amount(value, unit), Units()) == feet
    assert shown(Amount(value, unit), Units("metric")) == metric


def test_squares(results: Results) -> None:
    assert squares_of(results) == "10.73 squares"


def test_every_quantity_can_be_shown(results: Results) -> None:
    for q in results.take_off.quantities:
        row = next(
            r for r in summary_tables(results)[5].rows if r[:2] == (q.group, q.item)
        )  # fmt: skip
        assert shown(row[2], Units())


def test_an_empty_project_has_empty_tables() -> None:
    assert not any(t.rows for t in summary_tables(results_of(default_project())))
