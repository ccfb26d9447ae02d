"""The lines of the Count stage as data: numbers and units, what a search finds, totals, order."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache

import pytest

from roofmodel.document import Units
from roofmodel.document.edits import new_section
from roofmodel.results import Results, results_of
from roofmodel.takeoff import Quantity
from roofmodel_io.defaults import default_project
from roofmodel_ui.panels.explanation import explained
from roofmodel_ui.panels.lines import (
    ITEM,
    PACKS,
    QUANTITY,
    Group,
    Line,
    Wanted,
    about_words,
    amount,
    copied,
    groups_of,
    in_order,
    lines_of,
    natural,
    number_and_unit,
    packs_of,
    tabbed,
)

FT = 304.8
FEET, METRIC = Units(), Units("metric")


def quantity(
    item: str = "Screws", unit: str = "count", value: float = 1.0, group: str = "Goods",
    how: str = "3 + 4", key: str = "", packs: int = 0, note: str = "", building: str = "",
) -> Quantity:  # fmt: skip
    return Quantity(
        group, item, unit, value, how, "source", key=key, packs=packs, note=note,
        building=building, pack="bag of 250" if packs else "",
    )  # fmt: skip


def line(q: Quantity) -> Line:
    cells = (q.item, *number_and_unit(q, FEET), packs_of(q), q.covering, q.building)
    return Line(q, cells, f"{q.item}\n{q.how}\n{q.note}".lower())


@cache
def hip() -> Results:
    """40 x 24 ft, 6/12: four planes, a ridge of 16 ft and four hips."""
    corners = [(x * FT, y * FT) for x, y in ((0, 0), (40, 0), (40, 24), (0, 24))]
    project, _ = new_section(default_project(), corners)
    return results_of(project)


@pytest.mark.parametrize(
    ("unit", "value", "feet", "metric"),
    [
        ("mm", 10 * FT, ("10'-0\"", ""), ("3.05", "m")),
        ("mm²", 100 * FT**2, ("100.0", "sq ft"), ("9.29", "m²")),
        ("squares", 10.733126, ("10.73", "squares"), ("10.73", "squares")),
        ("share", 0.1234, ("12.3", "%"), ("12.3", "%")),
        ("share", -0.0001, ("0.0", "%"), ("0.0", "%")),
        ("count", 14.0, ("14", ""), ("14", "")),
        ("count", 2.5, ("2.5", ""), ("2.5", "")),
        ("hours", 3.5, ("3.5", "hours"), ("3.5", "hours")),
    ],
)
def test_numbers_stand_apart_from_their_units(
    unit: str, value: float, feet: tuple[str, str], metric: tuple[str, str]
) -> None:
    q = quantity(unit=unit, value=value)
    assert number_and_unit(q, FEET) == feet
    assert number_and_unit(q, METRIC) == metric
    assert amount(q, FEET) == " ".join(part for part in feet if part)


def test_single_lengths_stay_millimetres() -> None:
    q = quantity(unit="mm", value=3048.0, group="Each edge")
    assert number_and_unit(q, METRIC) == ("3048", "mm")


def test_groups_and_lines_keep_their_order() -> None:
    results = hip()
    lines = lines_of(results)
    assert len(lines) == len(results.take_off.quantities)
    titles = [g.title for g in groups_of(lines, Wanted(), FEET)]
    assert titles == list(dict.fromkeys(q.group for q in results.take_off.quantities))


def found(words: str, results: Results | None = None) -> list[str]:
    groups = groups_of(lines_of(results or hip()), Wanted(words), FEET)
    return [x.quantity.item for g in groups for x in g.lines]


def test_a_search_takes_words_as_typed_or_else_each_of_them() -> None:
    assert "Hip 1" in found("  hip   1 ")
    assert "Hip 2" not in found("Hip 1")
    both = found("area roof")  # nowhere in this order
    assert "Roof area" in both
    assert found("RIDGE 1") == found("ridge 1")
    assert found("no such thing") == []


def test_a_number_typed_last_is_whole() -> None:
    lines = [line(quantity(f"Ridge {n}")) for n in (1, 2, 10, 11)]
    shown = groups_of(lines, Wanted("ridge 1"), FEET)
    assert [x.quantity.item for g in shown for x in g.lines] == ["Ridge 1"]
    shown = groups_of(lines, Wanted("ridge"), FEET)
    assert len(shown[0].lines) == 4


def test_formulas_and_notes_are_searched_and_nothing_is_a_pattern() -> None:
    lines = [line(quantity("A", how="(3 + 4) × 2")), line(quantity("B", note="by [hand]."))]
    for words, item in (("(3 +", "A"), ("[hand].", "B"), ("× 2", "A")):
        shown = groups_of(lines, Wanted(words), FEET)
        assert [x.quantity.item for g in shown for x in g.lines] == [item]


def test_lines_about_a_plane() -> None:
    results = hip()
    south = next(p for p in results.surface.planes if p.name == "South 1")
    about = frozenset({south.id})
    groups = groups_of(lines_of(results), Wanted(about=about), FEET)
    shown = [x.quantity for g in groups for x in g.lines]
    assert shown
    assert all(south.id in q.planes for q in shown)
    assert len(shown) == sum(south.id in q.planes for q in results.take_off.quantities)
    assert about_words(about, results) == "South 1"
    some = frozenset(p.id for p in results.surface.planes)
    assert about_words(some, results) == "4 planes and edges"
    west = next(p.id for p in results.surface.planes if p.name == "West 1")
    assert about_words(about | {west}, results) == "South 1 and West 1"
    assert about_words(frozenset(), results) == ""


def total(*quantities: Quantity) -> tuple[str, str]:
    (group,) = groups_of([line(q) for q in quantities], Wanted(), FEET)
    return group.total


def test_totals_stand_only_where_they_make_sense() -> None:
    areas = [quantity(unit="mm²", value=n * FT**2) for n in (10, 20)]
    assert total(*areas) == ("30.0", "sq ft")
    assert total(areas[0]) == ("", "")  # one line is its own total
    trim = [quantity(key=f"trim:{part}", value=n) for part, n in (("ridge cap", 3), ("eave", 4))]
    assert total(*trim) == ("7", "")
    assert total(trim[0], quantity(key="screw")) == ("", "")  # unlike goods
    assert total(quantity(packs=1), quantity(packs=2)) == ("", "")  # bags, not pieces, are bought
    assert total(areas[0], quantity()) == ("", "")  # unlike units
    assert total(quantity(), quantity()) == ("", "")  # screws of two kinds
    lengths = [quantity(unit="mm", value=n * FT) for n in (10, 20)]
    assert total(*lengths) == ("", "")  # ridges and eaves do not add up
    assert total(*(quantity(unit="share", value=0.1) for _ in range(2))) == ("", "")


def test_order_within_a_group() -> None:
    q = quantity
    lines = (
        line(q("Ridge 10", value=2.0, packs=3)), line(q("Ridge 2", value=10.0)),
        line(q("Eave 1", value=9.0, packs=20)),
    )  # fmt: skip
    group = Group("Goods", lines)

    def names(column: int, *, falling: bool = False) -> list[str]:
        return [x.quantity.item for x in in_order(group, column, falling=falling).lines]

    assert names(ITEM) == ["Eave 1", "Ridge 2", "Ridge 10"]
    assert names(QUANTITY) == ["Ridge 10", "Eave 1", "Ridge 2"]
    assert names(QUANTITY, falling=True) == ["Ridge 2", "Eave 1", "Ridge 10"]
    assert names(PACKS, falling=True) == ["Eave 1", "Ridge 10", "Ridge 2"]
    assert sorted(["b 10", "b 2", "a"], key=natural) == ["a", "b 2", "b 10"]


def test_what_is_copied_reads_back_as_rows() -> None:
    lines = [
        line(replace(quantity("=1+1", how="3 × 4\n+ 5\t"), packs=2, pack="bag of 250")),
        line(quantity("Plain, with a comma", building="House")),
    ]
    rows = list(csv.reader(copied(lines).splitlines(), delimiter="\t"))
    assert rows[0][:3] == ["Group", "Item", "Quantity"]
    assert {len(row) for row in rows} == {len(rows[0])}
    first, second = (dict(zip(rows[0], row, strict=True)) for row in rows[1:])
    assert first["Item"] == "'=1+1"  # no formula of a spreadsheet
    assert first["Formula"] == "3 × 4 + 5"
    assert first["Packs to buy"] == "2 × bag of 250"
    assert second["Building"] == "House"
    assert tabbed([("-1", "@x", "+y", "z")]) == "'-1\t'@x\t'+y\tz"


def test_only_what_belongs_to_one_building_and_covering() -> None:
    lines = [
        line(replace(quantity(f"{b} {c}"), building=b, covering=c))
        for b in ("House", "Garage", "") for c in ("Ribbed", "Seam", "")
    ]  # fmt: skip

    def shown(wanted: Wanted) -> list[str]:
        return [x.quantity.item for g in groups_of(lines, wanted, FEET) for x in g.lines]

    assert shown(Wanted(building="House")) == ["House Ribbed", "House Seam", "House "]
    assert shown(Wanted(covering="Seam")) == ["House Seam", "Garage Seam", " Seam"]
    assert shown(Wanted(building="Garage", covering="Ribbed")) == ["Garage Ribbed"]
    assert len(shown(Wanted())) == 9


def test_an_explanation_has_everything_behind_the_number() -> None:
    results = hip()
    ridge = next(e for e in results.surface.edges if e.name == "Ridge 1")
    q = replace(
        quantity("Screws <A&B>", value=911.0, how="104 (South 1) + 807", note="by the maker"),
        packs=4, pack="bag of 250", pack_how="911 ÷ 250 rounded up",
        planes=ridge.planes, edges=(ridge.id,),
    )  # fmt: skip
    html = explained(line(q), results)
    for part in (
        "Screws &lt;A&amp;B&gt;: 911", "104 (South 1) + 807", "by the maker",
        "4 × bag of 250: 911 ÷ 250 rounded up", "source", "North 1, Ridge 1, South 1",
    ):  # fmt: skip
        assert part in html
