"""How the number of a line came about, below the lines."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QTextBrowser, QWidget

from roofmodel.results import Results
from roofmodel_ui import theme
from roofmodel_ui.panels.lines import Line, about_words, amount, names_of, natural, packs_of
from roofmodel_ui.panels.table import INSET_PX
from roofmodel_ui.selection import Selection

MOST_NAMES = 40


class Explanation(QTextBrowser):
    """Formula, packs, note, source and what on the roof a line came from; text to be copied."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("How it came about")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setOpenLinks(False)
        self.setTabChangesFocus(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.document().setDocumentMargin(0)
        self.setViewportMargins(INSET_PX, 6, 8, 6)
        self._shown = ""

    def text(self) -> str:
        """The words shown."""
        return self.toPlainText()

    def say(self, sentence: str) -> None:
        """A sentence of less weight in place of an explanation."""
        self._put(f'<p style="color:{theme.QUIET}">{escape(sentence)}</p>')

    def explain(self, lines: Sequence[Line], results: Results) -> None:
        """Explain the one line, or say how many there are."""
        if len(lines) == 1:
            self._put(explained(lines[0], results))
        else:
            self.say(f"{len(lines)} lines: {about_words(_about(lines), results)} light up.")

    def _put(self, html: str) -> None:
        if html != self._shown:
            self._shown = html
            self.setHtml(html)


def _about(lines: Sequence[Line]) -> Selection:
    found: Selection = frozenset()
    for line in lines:
        found |= line.about
    return found


def explained(line: Line, results: Results) -> str:
    """A line's explanation as rich text."""
    quantity, units = line.quantity, results.project.units
    parts = [
        f'<p style="margin:0 0 4px 0"><b>{escape(quantity.item)}: '
        f"{escape(amount(quantity, units))}</b></p>",
        _row("", quantity.how),
    ]
    if quantity.packs:
        parts.append(_row("To buy", f"{packs_of(quantity)}: {quantity.pack_how}".rstrip(": ")))
    parts.append(_row("Note", quantity.note))
    parts.append(_row("Source", quantity.source))
    parts.append(_row("From", _from(line, results)))
    return "".join(parts)


def _row(title: str, words: str) -> str:
    if not words:
        return ""
    before = f'<span style="color:{theme.QUIET}">{title}: </span>' if title else ""
    return f'<p style="margin:0 0 3px 0">{before}{escape(words)}</p>'


def _from(line: Line, results: Results) -> str:
    """The names of the planes and edges, in their natural order."""
    names = names_of(results)
    known = sorted((names[i] for i in line.about if i in names), key=natural)
    more = len(known) - MOST_NAMES
    return ", ".join(known[:MOST_NAMES]) + (f" and {more} more" if more > 0 else "")
