"""Hand over where pieces cannot be had: asked for once, said on the panel, told to who asks."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from roofmodel.document import Job
from roofmodel.document.cover_edits import set_parts
from roofmodel.document.edits import set_slope
from roofmodel.document.releases import set_shop_rules
from roofmodel_ui.handing import Handing
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.shop_tasks import PiecesTask
from roofmodel_ui.window import MainWindow
from roofmodel_ui.worker import Worker

LONG = 20_000
LEFT = Qt.MouseButton.LeftButton
DEAD = ("-c", "import sys; sys.stdin.readline(); sys.exit(3)")


@pytest.fixture
def panel(house: MainWindow, qtbot: QtBot) -> HandOverPanel:
    """Released, and nothing has changed."""
    house.show_stage("Hand over")
    panel = house.side._hand_over.get()
    QTest.mouseClick(panel.release, LEFT)
    qtbot.waitUntil(lambda: panel.handing.found == (), timeout=LONG)
    return panel


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Every question for the pieces that a worker is given."""
    out: list[object] = []
    real = Worker.send

    def send(self: Worker, arguments: tuple[str, ...], task: msgspec.Struct) -> None:
        out.extend([task] if isinstance(task, PiecesTask) else [])
        real(self, arguments, task)

    monkeypatch.setattr(Worker, "send", send)
    return out


@pytest.fixture
def told(house: MainWindow) -> list[str]:
    out: list[str] = []
    house.session.message.connect(lambda words, is_error: out.append(words) if is_error else None)
    return out


def settled(handing: Handing, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: bool(handing.why_not) and handing.state == "idle", timeout=LONG)
    qtbot.wait(300)  # enough for many processes, were they begun


def steeper(house: MainWindow, rise: float) -> None:
    house.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], rise / 12))


def test_a_worker_that_dies_is_asked_once(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    asked: list[object],
    told: list[str],
) -> None:
    with monkeypatch.context() as dead:
        dead.setattr("roofmodel_ui.handing.WORKER", DEAD)
        steeper(house, 7)
        settled(panel.handing, qtbot)
        assert len(asked) == 1
        assert told == []
        assert panel.state.text().startswith("What differs from revision 1 cannot be found out")
        assert "ended by itself" in panel.state.text()
        # looking again, and what changes no piece, asks no more
        panel.hide()
        panel.show()
        house.session.attempt("Lift", lambda p: set_shop_rules(p, lift_weight=500.0))
        qtbot.wait(200)
        assert len(asked) == 1
        # Release tries once more, and says once that it cannot
        QTest.mouseClick(panel.release, LEFT)
        settled(panel.handing, qtbot)
        assert len(asked) == 2
        assert len(told) == 1
        assert told[0].startswith("Not released: ")
        assert told[0].endswith("Try again.")
        assert len(house.session.project.releases) == 1
        # another roof is asked about again
        steeper(house, 8)
        settled(panel.handing, qtbot)
        assert len(asked) == 3
    steeper(house, 9)
    qtbot.waitUntil(lambda: bool(panel.handing.found), timeout=LONG)
    assert panel.changes.isVisible()
    QTest.mouseClick(panel.release, LEFT)
    qtbot.waitUntil(lambda: len(house.session.project.releases) == 2, timeout=LONG)


def test_trim_that_cannot_be_bent_is_asked_about_once(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    asked: list[object],
    told: list[str],
) -> None:
    less = tuple(p for p in house.session.project.parts if p.name != "ridge cap")
    assert len(less) + 1 == len(house.session.project.parts)
    house.session.attempt("Sections", lambda p: set_parts(p, less))
    settled(panel.handing, qtbot)
    assert len(asked) == 1
    assert told == []
    assert "'ridge cap'" in panel.state.text()
    QTest.mouseClick(panel.release, LEFT)
    assert len(told) == 1
    assert told[0].startswith("Not released: ")
    assert "'ridge cap'" in told[0]
    assert len(asked) == 1  # it would be refused again
    assert len(house.session.project.releases) == 1
    house.session.undo_stack.undo()
    qtbot.waitUntil(lambda: panel.handing.found == (), timeout=LONG)


def test_a_first_release_says_why_it_cannot_be(
    house: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, told: list[str]
) -> None:
    house.show_stage("Hand over")
    panel = house.side._hand_over.get()
    monkeypatch.setattr("roofmodel_ui.handing.WORKER", DEAD)
    QTest.mouseClick(panel.release, LEFT)
    settled(panel.handing, qtbot)
    assert len(told) == 1
    assert "It cannot be released: " in panel.state.text()
    assert panel.release.isEnabled()


def test_the_name_of_the_job_asks_nothing(
    house: MainWindow, panel: HandOverPanel, qtbot: QtBot, asked: list[object]
) -> None:
    named = msgspec.structs.replace(house.session.project, job=Job("Elm Street"))
    house.session.edit("Name", named)
    qtbot.wait(200)
    assert panel.handing.found == ()
    assert asked == []


def test_a_package_of_before_that_cannot_go_back_is_named(
    house: MainWindow,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    told: list[str],
) -> None:
    house.show_stage("Hand over")
    handing = house.side._hand_over.get().handing
    aside = tmp_path / ".roof for shop and crew.x.old"
    monkeypatch.setattr("roofmodel_ui.handing.WORKER", DEAD)
    monkeypatch.setattr(handing._folders, "drop_staging", lambda *_: aside)
    handing.write(tmp_path / handing.folder_name())
    qtbot.waitUntil(lambda: handing.state == "idle", timeout=LONG)
    kept = f"the folder of before could not be put back and lies in '{aside.name}' beside it"
    assert told == [f"The package could not be written, and {kept}: try again."]
    told.clear()
    monkeypatch.setattr("roofmodel_ui.handing.WORKER", ("-c", "import sys; sys.stdin.read()"))
    handing.write(tmp_path / handing.folder_name())
    handing.cancel()
    assert told == [f"Cancelled, but {kept}."]
