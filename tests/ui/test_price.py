"""The price of a job in the window: the book, its lines typed in place, the steps to a price."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
)

from roofmodel.document.offer_edits import set_prices
from roofmodel.quoting import price_of
from roofmodel.systems import EdgeKind
from roofmodel_io.prices_toml import read_prices, sample_prices, write_prices
from roofmodel_ui.panels.price import PricePage
from roofmodel_ui.panels.price_lines import AMOUNT, ITEM, PRICE, RATE
from roofmodel_ui.session import Session
from roofmodel_ui.window import MainWindow
from tests.ui.hands import choose, click, enter, error, press, settle, undo, undone
from tests.ui.price_hands import click_cell, editor, opened, row, type_price


def without(session: Session, key: str) -> None:
    """Take one price out of the job's book."""
    book = session.project.prices
    assert book is not None
    prices = tuple(p for p in book.prices if p.key != key)
    session.edit("Remove price", set_prices(session.project, replace(book, prices=prices)))


@pytest.fixture
def page(house: MainWindow) -> PricePage:
    """The price of the house by the invented book."""
    house.session.edit("Prices", set_prices(house.session.project, sample_prices()))
    return opened(house)


def test_without_a_book_there_is_no_price_until_one_is_taken(house: MainWindow) -> None:
    page = opened(house)
    assert page.price() is None
    assert not page.table.isVisible()
    before = house.session.project
    press(house, page.book.sample)
    settle()
    assert house.session.project.prices == sample_prices()
    assert page.table.isVisible()
    assert page.book.invented.isVisible()
    assert "invented" in page.state.text()
    assert "invented" in house.notice.label.text()
    undone(house, before)


def test_the_table_holds_the_price_line_by_line(house: MainWindow, page: PricePage) -> None:
    found = price_of(house.session.results)
    assert found is not None
    assert [r.line for r in page.table.rows] == list(found.lines)
    groups = [page.table.topLevelItem(k) for k in range(page.table.topLevelItemCount())]
    assert [g.text(ITEM) for g in groups if g] == ["Materials", "Work"]
    assert [g.text(PRICE) for g in groups if g] == [f"{found.materials:,}", f"{found.work:,}"]
    assert page.total.text() == f"${found.price:,}"
    assert page.steps.amounts()["Price"] == f"{found.price:,}"


def test_a_price_is_typed_in_place(house: MainWindow, page: PricePage) -> None:
    before = house.session.project
    old = row(page, "Ridge cap")
    type_price(page, old, "40")
    book = house.session.project.prices
    assert book is not None
    price = book.price_of(old.line.key)
    assert price is not None
    assert price.price == 40
    new = row(page, "Ridge cap")
    assert new.cells[RATE] == "40.00"
    assert new.line.amount == 40 * new.line.quantity
    assert house.session.undo_stack.undoText() == "Set price"
    undone(house, before)


def test_a_double_click_begins_to_type_and_escape_ends_it(
    house: MainWindow, page: PricePage
) -> None:
    before = house.session.project
    click_cell(page, row(page, "Ridge cap"), RATE, twice=True)
    QTest.keyClicks(editor(page), "99")
    QTest.keyClick(editor(page), Qt.Key.Key_Escape)
    settle()
    assert house.session.project is before


def test_a_price_by_another_unit(house: MainWindow, page: PricePage) -> None:
    type_price(page, row(page, "Panels"), "1.25 per square foot")
    line = row(page, "Panels").line
    assert line.unit == "sq ft"
    area = sum(p.gross_area for p in house.session.results.take_off.panels) / 304.8**2
    assert float(line.quantity) == pytest.approx(area, abs=0.0006)


@pytest.mark.parametrize("typed", ["cheap", "-4", "3 per barrel", "1,2"])
def test_what_is_no_price_is_refused(house: MainWindow, page: PricePage, typed: str) -> None:
    before = house.session.project
    type_price(page, row(page, "Ridge cap"), typed)
    assert house.session.project is before
    assert error(house)
    assert editor(page).text() == typed  # to be mended
    QTest.keyClick(editor(page), Qt.Key.Key_Escape)
    settle()
    assert row(page, "Ridge cap").cells[RATE] == "31.00"


def test_hours_and_their_price_are_typed(house: MainWindow, page: PricePage) -> None:
    task = next(r for r in page.table.rows if r.line.group == "Work")
    assert house.session.project.prices is not None
    old = next(t for t in house.session.project.prices.tasks if t.name == task.line.item)
    type_price(page, task, f"{2 * old.hours}", AMOUNT)
    new = next(r for r in page.table.rows if r.line.item == task.line.item)
    assert float(new.line.quantity) == pytest.approx(2 * float(task.line.quantity), abs=0.002)
    type_price(page, new, "60")
    assert house.session.project.prices.hourly == 60
    assert page.steps.hourly.text() == "60"


def test_what_has_no_price_stands_out_and_is_listed(house: MainWindow, page: PricePage) -> None:
    session = house.session
    without(session, "panel screw")
    settle()
    assert page.missing.isVisible()
    assert "Panel screws" in page.missing.label.text()
    assert page.total.text().endswith("not complete")
    lost = row(page, "Panel screws")
    assert lost.cells[RATE] == "no price"
    assert lost.cells[PRICE] == ""
    assert page.table.item(lost).font(RATE).bold()
    page.missing.label.linkActivated.emit("0")  # as a press of its name does
    settle()
    QTest.keyClicks(editor(page), "27.50")
    QTest.keyClick(editor(page), Qt.Key.Key_Return)
    settle()
    assert not page.missing.isVisible()
    assert page.price() == price_of(session.results)
    book = session.project.prices
    assert book is not None
    assert book.price_of("panel screw") == sample_prices().price_of("panel screw")


def test_what_is_being_typed_stays_when_the_lines_change(
    house: MainWindow, page: PricePage
) -> None:
    session = house.session
    click_cell(page, row(page, "Rake trim"), RATE, twice=True)
    editor(page).selectAll()
    QTest.keyClicks(editor(page), "33.3")
    page.show_wanted(house.side.count.wanted)
    without(session, "clip")
    house.side.count.search.setText("trim")  # other rows than before
    settle()
    field = editor(page)
    assert field.text() == "33.3"
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()
    assert row(page, "Rake trim").cells[RATE] == "33.30"


def test_steps_are_typed(house: MainWindow, page: PricePage) -> None:
    before = house.session.project
    enter(house, page.steps.overhead, "15 %")
    enter(house, page.steps.margin, "30")
    enter(house, page.steps.tax, "8.25%")
    enter(house, page.steps.rounding, "100")
    choose(house, page.steps.tax_on, "on the price")
    book, found = house.session.project.prices, page.price()
    assert book is not None
    assert found is not None
    assert (book.overhead, book.margin) == (Decimal("0.15"), Decimal("0.3"))
    assert (book.tax, book.round_to) == (Decimal("0.0825"), Decimal(100))
    assert book.tax_on == "price"
    cost = found.materials + found.work
    net = cost * Decimal("1.15")
    by_hand = net / Decimal("0.7") * Decimal("1.0825")
    assert found.price % 100 == 0
    assert abs(found.price - by_hand) <= 50
    assert page.steps.amounts()["Price"] == f"{found.price:,}"
    for _ in range(5):
        undo(house)
    assert house.session.project is before
    enter(house, page.steps.margin, "100 %")
    assert "The margin is a share of the price" in error(house)
    assert page.steps.margin.text() == "25 %"


def test_a_line_lights_up_what_it_came_from(house: MainWindow, page: PricePage) -> None:
    session = house.session
    found = row(page, "Ridge cap")
    click_cell(page, found, ITEM)
    ridges = {e.id for e in session.results.surface.edges if e.kind is EdgeKind.RIDGE}
    assert session.highlight.items == ridges
    assert not session.selection
    words = page.explanation.text()
    assert "Ridge 1" in words
    assert "× 31" in words
    QTest.keyClick(page.table, Qt.Key.Key_Escape)
    settle()
    assert not session.highlight.items
    assert not page.table.chosen()


def test_search_and_a_click_in_plan_narrow_the_lines(house: MainWindow, page: PricePage) -> None:
    count = house.side.count
    QTest.keyClicks(count.search, "ridge cap")
    settle()
    assert page.table.rows
    assert all("ridge cap" in r.text for r in page.table.rows)
    count.search.clear()
    click(house, 20, 0)  # the eave
    settle()
    items = {r.line.item for r in page.table.rows}
    assert any(i.startswith("Eave") for i in items)
    assert not any(i.startswith("Ridge cap") for i in items)
    QTest.keyClick(page.table, Qt.Key.Key_Escape)
    settle()
    assert any(r.line.item.startswith("Ridge cap") for r in page.table.rows)


def test_lines_are_copied(house: MainWindow, page: PricePage) -> None:
    press(house, house.side.count.copy_button)
    rows = [t.split("\t") for t in QApplication.clipboard().text().splitlines()]
    assert rows[0][:3] == ["Group", "Item", "Amount"]
    assert len(rows) == len(page.table.rows) + 1
    assert {len(r) for r in rows} == {len(rows[0])}


def test_a_colour_makes_the_metal_dearer(house: MainWindow, page: PricePage) -> None:
    before, old = house.session.project, page.price()
    colour = max(sample_prices().colours, key=lambda c: c.factor)
    words = next(
        page.colour.itemText(k)
        for k in range(page.colour.count())
        if page.colour.itemText(k).startswith(colour.name)
    )
    choose(house, page.colour, words)
    new = page.price()
    assert house.session.project.colour == colour.name
    assert old is not None
    assert new is not None
    assert new.materials > old.materials
    assert new.work == old.work
    assert not page.colour.itemIcon(1).isNull()
    undone(house, before)


def answer(monkeypatch: pytest.MonkeyPatch, which: str, path: Path) -> None:
    give: Callable[..., tuple[str, str]] = lambda *_: (str(path), "")  # noqa: E731
    monkeypatch.setattr(QFileDialog, which, give)


def test_a_book_is_saved_and_loaded(
    house: MainWindow, page: PricePage, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    type_price(page, row(page, "Ridge cap"), "40")
    press(house, page.book.own)
    settle()
    assert not page.book.invented.isVisible()
    enter(house, page.book.name, "Our prices")
    answer(monkeypatch, "getSaveFileName", tmp_path / "ours")
    press(house, page.book.save)
    book = house.session.project.prices
    assert read_prices(tmp_path / "ours.toml") == book
    press(house, page.book.remove)
    settle()
    assert house.session.project.prices is None
    assert page.price() is None
    answer(monkeypatch, "getOpenFileName", tmp_path / "ours.toml")
    press(house, page.book.load)
    settle()
    assert house.session.project.prices == book
    assert page.table.isVisible()


@pytest.mark.parametrize(
    "text", ["", "name = 3", "[prices", "\x00", 'name = "x"\nhourly = -1\noverhead = 0\n']
)
def test_a_wrong_file_says_so_in_one_sentence(
    house: MainWindow,
    page: PricePage,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    text: str,
) -> None:
    (tmp_path / "wrong.toml").write_text(text, encoding="utf-8")
    answer(monkeypatch, "getOpenFileName", tmp_path / "wrong.toml")
    before = house.session.project
    press(house, page.book.load)
    assert error(house).startswith("wrong.toml:")
    assert house.session.project is before


def test_a_book_without_the_jobs_colour(
    house: MainWindow, page: PricePage, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    name = sample_prices().colours[0].name
    choose(house, page.colour, page.colour.itemText(1))
    assert house.session.project.colour == name
    write_prices(msgspec.structs.replace(sample_prices(), colours=()), tmp_path / "plain.toml")
    answer(monkeypatch, "getOpenFileName", tmp_path / "plain.toml")
    press(house, page.book.load)
    settle()
    assert name in house.notice.label.text()
    assert page.colour.currentText() == f"{name} (not in this book)"
    assert page.price() is not None


def test_a_save_that_fails_says_so(
    house: MainWindow, page: PricePage, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    answer(monkeypatch, "getSaveFileName", tmp_path / "no folder" / "ours.toml")
    press(house, page.book.save)
    assert "ours.toml" in error(house)
