"""Files of the take-off and the plan are written in the background, with real presses."""

from __future__ import annotations

import time
from pathlib import Path

import ezdxf
import pytest
from PIL import Image
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QPushButton
from pytestqt.qtbot import QtBot

from roofmodel.document.edits import set_slope
from roofmodel.results import results_of
from roofmodel_io.takeoff_json import takeoff_json
from roofmodel_ui import exporting
from roofmodel_ui.view3d import PICTURE_SIZE
from roofmodel_ui.window import MainWindow
from tests.ui.hands import LEFT, error, settle

LONG = 60_000
SLOW = ("-c", "import time; time.sleep(60)")


def answer(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a, **k: (str(path), ""))


def button_of(window: MainWindow, words: str) -> QPushButton:
    window.show_stage("Hand over")
    settle()
    found = [b for b in window.side.findChildren(QPushButton) if b.text() == words]
    return next(b for b in found if b.isVisible())


@pytest.fixture
def planned(house: MainWindow, qtbot: QtBot) -> MainWindow:
    qtbot.waitUntil(lambda: not house.session.is_estimate(), timeout=LONG)
    return house


def test_the_window_works_on_while_a_plan_is_written(
    planned: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = planned, tmp_path / "plan.dxf"
    answer(monkeypatch, path)
    button = button_of(window, "Roof plan as DXF …")
    began = time.perf_counter()
    QTest.mouseClick(button, LEFT)
    assert time.perf_counter() - began < 1.0
    assert not path.exists()
    assert window.notice.label.text() == "Writing plan.dxf …"
    assert window.notice.offer.isVisible()
    window.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(path.exists, timeout=LONG)
    assert window.notice.label.text() == "Written to plan.dxf."
    assert not window.notice.offer.isVisible()
    assert ezdxf.readfile(path).modelspace()  # type: ignore[attr-defined]


def test_what_is_asked_for_is_written_one_after_the_other(
    planned: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, project = planned, planned.session.project
    for name, words in (("a.json", "Quantities as JSON …"), ("b.csv", "Quantities as CSV …")):
        answer(monkeypatch, tmp_path / name)
        QTest.mouseClick(button_of(window, words), LEFT)
    assert window.notice.label.text() == "Writing a.json, b.csv …"
    # the files are of the roof as it was when they were asked for
    window.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(lambda: not window.files.exports.writing, timeout=LONG)
    assert (tmp_path / "a.json").read_text("utf-8") == takeoff_json(results_of(project))
    assert (tmp_path / "b.csv").is_file()


def test_cancelling_writes_nothing(
    planned: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "place"
    place.mkdir()
    answer(monkeypatch, place / "all.xlsx")
    with monkeypatch.context() as patch:
        patch.setattr(exporting, "WORKER", SLOW)
        QTest.mouseClick(button_of(planned, "Take-off as XLSX …"), LEFT)
    settle()
    QTest.mouseClick(planned.notice.offer, LEFT)
    assert planned.notice.label.text() == "Cancelled: all.xlsx was not written."
    assert planned.files.exports.writing == ()
    assert planned.files.exports._worker.process is None
    assert list(place.iterdir()) == []


def test_a_refused_save_is_one_sentence(
    planned: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer(monkeypatch, tmp_path / "gone" / "plan.dxf")
    QTest.mouseClick(button_of(planned, "Roof plan as DXF …"), LEFT)
    qtbot.waitUntil(lambda: not planned.files.exports.writing, timeout=LONG)
    assert "there is no folder" in error(planned)
    # a worker that ends by itself is told of, too
    with monkeypatch.context() as patch:
        patch.setattr(exporting, "WORKER", ("-c", ""))
        planned.files.exports._worker.end()
        answer(monkeypatch, tmp_path / "plan.dxf")
        QTest.mouseClick(button_of(planned, "Roof plan as DXF …"), LEFT)
        qtbot.waitUntil(lambda: not planned.files.exports.writing, timeout=LONG)
    assert error(planned) == "plan.dxf could not be written: try again."


def test_a_window_that_closes_writes_what_was_asked_for(
    planned: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "plan.dxf"
    answer(monkeypatch, path)
    QTest.mouseClick(button_of(planned, "Roof plan as DXF …"), LEFT)
    assert not path.exists()
    planned.session.undo_stack.setClean()
    planned.close()
    assert path.is_file()


def test_the_window_works_on_while_the_picture_is_drawn(
    planned: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = planned, tmp_path / "roof.png"
    answer(monkeypatch, path)
    button = button_of(window, "3D picture as PNG …")
    began = time.perf_counter()
    QTest.mouseClick(button, LEFT)
    assert time.perf_counter() - began < 1.0
    assert not path.exists()
    assert window.notice.label.text() == "Writing roof.png …"
    qtbot.waitUntil(path.exists, timeout=LONG)
    assert window.notice.label.text() == "Written to roof.png."
    with Image.open(path) as picture:
        assert picture.size == PICTURE_SIZE
        colours = picture.convert("RGB").getcolors(2**24)
    assert colours is not None
    assert len(colours) > 100
