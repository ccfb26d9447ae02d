"""What a price book is made of: prices of goods, hours of work, and how cost becomes price.

All money is exact decimal numbers of the book's currency. Shares are decimal fractions: 0.15 is
15 %.

Vocabulary
----------
price
    What one unit of a good costs to buy: a piece, a pack, a foot, a square.
task
    Work that is paid by the hour: hours per unit of what is worked on.
overhead
    What the business costs beside the job, as a share of the job's cost.
margin
    What is left of the price after cost and overhead, as a share of the price.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError

PriceUnit = Literal["each", "pack", "foot", "metre", "square foot", "square metre", "square"]
PRICE_UNITS: Final[tuple[str, ...]] = (
    *("each", "pack", "foot", "metre", "square foot", "square metre", "square"),
)

Measure = Literal[
    "roof squares",
    "panel squares",
    "ridge length",
    "hip length",
    "valley length",
    "eave length",
    "rake length",
    "transition length",
    "wall length",
    "opening",
    "torn-off squares",
    "underlayment squares",
    "job",
]
MEASURES: Final[tuple[str, ...]] = (
    *("roof squares", "panel squares", "ridge length", "hip length", "valley length"),
    *("eave length", "rake length", "transition length", "wall length", "opening"),
    *("torn-off squares", "underlayment squares", "job"),
)
"""What tasks are counted by; lengths in feet."""

_MOST: Final = Decimal(10) ** 6
MOST_MARGIN: Final = Decimal("0.95")
_COLOUR: Final = re.compile(r"#[0-9a-fA-F]{6}\Z")


class Price(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The price of one unit of a good; `key` is what the take-off calls it."""

    key: str
    unit: PriceUnit
    price: Decimal
    source: str = ""

    def __post_init__(self) -> None:
        if not self.key:
            raise DocumentError("A price needs the name of what it is for.")
        _check(f"The price of '{self.key}'", self.price)


class Task(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Hours of work per unit of `per`. `systems` names the systems it is done for, by id (empty:
    all); `on_slopes`: steep and high roofs take longer."""

    name: str
    per: Measure
    hours: Decimal
    on_slopes: bool = True
    systems: tuple[str, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        if not self.name:
            raise DocumentError("A task needs a name.")
        _check(f"The hours of '{self.name}'", self.hours)


class Colour(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A colour of the metal, `shade` as #rrggbb; panels and trim cost `factor` times as much."""

    name: str
    shade: str
    factor: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if not self.name or not _COLOUR.match(self.shade):
            raise DocumentError(
                f"The colour '{self.name}' needs a name and a shade like #4a6b52 (red, green,"
                " blue)."
            )
        if not (self.factor.is_finite() and Decimal("0.1") <= self.factor <= 10):
            raise DocumentError(
                f"The factor of the colour '{self.name}' must lie between 0.1 and 10."
            )


class PriceBook(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Prices, hours and shares. `tax` is taken on materials or on the whole price; amounts are
    rounded to the cent, half up, line by line, the price to `round_to`, half up. `sample` marks
    an invented book."""

    name: str
    prices: tuple[Price, ...]
    tasks: tuple[Task, ...]
    hourly: Decimal
    overhead: Decimal
    margin: Decimal
    tax: Decimal
    tax_on: Literal["materials", "price"] = "materials"
    round_to: Decimal = Decimal(1)
    currency: str = "$"
    date: str = ""
    sample: bool = False
    colours: tuple[Colour, ...] = ()

    def __post_init__(self) -> None:
        for what, names in (
            ("price", [p.key for p in self.prices]),
            ("task", [t.name for t in self.tasks]),
            ("colour", [c.name for c in self.colours]),
        ):
            twice = {n for n in names if names.count(n) > 1}
            if twice:
                raise DocumentError(
                    f"The price book has two of one {what}: '{min(twice)}'; take one away."
                )
        _check("The price of an hour", self.hourly)
        for what, share in (("overhead", self.overhead), ("tax", self.tax)):
            _check(f"The share of {what}", share, most=Decimal(5))
        if not (self.margin.is_finite() and 0 <= self.margin <= MOST_MARGIN):
            raise DocumentError(
                "The margin is a share of the price: it must be 0 or more, up to 0.95 (95 %)."
            )
        if not (self.round_to.is_finite() and Decimal("0.01") <= self.round_to <= 1000):
            raise DocumentError("Prices are rounded to 0.01 or more, up to 1000.")

    def price_of(self, key: str) -> Price | None:
        """The price of a good, by what the take-off calls it."""
        return next((p for p in self.prices if p.key == key), None)

    def colour(self, name: str) -> Colour | None:
        """The colour of this name."""
        return next((c for c in self.colours if c.name == name), None)


def _check(what: str, value: Decimal, most: Decimal = _MOST) -> None:
    if not (value.is_finite() and 0 <= value <= most):
        raise DocumentError(f"{what} must be 0 or more, up to {most:,}.")
