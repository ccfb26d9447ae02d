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
from roofmodel.sheets.changed_since import change_rows
from roofmodel.units import KG_PER_LB
from roofmodel_io.folders import write_folder
from roofmodel_ui.handing import Handing
from roofmodel_ui.panels.fields import Field
from roofmodel_ui.panels.handover import HandOverPanel
from roofmodel_ui.panels.shop_form import BUNDLE, COIL, SHEET, TRIM
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


DIES = """
import os
from roofmodel_io import folders
real = os.replace
def moved(source, target):
    is_ours = os.path.isdir(source)
    if is_ours and {before!r} and str(source).endswith({before!r}):
        os._exit(9)
    real(source, target)
    if is_ours and {after!r} and str(source).endswith({after!r}):
        os._exit(9)
folders.os.replace = moved
from roofmodel_ui.shop_worker import main
main()
"""
"""A worker that is gone without a word, before or after it moves a folder whose name ends so."""


@pytest.mark.parametrize("had", [False, True], ids=["new", "earlier package"])
@pytest.mark.parametrize(
    ("before", "after", "is_there"),
    [(".part", "", False), ("for shop and crew", "", False), ("", ".part", True)],
    ids=["with the old one aside", "before the renames", "after the renames"],
)
def test_a_worker_that_dies_is_followed_by_what_lies_there(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    had: bool,
    before: str,
    after: str,
    is_there: bool,
) -> None:
    if before == "for shop and crew" and not had:
        pytest.skip("there is no earlier folder to move")
    place = tmp_path / "place"
    place.mkdir()
    chosen(monkeypatch, place)
    name = panel.handing.folder_name()
    if had:
        write_folder(place / name, lambda writer: writer.put("old.txt", b"old"))
    dies = DIES.format(before=before, after=after)
    monkeypatch.setattr("roofmodel_ui.handing.WORKER", ("-c", dies))
    with qtbot.waitSignal(house.session.message, timeout=LONG) as told:
        QTest.mouseClick(panel.write, LEFT)
    sentence, is_error = told.args or ("", False)
    assert panel.handing.state == "idle"
    files = [p for p in (place / name).rglob("*") if p.is_file()]
    if is_there:
        assert not is_error, sentence
        assert f"all {len(files)} files of it are in the folder '{name}'" in sentence
        assert (place / name / "cut_list.csv").is_file()
    else:
        assert is_error
        kept = f"the folder '{name}' is as it was" if had else "nothing was"
        assert sentence == f"The package could not be written, and {kept}: try again."
        assert [p.name for p in files if p.suffix == ".txt" and p.stem != "contents"] == (
            ["old.txt"] if had else []
        )
    assert [p.name for p in place.iterdir()] == ([name] if had or is_there else [])


def test_cancelled_too_late_is_said(
    house: MainWindow,
    panel: HandOverPanel,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    place = tmp_path / "place"
    place.mkdir()
    chosen(monkeypatch, place)
    name = panel.handing.folder_name()
    waits = DIES.replace("os._exit(9)", "__import__('time').sleep(60)")
    waits = waits.format(before="", after=".part")
    monkeypatch.setattr("roofmodel_ui.handing.WORKER", ("-c", waits))
    QTest.mouseClick(panel.write, LEFT)
    qtbot.waitUntil(lambda: (place / name).is_dir(), timeout=LONG)
    with qtbot.waitSignal(house.session.message, timeout=LONG) as told:
        QTest.mouseClick(panel.cancel, LEFT)
    sentence, is_error = told.args or ("", True)
    assert not is_error
    assert sentence.startswith("Too late to cancel: all ")
    assert [p.name for p in place.iterdir()] == [name]


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
    pieces = sum(d.kind != "moved" for d in found)
    assert f"{pieces} pieces are not as released in revision 1" in panel.state.text()
    assert panel.changes.isVisible()
    items = [panel.changes.topLevelItem(k) for k in range(panel.changes.topLevelItemCount())]
    rows = [tuple(item.toolTip(k) for k in range(3)) for item in items if item is not None]
    # 40 ft are 14 panels a side; the ridge goes north, so both sides are longer
    marks, was, now = rows[0]
    assert marks == "14 × South 1 - 1 to 14"
    assert was.startswith("length 13'-5 1/2")
    assert now.startswith("length ")
    assert len(set(rows)) == len(rows)
    shown = [item.text(k).replace("\u00a0", " ") for item in items if item for k in range(3)]
    assert shown == [text for row in rows for text in row]
    # in the words of the package
    units = session.project.units
    told = change_rows([d for d in found if d.kind != "moved"], units)
    assert [(r.was or "not there", r.now or "removed") for r in told] == [r[1:] for r in rows][
        : len(told)
    ]
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
    handing = panel.handing
    plain = handing.folder_name()
    assert plain.endswith(" for shop and crew")
    released(panel, qtbot)
    assert handing.folder_name() == f"{plain}, revision 1"
    assert f"'{plain}, revision 1'" in panel.said.text()
    house.session.attempt("Pitch", lambda p: set_slope(p, "s1", ["e1"], 7 / 12))
    qtbot.waitUntil(lambda: bool(panel.handing.found), timeout=LONG)
    assert panel.release.text() == "Release revision 2"
    assert handing.folder_name() == plain  # what is there now is no revision
    released(panel, qtbot)
    qtbot.waitUntil(lambda: len(house.session.project.releases) == 2, timeout=LONG)
    assert panel.history.text().startswith("Revision 2, ")
    assert panel.history.text().count("\n") == 1
    # the folder of revision 1 stays beside it
    assert handing.folder_name() == f"{plain}, revision 2"


def type_in(panel: HandOverPanel, label: str, text: str) -> str:
    """Type into a rule's field; what it shows then."""
    field = panel.rules.fields[label]
    assert isinstance(field, Field)
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    return field.text()


def test_the_weight_of_a_bundle_is_typed(house: MainWindow, panel: HandOverPanel) -> None:
    def kg(text: str) -> float:
        type_in(panel, BUNDLE, text)
        return house.session.project.shop.lift_weight

    assert kg("1,500") == pytest.approx(1500 * KG_PER_LB)
    assert type_in(panel, BUNDLE, "2000") == "2000 lb"
    assert kg("500 kg") == 500.0
    assert kg("much") == 500.0
    assert kg("1 lb") == 500.0


def test_sheet_and_coil_are_typed(house: MainWindow, panel: HandOverPanel) -> None:
    session = house.session
    assert type_in(panel, SHEET, "1.5") == "1.5 lb per sq ft"
    assert session.project.shop.sheet_weight == pytest.approx(1.5 * KG_PER_LB / 0.3048**2)
    assert type_in(panel, SHEET, "6 kg per m²") == "1.229 lb per sq ft"
    assert session.project.shop.sheet_weight == 6.0
    assert type_in(panel, COIL, "1.3") == "1.3"
    assert session.project.shop.formed == 1.3
    for label, text, words in (
        (SHEET, "heavy", "is no weight of a sheet. Write 1.156 lb per sq ft"),
        (SHEET, "900", "between 0.5 and 50 kg per m²"),
        (COIL, "wide", "is no share of coil to coverage. Write 1.2."),
        (COIL, "12", "1 to 3 times as wide"),
    ):
        assert words in refused(house, panel, label, text)
    assert (session.project.shop.sheet_weight, session.project.shop.formed) == (6.0, 1.3)


def test_coils_for_trim_are_typed(house: MainWindow, panel: HandOverPanel) -> None:
    session = house.session
    assert session.project.shop.trim_coils == (1219.2,)
    assert type_in(panel, TRIM, "24, 4' ; 20 1/2") == '48", 24", 20 1/2"'
    assert session.project.shop.trim_coils == pytest.approx((1219.2, 609.6, 520.7))
    for text, words in (
        ("", "Name 1 to 6 widths"),
        ("wide", "'wide'"),
        ("48, 48", "named twice"),
        ("1", "between 2 in"),
        ("10,11,12,13,14,15,16", "Name 1 to 6 widths"),
    ):
        assert words in refused(house, panel, TRIM, text)
    assert len(session.project.shop.trim_coils) == 3
    session.undo_stack.undo()
    assert session.project.shop.trim_coils == (1219.2,)
    field = panel.rules.fields[TRIM]
    assert isinstance(field, Field)
    assert field.text() == '48"'


def test_rules_of_a_metric_job(house: MainWindow, panel: HandOverPanel) -> None:
    house.actions_by_id["units_metric"].trigger()
    rules = [panel.rules.fields[label] for label in (BUNDLE, SHEET, COIL, TRIM)]
    shown = [field.text() for field in rules if isinstance(field, Field)]
    assert shown == ["907 kg", "5.644 kg per m²", "1.2", "1219.2 mm"]
    assert type_in(panel, TRIM, "1250, 625 mm") == "1250 mm, 625 mm"
    assert house.session.project.shop.trim_coils == (1250.0, 625.0)
    assert type_in(panel, SHEET, "5") == "5 kg per m²"
    assert house.session.project.shop.sheet_weight == 5.0


def refused(house: MainWindow, panel: HandOverPanel, label: str, text: str) -> str:
    """The sentence with which a rule is refused; its field shows the old one again."""
    field = panel.rules.fields[label]
    assert isinstance(field, Field)
    before, told = field.text(), []
    house.session.message.connect(lambda words, is_error: told.append(words) if is_error else None)
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    assert type_in(panel, label, text) == before
    return "".join(told)


def test_without_a_roof_there_is_nothing_to_write(window: MainWindow) -> None:
    window.show_stage("Hand over")
    panel = window.side._hand_over.get()
    assert not panel.write.isEnabled()
    assert not panel.release.isEnabled()
