"""What a user's hands do in the Count stage."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton

from roofmodel_ui.panels.count import CountPanel
from roofmodel_ui.panels.lines import Line
from tests.ui.hands import LEFT, settle


def items(count: CountPanel) -> list[str]:
    return [item for _, item, _ in count.quantities.rows()]


def index_of(count: CountPanel, item: str) -> QModelIndex:
    return next(i for line, i in count.quantities.model.lines() if line.quantity.item == item)


def line_of(count: CountPanel, item: str) -> Line:
    lines = (line for line, _ in count.quantities.model.lines())
    return next(line for line in lines if line.quantity.item == item)


def press_line(count: CountPanel, item: str, held: Qt.KeyboardModifier | None = None) -> None:
    table = count.quantities.table
    index = index_of(count, item)
    table.scrollTo(index)
    settle()
    none = Qt.KeyboardModifier.NoModifier
    at = table.visualRect(index).center()
    QTest.mouseClick(table.viewport(), LEFT, none if held is None else held, at)
    settle()


def search(count: CountPanel, words: str) -> None:
    count.search.setFocus()
    count.search.selectAll()
    QTest.keyClicks(count.search, words)
    settle()


def press(button: QToolButton) -> None:
    assert button.isVisible()
    QTest.mouseClick(button, LEFT)
    settle()
