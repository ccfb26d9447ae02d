"""What is read on the screen: headings, long names, names and rings in plan, totals, notices."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from PIL import Image
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QLabel

from roofmodel.document import Underlay, Units
from roofmodel.takeoff import Quantity
from roofmodel_io.defaults import default_project
from roofmodel_ui.expects import LEVEL
from roofmodel_ui.panels.lines import amount
from roofmodel_ui.plan.foreground import welcome
from roofmodel_ui.plan.labels import Label, Placer
from roofmodel_ui.window import MainWindow
from tests.ui.hands import click, settle

METRIC = Units("metric")


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)])
def test_headings_keep_their_margin(house: MainWindow, size: tuple[int, int]) -> None:
    house.resize(*size)
    for stage in ("Count", "Cover", "Count"):
        house.show_stage(stage)
        settle()
    count = house.side.count
    headings = [x for x in count.findChildren(QLabel) if x.property("class") == "heading"]
    assert {label.text() for label in headings} == {"Count", "Panels to order", "Quantities"}
    for label in (h for h in headings if h.isVisible()):
        left = label.mapTo(count, QPoint()).x() + label.contentsRect().left()
        assert left == 16


def test_the_side_panel_grows_with_the_window(house: MainWindow) -> None:
    widths = []
    for wide, high in ((1280, 800), (1920, 1080)):
        house.resize(wide, high)
        settle()
        widths.append(house.side.width())
    assert widths == [330, 420]


def test_cover_leaves_quantities_to_count_on_a_low_screen(house: MainWindow) -> None:
    house.show_stage("Cover")
    house.resize(1280, 800)
    settle()
    assert not house.quantities.isVisible()
    house.resize(1600, 1000)
    settle()
    assert house.quantities.isVisible()
    table = house.quantities.table
    row = table.sizeHintForRow(0)
    assert table.viewport().height() >= 5 * row


def test_long_names_are_shortened_in_the_middle(house: MainWindow) -> None:
    house.show_stage("Cover")
    settle()
    choice = house.cover.systems.system
    assert choice.width() > 280  # the whole panel
    (covering,) = house.cover.buildings.buildings.values()
    assert covering.width() == choice.width()
    choice.setFixedWidth(160)
    settle()
    shown = choice.elided()
    assert "…" in shown
    assert shown[:6] == choice.currentText()[:6]
    assert shown[-4:] == choice.currentText()[-4:]


def test_names_in_plan_are_switched_off(
    house: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    placed: list[str] = []
    place = Placer.place

    def record(placer: Placer, label: Label) -> bool:
        placed.append(label.text)
        return place(placer, label)

    monkeypatch.setattr(Placer, "place", record)
    house.view3d.set_names(False)
    action = house.actions_by_id["names_plan"]
    for wanted in (True, False, True):
        assert action.isChecked() is wanted
        placed.clear()
        house.plan.viewport().grab()
        assert any("South 1" in text for text in placed) is wanted
        assert "40'-0\"" in placed  # lengths stay
        action.trigger()
    house.plan.set_names(True)


def test_levelling_is_spoken_of_until_it_is_done(window: MainWindow, tmp_path: Path) -> None:
    assert "Load a picture" in welcome(window.session.project)
    path = tmp_path / "above.png"
    Image.new("RGB", (800, 600), "green").save(path)
    assert window.files.load_picture_path(path)
    assert "Set the scale" in welcome(window.session.project)
    size = window.plan.viewport().size()
    wide = 800 * window.session.project.underlays[0].mm_per_pixel * window.plan.scale_now()
    high = wide * 600 / 800
    assert max(wide / size.width(), high / size.height()) == pytest.approx(0.9, abs=0.01)
    click_scale(window)
    assert window.plan.tool is window.tools["outline"]
    assert "level the picture" in welcome(window.session.project)
    assert window.totals._hint.text().startswith(LEVEL)
    window.actions_by_id["level_picture"].trigger()
    click(window, 0, 0)
    click(window, 20, 2)
    assert window.session.project.underlays[0].turn != 0.0
    assert "level the picture" not in welcome(window.session.project)
    window.use_tool("outline")
    assert not window.totals._hint.text().startswith(LEVEL)


def click_scale(window: MainWindow) -> None:
    """Set the scale by two points 30 ft apart."""
    window.use_tool("scale")
    click(window, 0, 0)
    click(window, 10, 0)
    for letter in "30'":
        window.tools["scale"].key("text", letter)
    window.tools["scale"].key("enter")


def quantity(group: str, unit: str, value: float) -> Quantity:
    return Quantity(group, "Ridge, all", unit, value, "how", "source", (), ())


def test_totals_of_lengths_are_metres_and_nothing_has_no_sign() -> None:
    assert amount(quantity("Edges", "mm", 40820.0), METRIC) == "40.82 m"
    assert amount(quantity("Each edge", "mm", 40820.0), METRIC) == "40820 mm"
    assert amount(quantity("Edges", "mm", 40 * 304.8), Units()) == "40'-0\""
    assert amount(quantity("Panels", "share", -0.0001), METRIC) == "0.0 %"
    assert amount(quantity("Panels", "share", 0.1234), METRIC) == "12.3 %"


def test_notices_end_with_a_new_project(house: MainWindow, tmp_path: Path) -> None:
    assert house.files.save_path(tmp_path / "a.roof")
    assert house.notice.isVisible()
    house.files.new()
    assert not house.notice.isVisible()


def test_a_hidden_or_turned_picture_needs_no_levelling() -> None:
    one = Underlay("u1", "a.png", 800, 600, 20.0, (0.0, 0.0), scaled=True)
    for change, askew in (({}, True), ({"turn": 3.0}, False), ({"scaled": False}, False)):
        underlay = msgspec.structs.replace(one, **change)
        project = msgspec.structs.replace(default_project(), underlays=(underlay,))
        assert ("level the picture" in welcome(project)) is askew
