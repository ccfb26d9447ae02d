"""The price of a job as part of its JSON: amounts are text, so that no program rounds them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from roofmodel.price import Priced, PricedLine
from roofmodel.quoting import offers_of, price_of
from roofmodel.results import Results


def price_content(results: Results) -> dict[str, Any] | None:
    """The price and that of each offer; None where the job has no price book."""
    book = results.project.prices
    found = price_of(results)
    if book is None or found is None:
        return None
    return {
        "book": book.name,
        "invented": book.sample,
        "currency": book.currency,
        "colour": results.project.colour,
        **_sums(found),
        "lines": [_line(li) for li in found.lines],
        "steps": [{"name": s.name, "amount": str(s.amount), "how": s.how} for s in found.steps],
        "offers": [
            {
                "name": offer.name,
                "system": offer.system,
                "colour": offer.colour,
                **_sums(priced),
            }
            for offer, priced in offers_of(results)
        ],
    }


def _sums(priced: Priced) -> dict[str, Any]:
    return {
        "materials": str(priced.materials),
        "work": str(priced.work),
        "hours": str(priced.hours),
        "price": str(priced.price),
        "missing": list(priced.missing),
    }


def _line(line: PricedLine) -> dict[str, Any]:
    return {
        "group": line.group,
        "item": line.item,
        "key": line.key,
        "quantity": str(line.quantity),
        "unit": line.unit,
        "rate": _money(line.rate),
        "amount": _money(line.amount),
        "how": line.how,
        "measured": line.measured,
        "source": line.source,
        "planes": [str(p) for p in line.planes],
        "edges": [str(e) for e in line.edges],
    }


def _money(value: Decimal | None) -> str | None:
    return None if value is None else str(value)
