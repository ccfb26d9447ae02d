"""Panels in plan: their lines, their numbers and lengths, and the line they begin at.

The lines of a plane are one path, kept as long as its panels stay the same ones.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from roofmodel.document import NOT_IN_JOB, OTHER, Units
from roofmodel.results import Results
from roofmodel.scene.laid import Laid, laid_on
from roofmodel.surface import PlaneId
from roofmodel.takeoff import Laying
from roofmodel.units import format_length
from roofmodel_ui import theme
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.labels import Placer
from roofmodel_ui.selection import expanded

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from roofmodel.scene.start_lines import StartLine
    from roofmodel_ui.plan.canvas import PlanCanvas

WORDS_PT: Final = 7.5
APART_PX: Final = 24.0
"""Numbers of panels too narrow for their own stand at least so far apart."""
TICK_PX: Final = 16.0
"""A starting line is drawn at least so long: in the corner of a hip it has no length."""
ARROW_PX: Final = 24.0
LEAST_ARROW_PX: Final = 8.0
_OF_WIDTH: Final = 0.2
"""An arrow is no longer than this share of its plane, and left out where it would be tiny."""
_AWAY: Final = 0.22
"""The arrow stands so far up the starting line, clear of the length in its middle."""

Array: TypeAlias = "NDArray[np.float64]"


def laid_shown(results: Results) -> dict[PlaneId, Laid]:
    """The planes in view that have panels, with these."""
    return laid_on(shown(results).surface.planes, results.take_off.layings)


def draw_panels(painter: QPainter, laying: Laying | None) -> None:
    """The panels of one plane as lines, in plan millimetres."""
    if laying is None:
        return
    pen = QPen(seam_color(), 1.0)
    pen.setCosmetic(True)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(_path(laying))


def draw_apart(painter: QPainter, plane: QPainterPath, covering: str) -> None:
    """Hatch a plane (plan mm) that no roofing system covers: one way where it is covered
    otherwise, both ways where it is not in the job."""
    styles = {OTHER: Qt.BrushStyle.BDiagPattern, NOT_IN_JOB: Qt.BrushStyle.DiagCrossPattern}
    if covering in styles:
        brush = QBrush(seam_color(), styles[covering])
        brush.setTransform(painter.worldTransform().inverted()[0])  # as dense at every zoom
        painter.fillPath(plane, brush)


def seam_color() -> QColor:
    """The colour of the lines between panels: seen on the roof, quieter than its edges."""
    return _between(theme.ROOF_FILL, theme.QUIET, 0.42)


@lru_cache(maxsize=1024)
def _path(laying: Laying) -> QPainterPath:
    """Each side of a panel once; told apart by the laying itself, which stays while it holds."""
    path = QPainterPath()
    known: set[tuple[tuple[int, int], tuple[int, int]]] = set()
    for panel in laying.panels:
        for ring in (panel.outline, *panel.holes):
            points = ring[:, :2].tolist()
            for a, b in pairwise([*points, points[0]]):
                ends = sorted(((round(a[0]), round(a[1])), (round(b[0]), round(b[1]))))
                key = ends[0], ends[1]
                if key not in known:
                    known.add(key)
                    path.moveTo(*a)
                    path.lineTo(*b)
    return path


@dataclass(frozen=True, slots=True, eq=False)
class _Room:
    """Where the words of each panel may stand: the middle (n, 2) of its middle line, how long
    that is (n,) and how wide the panel (n,), all in plan mm; `uphill` is a plan unit vector."""

    middle: Array
    length: Array
    width: Array
    uphill: tuple[float, float]


@lru_cache(maxsize=1024)
def _room(laid: Laid) -> _Room:
    from roofmodel.takeoff.field import Frame  # late: with it comes all of the geometry

    frame = Frame.of(laid.plane)
    spots, lengths, widths = [], [], []
    for panel in laid.laying.panels:
        flat = frame.flat(panel.outline)
        low, high = float(flat[:, 0].min()), float(flat[:, 0].max())
        bottom, top = _across(flat, (low + high) / 2.0)
        spots.append(((low + high) / 2.0, (bottom + top) / 2.0))
        lengths.append((top - bottom) / frame.factor)
        widths.append(high - low)
    middle = frame.raised(np.array(spots))[:, :2]
    return _Room(middle, np.array(lengths), np.array(widths), frame.uphill)


def _across(flat: Array, u: float) -> tuple[float, float]:
    """The longest stretch of a line up the slope within a ring (n, 2), by its ends."""
    levels = []
    for (a, v), (b, w) in pairwise([*flat.tolist(), flat[0].tolist()]):
        if (a <= u) != (b <= u):
            levels.append(v + (u - a) * (w - v) / (b - a))
    levels.sort()
    pairs = [*zip(levels[::2], levels[1::2], strict=False)]
    if not pairs:
        return float(flat[:, 1].min()), float(flat[:, 1].max())
    return max(pairs, key=lambda p: p[1] - p[0])


@lru_cache(maxsize=1024)
def _words(laying: Laying, units: Units) -> tuple[tuple[str, str], ...]:
    """Number, and number with length, of each panel."""
    return tuple(
        (str(p.number), f"{p.number}  {format_length(p.length, units)}") for p in laying.panels
    )


def draw_panel_words(painter: QPainter, placer: Placer, canvas: PlanCanvas) -> None:
    """Numbers in laying order, and lengths, as far as there is room; none lies on another text.

    While something is dragged they are left out: the panels under them come and go.
    """
    results = canvas.session.results
    if results.project is not canvas.session.project:
        return
    font = theme.plan_font(WORDS_PT)
    words = [
        word
        for laid in laid_shown(results).values()
        for word in _placed(canvas, laid, QFontMetricsF(font))
    ]
    _draw_words(painter, placer, words, font)


@dataclass(slots=True)
class _Word:
    """Words centred at a pixel, turned by degrees, with what they take of the screen."""

    text: str
    at: QPointF
    turn: float
    wide: float
    high: float


def _placed(canvas: PlanCanvas, laid: Laid, metrics: QFontMetricsF) -> Iterator[list[_Word]]:
    """What may be written on each panel, the best first."""
    laying = laid.laying
    room, scale = _room(laid), canvas.scale_now()
    view = QRectF(canvas.viewport().rect())
    high = metrics.height()
    turn = math.degrees(math.atan2(-room.uphill[1], room.uphill[0]))
    turn = turn - 180.0 if turn > 90.0 - 1e-6 else turn + 180.0 if turn <= -90.0 - 1e-6 else turn
    u = math.radians(turn)
    way = QPointF(math.cos(u), math.sin(u))
    written: QPointF | None = None
    last = len(laying.panels) - 1
    widest = metrics.horizontalAdvance(str(last + 1)) + 2.0
    for k, (number, both) in enumerate(_words(laying, canvas.session.project.units)):
        at = canvas.to_pixel((float(room.middle[k, 0]), float(room.middle[k, 1])))
        wide, long = float(room.width[k]) * scale, float(room.length[k]) * scale
        if not view.contains(at):
            continue
        found = []
        size = metrics.horizontalAdvance(both)
        spare = (long - size - 8.0) / 2.0
        if wide >= high + 2.0 and spare >= 0.0:
            places = (0.0, -spare, spare, -spare / 2.0, spare / 2.0)
            found += [_Word(both, at + way * s, turn, size, high - 2.0) for s in places]
        size = metrics.horizontalAdvance(number)
        across = wide if abs(turn) > 45.0 else long
        own = across >= widest and min(wide, long) >= high - 3.0
        if not own and wide >= 2.0 and long >= high:
            # Too narrow for a number of its own: one now and then, so that one can count on.
            far = written is None or math.hypot(*(at - written).toTuple()) >= APART_PX
            own = far and (k in (0, last) or laying.panels[k].number % 5 == 0)
            written = at if own else written
        if own:
            spare = max((long - high) / 2.0 - 2.0, 0.0)
            places = (-spare, spare, 0.0, -spare / 2.0, spare / 2.0)
            found += [_Word(number, at + way * s, 0.0, size, high - 2.0) for s in places]
        if found:
            yield found


def _draw_words(
    painter: QPainter, placer: Placer, words: Iterable[list[_Word]], font: QFont
) -> None:
    painter.setFont(font)
    painter.setPen(QColor(theme.INK))
    base = painter.worldTransform()
    for options in words:
        for word in options:
            if placer.claim(word.at, word.wide, word.high, word.turn):
                painter.translate(word.at)
                painter.rotate(word.turn)
                rect = QRectF(-word.wide / 2, -word.high / 2, word.wide, word.high)
                middle = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip
                painter.drawText(rect, middle, word.text)
                painter.setWorldTransform(base)
                break


def start_lines(results: Results) -> Mapping[PlaneId, StartLine]:
    """The starting lines of the planes in view."""
    from roofmodel.scene.start_lines import start_line  # late, as `Frame` is

    project = results.project
    return {
        key: start_line(laid, project.layout_of(str(key)))
        for key, laid in laid_shown(results).items()
    }


def draw_start_lines(painter: QPainter, placer: Placer, canvas: PlanCanvas) -> None:
    """Where the panels of each plane begin, and an arrow the way they are laid; those of the
    selected planes stand out and have a knob to drag them by."""
    session = canvas.session
    chosen = expanded(session.results, session.selection)
    lines = start_lines(session.results)
    for key in sorted(lines, key=lambda k: k in chosen):
        _draw_start(painter, placer, canvas, lines[key], chosen=key in chosen)


def shown_ends(line: StartLine, mm_per_px: float) -> tuple[QPointF, QPointF]:
    """The ends (plan mm) of a starting line as it is drawn: never shorter than a tick, which is
    small on a small plane."""
    long = math.dist(line.foot, line.head)
    reach = max(long, min(TICK_PX * mm_per_px, _OF_WIDTH * line.width))
    foot = QPointF(*line.foot)
    return foot, foot + QPointF(*line.uphill) * reach


def _draw_start(
    painter: QPainter, placer: Placer, canvas: PlanCanvas, line: StartLine, *, chosen: bool
) -> None:
    foot_mm, head_mm = shown_ends(line, 1.0 / canvas.scale_now())
    foot, head = canvas.to_pixel(foot_mm.toTuple()), canvas.to_pixel(head_mm.toTuple())
    along = QPointF(line.along[0], -line.along[1])
    at = foot + (head - foot) * _AWAY
    reach = min(ARROW_PX, _OF_WIDTH * line.width * canvas.scale_now())
    tip = at + along * reach
    color = QColor(theme.ACCENT)
    if chosen:
        painter.setPen(QPen(theme.veil(190), 6.0))
        painter.drawLine(foot, head)
    painter.setPen(QPen(color, 3.0 if chosen else 2.0 if reach >= LEAST_ARROW_PX else 1.2))
    painter.drawLine(foot, head)
    painter.setPen(QPen(color, 2.0 if chosen else 1.5))
    side = QPointF(-along.y(), along.x())
    if reach >= LEAST_ARROW_PX:
        painter.drawLine(at, tip)
        barb = min(7.0, 0.5 * reach)
        for sign in (-1.0, 1.0):
            painter.drawLine(tip, tip - along * barb + side * 0.65 * barb * sign)
    if chosen:
        painter.setPen(QPen(color, 1.6))
        painter.setBrush(QColor(theme.PAPER))
        painter.drawEllipse(at, 5.0, 5.0)
        painter.setBrush(Qt.BrushStyle.NoBrush)
    placer.block(QRectF(at, tip).normalized().adjusted(-5.0, -5.0, 5.0, 5.0))


def _between(one: str, other: str, share: float) -> QColor:
    a, b = QColor(one), QColor(other)
    return QColor.fromRgbF(
        a.redF() + share * (b.redF() - a.redF()),
        a.greenF() + share * (b.greenF() - a.greenF()),
        a.blueF() + share * (b.blueF() - a.blueF()),
    )
