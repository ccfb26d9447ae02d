"""Problems grouped, sorted and counted; the list at work in the real window."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document import Mend, Problem
from roofmodel.document.edits import move_corner, rename_section, set_eave_height
from roofmodel_ui.problems import counted, groups_of
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, LEFT, settle

NAMES = ["Eave 1", "Eave 12", "Eave 3", "Main house", "Porch"]


def test_equal_sentences_are_one_group_and_serious_ones_come_first() -> None:
    problems = [
        Problem("Eave 12 runs into a wall.", places=((0.0, 0.0),)),
        Problem("Main house is large."),
        Problem("Eave 3 runs into a wall.", places=((1.0, 0.0),)),
        Problem("Porch: nothing slopes.", True),
        Problem("Eave 1 runs into a wall.", places=((2.0, 0.0),)),
    ]
    first, second, third = groups_of(problems, NAMES)
    assert first.serious
    assert first.sentence == "Porch: nothing slopes."
    assert second.names == ("Eave 12", "Eave 3", "Eave 1")
    assert second.sentence == "Eave 12 runs into a wall. The same holds for Eave 3 and Eave 1."
    assert third.sentence == "Main house is large."
    assert third.mend() is None
    assert groups_of([], NAMES) == []


def test_the_same_sentence_without_names() -> None:
    problems = [Problem("Two parts meet badly.", places=((float(k), 0.0),)) for k in range(3)]
    (group,) = groups_of(problems, [])
    assert group.sentence == "Two parts meet badly. The same at 2 more."


@pytest.mark.parametrize(
    ("serious", "words"),
    [
        ((), "No problems"),
        ((False,), "1 problem"),
        ((True,), "1 serious problem"),
        ((True, True), "2 serious problems"),
        ((False, True, False), "3 problems, 1 serious"),
        ((False, False), "2 problems"),
    ],
)
def test_counted_in_words(serious: tuple[bool, ...], words: str) -> None:
    assert counted([Problem("So it is.", s) for s in serious]) == words


def test_all_of_a_group_are_mended_in_one_step(porch: MainWindow) -> None:
    def raising(part: str) -> Mend:
        return Mend("Rename it", lambda p: rename_section(p, part, "Other house"))

    session, problems = porch.session, porch.totals.list
    lift = Mend("Rename it", lambda p: set_eave_height(p, "s1", 3000.0))
    found = (
        Problem("Main house is low.", False, "s1", ((0.0, 0.0),), raising("s1")),
        Problem("Porch is low.", False, "p2", ((15 * FT, -4 * FT),), lift),
    )
    session._results = replace(session.results, problems=found)
    session.result_changed.emit()
    QTest.mouseClick(porch.totals.problems, LEFT)
    settle()
    (row,) = problems.rows
    assert [b.text() for b in row.go_to] == ["Main house", "Porch"]
    assert row.mend is not None
    assert row.mend.text() == "Rename it: all 2"
    before, steps = session.project, session.undo_stack.count()
    QTest.mouseClick(row.mend, LEFT)
    assert session.project.section("s1").name == "Other house"
    assert session.project.section("s1").eave_height == 3000.0
    assert session.undo_stack.count() == steps + 1
    session.undo_stack.undo()
    assert session.project is before


def test_serious_ones_alone_and_the_list_stays_open(porch: MainWindow) -> None:
    session, problems = porch.session, porch.totals.list
    session.attempt("Move corner", lambda p: move_corner(p, "s1", 0, 1, (10 * FT, 40 * FT)))
    assert "serious" in porch.totals.problems.text()
    QTest.mouseClick(porch.totals.problems, LEFT)
    settle()
    assert problems.isVisible()
    assert problems.height() >= 150
    QTest.mouseClick(problems.serious, LEFT)
    settle()
    assert problems.rows
    assert all(r.group.serious for r in problems.rows)
    camera = porch.view3d.camera
    QTest.mouseClick(problems.rows[0].label, LEFT)  # anywhere on the row
    assert session.selection
    assert porch.view3d.camera != camera
    assert problems.isVisible()
    session.undo_stack.undo()
    settle()
    assert not any(r.group.serious for r in problems.rows)
    problems.setFocus()
    QTest.keyClick(problems, Qt.Key.Key_Escape)
    assert not problems.isVisible()
