"""Tables of panels: what is notched stands apart, coverings are told apart, what to order."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.document.cover_edits import add_system, set_plane_covering
from roofmodel.document.part_edits import new_building
from roofmodel.results import Results, results_of
from roofmodel.sheets import Amount, order_table, panel_rows, panels_table
from roofmodel.takeoff import Panel
from tests.houses import FT, GABLE, box, opening, plain_system, project, section

SHED = section(box(0, 0, 21, 12), (0.25, GABLE, GABLE, GABLE))
"""21 x 12 ft, rising to the north: seven panels of 36 in."""


def panels(*openings: object) -> tuple[Panel, ...]:
    made = project(SHED, *openings, system=plain_system())  # type: ignore[arg-type]
    return results_of(made).take_off.panels


def test_no_panel_of_a_plain_roof_is_notched() -> None:
    assert [p.notched for p in panels()] == [False] * 7
    hip = project(section(box(0, 0, 40, 24), (0.5,) * 4), system=plain_system())
    assert not any(p.notched for p in results_of(hip).take_off.panels)


@pytest.mark.parametrize(
    ("corners", "notched"),
    [
        ((7, 4, 8, 6), {3}),  # a hole in the middle of the third
        ((8, 4, 10, 6), {3, 4}),  # over the side of two
        ((0, 4, 1, 6), {1}),  # at the rake
    ],
)
def test_what_is_cut_out_is_notched(
    corners: tuple[float, float, float, float], notched: set[int]
) -> None:
    found = panels(opening(box(*corners)))
    assert {p.number for p in found if p.notched} == notched
    for p in found:
        assert (p.lower.shape, p.upper.shape) == ("square", "square")


def test_notched_panels_have_a_row_of_their_own() -> None:
    made = results_of(project(SHED, opening(box(7, 4, 8, 6)), system=plain_system()))
    table = panels_table(made)
    titles = [c.title for c in table.columns]
    assert "Covering" not in titles
    assert "Building" not in titles
    cells = [
        (row[1], row[titles.index("Numbers")], row[titles.index("Cut out")]) for row in table.rows
    ]
    assert cells == [
        (Amount(6, "count"), "1-2, 4-7", ""),
        (Amount(1, "count"), "3", "notched"),
    ]
    # one length: one line of the order
    (line,) = order_table(made).rows
    assert line[1] == Amount(7, "count")
    plain = panels_table(results_of(project(SHED, system=plain_system())))
    assert "Cut out" not in [c.title for c in plain.columns]


@pytest.fixture
def several() -> Results:
    """The house of 40 x 24 ft with gables, its north plane in a panel of 16 in."""
    made = project(section(box(0, 0, 40, 24), (0.5, GABLE, 0.5, GABLE)), system=plain_system())
    narrow = msgspec.structs.replace(plain_system(16.0), id="narrow", name="Narrow panel")
    made = add_system(made, narrow)
    north = next(p for p in results_of(made).surface.planes if p.name == "North 1")
    return results_of(set_plane_covering(made, str(north.id), "narrow"))


def test_every_covering_has_its_total(several: Results) -> None:
    table = panels_table(several)
    titles = [c.title for c in table.columns]
    place = titles.index("Covering")
    assert [(row[0], row[place]) for row in table.rows] == [
        ("South 1", "Plain panel"), ("North 1", "Narrow panel"),
    ]  # fmt: skip
    # 480 / 36 = 13.3 and 480 / 16 = 30
    assert [(row[0], row[1]) for row in table.subtotals] == [
        ("Total Plain panel", Amount(14, "count")), ("Total Narrow panel", Amount(30, "count")),
    ]  # fmt: skip
    assert table.total is not None
    assert table.total[1] == Amount(44, "count")
    for row in (*table.rows, *table.subtotals, table.total):
        assert len(row) == len(table.columns)


def test_what_to_order_adds_up(several: Results) -> None:
    table = order_table(several)
    slope = 12 * FT * 1.25**0.5
    assert [row[:2] for row in table.rows] == [
        ("Plain panel", Amount(14, "count")), ("Narrow panel", Amount(30, "count")),
    ]  # fmt: skip
    for row, count in zip(table.rows, (14, 30), strict=True):
        assert isinstance(row[2], Amount)
        assert isinstance(row[3], Amount)
        assert row[2].value == pytest.approx(slope)
        assert row[3].value == pytest.approx(count * slope)
    assert table.total is not None
    assert isinstance(table.total[3], Amount)
    assert table.total[3].value == pytest.approx(sum(p.length for p in several.take_off.panels))
    south = [row for row in panel_rows(several) if row.covering == "Plain panel"]
    assert order_table(several, south).total is not None
    assert order_table(several, south).subtotals == ()
    assert len(order_table(several, south).rows) == 1


def test_buildings_are_named_where_there_are_several() -> None:
    made: Project = project(SHED, system=plain_system())
    made, building = new_building(made)
    first, second = made.buildings
    barn = msgspec.structs.replace(
        section(box(40, 0, 61, 12), (0.25, GABLE, GABLE, GABLE)), id="s9", name="Barn"
    )
    second = msgspec.structs.replace(second, sections=(barn,))
    table = panels_table(results_of(msgspec.structs.replace(made, buildings=(first, second))))
    place = [c.title for c in table.columns].index("Building")
    assert [row[place] for row in table.rows] == [first.name, second.name]
    assert building == second.id
