"""Edits of prices and of what the roof is offered as."""

from __future__ import annotations

import msgspec

from roofmodel.document.changes import changed
from roofmodel.document.cover_edits import cover_job
from roofmodel.document.offers import MOST_OFFERS, Offer
from roofmodel.document.types import Project
from roofmodel.document.work_edits import set_old_roof, set_work
from roofmodel.errors import DocumentError
from roofmodel.systems.prices import Price, PriceBook, Task


def set_prices(project: Project, book: PriceBook | None) -> Project:
    """Give the job another price book, or none."""
    return changed(project, prices=book)


def set_price(project: Project, price: Price) -> Project:
    """Set or add the price of one good."""
    prices = {p.key: p for p in _book(project).prices} | {price.key: price}
    return _with_book(project, prices=tuple(prices.values()))


def set_task(project: Project, task: Task) -> Project:
    """Set or add a task."""
    tasks = {t.name: t for t in _book(project).tasks} | {task.name: task}
    return _with_book(project, tasks=tuple(tasks.values()))


def set_shares(project: Project, **fields: object) -> Project:
    """Change what the whole book has by name, such as ``margin=Decimal("0.3")``."""
    return _with_book(project, **fields)


def set_colour(project: Project, name: str) -> Project:
    """Choose the job's colour; "" for none in particular."""
    if name and (project.prices is None or project.prices.colour(name) is None):
        raise DocumentError(f"The price book has no colour '{name}'.")
    return changed(project, colour=name)


def add_offer(project: Project, name: str, **fields: object) -> Project:
    """Offer the roof in one more way; at most four."""
    if len(project.offers) >= MOST_OFFERS:
        raise DocumentError(f"A job has up to {MOST_OFFERS} offers; remove one first.")
    number = project.ids_used + 1
    offer = changed(Offer(f"offer{number}", name), **fields)
    _check(project, offer)
    return changed(project, offers=(*project.offers, offer), ids_used=number)


def change_offer(project: Project, offer_id: str, **fields: object) -> Project:
    """Change fields of an offer by name."""
    new = changed(offer_of(project, offer_id), **fields)
    _check(project, new)
    return changed(project, offers=tuple(new if o.id == offer_id else o for o in project.offers))


def remove_offer(project: Project, offer_id: str) -> Project:
    """Take an offer away."""
    offer_of(project, offer_id)
    return changed(project, offers=tuple(o for o in project.offers if o.id != offer_id))


def offer_of(project: Project, offer_id: str) -> Offer:
    """The offer with this id; DocumentError if there is none."""
    for offer in project.offers:
        if offer.id == offer_id:
            return offer
    raise DocumentError(f"There is no offer {offer_id}.")


def as_offered(project: Project, offer: Offer) -> Project:
    """The job as one of its offers has it; the roof stays the same."""
    out = project
    if offer.system:
        out = cover_job(out, offer.system)
    if offer.over is not None:
        out = set_old_roof(out, over=offer.over)
    if offer.extras is not None:
        out = set_work(out, extras=offer.extras)
    return changed(out, colour=offer.colour) if offer.colour else out


def _check(project: Project, offer: Offer) -> None:
    if offer.system and all(s.id != offer.system for s in project.systems()):
        raise DocumentError(f"There is no roofing system {offer.system} in this job.")
    book = project.prices
    if offer.colour and (book is None or book.colour(offer.colour) is None):
        raise DocumentError(f"The price book has no colour '{offer.colour}'.")


def _book(project: Project) -> PriceBook:
    if project.prices is None:
        raise DocumentError("This job has no price book; load one first.")
    return project.prices


def _with_book(project: Project, **fields: object) -> Project:
    return msgspec.structs.replace(project, prices=changed(_book(project), **fields))
