"""From the take-off to a price: goods, work, overhead, margin, tax, each step with its formula."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from roofmodel.price.goods import priced_good
from roofmodel.price.money import cents, plain, rounded, share, shown
from roofmodel.price.types import Priced, PricedLine, Step
from roofmodel.price.work import Site, priced_tasks, without_work
from roofmodel.surface import Surface
from roofmodel.systems import RoofingSystem
from roofmodel.systems.prices import PriceBook
from roofmodel.takeoff import TakeOff


def priced(
    take_off: TakeOff,
    surface: Surface,
    systems: tuple[RoofingSystem, ...],
    book: PriceBook,
    site: Site,
    colour: str = "",
) -> Priced:
    """The price of a job, with metal of a colour of the book ("" for none in particular)."""
    by_id = {s.id: s for s in systems}
    found = book.colour(colour)
    factor = found.factor if found else Decimal(1)
    lines = (
        *_goods(take_off, book, by_id, factor),
        *priced_tasks(take_off, surface, book, site),
        *without_work(take_off, by_id, book),
    )
    materials, work = (_sum(lines, group) for group in ("Materials", "Work"))
    hours = sum((li.quantity for li in lines if li.group == "Work"), Decimal(0))
    steps = _steps(materials, work, book)
    missing = [li.item for li in lines if li.amount is None]
    if colour and found is None:
        missing.append(f"what the colour {colour} costs more or less (the book does not have it)")
    named = tuple(dict.fromkeys(missing))
    return Priced(lines, steps, materials, work, hours, steps[-1].amount, named, book.currency)


def _goods(
    take_off: TakeOff, book: PriceBook, systems: Mapping[str, RoofingSystem], factor: Decimal
) -> Iterator[PricedLine]:
    """The goods; where one comes in two sizes of pack, the second needs a price of its own."""
    packs: dict[str, str] = {}
    for line in take_off.quantities:
        if not line.key:
            continue
        if line.pack and packs.setdefault(line.key, line.pack) != line.pack:
            line = replace(line, key=f"{line.key}, {line.pack}")
        yield priced_good(line, book, systems, factor)


def not_priced(why: str, currency: str) -> Priced:
    """What stands in the place of a price that could not be made."""
    nothing = Decimal("0.00")
    return Priced((), (), nothing, nothing, nothing, nothing, (why,), currency)


def _sum(lines: tuple[PricedLine, ...], group: str) -> Decimal:
    amounts = (li.amount for li in lines if li.group == group and li.amount is not None)
    return sum(amounts, Decimal("0.00"))


def _steps(materials: Decimal, work: Decimal, book: PriceBook) -> tuple[Step, ...]:
    cost = materials + work
    overhead = cents(cost * book.overhead)
    net = cost + overhead
    before = cents(net / (1 - book.margin))
    margin = before - net
    taxed = materials if book.tax_on == "materials" else before
    tax = cents(taxed * book.tax)
    whole = before + tax
    price = rounded(whole, book.round_to)
    on = "materials" if book.tax_on == "materials" else "price before tax"
    margin_how = f"{shown(net)} ÷ (1 − {share(book.margin)}) − {shown(net)}"
    steps = [
        Step("Materials", materials, "sum of the lines under materials"),
        Step("Work", work, "sum of the lines under work"),
        Step("Cost", cost, f"{shown(materials)} + {shown(work)}"),
        Step("Overhead", overhead, f"{shown(cost)} × {share(book.overhead)}"),
        Step("Margin", margin, margin_how),
        Step("Price before tax", before, f"{shown(net)} + {shown(margin)}"),
        Step("Tax", tax, f"{shown(taxed)} ({on}) × {share(book.tax)}"),
    ]
    words = f"{shown(before)} + {shown(tax)}"
    if price != whole:
        words += f" + {shown(price - whole)}".replace("+ -", "− ")
        words += f" (rounded to {plain(book.round_to)})"
    return (*steps, Step("Price", price, words))
