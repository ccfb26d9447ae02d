"""Pictures, PDF plans and DXF drawings under the plan, loaded and placed in the real window."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from PIL import Image, ImageDraw
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog, QTreeWidgetItem
from pytestqt.qtbot import QtBot

from roofmodel.document import Underlay
from roofmodel.document.edits import remove_underlay
from roofmodel_io.project_file import read_project
from roofmodel_io.underlays.drawings import Drawing, drawing_of
from roofmodel_ui import underlay_supply
from roofmodel_ui.page_dialog import PageDialog
from roofmodel_ui.panels.underlays import UnderlaysPart
from roofmodel_ui.plan.underlays import Lines
from roofmodel_ui.tools.snaps import snapping_of
from roofmodel_ui.window import MainWindow
from tests.io.underlays.files import dxf, on_disk, packed, pdf, png, saved
from tests.ui.hands import FT, choose, enter, error, press, settle, shown, undone

LEFT = Qt.MouseButton.LeftButton


def part(window: MainWindow) -> UnderlaysPart:
    found = window.findChild(UnderlaysPart)
    assert found is not None
    return found


def top(window: MainWindow) -> Underlay:
    return window.session.results.project.underlays[-1]


def pixel(window: MainWindow, x: float, y: float) -> QPoint:
    """Where a pixel of the uppermost underlay is on screen."""
    at = top(window).to_plan((x, y)).tolist()
    return window.plan.to_pixel((at[0], at[1])).toPoint()


def click(window: MainWindow, x: float, y: float) -> None:
    at = pixel(window, x, y)
    QTest.mouseMove(window.plan.viewport(), at)
    QTest.mouseClick(window.plan.viewport(), LEFT, pos=at)


def drag(window: MainWindow, start: QPoint, end: QPoint) -> None:
    view = window.plan.viewport()
    QTest.mouseMove(view, start)
    QTest.mousePress(view, LEFT, pos=start)
    for share in (0.3, 0.7, 1.0):
        QTest.mouseMove(view, start + (end - start) * share)
    QTest.mouseRelease(view, LEFT, pos=end)


def color(window: MainWindow, x: float, y: float) -> QColor:
    """The colour on screen of a pixel of the uppermost underlay."""
    image = window.plan.viewport().grab().toImage()
    return QColor(image.pixel(pixel(window, x, y) * image.devicePixelRatio()))


def row(window: MainWindow, index: int) -> QTreeWidgetItem:
    item = part(window).list.topLevelItem(index)
    assert item is not None
    return item


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """Green, with a red house of 400 x 240 pixels at (200, 180)."""
    image = Image.new("RGB", (800, 600), (60, 160, 60))
    ImageDraw.Draw(image).rectangle((200, 180, 600, 420), fill=(200, 40, 40))
    return on_disk(tmp_path, "from above.png", packed(image, "PNG"))


def test_two_distances_and_what_is_left_over(window: MainWindow, picture: Path) -> None:
    assert window.files.load_picture_path(picture)
    assert color(window, 400, 300).red() > 150 > color(window, 100, 100).red()
    click(window, 200, 420)
    click(window, 600, 420)
    QTest.keyClicks(window.plan, "40'")
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    first = top(window)
    assert first.scaled
    assert first.mm_per_pixel == pytest.approx(FT / 10, rel=0.01)
    window.show_stage("Place")
    form = part(window).form
    assert form.fit.text() == "From one distance."
    window.use_tool("scale")
    before = window.session.project
    click(window, 200, 180)
    click(window, 200, 420)
    QTest.keyClicks(window.plan, "25'")
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    undone(window, before)
    # about (400 * 40 + 240 * 25) / (400^2 + 240^2) ft a pixel; the wall is 5 % short
    scale = (400 * 40 + 240 * 25) / (400**2 + 240**2) * FT
    assert top(window).mm_per_pixel == pytest.approx(scale, rel=0.01)
    assert form.fit.text().startswith("2 distances fit within")
    assert form.fit.text() in window.notice.label.text()
    window.show_stage("Place")
    press(window, form.distance_buttons[1])
    assert top(window).mm_per_pixel == pytest.approx(first.mm_per_pixel)


def test_a_house_at_an_angle_is_levelled_moved_and_turned(
    window: MainWindow, picture: Path
) -> None:
    assert window.files.load_picture_path(picture)
    window.show_stage("Place")
    form = part(window).form
    enter(window, form.turn, "20")
    assert top(window).turn == pytest.approx(20.0)
    window.actions_by_id["level_picture"].trigger()
    click(window, 200, 420)
    click(window, 600, 420)
    assert top(window).turn == pytest.approx(0.0, abs=0.5)  # clicked on whole pixels of the screen
    assert window.plan.tool is window.tools["select"]

    window.actions_by_id["move_picture"].trigger()
    start = pixel(window, 400, 300)
    before = window.session.project
    drag(window, start, start + QPoint(60, -30))
    moved = (60 / window.plan.scale_now(), 30 / window.plan.scale_now())
    was = before.underlays[0].origin
    assert top(window).origin == pytest.approx((was[0] + moved[0], was[1] + moved[1]), rel=1e-3)
    undone(window, before)

    before = window.session.project
    drag(window, pixel(window, 800, 0), pixel(window, 800, 600))
    assert top(window).turn == pytest.approx(-2 * math.degrees(math.atan2(600, 800)), abs=1.5)
    undone(window, before)
    enter(window, form.across, "10'")
    enter(window, form.up, "-5'")
    middle = top(window).to_plan((400, 300)).tolist()
    assert middle == pytest.approx([10 * FT, -5 * FT])
    enter(window, form.wide, "80'")
    assert top(window).mm_per_pixel == pytest.approx(FT / 10)
    enter(window, form.turn, "sideways")
    assert "sideways" in error(window)


def test_a_pile_of_pictures(window: MainWindow, picture: Path, tmp_path: Path) -> None:
    blue = on_disk(tmp_path, "plan.png", packed(Image.new("RGB", (800, 600), "blue"), "PNG"))
    for path in (picture, blue):
        assert window.files.load_picture_path(path)
    window.use_tool("select")
    window.show_stage("Place")
    pile, session = part(window), window.session
    shown(window, pile.list)
    assert [row(window, k).text(0) for k in range(2)] == ["plan.png", "from above.png"]
    before = session.project
    press(window, pile.down)
    assert [u.file for u in session.project.underlays] == ["plan.png", "from above.png"]
    undone(window, before)
    window.actions_by_id["undo"].trigger()
    assert color(window, 400, 300).blue() > 150
    row(window, 0).setCheckState(0, Qt.CheckState.Unchecked)
    assert not session.project.underlays[1].visible
    assert color(window, 400, 300).red() > 150
    pile.list.setCurrentItem(row(window, 1))
    press(window, pile.form.lock)
    assert session.project.underlays[0].locked
    assert not pile.form.turn.isEnabled()
    window.actions_by_id["move_picture"].trigger()
    at = window.plan.to_pixel((0, 0)).toPoint()
    before = session.project
    drag(window, at, at + QPoint(40, 40))
    assert session.project is before
    assert "locked" in error(window)
    pile.form.strength.setValue(40)
    assert session.project.underlays[0].opacity == 0.4
    press(window, pile.remove)
    assert [u.file for u in session.project.underlays] == ["plan.png"]


def test_a_page_is_chosen_and_becomes_sharp(
    window: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    path = on_disk(tmp_path, "plan.pdf", pdf((612, 792), (720, 360), (300, 300)))

    def choose_second() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, PageDialog)
        QTest.keyClick(dialog.list, Qt.Key.Key_Right)
        QTest.keyClick(dialog.list, Qt.Key.Key_Return)
        if dialog.isVisible():
            dialog.accept()

    QTimer.singleShot(300, choose_second)
    assert window.files.load_picture_path(path)
    page = top(window)
    assert (page.kind, page.page, page.width, page.height) == ("page", 1, 720, 360)
    window.show_stage("Place")
    choose(window, part(window).form.paper, "1/4 in = 1 ft")
    # 1 in on paper is 4 ft: the page of 10 in is 40 ft wide
    assert top(window).mm_per_pixel * 720 == pytest.approx(40 * FT)
    corner = top(window).to_plan((72, 72)).tolist()
    window.plan.show_places([corner], 60.0)  # 60 mm across: 8 pixels a millimetre
    supply = window.files.underlays.supply

    def sharp() -> bool:
        settle()
        return color(window, 71.9, 72.1).lightness() > 200 > 60 > color(window, 72.1, 72.1).red()

    qtbot.waitUntil(sharp, timeout=10_000)
    assert supply.levels(top(window)) == (-5, 1)


def test_lines_of_a_drawing_are_snapped_to(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = dxf(0)
    corners = [(0, 0), (40, 0), (40, 24), (0, 24)]
    document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "WALLS"})
    document.modelspace().add_line((0, 0), (40, 24), dxfattribs={"layer": "NOTES"})
    path = on_disk(tmp_path, "plan.dxf", saved(document))
    monkeypatch.setattr(QInputDialog, "getItem", lambda *a: ("Feet", True))
    assert window.files.load_picture_path(path)
    assert top(window).mm_per_pixel == FT
    window.show_stage("Place")
    layers = part(window).form.layers
    assert [layers.item(k).text() for k in range(2)] == ["NOTES", "WALLS"]
    before = window.session.project
    layers.item(0).setCheckState(Qt.CheckState.Unchecked)
    assert top(window).hidden_layers == ("NOTES",)
    undone(window, before)
    window.use_tool("outline")
    for x, y in ((0, 24), (40, 24), (40, 0)):  # pixels of a drawing: y down
        at = pixel(window, x, y) + QPoint(3, -3)
        QTest.mouseMove(window.plan.viewport(), at)
        QTest.mouseClick(window.plan.viewport(), LEFT, pos=at)
    traced = window.tools["outline"].corners  # type: ignore[attr-defined]
    expected = [(-20 * FT, -12 * FT), (20 * FT, -12 * FT), (20 * FT, 12 * FT)]
    for got, wanted in zip(traced, expected, strict=True):
        assert got == pytest.approx(wanted, abs=1e-3)


def test_what_lies_under_the_plan_travels_with_the_project(
    window: MainWindow, picture: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    assert window.files.load_picture_path(picture)
    assert window.files.load_picture_path(on_disk(tmp_path, "p.pdf", pdf((300, 200))))
    made = window.session.project
    place = tmp_path / "job.roof"
    assert window.files.save_path(place)
    assert set(read_project(place).pictures) == {"from above.png", "p.pdf"}
    window.files.new()
    assert not window.session.project.underlays
    picture.unlink()
    assert window.files.open_path(place)
    assert window.session.project == made
    window.session.edit("Remove picture", remove_underlay(made, made.underlays[1].id))
    qtbot.waitUntil(lambda: color(window, 400, 300).red() > 150, timeout=10_000)


@pytest.mark.parametrize(
    ("name", "data"),
    [("a.png", b""), ("a.png", b"words"), ("a.jpg", png()[:90]), ("a.tif", b"II*\0" * 9),
     ("a.pdf", b"%PDF-1.4 cut"), ("a.pdf", pdf((9, 9), password="x")), ("a.dxf", b"0\nSECTION\n"),
     ("a.png", b"PK\x03\x04")],
)  # fmt: skip
def test_wrong_files(house: MainWindow, tmp_path: Path, name: str, data: bytes) -> None:
    before, files = house.session.project, dict(house.session.pictures)
    assert not house.files.load_picture_path(on_disk(tmp_path, name, data))
    assert name in error(house)
    assert house.session.project is before
    assert house.session.pictures == files


def test_a_damaged_picture_inside_a_project_is_said_in_its_place(
    window: MainWindow, picture: Path, qtbot: QtBot
) -> None:
    assert window.files.load_picture_path(picture)
    project = window.session.project
    window.session.open(project, None, {"from above.png": picture.read_bytes()[:300]})
    window.plan.viewport().repaint()
    qtbot.waitUntil(window.notice.isVisible, timeout=5000)
    assert "from above.png" in error(window)
    window.plan.viewport().grab()
    assert window.session.project == project


def test_giving_up_the_unit_or_the_file_changes_nothing(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = on_disk(tmp_path, "a.png", png())
    on_disk(tmp_path, "a.pgw", b"0.5 0 0 -0.5 100 200")
    monkeypatch.setattr(QInputDialog, "getItem", lambda *a: ("", False))
    before = window.session.project
    assert not window.files.load_picture_path(path)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: ("", ""))
    window.files.load_picture()
    assert window.session.project is before
    monkeypatch.setattr(QInputDialog, "getItem", lambda *a: ("Metres", True))
    assert window.files.load_picture_path(path)
    assert top(window).mm_per_pixel == 500.0
    assert window.plan.tool is window.tools["select"]  # it brought its scale


def test_the_window_does_not_wait_for_a_drawing_of_a_project(
    window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is snapped to until it is read, elsewhere and once; then its lines are."""
    plan = dxf(unit=2)
    plan.modelspace().add_line((0, 0), (20, 10))
    plan.modelspace().add_line((0, 10), (20, 10))
    assert window.files.load_picture_path(on_disk(tmp_path, "plan.dxf", saved(plan)))
    supply, session = window.files.underlays.supply, window.session
    known = supply.segments(session.project)
    assert supply.segments(session.project) is known
    assert window.files.save_path(tmp_path / "a.roof")
    go_on, threads = threading.Event(), []

    def slow(data: bytes, name: str, watch: Callable[[float], bool]) -> Drawing:
        threads.append(threading.current_thread())
        assert go_on.wait(20)
        return drawing_of(data, name, watch)

    monkeypatch.setattr(underlay_supply, "drawing_of", slow)
    assert window.files.open_path(tmp_path / "a.roof")
    supply._sources.clear()  # as if the program had just started
    window.use_tool("outline")
    view = window.plan.viewport()
    for x in (200, 230, 260):
        QTest.mouseMove(view, QPoint(x, 200))
        settle()
    snapping = snapping_of(session)
    assert snapping.underlay == supply.segments
    assert not len(snapping.targets().underlay.lines)
    with qtbot.waitSignal(supply.arrived, timeout=20_000):
        go_on.set()
    assert len(snapping.targets().underlay.lines) == 2
    assert len(threads) == 1
    assert threads[0] is not threading.main_thread()


def test_lines_to_snap_to_are_the_same_as_long_as_nothing_moves_them(
    window: MainWindow, tmp_path: Path
) -> None:
    plan = dxf(unit=2)
    plan.modelspace().add_line((0, 0), (20, 10))
    plan.modelspace().add_line((0, 10), (20, 10), dxfattribs={"layer": "X"})
    assert window.files.load_picture_path(on_disk(tmp_path, "plan.dxf", saved(plan)))
    supply, project = window.files.underlays.supply, window.session.project
    (one,) = project.underlays
    change = msgspec.structs.replace

    def lines(*underlays: Underlay) -> Lines:
        return supply.segments(change(project, underlays=underlays))

    first = lines(one)
    assert lines(change(one, opacity=0.3, locked=True)) is first
    assert lines(change(one, turn=1.0)) is not first
    assert len(lines(change(one, hidden_layers=("X",)))) == 1
    two = lines(one, change(one, id="u9", turn=1.0))
    assert len(two) == 4
    assert lines(one, change(one, id="u9", turn=1.0)) is two
    for none in (change(one, visible=False), change(one, file="other.dxf")):
        assert lines(none).shape == (0, 2, 2)
