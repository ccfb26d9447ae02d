"""Tracing in the real window: houses out of square, stray letters, undo, crossings, the fit."""

from __future__ import annotations

import math
import warnings
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from roofmodel.document import Point
from roofmodel.document.edits import new_section
from roofmodel_io.defaults import default_project
from roofmodel_ui import theme
from roofmodel_ui.tools.outline import OutlineTool
from roofmodel_ui.window import MainWindow

FT = 304.8
PLAIN, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


class Tracer:
    """Mouse and keys over the plan; positions are feet of a house turned by `turn` degrees."""

    def __init__(self, window: MainWindow, turn: float = 0.0) -> None:
        self.window, self.plan, self.turn = window, window.plan, math.radians(turn)
        tool = window.tools["outline"]
        assert isinstance(tool, OutlineTool)
        self.tool = tool
        # Without it no shortcut would fire, and none could be seen to be held back.
        # (No window manager gives the focus here, so it is set by hand.)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            QApplication.setActiveWindow(window)
        window.use_tool("outline")

    def pixel(self, x: float, y: float) -> QPointF:
        c, s = math.cos(self.turn), math.sin(self.turn)
        return self.plan.to_pixel((FT * (x * c - y * s), FT * (x * s + y * c)))

    def point(self, x: float, y: float, held: Qt.KeyboardModifier = PLAIN) -> None:
        """Move the pointer, exact to a fraction of a pixel, with keys held."""
        view, at = self.plan.viewport(), self.pixel(x, y)
        none = Qt.MouseButton.NoButton
        away = QPointF(view.mapToGlobal(at))
        QApplication.sendEvent(
            view, QMouseEvent(QEvent.Type.MouseMove, at, away, none, none, held)
        )

    def click(self, x: float, y: float) -> None:
        self.point(x, y)
        at = self.pixel(x, y).toPoint()
        QTest.mouseClick(self.plan.viewport(), Qt.MouseButton.LeftButton, pos=at)

    def type(self, text: str) -> None:
        QTest.keyClicks(self.plan, text)

    def key(self, key: Qt.Key, held: Qt.KeyboardModifier = PLAIN) -> None:
        QTest.keyClick(self.plan, key, held)

    def edge(self, index: int) -> tuple[float, float]:
        """Length in feet and direction in degrees of a traced edge."""
        (ax, ay), (bx, by) = self.tool.corners[index : index + 2]
        return math.hypot(bx - ax, by - ay) / FT, math.degrees(math.atan2(by - ay, bx - ax))


def close_to(a: Point, b: Point) -> bool:
    return math.dist(a, b) < 1e-6


@pytest.mark.parametrize(("turn", "held"), [(12.0, PLAIN), (12.0, SHIFT), (3.0, SHIFT)])
def test_typed_lengths_on_a_turned_house(
    window: MainWindow, turn: float, held: Qt.KeyboardModifier
) -> None:
    hand = Tracer(window, turn)
    hand.click(0, 0)
    hand.point(20, 0, held)
    hand.type("28'")
    shown = hand.tool.overlay().line[-1]
    hand.key(Qt.Key.Key_Return)
    assert close_to(shown, hand.tool.corners[-1])
    length, way = hand.edge(0)
    assert length == pytest.approx(28)
    assert way == pytest.approx(turn, abs=0.6)  # the corner was clicked on a whole pixel

    # the next edge is square to the first, though pointed out 4 degrees off
    hand.point(28 - 1.2, 17)
    hand.type("16 ft")
    shown = hand.tool.overlay().line[-1]
    hand.key(Qt.Key.Key_Return)
    assert close_to(shown, hand.tool.corners[-1])
    assert hand.edge(1) == pytest.approx((16, way + 90))


def test_first_edge_near_an_axis_snaps(window: MainWindow) -> None:
    hand = Tracer(window)
    hand.click(-10, -5)
    hand.point(15, -4.5)
    hand.type("24")
    hand.key(Qt.Key.Key_Return)
    (ax, ay), (bx, by) = hand.tool.corners
    assert by == ay
    assert bx - ax == pytest.approx(24 * FT)


def test_length_without_a_direction_is_refused(window: MainWindow) -> None:
    hand = Tracer(window)
    hand.click(0, 0)
    hand.type("20")
    hand.key(Qt.Key.Key_Return)
    assert len(hand.tool.corners) == 1
    assert hand.tool.typed == "20"
    assert window.notice.label.text().startswith("Point along the edge")


def begin(window: MainWindow) -> Tracer:
    hand = Tracer(window)
    for x, y in ((-15, -10), (15, -10), (15, 10)):
        hand.click(x, y)
    assert len(hand.tool.corners) == 3
    return hand


def test_letters_are_text_while_tracing(window: MainWindow) -> None:
    hand = begin(window)
    hand.point(0, 10)
    hand.type("12 feets opkgf")
    assert window.plan.tool is hand.tool
    assert hand.tool.typed == "12 feets opkgf"
    hand.key(Qt.Key.Key_Return)
    assert "12 feets opkgf" in window.notice.label.text()
    assert len(hand.tool.corners) == 3
    hand.key(Qt.Key.Key_Escape)
    assert hand.tool.typed == ""
    assert not hand.tool.corners
    hand.type("s")  # nothing begun: a shortcut again
    assert window.plan.tool is window.tools["select"]


def test_corners_are_kept_while_another_tool_is_used(window: MainWindow) -> None:
    hand = begin(window)
    corners = list(hand.tool.corners)
    window.actions_by_id["select"].trigger()
    assert window.plan.tool is window.tools["select"]
    assert "Draw outline" in window.notice.label.text()
    assert window.plan.kept() == [tuple(corners)]
    window.actions_by_id["outline"].trigger()
    assert hand.tool.corners == corners
    hand.click(-15, 10)
    hand.key(Qt.Key.Key_Return)
    assert len(window.session.project.sections()) == 1

    other = begin(window)
    window.session.open(default_project(), None)
    assert not other.tool.corners


def test_undo_takes_back_a_corner(window: MainWindow, picture: Path) -> None:
    assert window.files.load_picture_path(picture)
    before = window.session.project
    hand = begin(window)
    hand.type("12")
    hand.key(Qt.Key.Key_Z, CONTROL)
    assert (hand.tool.typed, len(hand.tool.corners)) == ("", 3)
    for left in (2, 1, 0):
        hand.key(Qt.Key.Key_Z, CONTROL)
        assert len(hand.tool.corners) == left
        assert window.session.project == before
    hand.key(Qt.Key.Key_Z, CONTROL)
    assert not window.session.project.underlays


def test_undo_takes_back_a_point_of_the_scale(window: MainWindow, picture: Path) -> None:
    assert window.files.load_picture_path(picture)
    before = window.session.project
    hand = Tracer(window)
    window.use_tool("scale")
    hand.click(-10, 0)
    hand.click(10, 0)
    hand.type("sk")
    assert window.plan.tool is window.tools["scale"]
    for _ in range(3):
        assert window.tools["scale"].busy()
        hand.key(Qt.Key.Key_Z, CONTROL)
    assert not window.tools["scale"].busy()
    assert window.session.project == before


def test_crossing_outline_is_refused(window: MainWindow) -> None:
    hand = Tracer(window)
    for x, y in ((-15, -10), (15, -10), (15, 10), (0, 10)):
        hand.click(x, y)
    assert not hand.tool.overlay().wrong
    hand.point(0, -16)
    overlay = hand.tool.overlay()
    assert len(overlay.wrong) == 2
    (mark,) = overlay.marks
    assert mark == pytest.approx((0, -10 * FT), abs=0.5 * FT)
    hand.click(0, -16)
    hand.click(-15, -16)
    corners = list(hand.tool.corners)
    hand.point(-20, 0)
    spot = (hand.pixel(0, 0)).toPoint()  # on the edge that crosses
    shot = window.plan.viewport().grab().toImage()
    # A display of few colours rounds them.
    red = QColor(theme.ERROR_INK)
    near = [QColor(shot.pixel(spot + QPoint(k, 0))) for k in range(-2, 3)]
    assert any(
        abs(c.red() - red.red()) + abs(c.green() - red.green()) + abs(c.blue() - red.blue()) < 20
        for c in near
    )
    hand.key(Qt.Key.Key_Return)
    said = window.notice.label.text()
    assert "crosses edge 1" in said
    assert "Backspace" in said
    assert hand.tool.corners == corners
    assert not window.session.project.sections()


def roof_width(window: MainWindow) -> float:
    """Share of the plan that the outline fills, the larger of across and up."""
    (section,) = window.session.project.sections()
    at = [window.plan.to_pixel(c) for c in section.rings[0].corners]
    xs, ys = [p.x() for p in at], [p.y() for p in at]
    view = window.plan.viewport()
    across, up = view.width(), view.height()
    inside = min(*xs, *ys) >= 0 and max(xs) <= across and max(ys) <= up
    return max((max(xs) - min(xs)) / across, (max(ys) - min(ys)) / up) * inside


def wheel(window: MainWindow, steps: int) -> None:
    view = window.plan.viewport()
    at = QPointF(view.rect().center())
    none = Qt.MouseButton.NoButton
    event = QWheelEvent(
        at, QPointF(view.mapToGlobal(at)), QPoint(0, 0), QPoint(0, 120 * steps), none, PLAIN,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view, event)


def test_view_fits_when_closed_and_when_resized(window: MainWindow) -> None:
    wheel(window, -6)
    hand = begin(window)
    hand.click(-15, 10)
    hand.key(Qt.Key.Key_Return)
    assert roof_width(window) > 0.6
    window.resize(1000, 620)
    QApplication.processEvents()
    assert 0.5 < roof_width(window) <= 1
    window.resize(1400, 900)
    QApplication.processEvents()
    assert roof_width(window) > 0.6
    wheel(window, -3)
    scale = window.plan.scale_now()
    window.resize(1100, 700)
    QApplication.processEvents()
    assert window.plan.scale_now() == scale  # zoomed by hand: left alone


def test_first_picture_is_shown_whole(window: MainWindow, picture: Path) -> None:
    wheel(window, 8)
    assert window.files.load_picture_path(picture)
    (underlay,) = window.session.project.underlays
    width = underlay.width * underlay.mm_per_pixel * window.plan.scale_now()
    assert 0.6 * window.plan.width() < width <= window.plan.width()


def test_narrow_planes_keep_their_names(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    from roofmodel_ui.plan.labels import Label, Placer

    corners = [(x * FT, y * FT) for x, y in ((0, 0), (90, 0), (90, 10), (0, 10))]
    project, _ = new_section(window.session.project, corners)
    window.session.edit("Draw outline", project)
    window.zoom_to_fit()
    placed: list[Label] = []
    place = Placer.place

    def watch(placer: Placer, label: Label) -> bool:
        done = place(placer, label)
        placed.extend([label] if done else [])
        return done

    monkeypatch.setattr(Placer, "place", watch)
    window.plan.viewport().grab()
    assert {"South 1", "North 1"} <= {label.text.split("  ")[0] for label in placed}


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "from above.png"
    Image.new("RGB", (800, 600), (186, 196, 170)).save(path)
    return path


def test_the_first_corner_is_typed(window: MainWindow) -> None:
    hand = Tracer(window)
    assert "26, -12 (east, north)" in window.totals._hint.text()
    hand.type("26, -12")
    assert hand.tool.overlay().field == "26, -12"
    hand.key(Qt.Key.Key_Return)
    (first,) = hand.tool.corners
    assert close_to(first, (26 * FT, -12 * FT))
    said = window.notice.label.text()
    assert said == "The first corner lies 26'-0\" east and 12'-0\" south of the origin."
    assert window.totals._hint.text().startswith("Click the next corner")
    for side in ("14 E", "24 N", "14 W"):
        hand.type(side)
        hand.key(Qt.Key.Key_Return)
    hand.key(Qt.Key.Key_Return)
    (section,) = window.session.project.sections()
    expected = [(26, -12), (40, -12), (40, 12), (26, 12)]
    found = {(round(x / FT, 6), round(y / FT, 6)) for x, y in section.rings[0].corners}
    assert found == set(expected)


def test_a_wrong_place_stays_to_be_mended(window: MainWindow) -> None:
    hand = Tracer(window)
    hand.type("-4, s")  # a letter is text once a place is begun
    hand.key(Qt.Key.Key_Return)
    assert "is no length" in window.notice.label.text()
    assert hand.tool.typed == "-4, s"
    hand.key(Qt.Key.Key_Backspace)
    hand.key(Qt.Key.Key_Return)
    hand.type("7' 6")
    hand.key(Qt.Key.Key_Return)
    (first,) = hand.tool.corners
    assert close_to(first, (-4 * FT, 7.5 * FT))
    hand.key(Qt.Key.Key_Escape)
    hand.type("26")
    hand.key(Qt.Key.Key_Return)
    assert "how far east and how far north" in window.notice.label.text()
    hand.key(Qt.Key.Key_Escape)
    assert not hand.tool.typed
    hand.key(Qt.Key.Key_Return)
    assert "three corners" in window.notice.label.text()
