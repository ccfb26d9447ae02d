"""The whole job in the real window, by mouse and keyboard: trace, pitch, count, undo, save, draw.

The L, feet: corners (0 0) (40 0) (40 24) (24 24) (24 40) (0 40), eaves level. South (y = 0) and
the north edge opposite rise 8/12, the gable is at x = 40, all others rise 6/12. Heights over a
point are 2/3 y, 2/3 (24 - y), (24 - x)/2, (40 - y)/2 and x/2; where two of them are equal lies an
edge. So the ridge of the south wing lies at y = 12, 8 high, from x = 40 to x = 16 where x/2 = 8;
the ridge of the north wing at x = 12, 6 high, from y = 28 (where (40 - y)/2 = 6) to y = 15 (where
2/3 (24 - y) = 6); a hip joins (16 12 8) and (12 15 6), and the valley runs from (24 24 0) to
(12 15 6).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from ezdxf.filemanagement import readfile
from PIL import Image, ImageDraw
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from roofmodel.surface import EdgeId, PlaneId
from roofmodel.systems import EdgeKind
from roofmodel.units import parse_length
from roofmodel_io.project_file import read_project
from roofmodel_ui.window import MainWindow

FT = 304.8
SCALE = 10  # pixels of the picture per foot
PICTURE = (800, 600)
L_SHAPE = ((0, 0), (40, 0), (40, 24), (24, 24), (24, 40), (0, 40))
PLANES = {
    "South 1": (8 / 12, ((0, 0), (40, 0), (40, 12), (16, 12))),
    "North 1": (8 / 12, ((40, 24), (24, 24), (12, 15), (16, 12), (40, 12))),
    "East 1": (6 / 12, ((24, 24), (24, 40), (12, 28), (12, 15))),
    "North 2": (6 / 12, ((24, 40), (0, 40), (12, 28))),
    "West 1": (6 / 12, ((0, 40), (0, 0), (16, 12), (12, 15), (12, 28))),
}
LENGTHS = {
    EdgeKind.RIDGE: [24.0, 13.0],
    EdgeKind.HIP: [math.sqrt(16**2 + 12**2 + 8**2), math.sqrt(4**2 + 3**2 + 2**2), 18.0, 18.0],
    EdgeKind.VALLEY: [math.sqrt(12**2 + 9**2 + 6**2)],
    EdgeKind.EAVE: [40.0, 16.0, 16.0, 24.0, 40.0],
    EdgeKind.RAKE: [math.hypot(12, 8)] * 2,
}


def shoelace(ring: tuple[tuple[float, float], ...]) -> float:
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def true_area(name: str) -> float:
    slope, ring = PLANES[name]
    return shoelace(ring) * math.hypot(1, slope)


def picture_pixel(x: float, y: float) -> tuple[float, float]:
    """Where a point of the L (ft) lies in the picture, y downward."""
    return 150 + SCALE * x, 520 - SCALE * y


@pytest.fixture
def aerial(tmp_path: Path) -> Path:
    image = Image.new("RGB", PICTURE, (186, 196, 170))
    ImageDraw.Draw(image).polygon([picture_pixel(*c) for c in L_SHAPE], fill=(140, 110, 100))
    path = tmp_path / "from above.png"
    image.save(path)
    return path


class Hand:
    """Mouse and keys over the plan; positions are mm."""

    def __init__(self, window: MainWindow) -> None:
        self.plan = window.plan
        self.view = window.plan.viewport()

    def pixel(self, at: tuple[float, float]) -> QPoint:
        return self.plan.to_pixel(at).toPoint()

    def move(self, at: tuple[float, float]) -> None:
        QTest.mouseMove(self.view, self.pixel(at))

    def click(self, at: tuple[float, float]) -> None:
        self.move(at)
        QTest.mouseClick(self.view, Qt.MouseButton.LeftButton, pos=self.pixel(at))

    def type(self, text: str) -> None:
        QTest.keyClicks(self.plan, text)
        QTest.keyClick(self.plan, Qt.Key.Key_Return)


def set_scale(window: MainWindow, hand: Hand) -> None:
    """Two clicks on the picture's south eave, and its true length."""
    underlay = window.session.project.underlays[0]

    def on_plan(x: float, y: float) -> tuple[float, float]:
        px, py = picture_pixel(x, y)
        k = underlay.mm_per_pixel
        return underlay.origin[0] + px * k, underlay.origin[1] - py * k

    hand.click(on_plan(0, 0))
    hand.click(on_plan(40, 0))
    hand.type("40'")


def trace(window: MainWindow, hand: Hand) -> tuple[float, float]:
    """Trace the L; returns its first corner, mm. Lengths are typed, the pointer gives the way."""
    underlay = window.session.project.underlays[0]
    px, py = picture_pixel(0, 0)
    first = (
        underlay.origin[0] + px * underlay.mm_per_pixel,
        underlay.origin[1] - py * underlay.mm_per_pixel,
    )
    hand.click(first)
    tool = window.tools["outline"]
    (x, y) = tool.corners[0]  # type: ignore[attr-defined]
    for (cx, cy), typed in zip(L_SHAPE[1:5], ("40'", "24 ft", '192"', "16"), strict=True):
        hand.move((x + cx * FT, y + cy * FT + 100))  # a little off: the direction snaps
        hand.type(typed)
    hand.click((x + 150, y + 40 * FT + 120))  # snaps square and in line with the first corner
    hand.click((x, y))
    return x, y


def row(window: MainWindow, item: str) -> str:
    return next(amount for _, name, amount in window.quantities.rows() if name == item)


def set_pitch(window: MainWindow, hand: Hand, at: tuple[float, float], pitch: str) -> None:
    hand.click(at)
    field = window.shape.edges.pitch
    assert field.isVisible()
    assert field.isEnabled()
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, pitch)
    QTest.keyClick(field, Qt.Key.Key_Return)


def trigger(window: MainWindow, command: str) -> None:
    action = window.actions_by_id[command]
    assert action.isEnabled(), command
    action.trigger()


def make_roof(
    window: MainWindow, aerial: Path, monkeypatch: pytest.MonkeyPatch
) -> tuple[Hand, float, float]:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a, **k: (str(aerial), ""))
    hand = Hand(window)
    trigger(window, "picture")
    assert len(window.session.project.underlays) == 1
    set_scale(window, hand)
    assert window.session.project.underlays[0].scaled
    x, y = trace(window, hand)
    set_pitch(window, hand, (x + 20 * FT, y), "8/12")
    set_pitch(window, hand, (x + 32 * FT, y + 24 * FT), "8:12")
    hand.click((x + 40 * FT, y + 12 * FT))
    assert window.shape.edges.gable.isVisible()
    QTest.mouseClick(
        window.shape.edges.gable,
        Qt.MouseButton.LeftButton,
        pos=QPoint(8, window.shape.edges.gable.height() // 2),
    )
    return hand, x, y


def test_whole_job(
    window: MainWindow, aerial: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    empty = window.session.project
    _, x, y = make_roof(window, aerial, monkeypatch)
    session = window.session
    (section,) = session.project.sections()
    expected = [(x + cx * FT, y + cy * FT) for cx, cy in L_SHAPE]
    np.testing.assert_allclose(section.rings[0].corners, expected, atol=1e-6)
    mm_per_pixel = session.project.underlays[0].mm_per_pixel
    # Clicks land on whole screen pixels, so the picture's scale is as good as they are.
    assert mm_per_pixel == pytest.approx(FT / SCALE, rel=0.02)

    check_results(window)
    check_table(window)

    made = session.project
    steps = session.undo_stack.count()
    assert steps == 6  # picture, scale, outline, two pitches, gable
    for _ in range(steps):
        trigger(window, "undo")
    assert session.project == empty
    assert not session.results.surface.planes
    for _ in range(steps):
        trigger(window, "redo")
    assert session.project == made
    check_table(window)

    saved = tmp_path / "the l.roof"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(saved), ""))
    trigger(window, "save")
    assert session.is_saved()
    reopened = read_project(saved)
    assert reopened.project == made
    assert reopened.pictures == session.pictures
    assert window.files.open_path(saved)
    assert session.project == made

    drawing = tmp_path / "the l.dxf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(drawing), ""))
    trigger(window, "export_dxf")
    qtbot.waitUntil(drawing.exists, timeout=30_000)
    check_drawing(drawing)


def check_results(window: MainWindow) -> None:
    surface = window.session.results.surface
    assert {p.name for p in surface.planes} == set(PLANES)
    for plane in surface.planes:
        slope, ring = PLANES[plane.name]
        assert plane.slope == pytest.approx(slope, rel=1e-9)
        assert plane.plan_area == pytest.approx(shoelace(ring) * FT**2, rel=1e-9)
        assert plane.true_area == pytest.approx(true_area(plane.name) * FT**2, rel=1e-9)
    for kind, lengths in LENGTHS.items():
        found = sorted(e.length / FT for e in surface.edges if e.kind is kind)
        assert found == pytest.approx(sorted(lengths), rel=1e-9), kind


def check_table(window: MainWindow) -> None:
    """The panel shows the closed form, rounded to 1/8 in and 0.1 sq ft."""
    total = sum(true_area(name) for name in PLANES)
    assert row(window, "Roof area") == f"{total:.1f} sq ft"
    assert row(window, "Plan area") == "1344.0 sq ft"
    for kind, lengths in LENGTHS.items():
        shown = parse_length(row(window, f"{kind.capitalize()}, all"))
        assert shown == pytest.approx(sum(lengths) * FT, abs=25.4 / 16 + 1e-6), kind
    assert window.totals.area.text() == f"Roof {total / 100:.2f} squares"


def check_drawing(path: Path) -> None:
    document = readfile(path)
    space = document.modelspace()
    assert document.header["$INSUNITS"] == 1
    plan: dict[str, list[float]] = {
        "RIDGE": [24, 13], "HIP": [20, 5, math.hypot(12, 12), math.hypot(12, 12)],
        "VALLEY": [15], "EAVE": [40, 16, 16, 24, 40], "RAKE": [12, 12],
    }  # fmt: skip
    for layer, feet in plan.items():
        lines = space.query(f'LINE[layer=="{layer}"]')
        found = sorted(line.dxf.start.vec2.distance(line.dxf.end.vec2) for line in lines)
        assert found == pytest.approx(sorted(f * 12 for f in feet), rel=1e-6), layer
    words = [str(text.dxf.text) for text in space.query("TEXT")]
    assert any("13'-0\"" in w for w in words)


def test_corner_dragged_live(
    window: MainWindow, aerial: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand, x, y = make_roof(window, aerial, monkeypatch)
    before = window.session.project
    corner = hand.pixel((x, y))
    QTest.mousePress(hand.view, Qt.MouseButton.LeftButton, pos=corner)
    areas, tops = set(), set()
    for step in range(1, 8):
        QTest.mouseMove(hand.view, corner + QPoint(-4 * step, 3 * step))
        areas.add(row(window, "Roof area"))
        tops.add(float(window.view3d._actors.planes.poly.points[:, 0].min()))  # type: ignore[union-attr]
    assert len(areas) >= 6
    assert len(tops) >= 6
    assert window.session.project == before  # nothing is final before the button is released
    QTest.mouseRelease(hand.view, Qt.MouseButton.LeftButton, pos=corner + QPoint(-28, 21))
    moved = window.session.project
    assert moved != before
    trigger(window, "undo")
    assert window.session.project == before

    QTest.mousePress(hand.view, Qt.MouseButton.LeftButton, pos=corner)
    QTest.mouseMove(hand.view, corner + QPoint(-30, 20))
    QTest.keyClick(window.plan, Qt.Key.Key_Escape)
    QTest.mouseRelease(hand.view, Qt.MouseButton.LeftButton, pos=corner + QPoint(-30, 20))
    assert window.session.project == before


def test_selected_everywhere(
    window: MainWindow, aerial: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand, x, y = make_roof(window, aerial, monkeypatch)
    session = window.session
    planes = {p.name: p for p in session.results.surface.planes}
    # in plan: a plane
    hand.click((x + 30 * FT, y + 5 * FT))
    assert session.selection == {planes["South 1"].id}
    assert chosen_rows(window)[0].startswith("South 1")
    # in plan: a valley
    hand.click((x + 18 * FT, y + 19.5 * FT))
    (valley,) = session.selection
    assert isinstance(valley, EdgeId)
    assert session.results.surface.edge(valley).kind is EdgeKind.VALLEY
    assert session.results.surface.edge(valley).name in chosen_rows(window)
    assert window.view3d._actors.chosen.poly.n_cells == 1  # type: ignore[union-attr]
    # in the table
    table = window.quantities.table
    lines = window.quantities.model.lines()
    item = next(index for line, index in lines if line.quantity.item == "Ridge 1")
    table.scrollTo(item)
    QTest.mouseClick(
        table.viewport(), Qt.MouseButton.LeftButton, pos=table.visualRect(item).center()
    )
    assert chosen_rows(window) == ["Ridge 1"]
    (ridge,) = session.selection
    assert isinstance(ridge, EdgeId)
    assert session.results.surface.edge(ridge).kind is EdgeKind.RIDGE
    # in 3D
    view = window.view3d
    target = planes["South 1"].outline.mean(axis=0)
    at = screen_point(window, target)
    assert view.canvas is not None
    QTest.mouseClick(view.canvas, Qt.MouseButton.LeftButton, pos=at.toPoint())
    (picked,) = session.selection
    assert isinstance(picked, PlaneId)
    assert session.results.surface.plane(picked).name == "South 1"


def screen_point(window: MainWindow, point: np.ndarray) -> QPointF:
    view = window.view3d
    assert view.canvas is not None
    ((px, py, _),) = view.camera.project(point, view.canvas.view_size())
    return QPointF(px, py)


def chosen_rows(window: MainWindow) -> list[str]:
    return [line.quantity.item for line in window.quantities.chosen()]
