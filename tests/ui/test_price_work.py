"""What is said about the work, and the checks, in the window."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QWidget

from roofmodel.document.work import ChosenExtra
from roofmodel_ui.panels.bound import BoundForm
from roofmodel_ui.panels.fields import Choice, Field
from roofmodel_ui.panels.ticks import Tick
from roofmodel_ui.panels.work import WorkPage
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, choose, click_row, enter, error, press, settle, undone


@pytest.fixture
def page(house: MainWindow) -> WorkPage:
    """What is said about the house."""
    house.actions_by_id["list_work"].trigger()
    settle()
    return house.side.count.money.work


def field(house: MainWindow, form: BoundForm, label: str) -> Field:
    found = form.fields[label]
    assert isinstance(found, Field)
    bring(house, found)
    return found


def choice(house: MainWindow, form: BoundForm, label: str) -> Choice:
    found = form.fields[label]
    assert isinstance(found, Choice)
    bring(house, found)
    return found


def bring(house: MainWindow, widget: QWidget) -> None:
    settle()
    house.side.count.money.work.area.ensureWidgetVisible(widget)
    settle()


def test_the_old_roof_is_said_and_counts(house: MainWindow, page: WorkPage) -> None:
    before = house.session.project
    form = page.old_roof
    assert not form.fields["Layers of it"].isVisible()
    choose(house, choice(house, form, "What is done"), "Tear off the old roof")
    undone(house, before)
    choose(house, choice(house, form, "Old covering"), "Slate")
    enter(house, field(house, form, "Layers of it"), "2")
    enter(house, field(house, form, "Deck to replace"), "12.5 %")
    old = house.session.project.work.old_roof
    assert (old.over, old.covering, old.layers, old.deck_share) == ("tear-off", "slate", 2, 0.125)
    groups = {q.group for q in house.session.results.take_off.quantities}
    assert any("ear-off" in g for g in groups)


@pytest.mark.parametrize(
    ("label", "typed"),
    [("Layers of it", "2.5"), ("Layers of it", "many"), ("Layers of it", "12"),
     ("Deck to replace", "140 %"), ("Layers of felt", "-1")],
)  # fmt: skip
def test_what_cannot_be_is_refused(
    house: MainWindow, page: WorkPage, label: str, typed: str
) -> None:
    choose(house, choice(house, page.old_roof, "What is done"), "Tear off the old roof")
    before = house.session.project
    enter(house, field(house, page.old_roof, label), typed)
    assert error(house)
    assert house.session.project is before


def test_below_the_metal(house: MainWindow, page: WorkPage) -> None:
    form = page.layers
    assert not form.fields["It reaches inside by"].isVisible()
    tick = form.fields["Ice barrier at the eaves"]
    assert isinstance(tick, Tick)
    bring(house, tick)
    press(house, tick)
    settle()
    enter(house, field(house, form, "It reaches inside by"), "36")
    choose(house, choice(house, form, "Measured from"), "The walls' inside")
    assert form.fields["Thickness of the walls"].isVisible()
    choose(house, choice(house, form, "Underlayment"), "None")
    work = house.session.project.work
    assert work.underlayment == ""
    assert work.ice_barrier.on
    assert work.ice_barrier.inside == pytest.approx(3 * FT)
    assert work.ice_barrier.face == "inside"
    press(house, tick)
    settle()
    assert not house.session.project.work.ice_barrier.on
    assert not tick.isChecked()


def test_attic_codes_and_labour(house: MainWindow, page: WorkPage) -> None:
    choose(house, choice(house, page.attic, "Net free area"), "1 part in 300")
    enter(house, field(house, page.attic, "Share at the ridge"), "40")
    choose(house, choice(house, page.codes, "Residential code"), "2018")
    choose(house, choice(house, page.codes, "Standard on loads"), "ASCE 7-16")
    enter(house, field(house, page.codes, "Mean roof height"), "18 ft")
    choose(house, choice(house, page.codes, "Metal"), "Aluminium")
    enter(house, field(house, page.codes, "It may warm by"), "150 °F")
    enter(house, field(house, page.labour, "Height of the eaves"), "24 ft")
    enter(house, field(house, page.labour, "Factor for access"), "1.25")
    work = house.session.project.work
    assert (work.ventilation.ratio, work.ventilation.at_ridge) == (300, 0.4)
    assert (work.edition, work.wind_edition, work.metal) == ("2018", "7-16", "aluminium")
    assert work.mean_height == pytest.approx(18 * FT)
    assert work.warming == 150
    assert work.labour.eave_height == pytest.approx(24 * FT)
    assert work.labour.access == 1.25
    enter(house, field(house, page.labour, "Height of the eaves"), "")
    assert house.session.project.work.labour.eave_height is None
    choose(house, choice(house, page.attic, "Attic"), "Spray foam under the deck, not vented")
    assert not page.attic.fields["Net free area"].isVisible()


def test_extras_with_their_amounts(house: MainWindow, page: WorkPage) -> None:
    before = house.session.project
    for key in ("gutter", "snow guard"):
        bring(house, page.extras.ticks[key])
        press(house, page.extras.ticks[key])
        settle()
    assert house.session.project.work.extras == (ChosenExtra("gutter"), ChosenExtra("snow guard"))
    bring(house, page.extras.amounts["snow guard"])
    enter(house, page.extras.amounts["snow guard"], "24")
    enter(house, page.extras.amounts["gutter"], "60 ft")
    assert house.session.project.work.extras == (
        ChosenExtra("gutter", 60 * FT), ChosenExtra("snow guard", 24.0),
    )  # fmt: skip
    guards = [q for q in house.session.results.take_off.quantities if q.key == "snow guard"]
    assert [q.quantity for q in guards] == [24.0]
    enter(house, page.extras.amounts["gutter"], "")
    assert house.session.project.work.extras[0] == ChosenExtra("gutter")
    enter(house, page.extras.amounts["snow guard"], "lots")
    assert "'snow guard'" in error(house)
    for key in ("gutter", "snow guard"):
        press(house, page.extras.ticks[key])
        settle()
    assert house.session.project.work == before.work


def test_every_field_has_a_name_and_a_tip(page: WorkPage) -> None:
    forms = (page.old_roof, page.layers, page.attic, page.codes, page.labour)
    fields = [f for form in forms for f in form.fields.values()]
    fields += [*page.extras.ticks.values(), *page.extras.amounts.values()]
    assert len(fields) > 25
    for each in fields:
        assert each.accessibleName()
        assert len(each.toolTip()) > 5, each.accessibleName()
        assert not isinstance(each, QComboBox) or each.count() > 1


def test_checks_go_to_their_place(house: MainWindow, page: WorkPage) -> None:
    checks = page.checks
    found = house.session.results.take_off.checks
    assert len(found) > 0
    assert checks.table.topLevelItemCount() == len(found)
    look = sum(not c.passed for c in found)
    assert f"{look} worth a look" in checks.title.text()
    place, check = next((k, c) for k, c in enumerate(checks.checks) if c.planes or c.edges)
    item = checks.table.topLevelItem(place)
    assert item is not None
    house.zoom_to_fit()
    wide = house.plan.transform()
    with_signal: list[int] = []
    house.session.highlight.sought.connect(lambda: with_signal.append(1))
    click_row(checks.table, item)
    settle()
    about = {*check.planes, *check.edges}
    lit = house.session.highlight.items | house.session.selection
    assert lit == about
    assert with_signal
    assert house.plan.transform() != wide
    assert check.sentence in checks.words.text()
    assert check.edition in checks.words.text()
    QTest.keyClick(checks.table, Qt.Key.Key_Escape)
    settle()
    assert not house.session.highlight.items
    house.side.count.copy()
    assert QApplication.clipboard().text().splitlines()[0].split("\t")[0] == "Result"
