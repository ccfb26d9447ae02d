"""Bars of a cutting plan drawn to scale, as rows of a tree: pieces with their lengths and runs,
offcuts hatched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from roofmodel.document import Units
from roofmodel.takeoff import TrimBar
from roofmodel.units import format_length
from roofmodel_ui import theme

TIMES_PX: Final = 40
BAR_PX: Final = 22
ROW_PX: Final = 28
PLAN_PX: Final = 42
MARGIN_PX: Final = 8
LEAST_WORDS_PX: Final = 22
SHOWN_ROLE: Final = Qt.ItemDataRole.UserRole + 1
"""What a row draws: a `Bars` or a `Heading`."""


@dataclass(frozen=True, slots=True)
class Heading:
    """Title of a plan, and how good it is known to be."""

    title: str
    words: str


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars cut alike: how many, their length, each piece with its words, what stays. Lengths in
    mm; `longest` is the longest bar shown anywhere, so that all are drawn to one scale."""

    times: int
    stock: float
    pieces: tuple[tuple[float, str, str], ...]
    offcut: float
    offcut_words: str
    longest: float


def bars_of(bars: Sequence[TrimBar], longest: float, units: Units) -> Bars:
    """What is drawn of bars that are cut alike."""
    first = bars[0]
    pieces = []
    for place, piece in enumerate(first.pieces):
        names = dict.fromkeys(b.pieces[place].run.edge_name for b in bars)
        pieces.append((piece.length, format_length(piece.length, units), ", ".join(names)))
    offcut = "" if first.is_whole else format_length(first.offcut, units)
    return Bars(len(bars), first.stock_length, tuple(pieces), first.offcut, offcut, longest)


def words_of(bars: Bars, units: Units) -> str:
    """The same in words."""
    stock = format_length(bars.stock, units)
    cuts = "; ".join(f"{length} for {name}" for _, length, name in bars.pieces)
    stays = f"; offcut {bars.offcut_words}" if bars.offcut_words and bars.offcut > 0.0 else ""
    return f"{bars.times} × {stock}: {cuts}{stays}"


class BarDelegate(QStyledItemDelegate):
    """Paints headings in two lines and bars to scale."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        is_bar = isinstance(index.data(SHOWN_ROLE), Bars)
        return QSize(120, ROW_PX if is_bar else PLAN_PX)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        shown = index.data(SHOWN_ROLE)
        rect = QRectF(option.rect)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        if chosen:
            painter.fillRect(rect, QColor(theme.ACCENT))
        painter.setFont(option.font)
        if isinstance(shown, Bars):
            _paint_bars(painter, rect, shown, theme.PAPER if chosen else theme.INK)
        elif isinstance(shown, Heading):
            _paint_heading(painter, rect, shown)
        painter.restore()


def _paint_heading(painter: QPainter, rect: QRectF, shown: Heading) -> None:
    font = painter.font()
    font.setBold(True)
    half = rect.height() / 2.0
    wide = rect.width() - MARGIN_PX
    for place, (words, color, bold) in enumerate(
        ((shown.title, theme.INK, True), (shown.words, theme.QUIET, False))
    ):
        font.setBold(bold)
        painter.setFont(font)
        painter.setPen(QColor(color))
        line = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, wide)
        at = QRectF(rect.x() + 2, rect.y() + place * half, wide, half)
        low = Qt.AlignmentFlag.AlignBottom if place == 0 else Qt.AlignmentFlag.AlignTop
        painter.drawText(at, Qt.AlignmentFlag.AlignLeft | low, line)


def _paint_bars(painter: QPainter, rect: QRectF, shown: Bars, ink: str) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(QColor(ink))
    times = QRectF(rect.x(), rect.y(), TIMES_PX - 8, rect.height())
    painter.drawText(
        times, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{shown.times} ×"
    )
    left, room = rect.x() + TIMES_PX, rect.width() - TIMES_PX - MARGIN_PX
    scale = room / shown.longest
    top = rect.y() + (rect.height() - BAR_PX) / 2.0
    at = left
    for length, words, name in shown.pieces:
        piece = QRectF(at, top, length * scale, BAR_PX)
        painter.setPen(QPen(QColor(theme.BORDER), 1.0))
        painter.setBrush(QBrush(QColor(theme.ROOF_FILL)))
        painter.drawRect(piece)
        painter.setPen(QColor(theme.INK))
        _fit_words(painter, piece, words, name)
        at += length * scale
    end = left + shown.stock * scale
    if shown.offcut > 0.0 and end - at > 1.0:
        rest = QRectF(QPointF(at, top), QPointF(end, top + BAR_PX))
        painter.fillRect(rest, QColor(theme.PAPER))
        painter.setPen(QPen(QColor(theme.BORDER), 1.0))
        painter.setBrush(QBrush(QColor(theme.FAINT), Qt.BrushStyle.BDiagPattern))
        painter.drawRect(rest)
        _offcut_words(painter, rest, shown.offcut_words)


def _fit_words(painter: QPainter, piece: QRectF, words: str, name: str) -> None:
    """Length and run where there is room, the length alone, or a part of it; the tip has all."""
    metrics = QFontMetricsF(painter.font())
    room = piece.width() - 6.0
    if room < LEAST_WORDS_PX:
        return
    full = f"{words}  {name}"
    if metrics.horizontalAdvance(full) > room and metrics.horizontalAdvance(words) > room:
        full = words
    text = metrics.elidedText(full, Qt.TextElideMode.ElideRight, room)
    painter.drawText(piece, Qt.AlignmentFlag.AlignCenter, text)


def _offcut_words(painter: QPainter, rest: QRectF, words: str) -> None:
    metrics = QFontMetricsF(painter.font())
    wide = metrics.horizontalAdvance(words) + 8.0
    if not words or wide > rest.width() - 4.0:
        return
    box = QRectF(0.0, 0.0, wide, BAR_PX - 6.0)
    box.moveCenter(rest.center())
    painter.fillRect(box, QColor(theme.PAPER))
    painter.setPen(QColor(theme.QUIET))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
