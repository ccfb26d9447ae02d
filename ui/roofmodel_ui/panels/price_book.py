"""The job's price book: which it is, where it comes from, and whether its prices are invented."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from roofmodel.document.offer_edits import set_shares
from roofmodel_ui.panels.fields import Field, quiet
from roofmodel_ui.session import Session

INVENTED = "Invented prices. Put your own in before a price goes out."
NO_BOOK = (
    "This job has no prices. Load your price book, or start from the invented sample and put your"
    " own prices into it."
)


class Warned(QFrame):
    """A sentence that must not be overlooked, with what to press."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setObjectName("warned")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.label = QLabel()
        self.label.setWordWrap(True)
        self.label.setAccessibleName(name)
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(10, 5, 6, 5)
        self._line.setSpacing(8)
        self._line.addWidget(self.label, 1)

    def add(self, widget: QWidget) -> None:
        """Put something to press behind the sentence."""
        self._line.addWidget(widget, 0, Qt.AlignmentFlag.AlignTop)


def button_of(action: QAction, words: str) -> QPushButton:
    """A button that does what an action does."""
    button = QPushButton(words)
    button.setProperty("class", "small")
    button.setAccessibleName(action.text().replace("…", "").strip())
    button.setToolTip(action.toolTip())
    button.setEnabled(action.isEnabled())
    action.enabledChanged.connect(button.setEnabled)
    button.clicked.connect(action.trigger)
    return button


class BookForm(QWidget):
    """The name of the book and what can be done with it; `actions` by the names of commands."""

    def __init__(self, session: Session, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self.session = session
        self.name = Field("Price book", self._named)
        self.name.setToolTip("The name of the price book; it stands wherever a price goes.")
        self.currency = Field("Currency", self._currency)
        self.currency.setToolTip("The sign or the letters of the currency, such as $.")
        self.currency.setMinimumWidth(40)
        self.currency.setMaximumWidth(52)
        self._none = quiet(NO_BOOK)
        self.load = button_of(actions["load_prices"], "Load …")
        self.save = button_of(actions["save_prices"], "Save …")
        self.sample = button_of(actions["sample_prices"], "Start from invented prices")
        self.remove = button_of(actions["remove_prices"], "Remove")
        self._words = QLabel("Price book")
        line = QHBoxLayout()
        line.setSpacing(6)
        for widget in (self._words, self.name, self.currency):
            line.addWidget(widget, 1 if widget is self.name else 0)
        for button in (self.load, self.save, self.remove, self.sample):
            line.addWidget(button)
        line.addStretch(0)
        self.invented = Warned("Invented prices")
        self.invented.label.setText(INVENTED)
        self.own = QPushButton("They are mine now")
        self.own.setProperty("class", "small")
        self.own.setToolTip(
            "Press this when every price, hour and share is your own: the mark goes away."
        )
        self.own.clicked.connect(self._mark_own)
        self.invented.add(self.own)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self._none)
        column.addLayout(line)
        column.addWidget(self.invented)

    def refresh(self) -> None:
        """Show the book there is."""
        book = self.session.project.prices
        self._none.setVisible(book is None)
        self.sample.setVisible(book is None)
        for part in (self._words, self.name, self.currency, self.save, self.remove):
            part.setVisible(book is not None)
        self.load.setText("Load price book …" if book is None else "Load …")
        self.invented.setVisible(book is not None and book.sample)
        if book is not None:
            self.name.show_value(book.name)
            self.currency.show_value(book.currency)

    def _named(self, typed: str) -> None:
        self.session.attempt("Name price book", lambda p: set_shares(p, name=typed.strip()))

    def _currency(self, typed: str) -> None:
        self.session.attempt("Set currency", lambda p: set_shares(p, currency=typed.strip()))

    def _mark_own(self) -> None:
        self.session.attempt("Mark prices as own", lambda p: set_shares(p, sample=False))
