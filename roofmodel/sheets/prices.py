"""The price of a job as tables: every line, the steps from cost to price, the offers."""

from __future__ import annotations

from collections.abc import Sequence

from roofmodel.document.offers import Offer
from roofmodel.price import Priced, PricedLine
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.systems.prices import PriceBook

MISSING = "no price"


def price_lines_table(priced: Priced) -> Table:
    """One row per good and task; what has no price says so and why."""
    money = f"({priced.currency})"
    return Table(
        "Price, line by line",
        (
            Column("Kind"),
            Column("Item"),
            Column("Amount", "count"),
            Column("Unit"),
            Column(f"Price of one {money}", "money"),
            Column(f"Price {money}", "money"),
            Column("How it came about"),
            Column("How the amount was measured"),
            Column("Source"),
        ),
        tuple(_row(li) for li in priced.lines),
        (
            "Total",
            *("", "", "", ""),
            Amount(float(priced.materials + priced.work), "money"),
            "; ".join([f"without: {', '.join(priced.missing)}"] if priced.missing else []),
            *("", ""),
        ),
    )


def _row(line: PricedLine) -> tuple[Cell, ...]:
    rate, amount = line.rate, line.amount
    return (
        line.group,
        line.item,
        Amount(float(line.quantity), "count"),
        line.unit,
        MISSING if rate is None else Amount(float(rate), "money"),
        MISSING if amount is None else Amount(float(amount), "money"),
        line.how,
        line.measured,
        line.source,
    )


def price_steps_table(priced: Priced, book: PriceBook) -> Table:
    """From cost to price."""
    title = f"From cost to price, by '{book.name}'"
    if priced.missing:
        title += f"; NOT COMPLETE, {len(priced.missing)} without a price"
    return Table(
        title,
        (Column("Step"), Column(f"Amount ({priced.currency})", "money"), Column("How")),
        tuple((s.name, Amount(float(s.amount), "money"), s.how) for s in priced.steps),
    )


def offers_table(offers: Sequence[tuple[Offer, Priced]], systems: dict[str, str]) -> Table:
    """One row per offer; `systems` are names by id."""
    currency = offers[0][1].currency if offers else ""
    return Table(
        "Offers",
        (
            *(Column("Offer"), Column("Roofing"), Column("Colour"), Column("Old roof")),
            *(Column(f"Materials ({currency})", "money"), Column(f"Work ({currency})", "money")),
            *(Column(f"Price ({currency})", "money"), Column("Without a price")),
        ),
        tuple(
            (
                offer.name,
                systems.get(offer.system, "as drawn"),
                offer.colour or "as the job",
                offer.over or "as the job",
                *(
                    Amount(float(v), "money") if priced.lines else MISSING
                    for v in (priced.materials, priced.work, priced.price)
                ),
                ", ".join(priced.missing),
            )
            for offer, priced in offers
        ),
    )


def price_tables(
    priced: Priced,
    book: PriceBook,
    offers: Sequence[tuple[Offer, Priced]],
    systems: dict[str, str],
) -> tuple[Table, ...]:
    """All tables of a price, in the order they are read."""
    tables = (price_lines_table(priced), price_steps_table(priced, book))
    return (*tables, offers_table(offers, systems)) if offers else tables
