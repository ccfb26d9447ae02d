"""The pages of Count about work and money; each is made when its tab is first shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QTabWidget

from roofmodel_ui.later import Later
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel_ui.panels.offers import OffersPage
    from roofmodel_ui.panels.price import PricePage
    from roofmodel_ui.panels.sure import SurePage
    from roofmodel_ui.panels.work import WorkPage

    MoneyPage = WorkPage | PricePage | OffersPage | SurePage

SEARCHED = ("Price",)
"""Pages that follow the search."""


class MoneyPages:
    """The pages by title, in the places of tabs; `actions` by the names of commands, `left` when
    all lines are to be shown again."""

    def __init__(
        self, session: Session, actions: Mapping[str, QAction], left: Callable[[], None]
    ) -> None:
        self._session, self._actions, self._left = session, actions, left
        self._work, self._price = Later(self._make_work), Later(self._make_price)
        self._offers, self._sure = Later(self._make_offers), Later(self._make_sure)
        self._places: dict[str, Later[WorkPage] | Later[PricePage] | Later[OffersPage]
                           | Later[SurePage]] = {
            "Work": self._work, "Price": self._price, "Offers": self._offers,
            "How sure": self._sure,
        }  # fmt: skip

    @property
    def work(self) -> WorkPage:
        """What is said about the work."""
        return self._work.get()

    @property
    def price(self) -> PricePage:
        """What the job costs."""
        return self._price.get()

    @property
    def offers(self) -> OffersPage:
        """What the roof is offered as."""
        return self._offers.get()

    @property
    def sure(self) -> SurePage:
        """How sure it is."""
        return self._sure.get()

    def add_to(self, tabs: QTabWidget) -> None:
        """Put a tab for each behind those there are."""
        for title, place in self._places.items():
            tabs.addTab(place, title)

    def page(self, title: str) -> MoneyPage | None:
        """The page of a tab, made now if it is not there; None if the tab is none of these."""
        place = self._places.get(title)
        return None if place is None else place.get()

    def made(self) -> list[MoneyPage]:
        """The pages that are there."""
        return [p.made for p in self._places.values() if p.made is not None]

    def shut_down(self) -> None:
        """The window closes: nothing is worked out any more."""
        for page in (self._offers.made, self._sure.made):
            if page is not None:
                page.shut_down()

    def _make_work(self) -> WorkPage:
        from roofmodel_ui.panels.work import WorkPage

        return WorkPage(self._session)

    def _make_price(self) -> PricePage:
        from roofmodel_ui.panels.price import PricePage

        page = PricePage(self._session, self._actions)
        page.table.left.connect(self._left)
        return page

    def _make_offers(self) -> OffersPage:
        from roofmodel_ui.panels.offers import OffersPage

        return OffersPage(self._session, self._actions)

    def _make_sure(self) -> SurePage:
        from roofmodel_ui.panels.sure import SurePage

        return SurePage(self._session, self._actions)
