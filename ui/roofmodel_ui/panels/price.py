"""What the job costs: the price book, every good and task, and the steps from cost to price."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from roofmodel.document.offer_edits import set_colour
from roofmodel.price import Priced
from roofmodel.quoting import price_of
from roofmodel_ui import theme
from roofmodel_ui.money_words import as_money
from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.explanation import Explanation
from roofmodel_ui.panels.lines import Wanted
from roofmodel_ui.panels.list_page import ListPage
from roofmodel_ui.panels.price_book import BookForm, Warned
from roofmodel_ui.panels.price_lines import (
    PriceRow,
    copied,
    explained,
    fitting,
    rows_of,
    step_words,
    typed_into,
)
from roofmodel_ui.panels.price_steps import StepsForm
from roofmodel_ui.panels.price_table import PriceTable
from roofmodel_ui.panels.swatches import ColourChoice
from roofmodel_ui.panels.table import INSET_PX
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session

ESTIMATE = "estimate: the trim is not planned yet"


class PriceExplanation(Explanation):
    """How the price of a row came about."""

    def explain_rows(self, rows: list[PriceRow], session: Session, currency: str) -> None:
        """Explain the one row, or say how many there are."""
        if len(rows) == 1:
            self._put(explained(rows[0], session.results, currency))
        elif rows:
            self.say(f"{len(rows)} lines; what they came from lights up.")
        else:
            self.say("Select a line to see how its price came about.")


class PricePage(ListPage):
    """A row that is chosen lights up what it came from; its price is typed in place."""

    def __init__(self, session: Session, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self.session = session
        self.book = BookForm(session, actions)
        self.colour = ColourChoice("Colour of the job", self._take_colour)
        self.colour.setToolTip("The colour of panels and trim; the book says what it costs more.")
        self.total = QLabel()
        self.total.setProperty("class", "heading")
        self.total.setAccessibleName("Price of the job")
        self.state = QLabel()
        self.state.setProperty("class", "quiet")
        self.missing = Warned("Without a price")
        self.missing.label.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.missing.label.linkActivated.connect(self._go_to_missing)
        self.table = PriceTable()
        self.explanation = PriceExplanation()
        self.steps = StepsForm(session)
        self.wanted = Wanted()
        self._rows: list[PriceRow] = []
        self._priced: Priced | None = None
        self._busy = False
        self._build()
        self._catch = CatchUp(session, self, self.refresh)
        session.planning.changed.connect(self._catch.later)
        session.highlight.changed.connect(self._unlit)
        session.selection_changed.connect(self._unlit)
        self.table.itemSelectionChanged.connect(self._rows_chosen)
        self.table.typed.connect(self._typed)
        self.table.copy_wanted.connect(self._copy_said)
        self.table.left.connect(self.let_go)

    def price(self) -> Priced | None:
        """The price that is shown; None without a book."""
        self._catch.now()
        return self._priced

    def enter(self) -> None:
        """Go to the table, and to its first row if none is chosen."""
        self.table.enter()

    def copy(self) -> int:
        """Put the chosen rows, or else all that are shown, on the clipboard; how many."""
        self._catch.now()
        rows = self.table.chosen() or self.table.rows
        QApplication.clipboard().setText(copied(rows, self._currency()))
        return len(rows)

    def let_go(self) -> None:
        """Choose nothing and light nothing."""
        self.session.select(())
        self.table.clearSelection()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._catch.now()

    def refresh(self) -> None:
        """Show the price as it is now."""
        session = self.session
        book = session.project.prices
        self.book.refresh()
        found = self._priced = price_of(session.results)
        there = found is not None and book is not None
        for part in (self._top, self._split):
            part.setVisible(there)
        self._rest.setVisible(not there)
        self.missing.setVisible(found is not None and not found.is_whole)
        if found is None or book is None:
            self._rows = []
            self.table.show_rows((), "")
            return
        self._rows = rows_of(found, session.results)
        self._busy = True
        self.table.show_rows(fitting(self._rows, self.wanted), book.currency)
        self._busy = False
        self.steps.show_steps(found, book)
        self.colour.offer_colours(book, session.project.colour, "No colour in particular")
        whole = "" if found.is_whole else " · not complete"
        self.total.setText(f"{as_money(found.price, book.currency)}{whole}")
        words = [ESTIMATE] if session.is_preview() or session.is_estimate() else []
        words += ["invented prices"] if book.sample else []
        self.state.setText(" · ".join(words))
        self._say_missing()
        self._explain()

    def _build(self) -> None:
        self._top = QWidget()
        top = QHBoxLayout(self._top)
        top.setContentsMargins(0, 0, 0, 0)
        top.addWidget(self.total)
        top.addWidget(self.state)
        top.addStretch(1)
        top.addWidget(QLabel("Colour"))
        top.addWidget(self.colour)
        head = QWidget()
        rows = QVBoxLayout(head)
        rows.setContentsMargins(INSET_PX, 8, INSET_PX, 6)
        rows.setSpacing(6)
        for part in (self.book, self._top, self.missing):
            rows.addWidget(part)
        foot = QWidget()
        below = QVBoxLayout(foot)
        below.setContentsMargins(INSET_PX, 6, INSET_PX, 8)
        below.addWidget(self.steps)
        below.addStretch(1)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        for part in (self.table, self.explanation, foot):
            self._split.addWidget(part)
        self._split.setStretchFactor(0, 1)
        self._split.setStretchFactor(1, 0)
        self._split.setStretchFactor(2, 0)
        self._split.setSizes([1000, 84, foot.sizeHint().height()])
        self.table.setMinimumHeight(80)
        self.explanation.setMinimumHeight(50)
        self._rest = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(head)
        column.addWidget(self._split, 1)
        column.addWidget(self._rest, 1)

    def _currency(self) -> str:
        book = self.session.project.prices
        return book.currency if book is not None else ""

    def _say_missing(self) -> None:
        """Name what has no price; pressing a name goes to its line."""
        if self._priced is None or self._priced.is_whole:
            return
        links = ", ".join(
            f'<a style="color:{theme.ERROR_INK}" href="{number}">{escape(name)}</a>'
            for number, name in enumerate(self._priced.missing)
        )
        self.missing.label.setText(f"Without a price, and not in the sum: {links}.")

    def _go_to_missing(self, link: str) -> None:
        if self._priced is None:
            return
        name = self._priced.missing[int(link)]
        row = next((r for r in self.table.rows if r.line.item == name and r.is_missing), None)
        if row is None:
            self.session.message.emit(
                f"'{name}' is not among the lines shown: clear the search first.", True
            )
            return
        self.table.clearSelection()
        self.table.edit_row(row)

    def _typed(self, row: PriceRow, column: int, text: str) -> None:
        """What cannot be taken over stays typed, unless the user went on elsewhere by then."""
        here = self.table.isAncestorOf(self.window().focusWidget() or self)
        done = self.session.attempt(
            step_words(row, column), lambda p: typed_into(p, row, column, text)
        )
        if not done and here:
            QTimer.singleShot(0, self, lambda: self.table.type_again(row, column, text))

    def _take_colour(self, value: object) -> None:
        self.session.attempt("Set colour", lambda p: set_colour(p, str(value)))

    def _copy_said(self) -> None:
        count = self.copy()
        lines = "1 line" if count == 1 else f"{count} lines"
        self.session.message.emit(f"Copied {lines} for a spreadsheet.", False)

    def _rows_chosen(self) -> None:
        if self._busy:
            return
        chosen = self.table.chosen()
        lit: set[Selectable] = set()
        for row in chosen:
            lit |= row.about
        self._busy = True
        # Goods come from many places: to select them would let a command act on all of them.
        self.session.select(())
        self.session.highlight.show(lit)
        self._busy = False
        self._explain()

    def _unlit(self) -> None:
        """What a row lit is not lit any more: something else was pointed at."""
        if not self._busy and not self.session.highlight.items:
            self._busy = True
            self.table.clearSelection()
            self._busy = False
            self._explain()

    def _explain(self) -> None:
        if self._priced is not None:
            rows = self.table.chosen()
            if not rows and not self.table.rows:
                self.explanation.say(
                    "No line fits. Clear the search or choose all."
                    if self._rows
                    else "Lines appear as soon as there is a roof."
                )
                return
            self.explanation.explain_rows(rows, self.session, self._currency())
