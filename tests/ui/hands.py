"""What a user's hands do in the window: press buttons, fill in fields, choose, click in plan."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QCheckBox,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from roofmodel_ui.panels.fields import Choice, Field
from roofmodel_ui.window import MainWindow

FT = 304.8
IN = 25.4
LEFT = Qt.MouseButton.LeftButton


def settle() -> None:
    for _ in range(3):
        QApplication.processEvents()


def shown(window: MainWindow, widget: QWidget) -> None:
    """The widget can be seen, after scrolling its panel to it."""
    settle()
    assert widget.isVisible(), widget.accessibleName()
    assert widget.isEnabled(), widget.accessibleName()
    window.side.forms.ensureWidgetVisible(widget)
    settle()


def enter(window: MainWindow, field: Field, text: str) -> None:
    shown(window, field)
    field.setFocus()
    field.selectAll()
    if text:
        QTest.keyClicks(field, text)
    else:
        QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClick(field, Qt.Key.Key_Return)


def press(window: MainWindow, button: QAbstractButton) -> None:
    shown(window, button)
    at = QPoint(8, button.height() // 2) if isinstance(button, QCheckBox) else QPoint()
    QTest.mouseClick(button, LEFT, pos=at)


def choose(window: MainWindow, choice: Choice, words: str) -> None:
    """Open the list of a choice and choose."""
    shown(window, choice)
    index = choice.findText(words)
    assert index >= 0, [choice.itemText(k) for k in range(choice.count())]
    choice.showPopup()
    settle()
    view = choice.view()
    view.setCurrentIndex(choice.model().index(index, 0))
    QTest.keyClick(view, Qt.Key.Key_Return)
    settle()


def click(window: MainWindow, x: float, y: float, *, add: bool = False) -> None:
    """Click a place in plan, feet."""
    at = window.plan.to_pixel((x * FT, y * FT)).toPoint()
    held = Qt.KeyboardModifier.ControlModifier if add else Qt.KeyboardModifier.NoModifier
    QTest.mouseMove(window.plan.viewport(), at)
    QTest.mouseClick(window.plan.viewport(), LEFT, held, at)


def click_row(
    table: QTreeWidget, item: QTreeWidgetItem, held: Qt.KeyboardModifier | None = None
) -> None:
    settle()  # a table just shown has yet to be laid out
    table.scrollToItem(item)
    at = table.visualItemRect(item).center()
    none = Qt.KeyboardModifier.NoModifier
    QTest.mouseClick(table.viewport(), LEFT, none if held is None else held, at)


def click_part(window: MainWindow, part: str, *, add: bool = False) -> None:
    """Click the row of a part in the tree."""
    tree = window.shape.parts
    shown(window, tree.tree)
    click_row(tree.tree, tree.item(part), Qt.KeyboardModifier.ControlModifier if add else None)


def error(window: MainWindow) -> str:
    """The one sentence of an error that shows."""
    assert window.notice.isVisible()
    assert window.notice.property("error") == "true"
    text = window.notice.label.text()
    assert text.endswith(".")
    return text


def undo(window: MainWindow) -> None:
    window.actions_by_id["undo"].trigger()


def undone(window: MainWindow, before: object) -> None:
    """One undo brings back the very project there was."""
    undo(window)
    assert window.session.project is before
    window.actions_by_id["redo"].trigger()
