"""Hand over in the window: the package from the background, cancelling, releases and what
changed since."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from roofmodel.document.edits import set_slope
from roofmodel.units import KG_PER_LB
from roofmodel_ui.handing import Handing
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.window import MainWindow

LONG = 60_000
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def panel(house: MainWindow) -> HandOverPanel:
    house.show_stage("Hand over")
    panel = house.side._hand_over.get()
    assert isinstance(panel, HandOverPanel)
    return panel


def chosen(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))


def idle(handing: Handing) -> bool:
    return handing.state == "idle"


def released(panel: HandOverPanel, qtbot: QtBot) -> None:
    QTest.mouseClick(panel.release, LEFT)
    qtbot.waitUntil(lambda: idle(panel.handing), timeout=LONG)


def test_the_package_is_written_in_the_background(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    chosen(monkeypatch, tmp_path)
    assert panel.write.isEnabled()
    assert not panel.cancel.isVisible()
    assert not panel.open.isVisible()
    QTest.mouseClick(panel.write, LEFT)
    assert panel.handing.state == "writing"
    assert panel.cancel.isVisible()
    assert panel.bar.isVisible()
    assert not panel.write.isEnabled()
    said: set[str] = set()
    panel.handing.changed.connect(lambda: said.add(panel.said.text()))
    # the window stays alive meanwhile
    house.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(lambda: idle(panel.handing), timeout=LONG)
    folder = tmp_path / panel.handing.folder_name()
    assert (folder / "cut_list.csv").is_file()
    assert (folder / "layouts" / "South_1.dxf").is_file()
    assert [p.name for p in tmp_path.iterdir() if p.suffix == ".part"] == []
    assert "2 layout sheets" in panel.said.text()
    assert "not released" in panel.said.text()
    assert panel.open.isVisible()
    assert not panel.bar.isVisible()
    assert any("South 1: panel layout" in s for s in said)
    assert any(s.startswith("1 of ") or s.startswith("2 of ") for s in said)


def test_cancelling_leaves_nothing(
    panel: HandOverPanel, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "place"
    place.mkdir()
    chosen(monkeypatch, place)
    QTest.mouseClick(panel.write, LEFT)
    qtbot.waitUntil(lambda: any(place.glob(".*.part/layouts/*")), timeout=LONG)
    QTest.mouseClick(panel.cancel, LEFT)
    assert panel.handing.state == "idle"
    assert list(place.iterdir()) == []
    assert panel.write.isEnabled()
    # and it can be written again
    QTest.mouseClick(panel.write, LEFT)
    qtbot.waitUntil(lambda: idle(panel.handing), timeout=LONG)
    assert [p.name for p in place.iterdir()] == [panel.handing.folder_name()]


def test_what_the_disk_refuses_is_one_sentence(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    taken = tmp_path / panel.handing.folder_name()
    taken.mkdir()
    (taken / "mine.txt").write_text("")
    chosen(monkeypatch, tmp_path)
    with qtbot.waitSignal(house.session.message, timeout=LONG) as told:
        QTest.mouseClick(panel.write, LEFT)
    sentence, is_error = told.args or ("", False)
    assert is_error
    assert "holds other files ('mine.txt')" in sentence
    assert panel.handing.state == "idle"
    assert [p.name for p in taken.iterdir()] == ["mine.txt"]


def test_a_release_and_what_changed_since(
    house: MainWindow, panel: HandOverPanel, qtbot: QtBot
) -> None:
    session = house.session
    assert "Nothing is released yet" in panel.state.text()
    assert panel.release.text() == "Release revision 1"
    released(panel, qtbot)
    (release,) = session.project.releases
    today = QDate.currentDate().toString(Qt.DateFormat.ISODate)
    assert (release.number, release.date) == (1, today)
    assert release.count("panel") == len(session.results.take_off.panels)
    assert panel.state.text() == "All is as released in revision 1."
    assert not panel.release.isEnabled()
    assert f"Revision 1, {today}: {release.count('panel')} panels" in panel.history.text()
    # a steeper south side changes its panels, and the ridge that moves changes the others
    session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(lambda: bool(panel.handing.found), timeout=LONG)
    found = panel.handing.found
    assert found is not None
    assert f"{len(found)} pieces are not as released in revision 1" in panel.state.text()
    assert panel.changes.isVisible()
    assert panel.changes.topLevelItemCount() == len(found)
    rows = [panel.changes.topLevelItem(k) for k in range(len(found))]
    marks = [row.text(0) for row in rows if row is not None]
    assert "South 1 - 1" in marks
    # taking it back makes it what it was
    session.undo_stack.undo()
    qtbot.waitUntil(lambda: panel.handing.found == (), timeout=LONG)
    assert not panel.changes.isVisible()
    # undo takes the release itself back as well
    session.undo_stack.undo()
    assert not session.project.releases
    assert "Nothing is released yet" in panel.state.text()


def test_a_second_release_has_the_next_number(
    house: MainWindow, panel: HandOverPanel, qtbot: QtBot
) -> None:
    released(panel, qtbot)
    house.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(lambda: bool(panel.handing.found), timeout=LONG)
    assert panel.release.text() == "Release revision 2"
    released(panel, qtbot)
    qtbot.waitUntil(lambda: len(house.session.project.releases) == 2, timeout=LONG)
    assert panel.history.text().startswith("Revision 2, ")
    assert panel.history.text().count("\n") == 1


def test_the_weight_of_a_bundle_is_typed(house: MainWindow, panel: HandOverPanel) -> None:
    def type_in(text: str) -> float:
        panel.lift.setFocus()
        panel.lift.selectAll()
        QTest.keyClicks(panel.lift, text)
        QTest.keyClick(panel.lift, Qt.Key.Key_Return)
        return house.session.project.shop.lift_weight

    assert panel.lift.text() == "2000 lb"
    assert type_in("1,500") == pytest.approx(1500 * KG_PER_LB)
    assert panel.lift.text() == "1500 lb"
    assert type_in("500 kg") == 500.0
    assert type_in("much") == 500.0
    assert type_in("1 lb") == 500.0


def test_without_a_roof_there_is_nothing_to_write(window: MainWindow) -> None:
    window.show_stage("Hand over")
    panel = window.side._hand_over.get()
    assert not panel.write.isEnabled()
    assert not panel.release.isEnabled()
