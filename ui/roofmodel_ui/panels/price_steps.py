"""From cost to price: every step with its formula, and the shares that it goes by."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QSizePolicy, QWidget

from roofmodel.document import Project
from roofmodel.document.offer_edits import set_shares
from roofmodel.price import Priced
from roofmodel.price.money import shown
from roofmodel.systems.prices import PriceBook
from roofmodel_ui import theme
from roofmodel_ui.money_words import as_share, money, share
from roofmodel_ui.panels.fields import Choice, Field
from roofmodel_ui.panels.price_lines import plain_money
from roofmodel_ui.panels.table import RIGHT, bold_of
from roofmodel_ui.session import Session

NAME, FIELD, AMOUNT, HOW = range(4)
FIELD_PX = 84


class Elided(QLabel):
    """A line of quiet words that ends in dots where there is no room; its tip has it whole."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("class", "quiet")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_words(self, text: str) -> None:
        """Show a text."""
        self.setText(text)
        self.setToolTip(text)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(theme.QUIET)
        text = self.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideRight, self.width()
        )
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(self.rect(), left, text)


class StepsForm(QWidget):
    """The steps; `hourly`, `overhead`, `margin`, `tax`, `tax_on` and `rounding` are fields."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.hourly = self._field(
            "Price of an hour",
            "What an hour of one worker costs, wages with all that goes on top.",
            "Set price of an hour",
            lambda t, b: {"hourly": money(t, b.currency)},
        )
        self.overhead = self._field(
            "Overhead",
            "What the business costs beside the job, as a share of the cost.",
            "Set overhead",
            lambda t, b: {"overhead": share(t, "The overhead")},
        )
        self.margin = self._field(
            "Margin",
            "What is left after cost and overhead, as a share of the price before tax.",
            "Set margin",
            lambda t, b: {"margin": share(t, "The margin")},
        )
        self.tax = self._field(
            "Tax",
            "As a share of what it is taken on.",
            "Set tax",
            lambda t, b: {"tax": share(t, "The tax")},
        )
        self.rounding = self._field(
            "Round the price to", "The price is rounded to a multiple of this: 1, 10 or 0.01.",
            "Set rounding", lambda t, b: {"round_to": money(t, b.currency)},
        )  # fmt: skip
        self.tax_on = Choice(
            "Tax on", self._take_tax_on, (("on materials", "materials"), ("on the price", "price"))
        )
        self.tax_on.setMinimumWidth(124)
        self.tax_on.setToolTip("What tax is taken on: the materials, or the price before tax.")
        self._fields: dict[str, QWidget] = {
            "Work": _pair(self.hourly, _words("an hour")), "Overhead": self.overhead,
            "Margin": self.margin, "Tax": _pair(self.tax, self.tax_on),
            "Price": _pair(_words("rounded to"), self.rounding),
        }  # fmt: skip
        self._cells: dict[str, tuple[QLabel, QLabel, Elided]] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(HOW, 1)

    def amounts(self) -> dict[str, str]:
        """The amount of every step, as shown."""
        return {name: cells[1].text() for name, cells in self._cells.items()}

    def show_steps(self, priced: Priced, book: PriceBook) -> None:
        """Show a price that was worked out by a book."""
        for place, step in enumerate(priced.steps):
            if step.name not in self._cells:
                self._add(place, step.name)
            _, amount, how = self._cells[step.name]
            amount.setText(shown(step.amount))
            how.show_words(step.how)
        self.hourly.show_value(plain_money(book.hourly))
        self.overhead.show_value(as_share(book.overhead))
        self.margin.show_value(as_share(book.margin))
        self.tax.show_value(as_share(book.tax))
        self.rounding.show_value(plain_money(book.round_to))
        self.tax_on.show_choice(book.tax_on)

    def _add(self, place: int, name: str) -> None:
        label, amount, how = QLabel(name), QLabel(), Elided()
        amount.setAlignment(RIGHT)
        amount.setAccessibleName(f"{name}, amount")
        if name in ("Cost", "Price before tax", "Price"):
            for cell in (label, amount):
                cell.setFont(bold_of(cell))
        self._grid.addWidget(label, place, NAME)
        if name in self._fields:
            self._grid.addWidget(self._fields[name], place, FIELD)
        self._grid.addWidget(amount, place, AMOUNT)
        self._grid.addWidget(how, place, HOW)
        self._cells[name] = (label, amount, how)

    def _take_tax_on(self, value: object) -> None:
        self.session.attempt("Set tax", lambda p: set_shares(p, tax_on=value))

    def _field(
        self,
        name: str,
        tip: str,
        words: str,
        read: Callable[[str, PriceBook], dict[str, Decimal]],
    ) -> Field:
        def take(typed: str) -> None:
            def edit(project: Project) -> Project:
                assert project.prices is not None
                return set_shares(project, **read(typed, project.prices))

            self.session.attempt(words, edit)

        field = Field(name, take)
        field.setToolTip(tip)
        field.setProperty("class", "tight")
        field.setMinimumWidth(60)
        field.setMaximumWidth(FIELD_PX)
        return field


def _pair(*widgets: QWidget) -> QWidget:
    holder = QWidget()
    line = QHBoxLayout(holder)
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(4)
    for widget in widgets:
        line.addWidget(widget)
    line.addStretch(1)
    return holder


def _words(text: str) -> QLabel:
    words = QLabel(text)
    words.setProperty("class", "quiet")
    return words
