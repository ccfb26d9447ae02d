"""Prices of a session's offers, worked out in the background: an estimate first, then exact."""

from __future__ import annotations

from typing import Final

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal

from roofmodel.document import Job, Project
from roofmodel.document.offer_edits import as_offered
from roofmodel.document.offers import Offer
from roofmodel.errors import RoofmodelError
from roofmodel_ui.background import Background
from roofmodel_ui.money_tasks import OfferPrice, OffersTask
from roofmodel_ui.session import Session

REST_MS: Final = 150
"""What is edited again within this time is not worked out in between."""


def counts_in(project: Project, offer: Offer) -> Project:
    """What the price of an offer depends on: the job as it is offered, and nothing else."""
    offered = as_offered(project, offer)
    return msgspec.structs.replace(
        offered, offers=(), underlays=(), readings=(), job=Job(), ids_used=0
    )


class Offering(QObject):
    """`changed` when a price is there or not right any more. Nothing is worked out before
    `look` is called; from then on the prices are looked after by `look` alone."""

    changed = Signal()

    def __init__(self, session: Session, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self.work = Background(self)
        self._known: dict[str, tuple[Project, OfferPrice]] = {}
        self._asked: dict[str, Project] = {}
        self._rest = QTimer(self, interval=REST_MS, singleShot=True)
        self._rest.timeout.connect(self._ask)
        self.work.told.connect(self._take)
        self.work.changed.connect(self.changed)

    def price(self, offer: Offer) -> OfferPrice | None:
        """The price of an offer as it is now, or None as long as it is not known."""
        known = self._known.get(offer.id)
        if known is None:
            return None
        try:
            same = known[0] == counts_in(self._session.project, offer)
        except RoofmodelError:
            return None  # the worker says why it has no price
        return known[1] if same else None

    def look(self) -> None:
        """See to the prices soon."""
        self._rest.start()

    def try_again(self) -> None:
        """What could not be worked out may be tried once more."""
        if self.work.state != "working":
            self._asked = {}

    def shut_down(self) -> None:
        """The window closes."""
        self._rest.stop()
        self.work.shut_down()

    def _ask(self) -> None:
        project = self._session.project
        if project.prices is None:
            self._asked = {}
            self.work.stop()
            return
        wanted: dict[str, Project] = {}
        for offer in project.offers:
            found = self.price(offer)
            if found is None or not found.exact:
                try:
                    wanted[offer.id] = counts_in(project, offer)
                except RoofmodelError:
                    wanted[offer.id] = project
        if wanted == self._asked:
            return  # it is worked out just now, or cannot be
        self._asked = wanted
        if not wanted:
            self.work.stop()
            return
        offers = tuple(o for o in project.offers if o.id in wanted)
        self.work.ask(OffersTask(msgspec.structs.replace(project, offers=offers)))

    def _take(self, answer: object) -> None:
        if isinstance(answer, OfferPrice) and answer.offer in self._asked:
            self._known[answer.offer] = (self._asked[answer.offer], answer)
            self.changed.emit()
