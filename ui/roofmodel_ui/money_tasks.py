"""What is asked of `money_worker`, and what it answers. `Done` or `Refused` is the last answer."""

from __future__ import annotations

from decimal import Decimal
from typing import TypeAlias

import msgspec

from roofmodel.document import Project


class OffersTask(msgspec.Struct, frozen=True, tag="offers"):
    """What does each offer of a project cost?"""

    project: Project


class SpreadTask(msgspec.Struct, frozen=True, tag="spread"):
    """How sure is what a project comes to?"""

    project: Project


class CompareTask(msgspec.Struct, frozen=True, tag="compare"):
    """What changes in the main quantities from one project to another?"""

    before: Project
    after: Project


class FieldTask(msgspec.Struct, frozen=True, tag="field"):
    """Write the field sheet of a project to a PDF file. `date` stands on it."""

    project: Project
    path: str
    date: str


class Told(msgspec.Struct, frozen=True, tag="told"):
    """So many of so many roofs are built."""

    done: int
    count: int


class OfferPrice(msgspec.Struct, frozen=True, tag="price"):
    """What one offer costs; not `exact` while its trim is only estimated."""

    offer: str
    price: Decimal
    materials: Decimal
    work: Decimal
    missing: tuple[str, ...]
    exact: bool


class Span(msgspec.Struct, frozen=True):
    """One quantity as modelled, its low and its high."""

    name: str
    unit: str
    value: float
    low: float
    high: float


class Wanted(msgspec.Struct, frozen=True):
    """A measurement that would narrow the answer, and the share of the spread that it leaves
    with those before it. Without an `edge` it is a pitch."""

    part: str
    edge: str
    name: str
    value: float
    left: float


class Certainty(msgspec.Struct, frozen=True, tag="certainty"):
    """How sure it is; the measurements narrow `target`."""

    spans: tuple[Span, ...]
    target: str
    wanted: tuple[Wanted, ...]


class Compared(msgspec.Struct, frozen=True, tag="compared"):
    """Main quantities: name, unit, before, after; 0 where there is none of a kind."""

    rows: tuple[tuple[str, str, float, float], ...]


class Done(msgspec.Struct, frozen=True, tag="done"):
    """The task is finished."""


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """The task cannot be done; one sentence says why."""

    sentence: str


Task: TypeAlias = OffersTask | SpreadTask | CompareTask | FieldTask
Answer: TypeAlias = Told | OfferPrice | Certainty | Compared | Done | Refused
