"""The Count stage in the real window, by mouse and keys: search, explanation, what lights up,
sorting, copying, filters, the cut list, files."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QAbstractItemModelTester, QTest

from roofmodel.surface import EdgeId, PlaneId
from roofmodel_ui.panels.count import CountPanel
from roofmodel_ui.panels.lines import QUANTITY
from roofmodel_ui.window import MainWindow
from tests.ui.counting import items, line_of, press, press_line, search
from tests.ui.hands import LEFT, click, settle


@pytest.fixture
def count(house: MainWindow) -> CountPanel:
    """The house of 40 x 24 ft with two gables, at the Count stage."""
    house.show_stage("Count")
    settle()
    house.zoom_to_fit()
    settle()
    return house.side.count


def lit_in_plan(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> frozenset[object]:
    """What the plan draws as chosen."""
    seen: list[frozenset[object]] = []

    def record(painter: object, results: object, chosen: frozenset[object], *a: object,
               **k: object) -> None:  # fmt: skip
        seen.append(chosen)

    with monkeypatch.context() as patch:
        patch.setattr("roofmodel_ui.plan.roof_item.draw_roof", record)
        window.plan.viewport().grab()
    return seen[-1]


def lit_in_3d(window: MainWindow) -> tuple[int, set[str]]:
    """How many edges stand out in 3D, and the planes whose colour is not that of the roof."""
    view = window.view3d
    actors, scene = view._actors, view.scene
    assert actors is not None
    colors = actors.planes.poly.cell_data["color"]
    plain = tuple(int(c) for c in _roof_color())
    lit = {
        scene.planes[plane]
        for plane, color in zip(scene.triangle_plane.tolist(), colors.tolist(), strict=True)
        if tuple(color) != plain
    }
    names = {p.id: p.name for p in window.session.results.surface.planes}
    ends = actors.chosen.poly.points.reshape(-1, 2, 3)  # where none is, one of no length
    edges = int((abs(ends[:, 0] - ends[:, 1]).sum(axis=1) > 0).sum())
    return edges, {names[plane] for plane in lit}


def _roof_color() -> tuple[int, int, int]:
    from roofmodel_ui import theme

    color = theme.ROOF
    return int(color[1:3], 16), int(color[3:5], 16), int(color[5:7], 16)


def test_the_model_of_the_lines_is_sound(count: CountPanel) -> None:
    mode = QAbstractItemModelTester.FailureReportingMode.Fatal
    tester = QAbstractItemModelTester(count.quantities.model, mode)
    search(count, "ridge")
    count.search.clear()
    count.quantities.model.sort(QUANTITY)
    settle()
    assert tester.model() is count.quantities.model


def test_search_filters_items_formulas_and_names_as_they_are_typed(count: CountPanel) -> None:
    whole = items(count)
    search(count, "rid")
    found = items(count)
    assert found
    assert set(found) < set(whole)
    assert all("rid" in line.text for line, _ in count.quantities.model.lines())
    assert "Ridge 1" in found
    assert "Roof area" not in found  # its formula names planes only
    search(count, "south 1")
    assert "Roof area" in items(count)  # South 1 is one of its planes
    assert "Ridge 1" in items(count)  # it lies at South 1
    assert not any(item.startswith("North 1,") for item in items(count))
    search(count, "slope factor")  # words of a formula or of its note
    assert all("slope factor" in line.text for line, _ in count.quantities.model.lines())
    QTest.keyClick(count.search, Qt.Key.Key_Escape)
    settle()
    assert items(count) == whole


def test_nothing_found_is_said_in_each_list(count: CountPanel) -> None:
    search(count, "no such thing")
    assert items(count) == []
    assert count.quantities.explanation.text().startswith('No line fits "no such thing".')
    assert count.cut_list.rows() == []
    assert count.cut_list.words() == "No panel fits. Clear the search or choose all."
    assert count.cutting.bars() == []
    assert count.cutting.words() == "No trim fits. Clear the search or choose all."


def test_a_line_is_explained_below(count: CountPanel) -> None:
    press_line(count, "Roof area")
    quantity = line_of(count, "Roof area").quantity
    text = count.quantities.explanation.text()
    for part in (quantity.item, quantity.how, quantity.note, quantity.source, "South 1"):
        assert part in text
    assert "960.0" not in quantity.item
    press_line(count, "Ridge 1", Qt.KeyboardModifier.ControlModifier)
    assert count.quantities.explanation.text().startswith("2 lines: ")


def test_what_a_line_came_from_lights_up_in_plan_and_3d(
    house: MainWindow, count: CountPanel, monkeypatch: pytest.MonkeyPatch
) -> None:
    planes = {p.name: p.id for p in house.session.results.surface.planes}
    edges, lit = lit_in_3d(house)
    assert (edges, lit) == (0, set())
    press_line(count, "Roof area")
    assert house.session.highlight.items == set(planes.values())
    assert not house.session.selection  # Delete would take all of it
    assert lit_in_plan(house, monkeypatch) == set(planes.values())
    assert lit_in_3d(house) == (0, set(planes))
    press_line(count, "Eave, all")
    eaves = set(line_of(count, "Eave, all").quantity.edges)
    assert len(eaves) == 2
    assert lit_in_plan(house, monkeypatch) == eaves
    assert lit_in_3d(house) == (2, set())
    press_line(count, "Ridge 1")  # an edge, and the planes beside it
    (ridge,) = house.session.selection
    assert isinstance(ridge, EdgeId)
    assert lit_in_plan(house, monkeypatch) == {ridge, *planes.values()}
    assert lit_in_3d(house) == (1, set(planes))
    click(house, -10, -10)  # empty ground
    assert not house.session.highlight.items
    assert lit_in_plan(house, monkeypatch) == frozenset()
    assert count.quantities.chosen() == []


def test_a_click_in_plan_shows_the_lines_about_it(house: MainWindow, count: CountPanel) -> None:
    whole = items(count)
    click(house, 15, 5)
    settle()
    (south,) = house.session.selection
    assert isinstance(south, PlaneId)
    assert count.about.text() == "Lines about South 1"
    shown = [line for line, _ in count.quantities.model.lines()]
    assert shown
    assert all(south in line.about for line in shown)
    assert count.quantities.chosen()[0].quantity.item.startswith("South 1")
    assert all(row[0] == "South 1" for row in count.cut_list.rows())
    press_line(count, "Roof area")  # a line of those stays among them
    assert count.about.text() == "Lines about South 1"
    press(count.all_lines)
    assert items(count) == whole
    assert not count.about.isVisible()
    assert not house.session.selection
    click(house, 20, 12)
    settle()
    assert count.about.text() == "Lines about Ridge 1"
    assert "Ridge 1" in items(count)
    assert not any(item.startswith("Eave") for item in items(count))
    assert count.cutting.bars()
    assert all("Ridge 1" in name for bars in count.cutting.bars() for *_, name in bars.pieces)
    click(house, -10, -10)
    settle()
    assert items(count) == whole


def test_sorting_stays_within_the_groups(count: CountPanel) -> None:
    table, model = count.quantities.table, count.quantities.model
    header = table.header()
    own = [(g.title, [line.quantity.item for line in g.lines]) for g in model.groups]

    def press_title(column: int) -> None:
        at = header.sectionViewportPosition(column) + 12
        QTest.mouseClick(header.viewport(), LEFT, pos=QPoint(at, header.height() // 2))
        settle()

    press_title(QUANTITY)
    assert [g.title for g in model.groups] == [title for title, _ in own]
    for group in model.groups:
        sizes = [line.quantity.quantity for line in group.lines]
        assert sizes == sorted(sizes)
    press_title(QUANTITY)
    for group in model.groups:
        sizes = [line.quantity.quantity for line in group.lines]
        assert sizes == sorted(sizes, reverse=True)
    press_title(QUANTITY)
    assert [(g.title, [line.quantity.item for line in g.lines]) for g in model.groups] == own


def test_groups_fold_and_stay_so(house: MainWindow, count: CountPanel) -> None:
    table, model = count.quantities.table, count.quantities.model
    first = model.index(0, 0)
    table.setFocus()
    table.setCurrentIndex(model.index(0, 0, first))
    for _ in range(2):  # to the group, and fold it
        QTest.keyClick(table, Qt.Key.Key_Left)
    assert not table.isExpanded(model.index(0, 0))
    search(count, "area")
    assert table.isExpanded(model.index(0, 0))  # what is found is seen
    count.search.clear()
    settle()
    assert not table.isExpanded(model.index(0, 0))


def test_search_by_keys_alone(house: MainWindow, count: CountPanel) -> None:
    house.show_stage("Shape")
    house.actions_by_id["search_lines"].trigger()
    settle()
    assert count.search.isVisible()
    QTest.keyClicks(count.search, "ridge 1")
    QTest.keyClick(count.search, Qt.Key.Key_Down)
    settle()
    assert [line.quantity.item for line in count.quantities.chosen()] == ["Ridge, all"]
    for _ in range(2):  # over the title of the next group
        QTest.keyClick(count.quantities.table, Qt.Key.Key_Down)
    settle()
    assert [line.quantity.item for line in count.quantities.chosen()] == ["Ridge 1"]
    assert count.quantities.chosen()
    assert house.session.highlight.items
    QTest.keyClick(count.quantities.table, Qt.Key.Key_Escape)
    settle()
    assert not house.session.highlight.items
    house.show_stage("Shape")
    settle()
    house.show_stage("Count")
    assert count.search.text() == ""  # nothing stays hidden unseen


def test_the_totals_line_is_the_same_in_all_stages(house: MainWindow) -> None:
    seen = set()
    for stage in ("Place", "Shape", "Cover", "Count", "Hand over"):
        house.show_stage(stage)
        settle()
        totals = house.totals
        assert totals.isVisible()
        seen.add((totals.area.text(), totals.planes.text(), totals.problems.text()))
    assert len(seen) == 1


def test_an_empty_project_says_what_will_stand_here(window: MainWindow) -> None:
    window.show_stage("Count")
    settle()
    count = window.side.count
    assert items(count) == []
    assert count.quantities.explanation.text() == "Quantities appear as soon as there is a roof."
    count.tabs.setCurrentIndex(1)
    settle()
    assert count.cut_list.words().startswith("The cut list appears as soon as")
    count.tabs.setCurrentIndex(2)
    settle()
    assert count.cutting.words().startswith("Cutting plans appear as soon as")
    assert not any(button.isEnabled() for button in count.exports)
