"""Wrong files and wrong texts: one sentence, nothing lost, the window goes on."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from roofmodel.document.edits import new_section
from roofmodel_io.project_file import write_project
from roofmodel_ui.window import MainWindow

FT = 304.8
SQUARE = tuple((x * FT, y * FT) for x, y in ((0, 0), (30, 0), (30, 20), (0, 20)))


@pytest.fixture
def house(window: MainWindow) -> MainWindow:
    project, _ = new_section(window.session.project, SQUARE)
    window.session.edit("Draw outline", project)
    window.show_stage("Shape")
    window.zoom_to_fit()
    return window


def one_sentence(window: MainWindow) -> str:
    text = window.notice.label.text()
    assert window.notice.isVisible()
    assert text.endswith(".")
    assert "Traceback" not in text
    return text


@pytest.mark.parametrize("content", [b"", b"no project", b"PK\x03\x04 cut off"])
def test_damaged_project_is_refused(house: MainWindow, tmp_path: Path, content: bytes) -> None:
    before = house.session.project
    path = tmp_path / "damaged.roof"
    path.write_bytes(content)
    assert not house.files.open_path(path)
    assert "damaged.roof" in one_sentence(house)
    assert house.session.project == before
    assert path.read_bytes() == content


def test_picture_that_is_none(house: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "not.png"
    path.write_text("words")
    assert not house.files.load_picture_path(path)
    assert "not.png" in one_sentence(house)
    assert not house.session.project.underlays


def test_missing_file(house: MainWindow, tmp_path: Path) -> None:
    assert not house.files.open_path(tmp_path / "nowhere.roof")
    assert "nowhere.roof" in one_sentence(house)


def test_wrong_pitch_leaves_the_old(house: MainWindow) -> None:
    QTest.mouseClick(
        house.plan.viewport(), Qt.MouseButton.LeftButton,
        pos=house.plan.to_pixel((15 * FT, 0)).toPoint(),
    )  # fmt: skip
    before = house.session.project
    field = house.shape.edges.pitch
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "steep")
    QTest.keyClick(field, Qt.Key.Key_Return)
    one_sentence(house)
    assert house.session.project == before
    assert field.text() == "6/12"


def test_crossing_outline_is_a_problem_not_an_end(house: MainWindow) -> None:
    view, plan = house.plan.viewport(), house.plan
    start = plan.to_pixel((0, 0)).toPoint()
    target = plan.to_pixel((20 * FT, 26 * FT)).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(view, (start + target) / 2)
    QTest.mouseMove(view, target)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=target)
    assert not house.session.results.surface.planes
    assert any(p.serious for p in house.session.results.problems)
    assert "problem" in house.totals.problems.text()
    # The outline can still be selected and the corner put back.
    house.session.undo_stack.undo()
    assert house.session.results.surface.planes


def test_wrong_length_while_drawing(window: MainWindow) -> None:
    window.use_tool("outline")
    view = window.plan.viewport()
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(100, 200))
    QTest.mouseMove(view, QPoint(180, 200))
    QTest.keyClicks(window.plan, "12''''")
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    one_sentence(window)
    assert len(window.tools["outline"].corners) == 1  # type: ignore[attr-defined]
    QTest.keyClick(window.plan, Qt.Key.Key_Escape)
    assert window.tools["outline"].corners == []  # type: ignore[attr-defined]


def test_error_nobody_foresaw_is_a_sentence(
    house: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    from roofmodel_ui.app import catch_errors

    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    catch_errors(house)
    sys.excepthook(ZeroDivisionError, ZeroDivisionError("x"), None)
    one_sentence(house)


def test_saving_where_nothing_can_be_written(house: MainWindow, tmp_path: Path) -> None:
    assert not house.files.save_path(tmp_path / "no folder" / "a.roof")
    one_sentence(house)
    assert not house.session.is_saved()
    good = tmp_path / "a.roof"
    write_project(good, house.session.project, {})
    assert house.files.open_path(good)
    assert house.session.is_saved()
