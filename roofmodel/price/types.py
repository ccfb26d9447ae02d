"""A price and how it came about. All money is exact decimal numbers."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from roofmodel.surface.types import EdgeId, PlaneId

Group = Literal["Materials", "Work"]


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One good or one task. `quantity` is in `unit`; `rate` and `amount` are None where the book
    has no price. `how` is the formula of the amount, `measured` that of the quantity."""

    group: Group
    item: str
    key: str
    quantity: Decimal
    unit: str
    rate: Decimal | None
    amount: Decimal | None
    how: str
    measured: str
    source: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One step from cost to price."""

    name: str
    amount: Decimal
    how: str


@dataclass(frozen=True, slots=True)
class Priced:
    """What a job costs and what is asked for it, without the lines in `missing`."""

    lines: tuple[PricedLine, ...]
    steps: tuple[Step, ...]
    materials: Decimal
    work: Decimal
    hours: Decimal
    price: Decimal
    missing: tuple[str, ...]
    currency: str

    @property
    def is_whole(self) -> bool:
        """Is every line priced?"""
        return not self.missing
