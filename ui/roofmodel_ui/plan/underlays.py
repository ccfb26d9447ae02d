"""Drawing what lies under the plan: tiles of pictures and pages, lines of drawings.

The plan asks for what it needs and draws what there is: a coarser tile stands in for one that is
still being made, so that the window never waits. Who makes them is the `Supply`; it is found by
`supply_of`, for the plan and its tools may not reach for files themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from PySide6.QtCore import QLineF, QObject, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QTransform
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from roofmodel.document import Underlay
from roofmodel_ui import theme
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from numpy.typing import NDArray

Lines: TypeAlias = "NDArray[np.float64]"
Wanted = tuple[Underlay, int, int, int]
"""An underlay, a level, a column, a row."""

MOST_AT_ONCE = 2000
"""Of a drawing with more lines in view tiles are drawn, made elsewhere."""
LEAST_PX = 0.7
"""A line of a drawing shorter than this on screen is not drawn."""


class Supply(QObject):
    """What there is to draw; `arrived` when there is more. Nothing here waits for anything."""

    arrived = Signal()
    tile_size = 512

    def levels(self, underlay: Underlay) -> tuple[int, int] | None:
        """The finest and the coarsest level of a picture or page; None while it is not read."""
        raise NotImplementedError

    def image(self, underlay: Underlay, level: int, column: int, row: int) -> QImage | None:
        """A tile if it is there."""
        raise NotImplementedError

    def want(self, tiles: Sequence[Wanted]) -> None:
        """Make these tiles, the first one first; what was wanted before no longer counts."""
        raise NotImplementedError

    def lines(self, underlay: Underlay) -> Lines | None:
        """The lines of a drawing in plan, (n, 2, 2) mm; None while it is not read."""
        raise NotImplementedError

    def layers(self, underlay: Underlay) -> tuple[str, ...]:
        """The layers of a drawing; none while it is not read."""
        raise NotImplementedError

    def words(self, underlay: Underlay) -> str:
        """What to say in its place while there is nothing to draw."""
        raise NotImplementedError


def supply_of(session: Session) -> Supply | None:
    """The supply of a session's underlays, if there is one."""
    return session.findChild(Supply)


class UnderlayItem(QGraphicsItem):
    """All underlays, drawn one over the other under the roof."""

    def __init__(self, session: Session, world: QRectF) -> None:
        super().__init__()
        self._session, self._world = session, world
        self._kept: dict[str, tuple[object, list[QLineF], bool]] = {}
        self.setZValue(-100)

    def boundingRect(self) -> QRectF:
        return self._world

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        supply = supply_of(self._session)
        if supply is None:
            return
        wanted: list[Wanted] = []
        to_screen = painter.worldTransform()
        back, _ = to_screen.inverted()
        view = back.mapRect(QRectF(painter.viewport()))
        for underlay in self._session.results.project.underlays:
            if not underlay.visible:
                continue
            painter.save()
            try:
                painter.setOpacity(underlay.opacity)
                if underlay.kind == "drawing":
                    drawn = self._draw_lines(
                        painter, supply, underlay, view, _size(to_screen)
                    ) or _draw_tiles(painter, supply, underlay, wanted)
                else:
                    drawn = _draw_tiles(painter, supply, underlay, wanted)
                if not drawn:
                    _draw_words(painter, supply.words(underlay), underlay)
            finally:
                painter.restore()
        supply.want(wanted)

    def _draw_lines(
        self, painter: QPainter, supply: Supply, underlay: Underlay, view: QRectF, scale: float
    ) -> bool:
        lines = supply.lines(underlay)
        if lines is None:
            return False
        key = (id(lines), _rect(view), scale)
        kept = self._kept.get(underlay.id)
        if kept is None or kept[0] != key:
            seen = visible_lines(lines, _rect(view), LEAST_PX / scale)
            few = seen[:0] if (many := len(seen) > MOST_AT_ONCE) else seen
            kept = (key, [QLineF(*ends) for ends in few.reshape(-1, 4).tolist()], many)
            self._kept[underlay.id] = kept
        if kept[2]:
            return False
        pen = QPen(QColor(theme.QUIET), 1.0)
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.drawLines(kept[1])
        return True


def _rect(rect: QRectF) -> tuple[float, float, float, float]:
    return rect.left(), rect.top(), rect.width(), rect.height()


def visible_lines(lines: Lines, view: tuple[float, float, float, float], shortest: float) -> Lines:
    """Those that may cross the view (left, top, width, height, mm) and are not too short.

    >>> ends = np.array([[[0, 0], [9, 0]], [[50, 0], [60, 0]], [[1, 1], [1, 1.5]]], float)
    >>> visible_lines(ends, (0.0, 0.0, 10.0, 10.0), 1.0).tolist()
    [[[0.0, 0.0], [9.0, 0.0]]]
    """
    left, top, width, height = view
    # Not min(axis=1): over so short an axis that takes ten times as long.
    low = np.minimum(lines[:, 0], lines[:, 1])
    high = np.maximum(lines[:, 0], lines[:, 1])
    keep = (high[:, 0] >= left) & (low[:, 0] <= left + width)
    keep &= (high[:, 1] >= top) & (low[:, 1] <= top + height)
    size = high - low
    keep &= np.maximum(size[:, 0], size[:, 1]) >= shortest
    seen: Lines = lines[keep]
    return seen


def _size(transform: QTransform) -> float:
    return math.hypot(transform.m11(), transform.m12())


def placing(underlay: Underlay) -> QTransform:
    """From pixels to plan."""
    place = QTransform.fromTranslate(*underlay.origin)
    place.rotate(underlay.turn)
    place.scale(underlay.mm_per_pixel, -underlay.mm_per_pixel)
    return place


def placed_box(underlay: Underlay) -> QRectF:
    """The box around an underlay in plan, mm."""
    return placing(underlay).mapRect(QRectF(0, 0, underlay.width, underlay.height))


def level_for(pixels: float, levels: tuple[int, int]) -> int:
    """The level to draw when one pixel of level 0 is so many on screen.

    >>> [level_for(p, (-2, 6)) for p in (1.0, 0.6, 0.5, 0.26, 0.001, 1.1, 2.5, 99.0)]
    [0, 0, 1, 1, 6, -1, -2, -2]
    """
    finest, coarsest = levels
    return min(max(math.floor(-math.log2(pixels)), finest), coarsest)


def _draw_tiles(
    painter: QPainter, supply: Supply, underlay: Underlay, wanted: list[Wanted]
) -> bool:
    levels = supply.levels(underlay)
    if levels is None:
        return False
    painter.setWorldTransform(placing(underlay) * painter.worldTransform())
    # The edges of tiles must meet without a gap: no half-covered pixels.
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    ratio = painter.device().devicePixelRatio()
    level = level_for(_size(painter.worldTransform()) * ratio, levels)
    step = supply.tile_size * 2.0**level
    back, _ = painter.worldTransform().inverted()
    whole = QRectF(0, 0, underlay.width, underlay.height)
    view = back.mapRect(QRectF(painter.viewport())).intersected(whole)
    if view.isEmpty():
        return True
    columns = range(int(view.left() / step), math.ceil(view.right() / step))
    rows = range(int(view.top() / step), math.ceil(view.bottom() / step))
    middle = view.center()
    missing: list[tuple[float, Wanted]] = []
    for column in columns:
        for row in rows:
            image = supply.image(underlay, level, column, row)
            place = QRectF(column * step, row * step, step, step)
            if image is not None:
                _draw_image(painter, image, place.topLeft().toTuple(), 2.0**level)
                continue
            away = place.center() - middle
            missing.append((math.hypot(away.x(), away.y()), (underlay, level, column, row)))
            _draw_coarser(painter, supply, underlay, (level, column, row), levels[1])
    coarse = (underlay, levels[1], 0, 0)
    if missing and supply.image(*coarse) is None:
        wanted.append(coarse)  # first of all: it stands in for all others
    wanted.extend(tile for _, tile in sorted(missing, key=lambda m: m[0]))
    return True


def _draw_image(painter: QPainter, image: QImage, at: tuple[object, ...], pixel: float) -> None:
    x, y = (float(v) for v in at)  # type: ignore[arg-type]
    painter.drawImage(QRectF(x, y, image.width() * pixel, image.height() * pixel), image)


def _draw_coarser(
    painter: QPainter, supply: Supply, underlay: Underlay, tile: tuple[int, int, int], last: int
) -> None:
    """The part of a coarser tile that lies where one is missing."""
    level, column, row = tile
    for up in range(1, last - level + 1):
        image = supply.image(underlay, level + up, column >> up, row >> up)
        if image is None:
            continue
        size = supply.tile_size / 2**up
        left = (column - ((column >> up) << up)) * size
        top = (row - ((row >> up) << up)) * size
        source = QRectF(left, top, size, size).intersected(QRectF(image.rect()))
        if source.isEmpty():
            return
        pixel = 2.0 ** (level + up)
        step = supply.tile_size * 2.0**level
        target = QRectF(column * step, row * step, source.width() * pixel, source.height() * pixel)
        painter.drawImage(target, image, source)
        return


def _draw_words(painter: QPainter, words: str, underlay: Underlay) -> None:
    """Where it will lie, and what is being done about it."""
    box = (placing(underlay) * painter.worldTransform()).mapToPolygon(
        QRectF(0, 0, underlay.width, underlay.height).toAlignedRect()
    )
    painter.resetTransform()
    painter.setOpacity(1.0)
    painter.setBrush(QColor(theme.GROUND))
    painter.setPen(QPen(QColor(theme.LINE), 1.0))
    painter.drawPolygon(box)
    painter.setPen(QColor(theme.QUIET))
    painter.setFont(theme.plan_font(10))
    view = QRectF(box.boundingRect()).intersected(QRectF(painter.viewport()))
    painter.drawText(view, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, words)
