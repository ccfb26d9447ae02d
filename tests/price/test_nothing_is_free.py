"""What a price must not leave out silently, and what it must not charge."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from roofmodel.document import NOT_IN_JOB, Building, Project
from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.document.offer_edits import add_offer, set_colour, set_prices
from roofmodel.document.part_edits import new_opening
from roofmodel.document.work_edits import set_extra, set_layers, set_work
from roofmodel.errors import DocumentError
from roofmodel.price import Priced
from roofmodel.quoting import offers_of, price_of
from roofmodel.results import results_of
from roofmodel.sheets.prices import MISSING, offers_table
from roofmodel.spread import spread_of
from roofmodel.systems import EdgeKind
from roofmodel.systems.prices import Price
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.prices_toml import sample_prices
from tests.houses import FT, GABLE, RECTANGLE, box, opening, project, section

D = Decimal


def job(*more: Any) -> Project:
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9)
    made = project(house, *more, system=built_in_systems()[0])
    return set_prices(made, sample_prices())


def priced(some: Project) -> Priced:
    found = price_of(results_of(some))
    assert found is not None
    return found


def test_a_system_that_no_task_lays_makes_the_price_incomplete() -> None:
    own = replace(built_in_systems()[0], id="ours", name="Our panel")
    book = sample_prices()
    book = replace(book, prices=(*book.prices, Price("panel:ours", "foot", D("3.45"))))
    mine = set_prices(cover_job(put_system(job(), own), "ours"), book)
    found = priced(mine)
    assert found.missing == ("Laying Our panel",)
    tasks = tuple(
        replace(t, systems=("ours",)) if t.systems == ("ribbed_panel",) else t for t in book.tasks
    )
    assert priced(set_prices(mine, replace(book, tasks=tasks))).price == priced(job()).price
    # a book without any task prices goods alone
    assert priced(set_prices(mine, replace(book, tasks=()))).is_whole


def test_trim_of_several_lengths_is_priced_by_length_or_each_by_its_own() -> None:
    system = built_in_systems()[0]
    caps = tuple(replace(r, more_stock=(r.stock_length * 2,)) for r in system.trim[EdgeKind.RIDGE])
    longer = replace(system, trim=system.trim | {EdgeKind.RIDGE: caps})
    some = replace(job(), system=longer)
    found = priced(some)
    # 40 ft and its ends from one of 21 ft and more: no price for either length
    assert found.missing
    assert all(m.startswith("Ridge cap, ") for m in found.missing)
    book = sample_prices()
    by_foot = [replace(p, unit="foot", price=D(3)) for p in book.prices if "ridge cap" in p.key]
    rest = [p for p in book.prices if "ridge cap" not in p.key]
    whole = priced(set_prices(some, replace(book, prices=(*rest, *by_foot))))
    assert whole.is_whole
    caps_line = [li for li in whole.lines if li.key.startswith("trim:ridge cap")]
    lengths = {li.item: li.quantity for li in caps_line}
    assert sum(lengths.values()) >= D("40.333")
    assert all(q % D("10.5") == 0 for q in lengths.values())


def test_a_colour_that_the_book_does_not_have_is_said() -> None:
    blue = set_colour(job(), "Slate blue")
    assert priced(blue).is_whole
    book = sample_prices()
    spelt = replace(
        book,
        colours=tuple(
            replace(c, name="Slate Blue") if c.name == "Slate blue" else c for c in book.colours
        ),
    )
    (missing,) = priced(set_prices(blue, spelt)).missing
    assert "the colour Slate blue" in missing


def test_an_offer_of_what_is_gone_costs_only_itself() -> None:
    extra = job().layers.extras[0].key
    chosen = set_extra(job(), extra, 1000.0)
    some = add_offer(chosen, "With it", extras=chosen.work.extras)
    some = add_offer(replace(some, work=job().work), "As drawn")
    gone = set_layers(some, replace(some.layers, extras=()))
    results = results_of(gone)
    found = offers_of(results)
    assert [p.is_whole for _, p in found] == [False, True]
    rows = offers_table(found, {}).rows
    assert rows[0][-2] == MISSING
    assert extra in str(rows[0][-1])


def test_openings_underlayment_and_buildings_that_are_not_done_cost_nothing() -> None:
    chimney = opening(box(10, 4, 14, 7))
    one = job(chimney)
    barn = Building(
        "b2",
        "Barn",
        (section(box(80, 0, 120, 24), (0.5, GABLE, 0.5, GABLE), section_id="s9"),),
        covering=NOT_IN_JOB,
    )
    both = replace(one, buildings=(*one.buildings, barn))
    both, _ = new_opening(
        both, "chimney", [(x * FT, y * FT) for x, y in box(90, 4, 94, 7)], "Other", "b2"
    )
    assert priced(both).price == priced(one).price
    bare = set_work(one, underlayment="")
    tasks = [li.item for li in priced(bare).lines if li.group == "Work"]
    assert "Underlayment and membrane" not in tasks


def test_an_edge_between_two_systems_is_paid_once() -> None:
    ribbed, seam = built_in_systems()
    both = put_system(job(), seam)
    north = next(p for p in results_of(both).surface.planes if p.name.startswith("North"))
    from roofmodel.document.cover_edits import set_plane_covering

    both = set_plane_covering(both, str(north.id), seam.id)
    book = sample_prices()
    ridge = next(t for t in book.tasks if t.per == "ridge length")
    rest = tuple(t for t in book.tasks if t.per != "ridge length")
    tasks = tuple(replace(ridge, name=f"Ridge, {s.id}", systems=(s.id,)) for s in (ribbed, seam))
    found = priced(set_prices(both, replace(book, tasks=(*rest, *tasks))))
    ridges = [li for li in found.lines if li.item.startswith("Ridge, ")]
    assert sum(li.quantity for li in ridges) == D("2.800")  # 40 ft × 0.07 hours


def test_how_sure_has_the_price_and_the_area_of_the_job() -> None:
    barn = Building(
        "b2",
        "Barn",
        (section(box(80, 0, 120, 24), (0.5, GABLE, 0.5, GABLE), section_id="s9"),),
        covering=NOT_IN_JOB,
    )
    both = replace(job(), buildings=(*job().buildings, barn))
    ranges = {r.name: r for r in spread_of(both).ranges}
    assert ranges["Price"].value == float(priced(both).price)
    area = next(
        q
        for q in results_of(both).take_off.quantities
        if (q.group, q.item) == ("Roof", "Roof area")
    )
    assert ranges["Roof area"].value == pytest.approx(area.quantity, rel=1e-12)


@pytest.mark.parametrize("margin", ["NaN", "Infinity", "0.96", "-0.1"])
def test_no_margin_that_is_none(margin: str) -> None:
    with pytest.raises(DocumentError, match="margin"):
        replace(sample_prices(), margin=D(margin))
    text = msgspec.json.encode(sample_prices()).replace(
        b'"margin":"0.25"', f'"margin":"{margin}"'.encode()
    )
    with pytest.raises(msgspec.ValidationError, match="margin"):
        msgspec.json.decode(text, type=type(sample_prices()))
