"""The slitting plan of trim in the Hand over stage: every cut of coil and what it is slit into."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import (
    QAbstractItemView,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.session import Session
from roofmodel_ui.shop_tasks import Slit
from roofmodel_ui.slitting import Slitting

_MOST_PX, _ROW_PX = 260, 18
_OLD: Final = "The roof or the rules have changed since: work it out again."


class SlittingList(QWidget):
    """A button, what is said of the metal, and the cuts."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.slitting = Slitting(session, self)
        self.button = QPushButton()
        self.button.setToolTip("How all trim is slit from the coils named above, cut by cut.")
        self.button.clicked.connect(self._clicked)
        self.said = quiet()
        self.list = QTreeWidget()
        self.list.setAccessibleName("Slitting plan")
        self.list.setHeaderHidden(True)
        self.list.setIndentation(14)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(self.button)
        layout.addWidget(self.said)
        layout.addWidget(self.list)
        self._shown: Slit | None = None
        self.slitting.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what is known; a plan of the roof as it was says so."""
        slitting = self.slitting
        self.button.setText("Cancel" if slitting.working else "Work out the slitting plan")
        self.button.setEnabled(slitting.working or bool(self._session.results.take_off.trim))
        slit = slitting.slit
        said = list(slit.sentences) if slit is not None else []
        if slitting.working:
            said = ["Working …"]
        elif slit is not None and not slitting.is_current:
            said = [_OLD]
        self.said.setText("\n".join(said))
        self.said.setVisible(bool(said))
        self.list.setVisible(
            slit is not None and bool(slit.cuts) and slitting.is_current and not slitting.working
        )
        if slit is not None and slit is not self._shown:
            self._fill(slit)

    def _fill(self, slit: Slit) -> None:
        self._shown = slit
        self.list.clear()
        for cut in slit.cuts:
            top = QTreeWidgetItem([cut.words])
            top.setToolTip(0, cut.words)
            for words in cut.strips:
                row = QTreeWidgetItem([words])
                row.setToolTip(0, words)
                top.addChild(row)
            self.list.addTopLevelItem(top)
        self.list.expandAll()
        rows = len(slit.cuts) + sum(len(cut.strips) for cut in slit.cuts)
        high = rows * max(self.list.sizeHintForRow(0), _ROW_PX) + 4
        self.list.setFixedHeight(min(high, _MOST_PX))

    def _clicked(self) -> None:
        if self.slitting.working:
            self.slitting.cancel()
        else:
            self.slitting.work_out()
