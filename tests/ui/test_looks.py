"""What is seen in the real window: words that do not lie on each other, nothing cut, nothing that
moves from under the pointer."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import pytest
import shapely
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QColor, QFontMetricsF
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QCheckBox, QLabel, QToolButton
from pytestqt.qtbot import QtBot
from shapely.affinity import rotate, translate

from roofmodel.document.cover_edits import add_system
from roofmodel.document.edits import move_corner, rename_section
from roofmodel.document.part_edits import rename_part
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.project_file import read_project
from roofmodel_ui import theme
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.plan import foreground
from roofmodel_ui.plan.labels import Label, Placer, broken
from roofmodel_ui.selection import PartId, Selectable
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, settle

SAMPLES = sorted(Path(__file__).parents[2].glob("sample_projects/*.roof"))
LONG = "House at the end of the lane behind the old mill, second storey"
SIZES = ((1280, 800), (1920, 1080))


def turned(at: QPointF, wide: float, high: float, turn: float) -> shapely.Polygon:
    """The box of words, pixels, turned by degrees clockwise on screen."""
    box = shapely.box(-wide / 2, -high / 2, wide / 2, high / 2)
    return translate(rotate(box, turn, origin=(0, 0)), at.x(), at.y())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_words_in_plan_never_touch(
    window: MainWindow, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In every stage, with nothing and with everything selected, whole and near."""
    words: list[tuple[str, shapely.Polygon]] = []
    place, claim = Placer.place, Placer.claim

    def watch_place(placer: Placer, label: Label) -> bool:
        done = place(placer, label)
        if done:
            high = placer._metrics[label.style].height() * (label.text.count("\n") + 1)
            wide = placer.width(label.text, label.style)
            words.append((label.text, turned(label.at, wide, high, label.turn)))
        return done

    def watch_claim(placer: Placer, at: QPointF, wide: float, high: float, turn: float) -> bool:
        done = claim(placer, at, wide, high, turn)
        if done:
            words.append(("claimed", turned(at, wide, high, turn)))
        return done

    monkeypatch.setattr(Placer, "place", watch_place)
    monkeypatch.setattr(Placer, "claim", watch_claim)
    opened = read_project(path)
    window.session.open(opened.project, None, opened.pictures)
    window.after_open()
    parts = [PartId(i) for b in opened.project.buildings for i in b.part_ids()]
    planes = [p.id for p in window.session.results.surface.planes]
    selections: list[Sequence[Selectable]] = [(), planes, parts]
    selections += [[p] for p in parts if p.part.startswith("p")]
    for size in SIZES:
        window.resize(*size)
        for stage in STAGES:
            window.show_stage(stage)
            for chosen in selections:
                window.session.select(chosen)
                window.plan.zoom_to_fit()
                settle()
                words.clear()
                window.plan.viewport().grab()
                numbers = [
                    (n, turned(at, 14.0, 14.0, 0.0)) for at, n in foreground._numbers(window.plan)
                ]
                assert words
                seen = window.plan.viewport().rect()
                view = shapely.box(0, 0, seen.width(), seen.height())
                for k, (one, box) in enumerate(words):
                    assert view.contains(box), (size, stage, one)
                    for other, second in (*words[:k], *numbers):
                        common = box.intersection(second).area
                        assert common < 1e-6, (size, stage, one, other)


def test_long_words_beside_the_pointer_are_broken_and_not_cut(window: MainWindow) -> None:
    metrics = QFontMetricsF(theme.plan_font(10))
    text = "The dormer stands out above the roof behind it and would come out on the other side"
    lines = broken(text, metrics, 200.0).split("\n")
    assert " ".join(lines) == text
    assert all(metrics.horizontalAdvance(line) <= 200.0 for line in lines)
    assert broken("Eave 2 · 40'-0\"", metrics, 60.0) == "Eave 2\n40'-0\""
    assert broken("Unbreakable", metrics, 5.0) == "Unbreakable"


def test_what_is_said_is_as_wide_as_the_plan(house: MainWindow) -> None:
    house.session.message.emit("Squared up: moved corner 1 by 2 in, corner 3 by 1 in.", False)
    for size in (*SIZES, SIZES[0]):
        house.resize(*size)
        settle()
        assert house.notice.width() == house.plan.width()
        assert house.notice.height() >= house.notice.height_for(house.notice.width())


def test_tabs_of_count_stay_where_they_are(house: MainWindow) -> None:
    house.show_stage("Count")
    settle()
    count = house.side.count
    assert not count.tabs.tabBar().isVisible()
    places = set()
    for number in range(count.bar.count()):
        count.bar.setCurrentIndex(number)
        settle()
        assert count.tabs.currentIndex() == number
        assert count.tabs.tabText(number) == count.bar.tabText(number)
        places.add(count.bar.mapTo(house, count.bar.rect().topLeft()).toTuple())
    assert len(places) == 1
    count.show_list("Cut list")
    assert count.bar.tabText(count.bar.currentIndex()) == "Cut list"


def test_menus_are_parted_and_quit_is_last(window: MainWindow) -> None:
    file, edit = window.menus["File"], window.menus["Edit"]
    assert file.actions()[-1].text() == "Quit"
    for menu in (file, edit):
        entries = menu.actions()
        lines = [a.isSeparator() for a in entries]
        assert sum(lines) >= 3
        assert not lines[0]
        assert not lines[-1]
        assert not any(a and b for a, b in itertools.pairwise(lines))


def test_a_list_of_problems_has_room_in_a_tall_window(porch: MainWindow) -> None:
    porch.resize(1600, 1000)
    settle()
    assert porch.quantities.isVisible()
    porch.session.attempt("Move corner", lambda p: move_corner(p, "s1", 0, 1, (3048, 40 * FT)))
    porch.totals.problems.click()
    settle()
    assert not porch.quantities.isVisible()
    assert porch.side.forms.height() >= 400
    assert porch.totals.list.height() >= 300
    porch.show_stage("Count")
    settle()
    assert porch.quantities.isVisible()
    porch.show_stage("Shape")
    porch.totals.list.hide()
    settle()
    assert porch.quantities.isVisible()


def test_facts_of_panels_keep_all_their_lines(window: MainWindow) -> None:
    opened = read_project(SAMPLES[-1])
    window.session.open(opened.project, None)
    window.after_open()
    window.resize(1920, 1080)
    window.show_stage("Cover")
    settle()
    window.session.select([p.id for p in window.session.results.surface.planes[:5]])
    settle()
    window.resize(1280, 800)
    settle()
    labels = window.cover.layouts.facts.findChildren(QLabel)
    assert len(labels) >= 8
    for label in labels:
        assert label.height() >= label.heightForWidth(label.width()), label.text()


def test_a_new_job_shows_its_own_system(house: MainWindow) -> None:
    house.show_stage("Cover")
    second = next(s for s in built_in_systems() if s.id != house.session.project.system.id)
    house.session.attempt("Add system", lambda p: add_system(p, second))
    assert house.cover.systems.current(house.session.project).id == second.id
    house.session.open(house.session.project, None)
    project = house.session.project
    assert house.cover.systems.current(project).id == project.system.id


def test_a_stage_begins_at_its_top(house: MainWindow) -> None:
    house.resize(1280, 700)
    house.show_stage("Cover")
    settle()
    bar = house.side.forms.verticalScrollBar()
    bar.setValue(bar.maximum())
    assert bar.value() > 0
    house.show_stage("Cover")
    assert bar.value() > 0
    house.show_stage("Shape")
    settle()
    assert bar.value() == 0


def test_rows_of_parts_are_whole_and_names_keep_their_ends(house: MainWindow) -> None:
    tree = house.shape.parts.tree

    def whole() -> None:
        settle()
        top = tree.topLevelItem(0)
        assert top is not None
        row = tree.visualItemRect(top).height()
        assert tree.viewport().height() % row == 0
        assert tree.viewport().height() >= 4 * row

    whole()
    for part in house.session.project.buildings[0].part_ids():
        house.session.attempt("Rename", partial(rename_part, part_id=part, name=LONG))
    whole()
    house.session.attempt("Rename", lambda p: rename_section(p, "s1", "Short"))
    whole()


def test_the_line_at_the_bottom_says_the_first_step(window: MainWindow) -> None:
    window.use_tool("select")
    said = window.totals._hint.text()
    assert said.startswith("Load a picture (Ctrl+L)")
    for name in ("picture", "outline", "ready"):
        keys = window.actions_by_id[name].shortcut().toString()
        assert f"({keys})" in said
    assert window.totals._hint.toolTip() == said
    assert window.totals._hint.elided() == said
    window.totals.show_hint("Click a corner. " * 40)
    assert window.totals._hint.elided().startswith("Click a corner. Click")
    assert window.totals._hint.elided().endswith("…")


def test_the_first_step_is_no_longer_said_once_there_is_a_part(house: MainWindow) -> None:
    assert house.totals._hint.text().startswith("Click to select")
    house.session.open(default_project(), None)
    assert house.totals._hint.text().startswith("Load a picture")


def test_a_metric_job_is_not_told_in_squares(house: MainWindow) -> None:
    assert house.totals.area.text() == "Roof 10.73 squares"
    house.actions_by_id["units_metric"].trigger()
    # 40 by 24 ft at 6/12
    assert house.totals.area.text() == f"Roof {40 * 24 * 1.25**0.5 * 0.3048**2:.2f} m²"


def test_the_welcome_makes_way_for_a_tool(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[object] = []
    monkeypatch.setattr(foreground, "_draw_welcome", lambda *a: drawn.append(a))
    window.plan.viewport().grab()
    assert drawn
    window.use_tool("outline")
    middle = window.plan.viewport().rect().center()
    QTest.mouseMove(window.plan.viewport(), middle)
    settle()
    assert window.tools["outline"].overlay().label
    drawn.clear()
    window.plan.viewport().grab()
    assert not drawn


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_box_to_tick_can_be_seen(house: MainWindow, scheme: str) -> None:
    house.actions_by_id[f"theme_{scheme}"].trigger()
    house.session.select([PartId("s1")])
    settle()
    box: QCheckBox = house.shape.section.open_below
    place = QRect(box.mapTo(house, QPoint(0, 0)), box.size())
    image = house.grab(place).toImage()  # with what it stands on
    paper = image.pixelColor(image.width() - 1, image.height() // 2)
    assert theme.contrast(paper, QColor(theme.PAPER)) < 1.1
    shades = [image.pixelColor(x, image.height() // 2) for x in range(4)]
    assert max(theme.contrast(c, paper) for c in shades) > 2.5


def test_whoever_goes_by_keys_sees_where_they_are(house: MainWindow, qtbot: QtBot) -> None:
    with qtbot.waitActive(house):
        house.activateWindow()
    house.session.select([PartId("s1")])
    settle()
    shape = house.shape
    # those that the program dresses itself; the style does the others
    kinds = (
        shape.section.match, shape.parts.mover, house.strip.buttons["Cover"],
        house.rail.findChildren(QToolButton)[1], shape.section.name,
    )  # fmt: skip
    for scheme in ("light", "dark"):
        house.actions_by_id[f"theme_{scheme}"].trigger()
        for widget in kinds:
            widget.setEnabled(True)
            house.plan.setFocus()
            settle()
            without = widget.grab().toImage()
            widget.setFocus(Qt.FocusReason.TabFocusReason)
            settle()
            assert widget.grab().toImage() != without, (scheme, widget.accessibleName())
