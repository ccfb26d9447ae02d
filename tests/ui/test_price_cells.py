"""Cells of the price table that are open while something changes, and names and tips."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit

from roofmodel.document.offer_edits import set_prices
from roofmodel_io.prices_toml import sample_prices
from roofmodel_ui.panels.price import PricePage
from roofmodel_ui.panels.price_lines import ITEM, RATE
from roofmodel_ui.window import MainWindow
from tests.ui.hands import click, settle
from tests.ui.price_hands import click_cell, editor, opened, row


@pytest.fixture
def page(house: MainWindow) -> PricePage:
    """The price of the house by the invented book."""
    house.session.edit("Prices", set_prices(house.session.project, sample_prices()))
    return opened(house)


def test_lines_that_change_under_an_open_cell_close_it(house: MainWindow, page: PricePage) -> None:
    before = house.session.project
    click_cell(page, row(page, "Ridge cap"), RATE, twice=True)
    assert editor(page).text() == "31.00"
    click(house, 20, 0)  # the eave: ridge caps are not among its lines
    settle()
    assert not any(r.line.item.startswith("Ridge cap") for r in page.table.rows)
    assert house.session.project is before


def test_a_refused_price_is_not_tried_again_without_end(
    house: MainWindow, page: PricePage
) -> None:
    before = house.session.project
    told: list[str] = []
    house.session.message.connect(lambda sentence, _: told.append(sentence))
    click_cell(page, row(page, "Ridge cap"), RATE, twice=True)
    editor(page).selectAll()
    QTest.keyClicks(editor(page), "dear")
    QTest.keyClick(editor(page), Qt.Key.Key_Tab)
    for _ in range(5):
        settle()
    assert len(told) == 1
    click_cell(page, row(page, "Rake trim"), ITEM)
    settle()
    assert len(told) == 1
    assert house.session.project is before


def test_whatever_can_be_pressed_or_typed_into_has_a_name_and_a_tip(
    house: MainWindow, page: PricePage
) -> None:
    house.actions_by_id["add_offer"].trigger()
    settle()
    for shown in (page, house.side.count.money.offers):
        found = [*shown.findChildren(QAbstractButton), *shown.findChildren(QLineEdit)]
        found += shown.findChildren(QComboBox)
        mine = [
            w for w in found if w.parent() is not None and not w.objectName().startswith("qt_")
        ]
        assert len(mine) > 5
        for widget in mine:
            text = widget.text() if isinstance(widget, QAbstractButton) else ""
            assert widget.accessibleName() or text, widget
            assert widget.toolTip(), widget.accessibleName() or text
