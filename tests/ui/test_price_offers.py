"""Offers of one roof side by side, their prices worked out in the background."""

from __future__ import annotations

from decimal import Decimal

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from roofmodel.document.offer_edits import add_offer, offer_of, set_price, set_prices
from roofmodel.document.work import ChosenExtra
from roofmodel.quoting import offers_of
from roofmodel.systems.prices import Price
from roofmodel_io.prices_toml import sample_prices
from roofmodel_ui.money_tasks import OfferPrice, OffersTask
from roofmodel_ui.money_worker import answers
from roofmodel_ui.panels.offers import OffersPage
from roofmodel_ui.window import MainWindow
from tests.ui.hands import choose, enter, error, press, settle, undone

LONG = 60_000


@pytest.fixture
def page(house: MainWindow) -> OffersPage:
    """The offers of the house: none yet."""
    house.session.edit("Prices", set_prices(house.session.project, sample_prices()))
    house.actions_by_id["list_offers"].trigger()
    settle()
    return house.side.count.money.offers


def two(house: MainWindow, page: OffersPage) -> None:
    """An offer of either system."""
    first, second = house.session.project.systems()[:2]
    press(house, page.add_button)
    settle()
    enter(house, page.cards[0].name, "As it is")
    choose(house, page.cards[0].system, first.name)
    press(house, page.add_button)
    settle()
    choose(house, page.cards[1].system, second.name)


def exact(page: OffersPage) -> bool:
    settle()
    offers = page.session.project.offers
    found = [page.offering.price(o) for o in offers]
    return bool(found) and all(p is not None and p.exact for p in found)


def with_second_system(house: MainWindow) -> None:
    from roofmodel.document.cover_edits import add_system
    from roofmodel_io.defaults import built_in_systems

    project = house.session.project
    known = {s.id for s in project.systems()}
    for system in built_in_systems():
        if system.id not in known:
            project = add_system(project, system)
    house.session.edit("Add roofing system", project)


def test_without_a_book_or_offers_the_page_says_what_to_do(house: MainWindow) -> None:
    house.actions_by_id["list_offers"].trigger()
    settle()
    page = house.side.count.money.offers
    assert page.sample.isVisible()
    assert not page.add_button.isVisible()
    assert "no prices" in page.words.text()
    press(house, page.sample)
    settle()
    assert page.add_button.isVisible()


def test_offers_get_the_prices_of_the_chain(
    house: MainWindow, page: OffersPage, qtbot: QtBot
) -> None:
    with_second_system(house)
    two(house, page)
    qtbot.waitUntil(lambda: exact(page), timeout=LONG)
    wanted = offers_of(house.session.results)
    assert [o.name for o, _ in wanted] == ["As it is", "Offer 1"]
    for (offer, priced), card in zip(wanted, page.cards, strict=True):
        assert card.offer == offer.id
        assert card.price.text() == f"${priced.price:,}"
        assert f"Materials {priced.materials:,}" in card.parts.text()
        assert "Estimate" not in card.state.text()
        assert "nvented prices" in card.state.text()
    assert page.cards[0].difference.text() == "The first"
    more = wanted[1][1].price - wanted[0][1].price
    sign = "+" if more > 0 else "−"
    assert page.cards[1].difference.text() == f"{sign}${abs(more):,} to the first"


def test_the_estimate_comes_first_and_the_exact_price_after() -> None:
    from tests.ui.test_count_planning import with_wings

    project = set_prices(with_wings(3), sample_prices())
    project = add_offer(project, "As it is")
    told: list[object] = []
    answers(OffersTask(project), told.append)
    first, second = (a for a in told if isinstance(a, OfferPrice))
    assert (first.exact, second.exact) == (False, True)
    assert second.price < first.price


def test_an_edit_makes_prices_old_and_the_newest_is_shown(
    house: MainWindow, page: OffersPage, qtbot: QtBot
) -> None:
    session = house.session
    press(house, page.add_button)
    settle()
    qtbot.waitUntil(lambda: exact(page), timeout=LONG)
    old = page.cards[0].price.text()
    for price in (50, 60, 70):
        session.edit(
            "Set price",
            set_price(session.project, Price("trim:ridge cap", "each", Decimal(price))),
        )
        settle()
        QTest.qWait(200)  # each is asked for before the next comes
    assert page.cards[0].price.text() != old
    qtbot.waitUntil(lambda: exact(page), timeout=LONG)
    ((_, priced),) = offers_of(session.results)
    assert page.cards[0].price.text() == f"${priced.price:,}"


def test_what_an_offer_is_made_of(house: MainWindow, page: OffersPage) -> None:
    session = house.session
    press(house, page.add_button)
    settle()
    card = page.cards[0]
    assert house.focusWidget() is card.name
    before = session.project
    colour = sample_prices().colours[0]
    words = next(
        card.colour.itemText(k)
        for k in range(card.colour.count())
        if card.colour.itemText(k).startswith(colour.name)
    )
    choose(house, card.colour, words)
    undone(house, before)
    choose(house, card.over, "Tear off the old roof")
    offer = offer_of(session.project, card.offer)
    assert (offer.colour, offer.over, offer.extras) == (colour.name, "tear-off", None)
    menu = card.extras.menu()
    next(a for a in menu.actions() if a.text() == "Snow guard").trigger()
    settle()
    assert offer_of(session.project, card.offer).extras == (ChosenExtra("snow guard"),)
    assert card.extras.text().startswith("Snow")
    menu = card.extras.menu()
    next(a for a in menu.actions() if a.text() == "As the job").trigger()
    settle()
    assert offer_of(session.project, card.offer).extras is None


def test_up_to_four_and_no_more(house: MainWindow, page: OffersPage) -> None:
    for _ in range(4):
        press(house, page.add_button)
        settle()
    assert [c.name.text() for c in page.cards] == [f"Offer {n}" for n in (1, 2, 3, 4)]
    assert not page.add_button.isVisible()
    before = house.session.project
    house.actions_by_id["add_offer"].trigger()
    assert "up to 4 offers" in error(house)
    assert house.session.project is before
    press(house, page.cards[1].remove)
    settle()
    assert [c.name.text() for c in page.cards] == ["Offer 1", "Offer 3", "Offer 4"]
    assert page.add_button.isVisible()
    undone(house, before)


def test_an_offer_needs_a_name(house: MainWindow, page: OffersPage) -> None:
    press(house, page.add_button)
    settle()
    enter(house, page.cards[0].name, " ")
    assert "needs a name" in error(house)
    assert page.cards[0].name.text() == "Offer 1"


def test_an_offer_that_cannot_be_is_said_once_and_the_others_have_prices(
    house: MainWindow, page: OffersPage, qtbot: QtBot
) -> None:
    session = house.session
    project = add_offer(session.project, "Good")
    project = add_offer(project, "Odd", extras=(ChosenExtra("no such thing"),))
    session.edit("Add offers", project)
    settle()
    qtbot.waitUntil(lambda: page.offering.work.state == "failed", timeout=LONG)
    settle()
    assert page.state.text().startswith("Odd: There is no extra 'no such thing'")
    assert page.cards[0].price.text().startswith("$")
    assert page.cards[1].price.text() == "—"
    QTest.qWait(500)  # it is not tried again and again
    assert page.offering.work.state == "failed"
    press(house, page.cards[1].remove)
    settle()
    qtbot.waitUntil(lambda: exact(page), timeout=LONG)
    assert not page.state.isVisible()


def test_prices_come_back_after_the_book_was_away(
    house: MainWindow, page: OffersPage, qtbot: QtBot
) -> None:
    press(house, page.add_button)
    settle()
    QTest.qWait(250)  # it is asked for
    house.actions_by_id["remove_prices"].trigger()
    settle()
    QTest.qWait(250)
    house.actions_by_id["undo"].trigger()
    settle()
    qtbot.waitUntil(lambda: exact(page), timeout=LONG)
