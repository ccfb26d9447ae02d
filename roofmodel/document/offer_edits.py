"""Edits of prices and of what the roof is offered as."""

from __future__ import annotations

import msgspec

from roofmodel.document.changes import changed
from roofmodel.document.cover_edits import cover_job
from roofmodel.document.offers import MOST_OFFERS, Offer
from roofmodel.document.types import Project
from roofmodel.document.work_edits import set_old_roof, set_work
from roofmodel.errors import DocumentError
from roofmodel.systems.prices import Colour, Price, PriceBook, Task


def set_prices(project: Project, book: PriceBook | None) -> Project:
    """Give the job another price book, or none."""
    return changed(project, prices=book)


def set_price(project: Project, price: Price) -> Project:
    """Set or add the price of one good."""
    book = _book(project)
    known = any(p.key == price.key for p in book.prices)
    prices = tuple(price if p.key == price.key else p for p in book.prices)
    return _with_book(project, prices=prices if known else (*prices, price))


def remove_price(project: Project, key: str) -> Project:
    """Take the price of a good out of the book."""
    return _with_book(project, prices=tuple(p for p in _book(project).prices if p.key != key))


def set_task(project: Project, task: Task) -> Project:
    """Set or add a task."""
    book = _book(project)
    known = any(t.name == task.name for t in book.tasks)
    tasks = tuple(task if t.name == task.name else t for t in book.tasks)
    return _with_book(project, tasks=tasks if known else (*tasks, task))


def remove_task(project: Project, name: str) -> Project:
    """Take a task out of the book."""
    return _with_book(project, tasks=tuple(t for t in _book(project).tasks if t.name != name))


def set_colour_of_book(project: Project, colour: Colour) -> Project:
    """Set or add a colour of the book."""
    book = _book(project)
    known = any(c.name == colour.name for c in book.colours)
    colours = tuple(colour if c.name == colour.name else c for c in book.colours)
    return _with_book(project, colours=colours if known else (*colours, colour))


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
