"""A choice of the price book's colours, each with a swatch of it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QWidget

from roofmodel.systems.prices import Colour, PriceBook
from roofmodel_ui import theme
from roofmodel_ui.money_words import as_share
from roofmodel_ui.panels.fields import Choice

SWATCH_PX: Final = 14
WIDEST_PX: Final = 230


def swatch(shade: str, widget: QWidget) -> QIcon:
    """A square of a colour (#rrggbb), framed; crossed out where there is none."""
    ratio = widget.devicePixelRatioF()
    picture = QPixmap(QSize(SWATCH_PX, SWATCH_PX) * ratio)
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    frame = QRect(0, 0, SWATCH_PX - 1, SWATCH_PX - 1)
    if shade:
        painter.fillRect(frame, QColor(shade))
    painter.setPen(QColor(theme.BORDER))
    painter.drawRect(frame)
    if not shade:
        painter.drawLine(frame.bottomLeft(), frame.topRight())
    painter.end()
    return QIcon(picture)


class ColourChoice(Choice):
    """One of the colours of a book, or none in particular."""

    def sizeHint(self) -> QSize:
        """Wide enough for the longest words there are."""
        words = (self.itemText(k) for k in range(self.count()))
        wide = max((self.fontMetrics().horizontalAdvance(w) for w in words), default=0)
        return QSize(min(wide + SWATCH_PX + 44, WIDEST_PX), super().sizeHint().height())

    def offer_colours(self, book: PriceBook | None, chosen: str, none: str) -> None:
        """Put the colours up for choice, `none` first; one that the book has no more is named."""
        colours: list[Colour] = list(book.colours) if book is not None else []
        options: list[tuple[str, object]] = [(none, "")]
        options += [(_words(c), c.name) for c in colours]
        shades = ["", *(c.shade for c in colours)]
        if chosen and all(c.name != chosen for c in colours):
            options.append((f"{chosen} (not in this book)", chosen))
            shades.append("")
        self.offer(options)
        self.setIconSize(QSize(SWATCH_PX, SWATCH_PX))
        for place, shade in enumerate(shades):
            self.setItemIcon(place, swatch(shade, self))
        self.show_choice(chosen)
        self.updateGeometry()

    def elided(self) -> str:
        """The words as they fit beside the swatch."""
        middle = Qt.TextElideMode.ElideMiddle
        room = self.width() - SWATCH_PX - 40
        return self.fontMetrics().elidedText(self.currentText(), middle, room)


def _words(colour: Colour) -> str:
    more = colour.factor - 1
    if not more:
        return colour.name
    sign = "+" if more > 0 else "−"
    return f"{colour.name}, {sign}{as_share(abs(more))}"
