"""What hands do on the page of prices."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from roofmodel_ui.panels.price import PricePage
from roofmodel_ui.panels.price_lines import RATE, PriceRow
from roofmodel_ui.window import MainWindow
from tests.ui.hands import settle


def opened(window: MainWindow) -> PricePage:
    window.actions_by_id["list_price"].trigger()
    settle()
    return window.side.count.money.price


def row(page: PricePage, item: str) -> PriceRow:
    return next(r for r in page.table.rows if r.line.item.startswith(item))


def click_cell(page: PricePage, found: PriceRow, column: int, *, twice: bool = False) -> None:
    table = page.table
    settle()
    item = table.item(found)
    table.scrollToItem(item)
    rect = table.visualRect(table.indexFromItem(item, column))
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    if twice:
        QTest.mouseDClick(table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())


def editor(page: PricePage) -> QLineEdit:
    found = [f for f in page.table.viewport().findChildren(QLineEdit) if f.isVisible()]
    assert len(found) == 1
    return found[0]


def type_price(page: PricePage, found: PriceRow, text: str, column: int = RATE) -> None:
    click_cell(page, found, column)
    QTest.keyClick(page.table, Qt.Key.Key_F2)
    field = editor(page)
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()
