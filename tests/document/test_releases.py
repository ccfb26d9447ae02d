"""Releases: numbered, kept in the project file, compared piece by piece."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document.releases import (
    Release,
    ReleasedPiece,
    ShopRules,
    cut_alike,
    differences,
    metal_changed,
    released,
    revision_now,
    set_shop_rules,
)
from roofmodel.errors import DocumentError
from roofmodel_io.project_file import decode_project, encode_project
from tests.houses import project

ONE = ReleasedPiece("panel", "South 1 - 1", "ribbed", 3000.0, 952.5, (0, 0, 952.5, 0, 952.5, 3000))
TWO = ReleasedPiece("trim", "Ridge cap on Ridge 1", "ridge cap", 3200.4, 329.7, (), (-53.1,))


def test_releases_are_numbered_and_keep_the_day_they_are_given() -> None:
    first = released(project(), [ONE, TWO], "2026-03-01")
    second = released(first, [ONE], " 2026-03-09 ", "one cap less")
    assert [(r.number, r.date, r.note) for r in second.releases] == [
        (1, "2026-03-01", ""),
        (2, "2026-03-09", "one cap less"),
    ]
    assert (first.releases[0].count("panel"), first.releases[0].count("trim")) == (1, 1)
    assert not project().releases


def test_what_cannot_be_released_is_said() -> None:
    with pytest.raises(DocumentError, match="the day"):
        released(project(), [ONE], " ")
    with pytest.raises(DocumentError, match="no panel"):
        released(project(), [], "2026-03-01")
    with pytest.raises(DocumentError, match="same mark"):
        released(project(), [ONE, ONE], "2026-03-01")
    with pytest.raises(DocumentError, match="first revision"):
        Release(0, "today", (ONE,))


def test_differences_name_what_came_went_and_changed() -> None:
    longer = msgspec.structs.replace(ONE, length=3010.0)
    new = msgspec.structs.replace(ONE, mark="South 1 - 2", length=3020.0)
    found = differences((ONE, TWO), (longer, new))
    assert [(d.kind, d.mark) for d in found] == [
        ("removed", TWO.mark),
        ("changed", ONE.mark),
        ("added", "South 1 - 2"),
    ]
    assert (found[1].was, found[1].now) == (ONE, longer)
    assert differences((ONE, TWO), (TWO, ONE)) == ()


def test_a_piece_that_only_goes_elsewhere_is_moved() -> None:
    other = msgspec.structs.replace(ONE, mark="South 1 - 2")
    (found,) = differences((ONE,), (other,))
    assert (found.kind, found.mark, found.was, found.now) == ("moved", other.mark, ONE, other)
    # the cut panel is used where it fits: only the longer one is to be made
    longer = msgspec.structs.replace(ONE, length=3010.0)
    assert [(d.kind, d.mark) for d in differences((ONE,), (longer, other))] == [
        ("added", "South 1 - 1"),
        ("moved", "South 1 - 2"),
    ]
    # another colour is another piece, at its mark
    blue = [msgspec.structs.replace(p, colour="Slate blue") for p in (ONE, other)]
    white = [msgspec.structs.replace(p, colour="White") for p in (other, ONE)]
    assert [d.kind for d in differences(white, blue)] == ["changed"] * 2


def test_which_piece_of_its_edge_it_is_makes_no_difference() -> None:
    marks = [f"Eave drip edge on Eave 1, piece {k} of 2" for k in (1, 2)]
    before = [msgspec.structs.replace(TWO, mark=mark) for mark in marks]
    before[1] = msgspec.structs.replace(before[1], length=1000.0)
    turned = [msgspec.structs.replace(p, mark=m) for p, m in zip(before, marks[::-1], strict=True)]
    assert differences(before, turned) == ()
    # as many are left of then as of now: they are compared in their order
    other = [
        msgspec.structs.replace(before[0], mark="Eave drip edge on Eave 1, piece 1 of 3"),
        msgspec.structs.replace(before[1], mark=marks[0], length=1100.0),
    ]
    (found,) = differences(before, other)
    assert found.kind == "changed"
    assert found.was is not None
    assert found.was.length == 1000.0


def test_trim_may_lie_turned_end_for_end() -> None:
    """A quarter cut off at the far right corner, and the same piece turned by half a turn."""
    one = msgspec.structs.replace(
        TWO, length=100.0, width=40.0, corners=(0, 0, 40, 0, 40, 80, 20, 100, 0, 100),
        bends=(180.0, -53.1, 180.0), hems="closed down 12.7 0.0; closed down 12.7 0.0",
    )  # fmt: skip
    two = msgspec.structs.replace(one, corners=(0, 20, 20, 0, 40, 0, 40, 100, 0, 100))
    assert cut_alike(one, two)
    assert cut_alike(two, one)
    mirrored = msgspec.structs.replace(one, corners=(0, 0, 40, 0, 40, 100, 20, 100, 0, 80))
    assert not cut_alike(one, mirrored)
    # its section must read the same from both borders
    for other in ({"hems": "none; closed down 12.7 0.0"}, {"bends": (180.0, -53.1, 0.0)}):
        assert not cut_alike(
            msgspec.structs.replace(one, **other), msgspec.structs.replace(two, **other)
        )
    as_panel = [msgspec.structs.replace(p, what="panel") for p in (one, two)]
    assert not cut_alike(*as_panel)


@pytest.mark.parametrize(
    ("change", "differs"),
    [
        ({"length": 3000.4}, False),
        ({"length": 3000.6}, True),
        ({"corners": (0, 0, 952.5, 0, 952.5, 2999.7)}, False),
        ({"corners": (0, 0, 952.5, 0, 950.0, 3000)}, True),
        ({"corners": (0, 0, 952.5, 0)}, True),
        ({"width": 900.0}, True),
        ({"part": "seam"}, True),
        ({"bends": (10.0,)}, True),
    ],
)
def test_a_piece_is_the_same_within_what_can_be_cut(
    change: dict[str, object], differs: bool
) -> None:
    other = msgspec.structs.replace(ONE, **change)
    assert bool(differences((ONE,), (other,))) is differs


def test_revision_now_is_the_last_one_or_none() -> None:
    made = released(project(), [ONE], "2026-03-01")
    assert revision_now(made.releases, (ONE,)) == made.releases[0]
    assert revision_now(made.releases, (TWO,)) is None
    assert revision_now((), (ONE,)) is None


def test_releases_travel_in_the_file_and_old_files_have_none() -> None:
    made = set_shop_rules(released(project(), [ONE, TWO], "2026-03-01"), lift_weight=500.0)
    back = decode_project(encode_project(made, {}), "a.roof").project
    assert (back.releases, back.shop) == (made.releases, made.shop)
    assert decode_project(encode_project(back, {}), "a.roof").project == back
    plain = msgspec.to_builtins(project())
    del plain["releases"], plain["shop"]
    old = msgspec.convert(plain, type(made))
    assert (old.releases, old.shop) == ((), ShopRules())


def test_rules_for_bundles_have_bounds() -> None:
    same = project()
    assert set_shop_rules(same, lift_weight=same.shop.lift_weight) is same
    for wrong in ({"lift_weight": 5.0}, {"sheet_weight": 0.1}, {"formed": 0.9}):
        with pytest.raises(DocumentError):
            set_shop_rules(same, **wrong)


@pytest.mark.parametrize(
    ("field", "was", "now", "words"),
    [
        ("gauge", "24 ga", "26 ga", "gauge"),
        ("thickness", 0.701, 0.551, "thickness"),
        ("colour", "", "Slate blue", "colour"),
        ("painted", "upper side", "both sides", "painted side"),
        ("hems", "closed", "double", "hems"),
        ("product", "Ribbed panel, 24 ga", "Ribbed panel, 26 ga", "panel"),
        ("sheet", 5.644, 4.424, "weight of the sheet"),
    ],
)
def test_what_a_piece_is_made_of_is_compared(
    field: str, was: object, now: object, words: str
) -> None:
    before = msgspec.structs.replace(TWO, **{field: was})
    after = msgspec.structs.replace(TWO, **{field: now})
    assert differences((before,), (before,)) == ()
    (found,) = differences((before,), (after,))
    assert found.kind == "changed"
    assert metal_changed(before, after) == (words,)
    # a release of before these were kept says nothing of them
    assert differences((TWO,), (after,)) == ()
    read = decode_project(
        encode_project(released(project(), [after], "2026-03-01"), {}), "a.roof"
    ).project
    assert read.releases[0].pieces == (after,)
