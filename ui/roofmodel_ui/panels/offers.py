"""What the roof is offered as: up to four offers side by side."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project
from roofmodel.document.offer_edits import add_offer, set_colour
from roofmodel.document.offers import MOST_OFFERS
from roofmodel.quoting import price_of
from roofmodel_ui.money_words import as_money
from roofmodel_ui.offering import Offering
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.panels.lines import Wanted, tabbed
from roofmodel_ui.panels.offer_card import OfferCard
from roofmodel_ui.panels.price_book import NO_BOOK, button_of
from roofmodel_ui.panels.swatches import ColourChoice
from roofmodel_ui.panels.table import INSET_PX
from roofmodel_ui.session import Session

NO_OFFERS = (
    "Offer the same roof in up to four ways: another roofing, another colour, with or without the"
    " old roof taken off. Each gets its own price."
)


class OffersPage(QWidget):
    """Cards of the offers under the job as it stands."""

    def __init__(self, session: Session, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self.session = session
        self.offering = Offering(session, self)
        self.cards: list[OfferCard] = []
        self.job = QLabel()
        self.job.setProperty("class", "strong")
        self.job.setWordWrap(True)
        self.job.setAccessibleName("The job as it stands")
        self.colour = ColourChoice("Colour of the job", self._take_colour)
        self.colour.setToolTip("The colour of panels and trim where an offer has none of its own.")
        self.add_button = button_of(actions["add_offer"], "Add offer")
        self.words = quiet()
        self.load = button_of(actions["load_prices"], "Load price book …")
        self.sample = button_of(actions["sample_prices"], "Start from invented prices")
        self._build()
        self._catch = CatchUp(session, self, self.refresh)
        session.planning.changed.connect(self._catch.later)
        self.offering.changed.connect(self._catch.later)

    def add(self) -> None:
        """Offer the roof in one more way."""

        def more(project: Project) -> Project:
            taken = {o.name for o in project.offers}
            names = (f"Offer {n}" for n in range(1, MOST_OFFERS + 2))
            return add_offer(project, next(n for n in names if n not in taken))

        if self.session.attempt("Add offer", more):
            self._catch.now()
            self.cards[-1].show()  # what is not there yet takes no keys
            self.cards[-1].name.setFocus(Qt.FocusReason.OtherFocusReason)
            self.cards[-1].name.selectAll()

    def shut_down(self) -> None:
        """The window closes."""
        self.offering.shut_down()

    def show_wanted(self, wanted: Wanted) -> None:
        """Offers are not searched."""

    def busy(self) -> bool:
        """Nothing is selected from here."""
        return False

    def enter(self) -> None:
        """Go to the first offer."""
        if self.cards:
            self.cards[0].name.setFocus(Qt.FocusReason.TabFocusReason)

    def copy(self) -> int:
        """Put the offers on the clipboard; how many."""
        self._catch.now()
        rows = [("Offer", "Roofing", "Colour", "Old roof", "Price", "State")]
        rows += [
            (
                card.name.text(), card.system.currentText(), card.colour.currentText(),
                card.over.currentText(), card.price.text(), card.state.text(),
            )
            for card in self.cards
        ]  # fmt: skip
        QApplication.clipboard().setText(tabbed(rows))
        return len(self.cards)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.offering.try_again()
        self._catch.later()

    def refresh(self) -> None:
        """Show the offers as they are now."""
        session = self.session
        project, book = session.project, session.project.prices
        self._rebuild([o.id for o in project.offers])
        there = book is not None
        self._job.setVisible(there)
        self._cards.setVisible(there)
        self.load.setVisible(not there)
        self.sample.setVisible(not there)
        self.words.setVisible(not there or not self.cards)
        self.words.setText(NO_OFFERS if there else NO_BOOK)
        self.add_button.setVisible(there and len(self.cards) < MOST_OFFERS)
        self.colour.offer_colours(book, project.colour, "No colour in particular")
        found = price_of(session.results)
        if found is not None and book is not None:
            guess = session.is_preview() or session.is_estimate()
            notes = ["estimate"] if guess else []
            notes += ["invented prices"] if book.sample else []
            notes += [] if found.is_whole else ["not complete"]
            words = f" ({', '.join(notes)})" if notes else ""
            self.job.setText(
                f"The job as it stands: {as_money(found.price, book.currency)}{words}"
            )
        self._show_prices()
        if there and not session.is_preview():
            self.offering.look()

    def _show_prices(self) -> None:
        offers = {o.id: o for o in self.session.project.offers}
        prices = [self.offering.price(offers[card.offer]) for card in self.cards]
        work = self.offering.work
        working = work.state not in ("failed", "stopped")
        for card, price in zip(self.cards, prices, strict=True):
            card.refresh(price, prices[0], working)
        failed = work.state == "failed" and None in prices
        self.state.setText(work.sentence if failed else "")
        self.state.setVisible(failed)

    def _rebuild(self, wanted: list[str]) -> None:
        """Cards that stay are kept, so that what is being typed into them stays."""
        if wanted == [card.offer for card in self.cards]:
            return
        kept = {card.offer: card for card in self.cards if card.offer in wanted}
        for card in self.cards:
            self._row.removeWidget(card)
            if card.offer not in wanted:
                card.hide()
                card.deleteLater()
        self.cards = [kept.get(i) or OfferCard(self.session, i) for i in wanted]
        for place, card in enumerate(self.cards):
            self._row.insertWidget(place, card, 1)

    def _build(self) -> None:
        self._job = QWidget()
        line = QHBoxLayout(self._job)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.job, 1)
        line.addWidget(QLabel("Colour"))
        line.addWidget(self.colour)
        holder = QWidget()
        holder.setObjectName("forms")
        self._row = QHBoxLayout(holder)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(8)
        self._cards = QScrollArea()
        self._cards.setFrameShape(QFrame.Shape.NoFrame)
        self._cards.setWidgetResizable(True)
        self._cards.setWidget(holder)
        buttons = QHBoxLayout()
        buttons.setSpacing(6)
        for button in (self.add_button, self.load, self.sample):
            buttons.addWidget(button)
        buttons.addStretch(1)
        self.state = quiet()
        column = QVBoxLayout(self)
        column.setContentsMargins(INSET_PX, 10, INSET_PX, 8)
        column.setSpacing(8)
        column.addWidget(self._job)
        column.addWidget(self.words)
        column.addLayout(buttons)
        column.addWidget(self._cards, 1)
        column.addWidget(self.state)
        column.addStretch(0)

    def _take_colour(self, value: object) -> None:
        self.session.attempt("Set colour", lambda p: set_colour(p, str(value)))
