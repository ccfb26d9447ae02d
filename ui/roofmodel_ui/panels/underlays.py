"""The pile of pictures, plans and drawings: what is shown, in which order, which is worked on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document import Project, Underlay
from roofmodel.document.edits import change_underlay, remove_underlay
from roofmodel.document.underlay_edits import change_order
from roofmodel_ui.later import Later
from roofmodel_ui.panels.fields import heading, quiet
from roofmodel_ui.session import Session
from roofmodel_ui.tools.underlay_choice import choice_of

if TYPE_CHECKING:
    from roofmodel_ui.panels.underlay_form import UnderlayForm

MOST_ROWS = 6
_ID = Qt.ItemDataRole.UserRole


class UnderlaysPart(QWidget):
    """The list, and the form of the one that is chosen in it. The first row lies on top."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.choice = choice_of(session)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(heading("Pictures and plans"))
        self._none = quiet("Load an aerial picture, a plan or a drawing to trace over it.")
        layout.addWidget(self._none)
        self.list = QTreeWidget()
        self.list.setObjectName("parts")
        self.list.setAccessibleName("Pictures and plans")
        self.list.setHeaderHidden(True)
        self.list.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # names differ at their ends too
        self.list.setColumnCount(2)
        self.list.setRootIsDecorated(False)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        header = self.list.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.list.itemChanged.connect(self._checked)
        self.list.currentItemChanged.connect(self._chosen)
        layout.addWidget(self.list)
        self._buttons = QWidget()
        line = QHBoxLayout(self._buttons)
        line.setContentsMargins(0, 0, 0, 0)
        self.up = self._button(line, "Up", "Move it up in the pile.", lambda: self._order(1))
        self.down = self._button(
            line, "Down", "Move it down in the pile.", lambda: self._order(-1)
        )
        line.addStretch(1)
        self.remove = self._button(line, "Remove", "Take it away.", self._remove)
        layout.addWidget(self._buttons)
        self._form = Later(self._make_form)
        layout.addWidget(self._form)
        self._shown: tuple[object, ...] = ()
        session.project_changed.connect(self.refresh)
        self.choice.changed.connect(self.refresh)
        self.refresh()

    @property
    def form(self) -> UnderlayForm:
        """The form of the one that is chosen."""
        return self._form.get()

    def _make_form(self) -> UnderlayForm:
        from roofmodel_ui.panels.underlay_form import UnderlayForm  # most jobs begin without

        return UnderlayForm(self.session)

    def refresh(self) -> None:
        """Show the pile as it is now."""
        pile = self.session.project.underlays
        current = self.choice.current()
        self._none.setVisible(not pile)
        for part in (self.list, self._buttons, self._form):
            part.setVisible(bool(pile))
        if current is None:
            return
        place = pile.index(current)
        self.up.setEnabled(place < len(pile) - 1)
        self.down.setEnabled(place > 0)
        shown = (pile, current.id)
        if shown != self._shown:
            self._shown = shown
            self._fill(pile, current)

    def _fill(self, pile: tuple[Underlay, ...], current: Underlay) -> None:
        self.list.blockSignals(True)
        upside_down = tuple(reversed(pile))
        # Rows are kept where they can be: one of them may be telling of its change just now.
        if [u.id for u in upside_down] != [i.data(0, _ID) for i in self._items()]:
            self.list.clear()
            for underlay in upside_down:
                item = QTreeWidgetItem()
                item.setData(0, _ID, underlay.id)
                self.list.addTopLevelItem(item)
            high = self.list.sizeHintForRow(0)
            self.list.setFixedHeight(min(len(pile), MOST_ROWS) * high + 6)
        for underlay, item in zip(upside_down, self._items(), strict=True):
            item.setText(0, underlay.title)
            item.setText(1, _state(underlay))
            item.setToolTip(0, underlay.title)
            mark = Qt.CheckState.Checked if underlay.visible else Qt.CheckState.Unchecked
            item.setCheckState(0, mark)
            if underlay.id == current.id:
                self.list.setCurrentItem(item)
        self.list.blockSignals(False)

    def _items(self) -> list[QTreeWidgetItem]:
        items = (self.list.topLevelItem(k) for k in range(self.list.topLevelItemCount()))
        return [item for item in items if item is not None]

    def _button(
        self, line: QHBoxLayout, words: str, tip: str, run: Callable[[], object]
    ) -> QPushButton:
        button = QPushButton(words)
        button.setProperty("class", "small")
        button.setToolTip(tip)
        button.clicked.connect(lambda _=False: run())
        line.addWidget(button)
        return button

    def _checked(self, item: QTreeWidgetItem) -> None:
        name = item.data(0, _ID)
        on = item.checkState(0) == Qt.CheckState.Checked
        self._attempt(
            "Show picture" if on else "Hide picture",
            lambda p, i: change_underlay(p, i, visible=on), name,
        )  # fmt: skip

    def _chosen(self, item: QTreeWidgetItem | None) -> None:
        if item is not None:
            self.choice.choose(item.data(0, _ID))

    def _order(self, up: int) -> None:
        self._attempt("Change order of pictures", lambda p, i: change_order(p, i, up))

    def _remove(self) -> None:
        self._attempt("Remove picture", remove_underlay)

    def _attempt(
        self, text: str, change: Callable[[Project, str], Project], which: str | None = None
    ) -> None:
        current = self.choice.current()
        if current is not None:
            chosen = which or current.id
            self.session.attempt(text, lambda p: change(p, chosen))


def _state(underlay: Underlay) -> str:
    if underlay.locked:
        return "locked"
    return "to scale" if underlay.scaled else "no scale yet"
