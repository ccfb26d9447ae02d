"""Small pictures of roofs, drawn from solved outlines: what a choice shows is what it makes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Sequence

import numpy as np
from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QIcon,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QPolygonF,
    QShowEvent,
)
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QToolButton, QWidget

from roofmodel.document import Point, Step
from roofmodel.document.dormers import DormerKind
from roofmodel.document.edge_shapes import EdgeShape, profile_of
from roofmodel.document.starts import StartKind, outline_of, profiles_of, usual
from roofmodel.skeleton import solve
from roofmodel_ui import theme

SIZE = QSize(52, 34)
TURN, TILT = math.radians(28.0), math.radians(24.0)
"""The house is seen from the south, a little from the east and from above."""

_RIGHT = np.array([math.cos(TURN), math.sin(TURN), 0.0])
_AHEAD = np.array(
    [-math.sin(TURN) * math.cos(TILT), math.cos(TURN) * math.cos(TILT), -math.sin(TILT)]
)
_UP = np.array([-math.sin(TURN) * math.sin(TILT), math.cos(TURN) * math.sin(TILT), math.cos(TILT)])
_BOX: tuple[Point, ...] = ((-4.0, -5.0), (4.0, -5.0), (4.0, 5.0), (-4.0, 5.0))
_LONG: tuple[Point, ...] = ((-5.0, -4.0), (5.0, -4.0), (5.0, 4.0), (-5.0, 4.0))

Profiles = Sequence[Sequence[Step]]


def edge_picture(shape: EdgeShape) -> Callable[[QPainter, QSize], None]:
    """The picture of a choice for an edge: the front of a small house is that edge."""
    eave, gable = (Step(0.0, 0.75),), (Step(0.0, None),)
    numbers = {
        EdgeShape.EAVE: {"pitch": 0.75},
        EdgeShape.CLIPPED: {"break": 1.6, "pitch": 0.75},
        EdgeShape.GABLE_ABOVE_HIP: {"pitch": 0.75, "break": 1.5},
        EdgeShape.GAMBREL: {"break": 2.4, "lower": 1.7, "pitch": 0.45},
        EdgeShape.MANSARD: {"break": 2.6, "lower": 3.4, "pitch": 0.25},
    }
    front = gable if shape is EdgeShape.GABLE else profile_of(shape, numbers[shape])
    if shape is EdgeShape.GAMBREL:
        return lambda p, s: draw_house(p, s, _LONG, (front, gable, front, gable), {0})
    if shape is EdgeShape.MANSARD:
        return lambda p, s: draw_house(p, s, _LONG, (front, front, front, front), {0})
    return lambda p, s: draw_house(p, s, _BOX, (front, eave, gable, eave), {0})


def start_picture(kind: StartKind) -> Callable[[QPainter, QSize], None]:
    """The picture of a ready-made body."""
    start = usual(kind)
    corners = [(x / 1000.0, y / 1000.0) for x, y in outline_of(start)]
    profiles = [
        [Step(step.height / 1000.0, step.slope) for step in profile]
        for profile in profiles_of(start)
    ]
    porch = kind is StartKind.PORCH
    return lambda p, s: draw_house(p, s, corners, profiles, range(len(corners)), porch=porch)


def dormer_picture(kind: DormerKind) -> Callable[[QPainter, QSize], None]:
    """The picture of a kind of dormer: the dormer by itself."""
    eave, gable = (Step(0.0, 0.6),), (Step(0.0, None),)
    front = gable if kind is DormerKind.GABLE else eave
    if kind is DormerKind.SHED:
        front = (Step(0.0, 0.2),)
    side = gable if kind is DormerKind.SHED else eave
    return lambda p, s: draw_house(p, s, _BOX, (front, side, gable, side), range(4))


def draw_house(
    painter: QPainter,
    size: QSize,
    corners: Sequence[Point],
    profiles: Profiles,
    marked: Collection[int],
    *,
    porch: bool = False,
) -> None:
    """A house (m) with one profile per edge, as large as fits; the planes of the edges `marked`
    stand out. A porch stands on posts before a wall, at its third edge."""
    steps = [
        [(s.height, math.inf if s.slope is None else s.slope) for s in profile]
        for profile in profiles
    ]
    solved = solve([np.array(corners)], steps)
    low = -0.28 * max(np.ptp(np.array(corners), axis=0))
    faces: list[tuple[np.ndarray, QColor]] = []
    ring = [*corners, corners[0]]
    if porch:
        (bx, by), (ax, ay) = ring[2], ring[3]
        high = 1.6 * max(float(f.vertices[:, 2].max()) for f in solved.faces)
        ax, bx = ax - 1.0, bx + 1.0
        behind = np.array([[ax, ay, low], [bx, by, low], [bx, by, high], [ax, ay, high]])
        faces.append((behind, QColor(theme.WALL)))
        for x, y in ring[:2]:
            faces.append((_post(x, y, low), QColor(theme.INK)))
    for (ax, ay), (bx, by) in itertools.pairwise(ring):
        wall = np.array([[ax, ay, low], [bx, by, low], [bx, by, 0.0], [ax, ay, 0.0]])
        if not porch:
            faces.append((wall, QColor(theme.WALL)))
    for face in solved.faces:
        color = QColor(theme.WALL)
        if porch and face.vertical:
            continue
        if not face.vertical:
            color = QColor(theme.ROOF if face.edge in marked else theme.ROOF_FILL)
        faces.append((face.vertices, color))
    seen = [(v, c, _normal(v)) for v, c in faces]
    seen = [(v, c, n) for v, c, n in seen if float(n @ _AHEAD) < -1e-9]
    seen.sort(key=lambda f: -float((f[0] @ _AHEAD).mean()))
    flat = [np.column_stack([v @ _RIGHT, -(v @ _UP)]) for v, _, _ in seen]
    every = np.vstack(flat)
    (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
    scale = min((size.width() - 4) / (x1 - x0), (size.height() - 4) / (y1 - y0))
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    centre = np.array([size.width() / 2, size.height() / 2])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(theme.INK), 1.0))
    for points, (_, color, normal) in zip(flat, seen, strict=True):
        # lit from the left, so that planes beside each other differ
        shade = 100 + round(12 * float(normal @ _RIGHT))
        painter.setBrush(color.darker(shade) if shade >= 100 else color.lighter(200 - shade))
        pixels = (points - middle) * scale + centre
        painter.drawPolygon(QPolygonF([QPointF(float(x), float(y)) for x, y in pixels]))


def _post(x: float, y: float, low: float) -> np.ndarray:
    return np.array(
        [[x - 0.05, y, low], [x + 0.05, y, low], [x + 0.05, y, 0.0], [x - 0.05, y, 0.0]]
    )


def _normal(ring: np.ndarray) -> np.ndarray:
    following = np.roll(ring, -1, axis=0)
    normal = np.cross(ring, following).sum(axis=0)
    out: np.ndarray = normal / (float(np.linalg.norm(normal)) or 1.0)
    return out


def icon_of(draw: Callable[[QPainter, QSize], None], ratio: float = 2.0) -> QIcon:
    """The picture as an icon, sharp also on screens of high resolution."""
    pixmap = QPixmap(SIZE * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        draw(painter, SIZE)
    finally:
        painter.end()
    return QIcon(pixmap)


class PictureChoice(QWidget):
    """One of several choices, each a picture with its words; none is pressed while the selected
    things differ. `chosen` brings the value also where it is pressed again."""

    chosen = Signal(object)

    def __init__(
        self,
        name: str,
        options: Sequence[tuple[str, object, Callable[[QPainter, QSize], None]]],
        columns: int = 3,
    ) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._pictures = {value: draw for _, value, draw in options}
        self._drawn = ""
        self.buttons: dict[object, QToolButton] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(4)
        for place, (words, value, _) in enumerate(options):
            button = QToolButton()
            button.setText(words)
            button.setAccessibleName(f"{name}: {words}")
            button.setToolTip(words)
            button.setCheckable(True)
            button.setIconSize(SIZE)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setProperty("class", "tool")
            font = button.font()
            font.setPointSizeF(8.0)
            button.setFont(font)
            button.clicked.connect(lambda _=False, v=value: self.chosen.emit(v))
            grid.addWidget(button, place // columns, place % columns)
            self.buttons[value] = button

    def show_choice(self, value: object) -> None:
        """Press the button of this value, or none."""
        for known, button in self.buttons.items():
            button.setChecked(known == value)

    def showEvent(self, event: QShowEvent) -> None:
        self._draw()
        super().showEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self._draw()
        super().paintEvent(event)

    def _draw(self) -> None:
        """Drawn when first seen, and again in other colours."""
        look = f"{theme.INK}{theme.WALL}{theme.ROOF}"
        if look != self._drawn:
            self._drawn = look
            for value, button in self.buttons.items():
                button.setIcon(icon_of(self._pictures[value]))
