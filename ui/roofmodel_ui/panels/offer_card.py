"""One offer: what it is made of, its price, and how far that is from the first offer's."""

from __future__ import annotations

from decimal import Decimal

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project
from roofmodel.document.offer_edits import change_offer, offer_of, remove_offer
from roofmodel.document.offers import Offer
from roofmodel.document.work import ChosenExtra
from roofmodel.price.money import shown
from roofmodel_ui.money_tasks import OfferPrice
from roofmodel_ui.money_words import as_money
from roofmodel_ui.panels.fields import Choice, Field, quiet
from roofmodel_ui.panels.swatches import ColourChoice
from roofmodel_ui.panels.work_words import OVER_WORDS, capital
from roofmodel_ui.session import Session

AS_JOB = "As the job"
LEAST_PX = 134


class ExtrasButton(QToolButton):
    """Which extras an offer has: those of the job, or its own."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("class", "small")
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.setMinimumWidth(90)
        self.setSizePolicy(Choice("", lambda _: None).sizePolicy())
        self._menu = QMenu(self)
        self.setMenu(self._menu)
        self._words = ""

    def show_extras(self, project: Project, extras: tuple[ChosenExtra, ...] | None) -> None:
        """Show what the offer says."""
        self._menu.clear()
        as_job = self._menu.addAction(AS_JOB)
        as_job.setCheckable(True)
        as_job.setChecked(extras is None)
        as_job.triggered.connect(lambda: self.chosen.emit(None))
        self._menu.addSeparator()
        own = project.work.extras if extras is None else extras
        for extra in project.layers.extras:
            action = self._menu.addAction(capital(extra.key))
            action.setCheckable(True)
            action.setChecked(any(e.key == extra.key for e in own))
            action.triggered.connect(
                lambda on, key=extra.key: self.chosen.emit(_with(project, own, key, on=on))
            )
        names = ", ".join(e.key for e in own)
        self._words = AS_JOB if extras is None else capital(names) or "None"
        self.setToolTip(
            f"Extras of this offer: {names or 'none'}."
            + (" They are those of the job." if extras is None else "")
        )
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room = max(self.width(), 60) - 16
        right = Qt.TextElideMode.ElideRight
        self.setText(QFontMetrics(self.font()).elidedText(self._words, right, room))


def _with(
    project: Project, own: tuple[ChosenExtra, ...], key: str, *, on: bool
) -> tuple[ChosenExtra, ...]:
    """The extras with or without one; it comes with the amount that the job says."""
    rest = tuple(e for e in own if e.key != key)
    if not on:
        return rest
    job = next((e for e in project.work.extras if e.key == key), ChosenExtra(key))
    return (*rest, job)


class OfferCard(QFrame):
    """The card of one offer of the session's project, by its id."""

    def __init__(self, session: Session, offer: str) -> None:
        super().__init__()
        self.setObjectName("offer")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.session, self.offer = session, offer
        self.setMinimumWidth(LEAST_PX)
        self.name = Field("Name of the offer", self._named)
        self.system = Choice("Roofing", lambda v: self._change("Set roofing of offer", system=v))
        self.colour = ColourChoice(
            "Colour", lambda v: self._change("Set colour of offer", colour=v)
        )
        self.over = Choice(
            "Old roof", lambda v: self._change("Set old roof of offer", over=v),
            [(AS_JOB, None), *((words, over) for over, words in OVER_WORDS.items())],
        )  # fmt: skip
        self.extras = ExtrasButton()
        self.extras.setAccessibleName("Extras")
        self.system.setToolTip("What covers the roof in this offer.")
        self.colour.setToolTip("The colour of panels and trim in this offer.")
        self.over.setToolTip("What is done with the old roof in this offer.")
        self.extras.chosen.connect(lambda v: self._change("Set extras of offer", extras=v))
        self.remove = QPushButton("Remove")
        self.remove.setProperty("class", "small")
        self.remove.setToolTip("Take this offer away; the roof stays as it is.")
        self.remove.clicked.connect(self._remove)
        self.price, self.difference = QLabel(), QLabel()
        self.price.setProperty("class", "heading")
        self.state, self.parts = quiet(), quiet()
        self.difference.setWordWrap(True)
        for label, name in ((self.price, "Price"), (self.difference, "Difference to the first")):
            label.setAccessibleName(name)
        self._build()

    def refresh(self, found: OfferPrice | None, first: OfferPrice | None, working: bool) -> None:
        """Show the offer as it is now, with its price and the first offer's, if they are known."""
        project = self.session.project
        offer = offer_of(project, self.offer)
        self.name.show_value(offer.name)
        self.name.setToolTip(offer.name)
        systems = [(s.name, s.id) for s in project.systems()]
        self.system.offer([("As drawn", ""), *systems])
        self.system.show_choice(offer.system)
        self.colour.offer_colours(project.prices, offer.colour, AS_JOB)
        self.over.show_choice(offer.over)
        self.extras.show_extras(project, offer.extras)
        self._show_price(offer, found, first, working)

    def _show_price(
        self, offer: Offer, found: OfferPrice | None, first: OfferPrice | None, working: bool
    ) -> None:
        book = self.session.project.prices
        if found is None or book is None:
            self.price.setText("…" if working else "—")
            self.difference.setText("")
            self.state.setText("Working it out" if working else "Not worked out")
            self.parts.setText("")
            return
        currency = book.currency
        self.price.setText(as_money(found.price, currency))
        if first is None or first.offer == offer.id:
            self.difference.setText("The first" if first is not None else "")
        else:
            self.difference.setText(_difference(found.price - first.price, currency))
        words = [] if found.exact else ["Estimate"]
        if found.missing:
            words.append(f"not complete, {len(found.missing)} without a price")
        words += ["invented prices"] if book.sample else []
        self.state.setText(capital(", ".join(words)))
        self.state.setToolTip(
            f"Without a price: {', '.join(found.missing)}." if found.missing else ""
        )
        self.parts.setText(f"Materials {shown(found.materials)}\nWork {shown(found.work)}")

    def _build(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(3)
        rows: tuple[tuple[str, QWidget], ...] = (
            ("Name", self.name), ("Roofing", self.system), ("Colour", self.colour),
            ("Old roof", self.over), ("Extras", self.extras),
        )  # fmt: skip
        for title, widget in rows:
            label = QLabel(title)
            label.setProperty("class", "quiet")
            column.addWidget(label)
            column.addWidget(widget)
        column.addSpacing(8)
        for part in (self.price, self.difference, self.state, self.parts):
            column.addWidget(part)
        foot = QHBoxLayout()
        foot.setContentsMargins(0, 8, 0, 0)
        foot.addWidget(self.remove)
        foot.addStretch(1)
        column.addLayout(foot)
        column.addStretch(1)

    def _named(self, typed: str) -> None:
        self._change("Rename offer", name=typed.strip())

    def _change(self, words: str, **fields: object) -> None:
        self.session.attempt(words, lambda p: change_offer(p, self.offer, **fields))

    def _remove(self) -> None:
        name = offer_of(self.session.project, self.offer).name
        if self.session.attempt("Remove offer", lambda p: remove_offer(p, self.offer)):
            self.session.message.emit(f"Removed: {name}. Undo brings it back.", False)


def _difference(value: Decimal, currency: str) -> str:
    if not value:
        return "As the first"
    return f"{'+' if value > 0 else ''}{as_money(value, currency)} to the first"
