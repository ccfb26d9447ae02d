"""The window's list of what is not as it was released."""

from __future__ import annotations

import msgspec
from pytestqt.qtbot import QtBot

from roofmodel.document import Units
from roofmodel.document.releases import ReleasedPiece, differences
from roofmodel_ui.panels.changes import ChangesList, found_words

PANEL = ReleasedPiece("panel", "South 1 - 1", "ribbed", 3048.0, 952.5)
CAP = ReleasedPiece(
    "trim", "Half ridge cap and half seam ridge cap on Ridge 1, piece 1 of 2", "ridge cap",
    3200.4, 329.7, drawing="Half ridge cap and half seam ridge cap 1",
)  # fmt: skip


def shown(tree: ChangesList) -> list[tuple[str, ...]]:
    items = [tree.topLevelItem(k) for k in range(tree.topLevelItemCount())]
    return [tuple(item.toolTip(k) for k in range(3)) for item in items if item is not None]


def moved(piece: ReleasedPiece, to: str) -> ReleasedPiece:
    return msgspec.structs.replace(piece, mark=to)


def test_what_only_goes_elsewhere_is_one_row(qtbot: QtBot) -> None:
    tree = ChangesList()
    qtbot.addWidget(tree)
    three = [moved(PANEL, f"South 1 - {k}") for k in (1, 2, 3)]
    found = differences(three, [moved(p, f"North 1 - {k}") for k, p in enumerate(three)])
    tree.show_changes(found, Units())
    assert shown(tree) == [("3 pieces", "the same", "moved: for another place or mark")]
    assert found_words(found, 1) == (
        "Every piece is cut as released in revision 1; some go elsewhere:"
    )
    tree.show_changes((), Units())
    assert tree.topLevelItemCount() == 0
    assert tree.isHidden()


def test_rows_are_told_apart_and_as_high_as_their_words(qtbot: QtBot) -> None:
    tree = ChangesList()
    qtbot.addWidget(tree)
    tree.resize(300, 200)
    names = [f"Half ridge cap and half seam ridge cap {k}" for k in (1, 2, 3)]
    before = [
        msgspec.structs.replace(CAP, mark=f"Cap on Ridge {k}", drawing=name, length=3200.4 + k)
        for k, name in enumerate(names)
    ]
    found = differences(before, [])
    tree.show_changes(found, Units())
    tree.show()
    qtbot.waitExposed(tree)
    rows = shown(tree)
    assert [row[0].partition(", for")[0] for row in rows] == names
    assert {row[2] for row in rows} == {"removed"}
    assert found_words(found, 4) == "3 pieces are not as released in revision 4:"
    assert found_words(found[:1], 4) == "1 piece is not as released in revision 4:"
    item = tree.topLevelItem(0)
    assert item is not None
    line = tree.fontMetrics().height()
    assert tree.visualItemRect(item).height() >= 2 * line  # the name wraps, and is not cut short
    narrow = tree.visualItemRect(item).height()
    tree.resize(900, 200)
    qtbot.waitUntil(lambda: tree.visualItemRect(item).height() < narrow)
